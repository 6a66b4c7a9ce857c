"""The wall from the side at each anchor, all drawn to one scale so that two of them can be held together."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from markupsafe import Markup
from msgspec import Struct

from crewtui.record.sheets.svg import Drawing, letter_in
from crewtui.trade.wall.survey import WallReading

_PROFILE_IN: Final = 0.95
"""Printed height of a profile."""
_PRINTED_IN: Final = 2.1
_WIDE_SHARE: Final = 0.9
"""Width of the inward scale, in heights of the drawing."""
_LEAST_SPAN_IN: Final = 0.5
NICE_TIMES: Final = (1, 2, 3, 4, 5, 8, 10, 15, 20, 25, 30, 40, 50, 60, 80, 100, 150, 200)


class ProfileScale(Struct, frozen=True, kw_only=True):
    """What every profile of a sheet is drawn over."""

    outward_in: float
    """Farthest out of plumb, zero or less."""
    inward_in: float
    lowest_in: float
    """Lowest reading above the slab."""
    tall_in: float
    times: int
    """How many times as large as it is inward is drawn."""


def scale_of(readings: Sequence[WallReading]) -> ProfileScale | None:
    """Return the one scale that holds every reading; None where there is none."""
    points = [point for one in readings for point in inward_of(one)]
    if not points:
        return None
    inward, heights = [value for value, _ in points], [height for _, height in points]
    outward_in, inward_in = min(0.0, *inward), max(_LEAST_SPAN_IN, *inward)
    tall_in = max(max(heights) - min(heights), 1.0)
    return ProfileScale(
        outward_in=outward_in,
        inward_in=inward_in,
        lowest_in=min(heights),
        tall_in=tall_in,
        times=nice_times(tall_in * _WIDE_SHARE / (inward_in - outward_in)),
    )


def nice_times(most: float) -> int:
    """Return the largest round number of times that is no more than this."""
    return max((one for one in NICE_TIMES if one <= most), default=1)


def profile_svg(
    before: WallReading | None, after: WallReading | None, scale: ProfileScale, words: str, *, found: str
) -> Markup:
    """Return how far the wall stands inward of plumb through its lowest reading.

    Hollow and dashed before tightening, which ``found`` names; filled and whole after.
    """
    runs = [(one, filled) for one, filled in ((before, False), (after, True)) if one is not None]
    width = scale.tall_in * _PRINTED_IN / _PROFILE_IN
    letter = letter_in(width, printed_in=_PRINTED_IN)
    at = Drawing(-letter, 0, width, scale.tall_in + letter * 3.6, printed_in=_PRINTED_IN, label=words)
    floor = scale.tall_in + letter * 0.6

    def spot(value: float, height: float) -> tuple[float, float]:
        return (scale.inward_in - value) * scale.times, floor - (height - scale.lowest_in)

    plumb = spot(0.0, scale.lowest_in)[0]
    at.line(plumb, floor + at.pt(2), plumb, floor - scale.tall_in - at.pt(4), pt=0.6, dash="1 2")
    for one, filled in runs:
        points = [spot(*point) for point in inward_of(one)]
        at.run(points, pt=1.4 if filled else 0.9, dash="" if filled else "3 2")
        for point in points:
            at.dot(*point, filled=filled)
    x = (scale.inward_in - scale.outward_in) * scale.times + at.pt(8)
    for number, (_, filled) in enumerate(runs):
        y = floor - scale.tall_in + at.letter * (0.6 + 1.4 * number)
        at.dot(x, y - at.letter * 0.3, filled=filled)
        at.words(x + at.pt(6), y, "after" if filled else found)
    at.words(plumb, floor + at.letter * 1.3, "plumb", anchor="middle")
    at.words(0, floor + at.letter * 2.6, f"inward to the left, × {scale.times}")
    return at.svg()


def inward_of(reading: WallReading) -> list[tuple[float, float]]:
    """Return (inward of plumb through the lowest reading, height) of each reading."""
    first = reading.readings[0].offset_in
    return [(first - one.offset_in, one.height_in) for one in reading.readings]


__all__ = ["ProfileScale", "inward_of", "nice_times", "profile_svg", "scale_of"]
