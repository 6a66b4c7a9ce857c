"""Which stretch of a line may meet what is dug or driven, and which stretch of it was laid bare.

A mark on the ground is not the line: anywhere within its tolerance zone it may really lie. One hole shows one
spot of it, with its depth below the ground right there, and says how it lies only so far along it. Whatever
meets the zone beyond that waits for another hole. Places along a line are taped from its first point; points
are (along the wall, out from the outer face). All in inches.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import Final

from msgspec import Struct

from crewtui.trade.checks import checked
from crewtui.trade.ground.nearness import Range
from crewtui.units import TOLERANCE_IN

PlanPoint = tuple[float, float]
"""(along the wall, out from the outer face), in inches."""
SERVES_IN: Final = 24.0
"""How far along a line one hole says how it lies (from memory; a company setting)."""


class Spot(Struct, frozen=True, kw_only=True):
    """One place where a line was laid bare."""

    along_in: float
    out_in: float
    depth_in: float
    """To its middle, below the ground right there."""

    def __post_init__(self) -> None:
        checked("The place along the wall where a line was laid bare", self.along_in)
        checked("The place out from the wall where a line was laid bare", self.out_in)
        checked("The depth of a line laid bare", self.depth_in, least=0)

    @property
    def point(self) -> PlanPoint:
        """Where it lies, seen from above."""
        return (self.along_in, self.out_in)


class Serving(Struct, frozen=True, kw_only=True):
    """How much of a line its spots stand for."""

    reach_in: float = SERVES_IN
    """Along the line, to either side of a spot."""
    between: bool = False
    """Between two spots the line runs from one to the other as its marks do: where the company says so."""

    def __post_init__(self) -> None:
        checked("The distance along the line that an exposure serves", self.reach_in, least=0)


class Round(Struct, frozen=True, kw_only=True):
    """A round pit, seen from above."""

    center: PlanPoint
    radius_in: float


Footprint = Round | tuple[PlanPoint, ...]
"""Seen from above: a circle, or the corners of a convex area in order."""


def length_of(points: Sequence[PlanPoint]) -> float:
    """Return the length of a line."""
    return math.fsum(math.dist(start, end) for start, end in pairwise(points))


def place_along(points: Sequence[PlanPoint], point: PlanPoint) -> float:
    """Return how far along the line the place nearest to a point lies."""
    before_in, found = 0.0, (math.inf, 0.0)
    for start, end in pairwise(points):
        away_in, foot = beside(point, start, end)
        found = min(found, (away_in, before_in + math.dist(start, foot)))
        before_in += math.dist(start, end)
    return found[1]


def beside(point: PlanPoint, start: PlanPoint, end: PlanPoint) -> tuple[float, PlanPoint]:
    """Return the distance from a point to a segment, and the place on the segment."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    square = dx * dx + dy * dy
    share = 0.0
    if square > 0:
        share = min(1.0, max(0.0, ((point[0] - start[0]) * dx + (point[1] - start[1]) * dy) / square))
    foot = (start[0] + share * dx, start[1] + share * dy)
    return math.dist(point, foot), foot


def point_along(points: Sequence[PlanPoint], place_in: float) -> PlanPoint:
    """Return the point so far along the line, its ends where it is shorter."""
    left_in = max(0.0, place_in)
    for start, end in pairwise(points):
        long_in = math.dist(start, end)
        if left_in <= long_in and long_in > 0:
            return _between(start, end, left_in, long_in)
        left_in -= long_in
    return points[-1]


def met(points: Sequence[PlanPoint], footprint: Footprint, within_in: float) -> tuple[Range, ...]:
    """Return the stretches of a line abreast of anything of the footprint that lies within so far of it.

    Abreast is square to the line, and round its ends and corners. Empty exactly where the footprint comes
    nowhere within that distance; touching counts.
    """
    return _met(points, footprint, [within_in] * (len(points) - 1))


def to_lay_bare(
    points: Sequence[PlanPoint],
    footprint: Footprint,
    rod: tuple[PlanPoint, PlanPoint],
    *,
    touching_in: float,
    zone_in: float,
) -> tuple[Range, ...]:
    """Return the stretches of a line that have to be laid bare before a rod is driven over this footprint.

    A leg of the line that crosses the rod: where its mark lies in the footprint, about the crossing. One that
    runs beside the rod: all of it whose zone the footprint meets, since its mark may be off anywhere.
    """
    legs = pairwise(points)
    within = [touching_in if crossing(*rod, *leg) is not None else zone_in for leg in legs]
    return _met(points, footprint, within)


def _met(points: Sequence[PlanPoint], footprint: Footprint, within: Sequence[float]) -> tuple[Range, ...]:
    found: list[tuple[float, float]] = []
    before_in = 0.0
    for (start, end), within_in in zip(pairwise(points), within, strict=True):
        reach_in = checked("The width of the zone", within_in, least=0) + TOLERANCE_IN
        long_in = math.dist(start, end)
        abreast = _abreast(start, end, footprint, reach_in) if long_in > 0 else None
        if abreast is not None:
            low_in, high_in = max(0.0, abreast.least), min(long_in, abreast.greatest)
            if low_in <= high_in:
                found.append((before_in + low_in, before_in + high_in))
        for corner, at_in in ((start, 0.0), (end, long_in)):
            if _away_in(corner, footprint) <= reach_in:
                found.append((before_in + at_in, before_in + at_in))
        before_in += long_in
    return _joined(found)


def crossing(a: PlanPoint, b: PlanPoint, c: PlanPoint, d: PlanPoint) -> PlanPoint | None:
    """Return where two segments cross; None where they do not, or run the same way."""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    turn = ux * vy - uy * vx
    if abs(turn) <= 1e-12 * math.hypot(ux, uy) * math.hypot(vx, vy):
        return None
    s = ((c[0] - a[0]) * vy - (c[1] - a[1]) * vx) / turn
    t = ((c[0] - a[0]) * uy - (c[1] - a[1]) * ux) / turn
    return (a[0] + s * ux, a[1] + s * uy) if 0 <= s <= 1 and 0 <= t <= 1 else None


def served(points: Sequence[PlanPoint], spots: Iterable[Spot], serving: Serving) -> tuple[Range, ...]:
    """Return the stretches of a line that its spots stand for."""
    places = sorted(place_along(points, spot.point) for spot in spots)
    found = [(place - serving.reach_in, place + serving.reach_in) for place in places]
    if serving.between and places:
        found.append((places[0], places[-1]))
    return _joined(found)


def left_bare(stretches: Iterable[Range], by: Sequence[Range]) -> tuple[Range, ...]:
    """Return what of the stretches no exposure stands for, but for what is shorter than the tolerance."""
    found: list[Range] = []
    for stretch in stretches:
        at_in, touched = stretch.least, False
        for one in by:
            if one.greatest < at_in - TOLERANCE_IN or one.least > stretch.greatest + TOLERANCE_IN:
                continue
            touched = True
            if one.least > at_in + TOLERANCE_IN:
                found.append(Range(at_in, one.least))
            at_in = max(at_in, one.greatest)
        if not touched or at_in < stretch.greatest - TOLERANCE_IN:
            found.append(Range(at_in, stretch.greatest))
    return tuple(found)


def holes_needed(bare: Iterable[Range], serving: Serving) -> int:
    """Return how many holes lay all of these stretches bare, each standing for its reach to both sides."""
    if serving.reach_in <= 0:
        return sum(1 for _ in bare)
    return sum(
        max(1, math.ceil((one.greatest - one.least) / (2 * serving.reach_in) - TOLERANCE_IN)) for one in bare
    )


def next_hole(
    points: Sequence[PlanPoint],
    bare: Sequence[Range],
    serving: Serving,
    *,
    crossings: Iterable[PlanPoint] = (),
) -> PlanPoint | None:
    """Return where the next hole serves most: where the line crosses, if that serves the whole stretch."""
    if not bare:
        return None
    first = bare[0]
    for crossing in crossings:
        place_in = place_along(points, crossing)
        inside = first.least - TOLERANCE_IN <= place_in <= first.greatest + TOLERANCE_IN
        if inside and max(place_in - first.least, first.greatest - place_in) <= serving.reach_in:
            return crossing
    return point_along(points, min(first.least + serving.reach_in, (first.least + first.greatest) / 2))


Piece = tuple[tuple[float, float, float], ...]
"""A run of points as a line really lies: along the wall, out from it, depth below the ground there."""


def pieces(
    points: Sequence[PlanPoint], spots: Sequence[Spot], serving: Serving, near: Sequence[Range]
) -> tuple[Piece, ...]:
    """Return how the line lies as its spots show it, for those that stand for anything of ``near``.

    Each spot's stretch runs as its marks do, moved to where the line was found, and goes on to the end of the
    stretch of ``near`` that it reaches, or half way to the next spot. Where stretches overlap both count.
    """
    placed = sorted(((place_along(points, spot.point), spot) for spot in spots), key=lambda one: one[0])
    found: list[Piece] = []
    for place_in, low_in, high_in, spot in _reaches(placed, serving, near):
        found.append(_moved(points, (low_in, spot), (high_in, spot), at=(place_in, place_in)))
    if serving.between:
        for one, other in pairwise(placed):
            if other[0] > one[0] and _meets(one[0], other[0], near):
                found.append(_moved(points, one, other, at=(one[0], other[0])))
    return tuple(found)


def _reaches(
    placed: Sequence[tuple[float, Spot]], serving: Serving, near: Sequence[Range]
) -> Iterator[tuple[float, float, float, Spot]]:
    """Yield each spot that stands for anything near: its place, and from where to where the line lies so."""
    places = [place_in for place_in, _ in placed]
    for number, (place_in, spot) in enumerate(placed):
        low_in, high_in = place_in - serving.reach_in, place_in + serving.reach_in
        before_in = (places[number - 1] + place_in) / 2 if number else -math.inf
        after_in = (place_in + places[number + 1]) / 2 if number + 1 < len(places) else math.inf
        reached = [one for one in near if _meets(low_in, high_in, (one,))]
        if reached:
            low_in = min(low_in, max(before_in, min(one.least for one in reached)))
            high_in = max(high_in, min(after_in, max(one.greatest for one in reached)))
            yield place_in, low_in, high_in, spot


def _meets(low_in: float, high_in: float, near: Sequence[Range]) -> bool:
    return any(low_in <= one.greatest + TOLERANCE_IN and one.least <= high_in + TOLERANCE_IN for one in near)


def _moved(
    points: Sequence[PlanPoint],
    first: tuple[float, Spot],
    last: tuple[float, Spot],
    *,
    at: tuple[float, float],
) -> Piece:
    """Return the line's run between two places, moved and sunk from one spot's to the other's."""
    total_in = length_of(points)
    low_in, high_in = max(0.0, first[0]), min(total_in, last[0])
    corners, before_in = [], 0.0
    for start, end in pairwise(points):
        before_in += math.dist(start, end)
        if low_in < before_in < high_in:
            corners.append(before_in)
    marks = [point_along(points, place_in) for place_in in at]
    aside = [
        (spot.along_in - x, spot.out_in - y) for (x, y), (_, spot) in zip(marks, (first, last), strict=True)
    ]
    run = []
    for place_in in (low_in, *corners, high_in):
        share = 0.0 if last[0] == first[0] else (place_in - first[0]) / (last[0] - first[0])
        x, y = point_along(points, place_in)
        run.append(
            (
                x + _mixed(aside[0][0], aside[1][0], share),
                y + _mixed(aside[0][1], aside[1][1], share),
                _mixed(first[1].depth_in, last[1].depth_in, share),
            )
        )
    return tuple(run)


def _mixed(first: float, last: float, share: float) -> float:
    return first + share * (last - first)


def _joined(parts: Iterable[tuple[float, float]]) -> tuple[Range, ...]:
    found: list[Range] = []
    for low, high in sorted(parts):
        if found and low <= found[-1].greatest + TOLERANCE_IN:
            found[-1] = Range(found[-1].least, max(high, found[-1].greatest))
        else:
            found.append(Range(low, high))
    return tuple(found)


def _between(start: PlanPoint, end: PlanPoint, at_in: float, long_in: float) -> PlanPoint:
    share = 0.0 if long_in == 0 else at_in / long_in
    return (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))


def _local(start: PlanPoint, end: PlanPoint, point: PlanPoint) -> tuple[float, float]:
    """Return a point as (along the segment, off it)."""
    long_in = math.dist(start, end)
    ux, uy = (end[0] - start[0]) / long_in, (end[1] - start[1]) / long_in
    dx, dy = point[0] - start[0], point[1] - start[1]
    return (dx * ux + dy * uy, dy * ux - dx * uy)


def _abreast(start: PlanPoint, end: PlanPoint, footprint: Footprint, reach_in: float) -> Range | None:
    """Return from where to where along a segment the footprint lies within reach, square to it."""
    if isinstance(footprint, Round):
        along_in, off_in = _local(start, end, footprint.center)
        nearest_in = max(0.0, abs(off_in) - reach_in)
        if nearest_in > footprint.radius_in:
            return None
        # half the chord at distance d: √(r² − d²)
        half_in = math.sqrt(footprint.radius_in**2 - nearest_in**2)
        return Range(along_in - half_in, along_in + half_in)
    corners = [_local(start, end, corner) for corner in footprint]
    for side in (1.0, -1.0):
        corners = _cut(corners, side, reach_in)
    if not corners:
        return None
    return Range(min(u for u, _ in corners), max(u for u, _ in corners))


def _cut(corners: Sequence[PlanPoint], side: float, reach_in: float) -> list[PlanPoint]:
    """Return the part of a convex area with side·v at most the reach (Sutherland and Hodgman)."""
    kept: list[PlanPoint] = []
    for (u1, v1), (u2, v2) in zip(corners, (*corners[1:], *corners[:1]), strict=True):
        over1, over2 = side * v1 - reach_in, side * v2 - reach_in
        if over1 <= 0:
            kept.append((u1, v1))
        if (over1 < 0 < over2) or (over2 < 0 < over1):
            share = over1 / (over1 - over2)
            kept.append((u1 + share * (u2 - u1), v1 + share * (v2 - v1)))
    return kept


def _away_in(point: PlanPoint, footprint: Footprint) -> float:
    """Return how far a point lies from the footprint; 0 inside."""
    if isinstance(footprint, Round):
        return max(0.0, math.dist(point, footprint.center) - footprint.radius_in)
    sides, nearest_in = [], math.inf
    for start, end in zip(footprint, (*footprint[1:], footprint[0]), strict=True):
        nearest_in = min(nearest_in, beside(point, start, end)[0])
        if start != end:
            sides.append(_local(start, end, point)[1])
    inside = all(off >= 0 for off in sides) or all(off <= 0 for off in sides)
    return 0.0 if inside else nearest_in


__all__ = [
    "SERVES_IN", "Footprint", "Piece", "PlanPoint", "Round", "Serving", "Spot", "beside", "crossing",
    "holes_needed", "left_bare", "length_of", "met", "next_hole", "pieces", "place_along", "point_along",
    "served", "to_lay_bare",
]  # fmt: skip
