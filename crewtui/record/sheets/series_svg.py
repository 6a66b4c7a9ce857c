"""The bow of one anchor over the years, drawn to one scale of days and of bow at every anchor of a sheet."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Final

from markupsafe import Markup
from msgspec import Struct

from crewtui.day.state.wall_reading import AFTER
from crewtui.record.house.series import AnchorSeries, Point
from crewtui.record.sheets.svg import Drawing
from crewtui.units import UnitSystem, show_length

_PRINTED_IN: Final = 4.2
_WIDE, _TALL = 100.0, 24.0
_LEFT, _RIGHT = 14.0, 4.0
_LEAST_RANGE_IN: Final = 0.5
"""A wall at rest is not blown up until its reading error looks like movement."""
LEGEND: Final = (
    "The bow over the years, inward upward, at one scale for all anchors. Hollow: as found. Filled: after"
    " tightening. The upright strokes show how far a reading may be off."
)


class SeriesScale(Struct, frozen=True, kw_only=True):
    """What the bow of every anchor is drawn over."""

    first: date
    last: date
    low_in: float
    high_in: float


def series_scale(series: Iterable[AnchorSeries]) -> SeriesScale | None:
    """Return the one scale that holds every reading; None where nothing was read on two days."""
    points = [point for one in series for point in one.points["bow"]]
    days = {point.day for point in points}
    if len(days) < 2:  # noqa: PLR2004 - a line needs two
        return None
    low_in = min(point.value_in - (point.doubt_in or 0.0) for point in points)
    high_in = max(point.value_in + (point.doubt_in or 0.0) for point in points)
    wider_in = max(0.0, _LEAST_RANGE_IN - (high_in - low_in)) / 2
    return SeriesScale(first=min(days), last=max(days), low_in=low_in - wider_in, high_in=high_in + wider_in)


def series_svg(points: Sequence[Point], scale: SeriesScale, system: UnitSystem, words: str) -> Markup:
    """Return the bow against its days, each with its doubt."""
    at = Drawing(0, 0, _WIDE, _TALL + 9, printed_in=_PRINTED_IN, label=words)
    days = (scale.last - scale.first).days

    def across(day: date) -> float:
        return _LEFT + (day - scale.first).days / days * (_WIDE - _LEFT - _RIGHT)

    def down(value_in: float) -> float:
        return 2 + (scale.high_in - value_in) / (scale.high_in - scale.low_in) * (_TALL - 2)

    at.line(_LEFT - 3, down(scale.low_in), _WIDE, down(scale.low_in), pt=0.6)
    for value_in in _ticks(scale):
        at.line(_LEFT - 3, down(value_in), _WIDE, down(value_in), pt=0.4, dash="1 3", gray=True)
        at.words(_LEFT - 4, down(value_in) + at.letter * 0.35, show_length(value_in, system), anchor="end")
    for point in points:
        if point.doubt_in:
            low, high = down(point.value_in - point.doubt_in), down(point.value_in + point.doubt_in)
            at.line(across(point.day), low, across(point.day), high, pt=1.2)
    at.run([(across(point.day), down(point.value_in)) for point in points], pt=0.8, dash="3 2")
    for point in points:
        at.dot(across(point.day), down(point.value_in), filled=point.when == AFTER)
    free = 0.0
    for day in sorted({point.day for point in points}):
        if across(day) >= free:
            at.words(min(across(day), _WIDE - 8), _TALL + 6, f"{day:%Y-%m}", anchor="middle")
            free = across(day) + 16
    return at.svg()


def _ticks(scale: SeriesScale) -> list[float]:
    """Return the whole half inches in the scale, or its ends where there are too few."""
    step_in = 0.5 if scale.high_in - scale.low_in <= 3 else 1.0  # noqa: PLR2004 - inches that fit the height
    first = int(scale.low_in / step_in) - 1
    found = [step_in * n for n in range(first, first + 200)]
    return [one for one in found if scale.low_in <= one <= scale.high_in]


__all__ = ["LEGEND", "SeriesScale", "series_scale", "series_svg"]
