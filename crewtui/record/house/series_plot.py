"""A series drawn with plain characters, for a screen of 80 by 24 and for the terminal.

Days run to the right, inward up. o is the wall as it was found, x as it was left after tightening, ? a bow
that was typed; | is how far a reading may be off; T stands under a day on which nuts were turned.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Final

from crewtui.day.state.wall_reading import AFTER, STEP
from crewtui.record.house.series import AnchorSeries, Point, Quantity
from crewtui.units import UnitSystem, show_length

LEGEND: Final = "o as found   x after tightening   ? typed   | how far off it may be   T tightened"
_LABEL: Final = 11
_LEAST_RANGE_IN: Final = 0.5
"""A wall at rest is not blown up until its reading error looks like movement."""


def plot(
    one: AnchorSeries, quantity: Quantity, system: UnitSystem, *, width: int = 76, height: int = 12
) -> tuple[str, ...]:
    """Return bow or lean of an anchor against its days, in lines of at most ``width``."""
    points = one.points[quantity]
    if not points:
        return ("nothing was read",)
    low_in, high_in = _range(points)
    first, last = min(point.day for point in points), max(point.day for point in points)
    columns = width - _LABEL - 2
    grid = [[" "] * columns for _ in range(height)]

    def row(value_in: float) -> int:
        share = (high_in - value_in) / (high_in - low_in)
        return min(height - 1, max(0, round(share * (height - 1))))

    for point in points:
        column = _column(point.day, first, last, columns)
        doubt_in = point.doubt_in or 0.0
        for at in range(row(point.value_in + doubt_in), row(point.value_in - doubt_in) + 1):
            if grid[at][column] == " ":
                grid[at][column] = "|"
    for point in points:
        grid[row(point.value_in)][_column(point.day, first, last, columns)] = _sign(point)
    said = []
    for number, cells in enumerate(grid):
        value_in = high_in - (high_in - low_in) * number / (height - 1)
        label = show_length(value_in, system, step=STEP) if number % 3 == 0 or number == height - 1 else ""
        said.append(f"{label:>{_LABEL}} ┤{''.join(cells)}".rstrip())
    tightened = {point.day for point in points if point.when == AFTER}
    return (*said, *_under(sorted({point.day for point in points}), tightened, columns))


def _range(points: Sequence[Point]) -> tuple[float, float]:
    lows = [point.value_in - (point.doubt_in or 0.0) for point in points]
    highs = [point.value_in + (point.doubt_in or 0.0) for point in points]
    low_in, high_in = min(lows), max(highs)
    wider_in = max(0.0, _LEAST_RANGE_IN - (high_in - low_in)) / 2
    return low_in - wider_in, high_in + wider_in


def _column(day: date, first: date, last: date, columns: int) -> int:
    days = (last - first).days
    return round((day - first).days / days * (columns - 1)) if days else columns // 2


def _sign(point: Point) -> str:
    if point.doubt_in is None:
        return "?"
    return "x" if point.when == AFTER else "o"


def _under(days: Sequence[date], tightened: set[date], columns: int) -> tuple[str, str]:
    """Return the line of tightenings, and that of dates as far as they have room."""
    marks, dates = [" "] * columns, [" "] * columns
    free = 0
    for day in days:
        at = _column(day, days[0], days[-1], columns)
        if day in tightened:
            marks[at] = "T"
        words = f"{day:%Y-%m}"
        start = min(at, columns - len(words))
        if start >= free:
            dates[start : start + len(words)] = words
            free = start + len(words) + 1
    margin = " " * (_LABEL + 1)
    return f"{margin}└{''.join(marks)}".rstrip(), f"{margin} {''.join(dates)}".rstrip()


__all__ = ["LEGEND", "plot"]
