"""The pit and the rod's way, seen from above, against the locate ticket's area and the property line.

Plane geometry; points are (along the wall, out from the outer face) in inches. Touching an edge is inside.
What the state counts as the area of a ticket, and what its description means on the ground, governs.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from msgspec import Struct

from crewtui.trade.ground.lines import PitPlan, PlanPoint
from crewtui.units import TOLERANCE_IN

Segment = tuple[PlanPoint, PlanPoint]

PIT_OUTSIDE = "The pit reaches past the area on the ticket: move it, or have the area widened."
WAY_OUTSIDE = "The rod's way from wall to pit leaves the area on the ticket: have the area widened."
PAST_LINE = "The pit reaches past the property line: move it, or get the neighbor's word in writing."


class AreaVerdict(Struct, frozen=True, kw_only=True):
    """Whether a pit and the rod's way to it lie inside an area."""

    pit: PitPlan
    area: tuple[PlanPoint, ...]
    pit_inside: bool
    way_inside: bool
    warnings: tuple[str, ...]


def judge_area(pit: PitPlan, area: Sequence[PlanPoint]) -> AreaVerdict:
    """Return whether the pit's rim, and the way square from the wall to its middle, lie inside the area."""
    if len(area) < 3:  # noqa: PLR2004 - three corners make an area
        raise ValueError("An area needs at least three corners.")
    pit_in = _holds_round(pit, area) if pit.round else _holds_square(pit, area)
    way: Segment = ((pit.along_in, 0.0), (pit.along_in, pit.setback_in))
    way_in = all(inside(end, area) for end in way) and not any(_crosses(way, edge) for edge in edges_of(area))
    warnings = (() if pit_in else (PIT_OUTSIDE,)) + (() if way_in else (WAY_OUTSIDE,))
    return AreaVerdict(pit=pit, area=tuple(area), pit_inside=pit_in, way_inside=way_in, warnings=warnings)


def past_property(pit: PitPlan, line: Sequence[PlanPoint]) -> bool:
    """Return whether the pit reaches past the property line, as far along as that line is known."""
    segments = tuple(pairwise(line))
    if pit.round:
        middle = (pit.along_in, pit.setback_in)
        reached = any(_away_in(middle, *one) < pit.along_rod_in / 2 - TOLERANCE_IN for one in segments)
        return reached or not house_side(middle, line)
    return any(_enters(one, pit) for one in segments) or any(not house_side(one, line) for one in rim(pit))


def rim(pit: PitPlan) -> tuple[PlanPoint, PlanPoint, PlanPoint, PlanPoint]:
    """Return the corners of the pit, in order; a round one's by the square round it."""
    wide_in = pit.along_rod_in if pit.round else pit.across_in
    left, right = pit.along_in - wide_in / 2, pit.along_in + wide_in / 2
    near, far = pit.setback_in - pit.along_rod_in / 2, pit.setback_in + pit.along_rod_in / 2
    return (left, near), (right, near), (right, far), (left, far)


def edges_of(area: Sequence[PlanPoint]) -> Iterator[Segment]:
    """Yield each edge of an area, the last one back to its first corner."""
    return zip(area, (*area[1:], area[0]), strict=True)


def inside(point: PlanPoint, area: Sequence[PlanPoint]) -> bool:
    """Return whether a point lies in the area or on its edge."""
    x, y = point
    crossings = 0
    for start, end in edges_of(area):
        if _away_in(point, start, end) <= TOLERANCE_IN:
            return True
        (x1, y1), (x2, y2) = start, end
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) * (x2 - x1) / (y2 - y1):
            crossings += 1
    return crossings % 2 == 1


def house_side(point: PlanPoint, line: Sequence[PlanPoint]) -> bool:
    """Return whether the point lies on the house's side of the property line, as far as that is known."""
    along_in, out_in = point
    for (x1, y1), (x2, y2) in pairwise(line):
        if min(x1, x2) <= along_in <= max(x1, x2):
            share = 0.0 if x1 == x2 else (along_in - x1) / (x2 - x1)
            if out_in > y1 + share * (y2 - y1) + TOLERANCE_IN:
                return False
    return True


def _holds_round(pit: PitPlan, area: Sequence[PlanPoint]) -> bool:
    middle, least_in = (pit.along_in, pit.setback_in), pit.along_rod_in / 2 - TOLERANCE_IN
    return inside(middle, area) and all(_away_in(middle, *edge) >= least_in for edge in edges_of(area))


def _holds_square(pit: PitPlan, area: Sequence[PlanPoint]) -> bool:
    corners = rim(pit)
    return all(inside(corner, area) for corner in corners) and not any(
        _enters(edge, pit) for edge in edges_of(area)
    )


def _enters(segment: Segment, pit: PitPlan) -> bool:
    """Return whether a segment passes through the inside of a hand pit; touching its rim is no entering.

    The segment is clipped to the rectangle, shrunk by the tolerance, side by side (Liang and Barsky).
    """
    (x1, y1), (x2, y2) = segment
    (left, near), _, (right, far), _ = rim(pit)
    first, last = 0.0, 1.0
    for step, start, low, high in ((x2 - x1, x1, left, right), (y2 - y1, y1, near, far)):
        low_in, high_in = low + TOLERANCE_IN, high - TOLERANCE_IN
        if step == 0.0:
            if not low_in < start < high_in:
                return False
            continue
        ends = sorted(((low_in - start) / step, (high_in - start) / step))
        first, last = max(first, ends[0]), min(last, ends[1])
    return first < last


def _crosses(one: Segment, other: Segment) -> bool:
    """Return whether two segments cross properly: touching at an end is no crossing."""
    sides = [_side(*one, point) for point in other] + [_side(*other, point) for point in one]
    return all(abs(side) > TOLERANCE_IN for side in sides) and (
        (sides[0] > 0) != (sides[1] > 0) and (sides[2] > 0) != (sides[3] > 0)
    )


def _side(start: PlanPoint, end: PlanPoint, point: PlanPoint) -> float:
    """Return how far the point lies off the line through two others, the sign telling the side."""
    (x1, y1), (x2, y2), (x, y) = start, end, point
    # cross product over length: the side, and how far off
    long_in = math.hypot(x2 - x1, y2 - y1)
    if long_in == 0.0:
        return 0.0
    return ((x2 - x1) * (y - y1) - (y2 - y1) * (x - x1)) / long_in


def _away_in(point: PlanPoint, start: PlanPoint, end: PlanPoint) -> float:
    """Return the distance from a point to a segment."""
    (x, y), (x1, y1), (x2, y2) = point, start, end
    # foot of the perpendicular by the dot product, kept between the ends
    long2 = (x2 - x1) ** 2 + (y2 - y1) ** 2
    share = 0.0 if long2 == 0.0 else ((x - x1) * (x2 - x1) + (y - y1) * (y2 - y1)) / long2
    share = min(1.0, max(0.0, share))
    return math.hypot(x - x1 - share * (x2 - x1), y - y1 - share * (y2 - y1))


__all__ = [
    "PAST_LINE",
    "PIT_OUTSIDE",
    "WAY_OUTSIDE",
    "AreaVerdict",
    "house_side",
    "inside",
    "judge_area",
    "past_property",
    "rim",
]
