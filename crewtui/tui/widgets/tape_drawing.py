"""The pit's tape drawn in text: a depth scale down the left, a line and a word for each mark."""

from __future__ import annotations

import math
from typing import Final

from crewtui.day.figures.pit_tape import MarkKind, PitTape, TapeMark
from crewtui.tui.widgets.canvas import Piece
from crewtui.tui.widgets.fit import fill
from crewtui.units import MM_PER_IN

NEEDS_COLUMNS: Final = 18
NEEDS_ROWS: Final = 6
_SCALE: Final = 4
"""Columns of a depth."""
_EIGHTHS: Final = ("", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞")
_STEPS_IN: Final = (1, 2, 3, 4, 6, 12, 24)
_STEPS_MM: Final = (20, 25, 50, 100, 200, 500)
LINES: Final[dict[MarkKind, str]] = {
    "sod": "▔▔▔▔",
    "frost": "* * ",
    "least": "────",
    "aim": "· · ",
    "greatest": "════",
    "floor": "▄▄▄▄",
    "earlier": "- - ",
    "found": "████",
    "typed": "<<<<",
}
"""Each kind of line by its pattern, so that none is told by color alone."""
_ROLES: Final[dict[MarkKind, str]] = {
    "sod": "ground", "frost": "frost", "least": "window", "aim": "window", "greatest": "window",
    "floor": "pit", "earlier": "ran", "found": "rod", "typed": "typed",
}  # fmt: skip
_FIRST: Final[tuple[MarkKind, ...]] = (
    "typed", "found", "least", "greatest", "floor", "aim", "earlier", "frost", "sod",
)  # fmt: skip
"""Which mark keeps its row where two fall on one."""


def draw_tape(tape: PitTape, columns: int, rows: int) -> list[list[Piece]]:
    """Return the tape as ``rows`` rows of pieces, each row ``columns`` wide."""
    if rows < NEEDS_ROWS or columns < NEEDS_COLUMNS:
        return [[Piece(" " * columns, "")] for _ in range(rows)]
    body = rows - 1
    step_in = _step_in(tape, body)
    first_in = math.floor(tape.top_in / step_in) * step_in
    placed = _place(tape, first_in, step_in, body)
    unit = "mm" if tape.system == "metric" else "in"
    drawn = [[Piece(fill(f"{unit} below the sod", columns), "title")]]
    for row in range(body):
        mark = placed.get(row)
        if mark is None:
            scale = _shown(first_in + row * step_in, tape) if row % 2 == 0 else ""
            drawn.append([Piece(fill(f"{scale:>{_SCALE}}┤", columns), "label")])
            continue
        word = fill(f" {mark.word}", columns - _SCALE - 1 - len(LINES[mark.kind]))
        drawn.append(
            [
                Piece(f"{_shown(mark.depth_in, tape):>{_SCALE}}┤", "label"),
                Piece(LINES[mark.kind], _ROLES[mark.kind]),
                Piece(word, _ROLES[mark.kind]),
            ]
        )
    return drawn


def _step_in(tape: PitTape, rows: int) -> float:
    """Return the depth that a row stands for: the least round one at which all of it fits."""
    needed_in = (tape.bottom_in - tape.top_in) / max(1, rows - 2)
    steps = [step / MM_PER_IN for step in _STEPS_MM] if tape.system == "metric" else list(_STEPS_IN)
    return next((float(step) for step in steps if step >= needed_in), needed_in)


def _place(tape: PitTape, first_in: float, step_in: float, rows: int) -> dict[int, TapeMark]:
    """Return which mark stands on which row; one whose row is taken goes to the nearest free one."""
    placed: dict[int, TapeMark] = {}
    for mark in sorted(tape.marks, key=lambda one: _FIRST.index(one.kind)):
        exact = (mark.depth_in - first_in) / step_in
        nearest = min(rows - 1, max(0, round(exact)))
        beside = sorted(range(rows), key=lambda row: (abs(row - exact), row))
        free = [row for row in beside if row not in placed and _in_order(row, mark, placed)]
        if nearest not in placed and _in_order(nearest, mark, placed):
            placed[nearest] = mark
        elif free:
            placed[free[0]] = mark
    return placed


def _in_order(row: int, mark: TapeMark, placed: dict[int, TapeMark]) -> bool:
    """Whether what is deeper stays below, and what is shallower above."""
    return all(
        (other > row) == (there.depth_in > mark.depth_in) or there.depth_in == mark.depth_in
        for other, there in placed.items()
    )


def _shown(depth_in: float, tape: PitTape) -> str:
    if tape.system == "metric":
        return f"{depth_in * MM_PER_IN:.0f}"
    eighths = round(depth_in * 8)
    return f"{eighths // 8}{_EIGHTHS[eighths % 8]}"
