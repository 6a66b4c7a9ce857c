"""The cut list as bars of text, and one anchor's rod from end to end, in plain lines of a given width.

Every glyph is one cell wide and no line carries markup, so that the screen and the sheet by the saw show the
same.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Final

from crewtui.trade.rod.rod_plan import RodPlan
from crewtui.trade.truck.cutting import CutPlan, CutStock
from crewtui.units import UnitSystem, show_length

LEAST_WIDTH: Final = 24
"""Narrower than this nothing can be read; a smaller width is taken as this."""
_SAW_STEP_IN: Final = 1 / 64
"""The cut list rounds to whole units finer than this; what is less is no difference."""
_CUT, _END, _PIECE, _OFFCUT = "│", "┃", "═", "·"
_ODD, _EVEN, _COUPLING, _WALL, _PLATE, _NUT, _TRIM = "━", "═", "╫", "█", "▐", "╂", "┄"
LEGEND_CUTS: Final = f"{_PIECE} piece  {_CUT} saw cut  {_OFFCUT} offcut"
LEGEND_ROD: Final = (
    f"{_WALL} wall  {_COUPLING} coupling  {_PLATE} plate  {_NUT} wall nut  {_TRIM} trimmed off"
)


def cut_bars(plan: CutPlan, width: int, *, system: UnitSystem = "imperial") -> tuple[str, ...]:
    """Return the cut list: for each length of stock a bar to scale, and under it what to cut in words."""
    width = max(width, LEAST_WIDTH)
    lines = _wrapped(plan.said, width)
    if not plan.lengths:
        return tuple(lines)
    longest_in = max(stock.length_in for stock in plan.lengths)
    left = len(str(len(plan.lengths))) + 1
    scale = (width - left - 2) / longest_in
    for number, stock in enumerate(plan.lengths, start=1):
        lines.append(f"{number:>{left - 1}} {_bar(stock, round(stock.length_in * scale), system)}")
        lines += _wrapped(_cut_words(stock, system), width, indent=left)
    lines += _wrapped(LEGEND_CUTS, width)
    lines += _wrapped(_sum_words(plan, system), width)
    return tuple(lines)


def _bar(stock: CutStock, cells: int, system: UnitSystem) -> str:
    """Return one length of stock: each piece at least one cell, saw cuts a cell each, the rest to scale."""
    parts = [
        (piece.length_in, piece.anchor, f"{piece.anchor} {show_length(piece.length_in, system, step=16)}")
        for piece in stock.pieces
    ]
    left = stock.offcut_in > 0
    cuts = len(parts) - 1 + left
    lengths = [length for length, _, _ in parts] + ([stock.offcut_in] if left else [])
    spans = _share(lengths, max(cells - cuts, len(lengths)))
    drawn = [
        _centerd((long, short), span, _PIECE) for (_, short, long), span in zip(parts, spans, strict=False)
    ]
    if left:
        drawn.append(_centerd((show_length(stock.offcut_in, system, step=16),), spans[-1], _OFFCUT))
    return _END + _CUT.join(drawn) + _END


def _share(lengths: Sequence[float], cells: int) -> list[int]:
    """Return whole cells in proportion to lengths, none without a cell, that sum to ``cells``."""
    total = sum(lengths)
    spans = [max(1, round(length / total * cells)) for length in lengths]
    while sum(spans) != cells:
        step = 1 if sum(spans) < cells else -1
        widest = max(range(len(spans)), key=lambda place: (spans[place], lengths[place]))
        spans[widest] += step
    return spans


def _centerd(texts: Sequence[str], span: int, fill: str) -> str:
    """Return the first text that fits with a cell of fill to each side, else fill alone."""
    for text in texts:
        if len(text) + 2 <= span:
            return text.center(span, fill)
    return fill * span


def _cut_words(stock: CutStock, system: UnitSystem) -> str:
    pieces = ", ".join(
        f"{show_length(piece.length_in, system, step=16)} for {piece.anchor} ({piece.number} of {piece.of})"
        for piece in stock.pieces
    )
    kind = "offcut" if stock.offcut_stock else "rod"
    source = f"{kind} of {show_length(stock.length_in, system, step=16)}"
    fetched = ", to be fetched" if stock.missing else ""
    if stock.offcut_in > 0:
        rest = f"; {show_length(stock.offcut_in, system, step=16)} left"
    elif stock.cuts == len(stock.pieces):
        rest = "; nothing left"
    else:
        rest = "; all used" if stock.cuts else "; whole"
    return f"{source}{fetched}: {pieces}{rest}"


def _sum_words(plan: CutPlan, system: UnitSystem) -> str:
    offcut = ""
    if plan.longest_offcut_in > 0:
        worth = "worth keeping" if plan.longest_offcut_in >= plan.worth_keeping_in else "too short to keep"
        offcut = f"; longest offcut {show_length(plan.longest_offcut_in, system, step=16)}, {worth}"
    return (
        f"{_many(len(plan.lengths), 'length')}, {_many(plan.cuts, 'cut')}{offcut}. {plan.state.capitalize()}."
    )


def _many(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def _wrapped(text: str, width: int, *, indent: int = 0) -> list[str]:
    blank = " " * indent
    return textwrap.wrap(text, width, initial_indent=blank, subsequent_indent=blank)


def rod_drawing(plan: RodPlan, width: int, *, system: UnitSystem = "imperial") -> tuple[str, ...]:
    """Return the rod end to end, the room at the left and the pit at the right, and its joints in words.

    To scale but for the wall, plate, nut and couplings, which take a cell where they would vanish.
    """
    width = max(width, LEAST_WIDTH)
    lines = [*_rod_lines(plan, width, system)] if plan.pieces else []
    for piece in reversed(plan.pieces):
        state = ", in the ground" if piece.driven else f", cut from {_stock_words(piece.stock_in, system)}"
        state = state if piece.driven or piece.cut else ", a whole length"
        lines += _wrapped(
            f"piece {piece.number}: {show_length(piece.length_in, system, step=16)}{state}", width
        )
    for joint in reversed(plan.joints):
        clear = (
            f"its end {show_length(joint.clear_in, system, step=16)} clear of {joint.near} when drawn home"
            if joint.clear
            else f"meets {joint.near}"
        )
        side = "out from the outer face" if joint.place_in >= 0 else "in from the outer face"
        where = f"middle {show_length(abs(joint.place_in), system)} {side}"
        lines += _wrapped(f"coupling {joint.number}: {where}, {clear}", width)
    lines += _wrapped(_need_words(plan, system), width)
    return tuple(lines)


def _stock_words(stock_in: float | None, system: UnitSystem) -> str:
    return "longer stock than given" if stock_in is None else show_length(stock_in, system)


def _need_words(plan: RodPlan, system: UnitSystem) -> str:
    needed = show_length(plan.needed_in, system)
    if plan.spare_in < -_SAW_STEP_IN:
        return f"{needed} needed; {show_length(-plan.spare_in, system, step=16)} short"
    trimmed = ""
    if plan.trimmed_in > _SAW_STEP_IN:
        worth = "worth keeping" if plan.trimmed_worth_keeping else "not worth keeping"
        trimmed = f"; {show_length(plan.trimmed_in, system, step=16)} trimmed off after tightening, {worth}"
    spare = (
        f"{show_length(plan.spare_in, system, step=16)} spare"
        if plan.spare_in > _SAW_STEP_IN
        else "cut to it"
    )
    return f"{needed} needed; {spare}{trimmed}"


def _rod_lines(plan: RodPlan, width: int, system: UnitSystem) -> tuple[str, ...]:
    inputs = plan.inputs
    head_in = inputs.lead_place_in
    tail_in = min(head_in - plan.total_in, -(inputs.way_in / inputs.cos + plan.in_room_in))
    scale = (width - 1) / (head_in - tail_in)

    def cell(place_in: float) -> int:
        return min(width - 1, max(0, round((place_in - tail_in) * scale)))

    row = [" "] * width
    end_in = head_in
    names = [" "] * width
    for piece in plan.pieces:
        start_in = end_in - piece.length_in
        glyph = _ODD if piece.number % 2 else _EVEN
        first, last = cell(start_in), cell(end_in)
        row[first : last + 1] = glyph * (last - first + 1)
        _write(
            names,
            (first + last) // 2,
            (show_length(piece.length_in, system, step=16), str(piece.number)),
            last - first,
        )
        end_in = start_in
    if plan.trimmed_in > 0:
        kept = cell(head_in - plan.needed_in - inputs.pulled_in_in)
        row[cell(head_in - plan.total_in) : kept] = _TRIM * (kept - cell(head_in - plan.total_in))
    inner_in = -inputs.way_in / inputs.cos
    nut_in = inner_in - inputs.wall_plate_thickness_in - inputs.washer_thickness_in
    row[max(0, min(cell(nut_in), cell(inner_in) - 1))] = _NUT
    row[cell(inner_in) : cell(0.0) + 1] = _WALL * (cell(0.0) - cell(inner_in) + 1)
    row[cell(inputs.seat_in / inputs.cos)] = _PLATE
    for joint in plan.joints:
        row[cell(joint.place_in)] = _COUPLING
    return "".join(row).rstrip(), "".join(names).rstrip(), *_wrapped(LEGEND_ROD, width)


def _write(names: list[str], middle: int, texts: Sequence[str], span: int) -> None:
    for text in texts:
        start = middle - len(text) // 2
        if len(text) <= span and start >= 0 and start + len(text) <= len(names):
            names[start : start + len(text)] = text
            return
