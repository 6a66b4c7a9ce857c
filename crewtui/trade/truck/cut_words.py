"""From the search's answer to the cut list in inches, and "is there enough on the truck" in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from crewtui.trade.truck.cut_list import CutPiece, CutStock, RodToCut, StockLength, StockUse
from crewtui.trade.truck.cut_model import StockModel, to_inches
from crewtui.units import UnitSystem, show_length

if TYPE_CHECKING:
    from crewtui.trade.truck.cut_layout import Layout


def lengths_of(
    layout: Layout,
    rods: Sequence[RodToCut],
    stock: Sequence[StockLength],
    kinds: Sequence[StockModel],
    kerf_in: float,
) -> tuple[CutStock, ...]:
    """Return each length of stock with its pieces, what is on the truck first, the longest first."""
    counts: dict[int, int] = {}
    for slot in layout.slots:
        counts[slot.rod] = counts.get(slot.rod, 0) + 1
    held: list[list[CutPiece]] = [[] for _ in layout.stocks]
    for slot, length in zip(layout.slots, layout.lengths, strict=True):
        piece = CutPiece(
            anchor=rods[slot.rod].anchor,
            number=slot.place + 1,
            of=counts[slot.rod],
            length_in=to_inches(length),
        )
        held[slot.bin].append(piece)
    lengths = []
    for kind, full, pieces in zip(layout.stocks, layout.full, held, strict=True):
        source = stock[kinds[kind].source]
        used_in = sum(piece.length_in for piece in pieces) + kerf_in * len(pieces)
        lengths.append(
            CutStock(
                length_in=source.length_in,
                offcut_stock=source.offcut,
                missing=kinds[kind].missing,
                pieces=tuple(sorted(pieces, key=lambda piece: -piece.length_in)),
                cuts=len(pieces) - full,
                offcut_in=0.0 if full else max(0.0, source.length_in - used_in),
            )
        )
    return tuple(sorted(lengths, key=lambda length: (length.missing, -length.length_in, length.offcut_in)))


def uses_of(stock: Sequence[StockLength], sources: Sequence[int]) -> tuple[StockUse, ...]:
    """Return how many of each kind are needed, beside how many are there."""
    uses = []
    for place, kind in enumerate(stock):
        needed = sources.count(place)
        uses.append(
            StockUse(
                length_in=kind.length_in,
                offcut=kind.offcut,
                there=kind.count,
                needed=needed,
                spare=None if kind.count is None else kind.count - needed,
            )
        )
    return tuple(uses)


def answer_in_words(
    uses: Sequence[StockUse], left_out: Sequence[str], lengths: Sequence[CutStock], system: UnitSystem
) -> tuple[bool | None, str]:
    """Return whether there is enough, None where that cannot be told, and the answer in words."""
    rods = [use for use in uses if not use.offcut or use.needed]
    short = [use for use in rods if use.spare is not None and use.spare < 0]
    parts = []
    for use in rods:
        name = f"{'offcut' if use.offcut else 'rods'} of {show_length(use.length_in, system)}"
        if use.spare is None:
            parts.append(f"{use.needed} {name} needed, not counted on the truck")
        elif use.spare < 0:
            parts.append(f"{use.needed} {name} needed, {use.there} there: {-use.spare} short")
        else:
            parts.append(f"{use.needed} {name} needed, {use.there} there, {use.spare} spare")
    text = "; ".join(parts)
    if short:
        return False, f"Not enough on the truck: {text}."
    if left_out:
        return None, f"Not known: the rods of {', '.join(left_out)} cannot be cut from this stock. {text}."
    if not lengths:
        return True, "No rod is left to cut."
    if any(use.spare is None and use.needed for use in rods):
        return None, f"Count the truck: {text}."
    return True, f"Enough on the truck: {text}."


def warnings_of(left_out: Sequence[str], uses: Sequence[StockUse], system: UnitSystem) -> tuple[str, ...]:
    """Return what has to be fetched, and which rods cannot be cut."""
    found = [
        f"{-use.spare} more of {show_length(use.length_in, system)} to be fetched before the last is cut."
        for use in uses
        if use.spare is not None and use.spare < 0
    ]
    found += [
        f"The rod of {anchor} cannot be cut from this stock: see what its own plan asks for."
        for anchor in left_out
    ]
    return tuple(found)
