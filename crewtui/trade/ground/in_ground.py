"""What stands in the ground: footings, frost walls, window wells, roots, against pits and rods.

Each is an outline seen from above, from a top to a base below the ground right there. A rod is judged over
its whole band, as against lines: where some rod of the band could meet it, or come nearer than the clearance,
the drive holds. The clearance is laid round the band on every side, so that a corner counts a little too
early, never too late. Plane geometry; it says nothing of what a footing bears.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from msgspec import Struct

from crewtui.trade.checks import checked
from crewtui.trade.ground.band import Band
from crewtui.trade.ground.exposed import PlanPoint, beside
from crewtui.trade.ground.lines import PitPlan, pit_footprint
from crewtui.trade.vocabulary import InGroundKind
from crewtui.units import TOLERANCE_IN, UnitSystem, show_length


class InGround(Struct, frozen=True, kw_only=True):
    """One thing in the ground, in the frame of the wall whose rods are judged."""

    name: str
    kind: InGroundKind
    outline: tuple[PlanPoint, ...]
    top_in: float = 0.0
    """Below the ground right there; 0 at the ground."""
    base_in: float | None = None
    """Its underside, below the ground right there; None where nobody knows: it counts as reaching down."""

    @property
    def called(self) -> str:
        """Return its name with what it is."""
        return self.name if self.kind in self.name else f"{self.name} ({self.kind})"


class InGroundVerdict(Struct, frozen=True, kw_only=True):
    """Whether a rod, somewhere in its band, may meet one thing in the ground."""

    thing: InGround
    band: Band
    clearance_in: float
    near_in: float | None
    """How far out the band meets its outline first, and last; None where it does not."""
    rod_least_in: float | None
    """Below the ground, over that stretch."""
    rod_greatest_in: float | None
    holds: bool
    words: str


def judge_in_ground(
    thing: InGround, band: Band, *, clearance_in: float, system: UnitSystem = "imperial"
) -> InGroundVerdict:
    """Return whether any rod of the band may come within the clearance of it."""
    around_in = checked("The clearance", clearance_in, least=0) + band.rod_radius_in
    met = _clipped(thing.outline, _around(band, around_in))
    if not met:
        return _verdict(thing, band, clearance_in, None, holds=False, system=system)
    outs = [min(max(out_in, -band.section.way_in), band.reach_in) for _, out_in in met]
    stretch = (min(outs), max(outs))
    return _verdict(
        thing, band, clearance_in, stretch, holds=_meets(thing, band, stretch, around_in), system=system
    )


def _meets(thing: InGround, band: Band, stretch: tuple[float, float], around_in: float) -> bool:
    """Return whether, somewhere on the stretch, the band reaches as deep as its top and as high as its base.

    Rod and ground run straight, so that each of the two is true on one side of a place; the place is solved.
    """
    low, high = stretch
    # a margin square to the rod is 1/cos θ as long straight down
    slack_in = around_in / math.cos(math.radians(max(abs(band.steepest_deg), abs(band.flattest_deg))))
    bounds = [(band.steepest_deg, thing.top_in, 1.0)]
    if thing.base_in is not None:
        bounds.append((band.flattest_deg, thing.base_in, -1.0))
    for angle_deg, edge_in, sign in bounds:
        near, far = (sign * (_below(band, x, angle_deg) - edge_in) + slack_in for x in (low, high))
        if near < 0 and far < 0:
            return False
        if near < 0 <= far:
            low = low + (high - low) * -near / (far - near)
        elif far < 0 <= near:
            high = low + (high - low) * near / (near - far)
    return low <= high + TOLERANCE_IN


def _below(band: Band, out_in: float, angle_deg: float) -> float:
    return band.depth_in(out_in, angle_deg) - band.section.fall * out_in


def _around(band: Band, around_in: float) -> tuple[PlanPoint, ...]:
    """Return the band seen from above, with so much round it; convex, counter-clockwise."""
    near, far = -around_in, band.reach_in + around_in
    least, greatest = band.side_least_deg, band.side_greatest_deg
    left, right = (around_in / math.cos(math.radians(one)) for one in (least, greatest))
    return (
        (band.aside_in(near, least) - left, near),
        (band.aside_in(near, greatest) + right, near),
        (band.aside_in(far, greatest) + right, far),
        (band.aside_in(far, least) - left, far),
    )


def _clipped(outline: Sequence[PlanPoint], convex: Sequence[PlanPoint]) -> list[PlanPoint]:
    """Return the outline cut to a convex area, edge by edge (Sutherland and Hodgman)."""
    points = list(outline)
    for (ax, ay), (bx, by) in pairwise((*convex, convex[0])):
        kept: list[PlanPoint] = []
        for first, last in pairwise((*points, *points[:1])):
            inside, after = ((bx - ax) * (y - ay) - (by - ay) * (x - ax) for x, y in (first, last))
            if inside >= 0:
                kept.append(first)
            if (inside >= 0) != (after >= 0):
                share = inside / (inside - after)
                kept.append(
                    (first[0] + share * (last[0] - first[0]), first[1] + share * (last[1] - first[1]))
                )
        points = kept
    return points


def _verdict(
    thing: InGround,
    band: Band,
    clearance_in: float,
    stretch: tuple[float, float] | None,
    *,
    holds: bool,
    system: UnitSystem,
) -> InGroundVerdict:
    least_in = greatest_in = None
    words = f"The rod stays clear of {thing.called}, seen from above."
    if stretch is not None:
        least_in = min(_below(band, x, band.flattest_deg) for x in stretch)
        greatest_in = max(_below(band, x, band.steepest_deg) for x in stretch)
        near, far, least, greatest = (
            show_length(one, system) for one in (max(0.0, stretch[0]), stretch[1], least_in, greatest_in)
        )
        base = (
            "nobody knows how deep" if thing.base_in is None else f"{show_length(thing.base_in, system)} deep"
        )
        runs = f"from {near} to {far} out, where the rod may run {least} to {greatest} below the ground"
        words = (
            f"{thing.called}, {base}, lies {runs}: do not drive."
            if holds
            else f"{thing.called}, {base}, lies {runs}: it passes clear."
        )
        words = words[:1].upper() + words[1:]
    return InGroundVerdict(
        thing=thing,
        band=band,
        clearance_in=clearance_in,
        near_in=stretch[0] if stretch is not None else None,
        rod_least_in=least_in,
        rod_greatest_in=greatest_in,
        holds=holds,
        words=words,
    )


def pit_to_outline_in(pit: PitPlan, outline: Sequence[PlanPoint]) -> float:
    """Return how near a pit comes to an outline, seen from above; 0 where they touch or overlap."""
    rim = pit_footprint(pit)
    if isinstance(rim, tuple):
        if _within(rim[0], outline) or _within(outline[0], rim):
            return 0.0
        return min(
            _apart(first, second)
            for first in pairwise((*rim, rim[0]))
            for second in pairwise((*outline, outline[0]))
        )
    if _within(rim.center, outline):
        return 0.0
    nearest = min(beside(rim.center, *edge)[0] for edge in pairwise((*outline, outline[0])))
    return max(0.0, nearest - rim.radius_in)


def _apart(first: tuple[PlanPoint, PlanPoint], second: tuple[PlanPoint, PlanPoint]) -> float:
    if _cross(first, second):
        return 0.0
    return min(
        *(beside(point, *second)[0] for point in first), *(beside(point, *first)[0] for point in second)
    )


def _cross(first: tuple[PlanPoint, PlanPoint], second: tuple[PlanPoint, PlanPoint]) -> bool:
    def side(a: PlanPoint, b: PlanPoint, c: PlanPoint) -> float:
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

    (a, b), (c, d) = first, second
    return side(a, b, c) * side(a, b, d) <= 0 and side(c, d, a) * side(c, d, b) <= 0 and a != b


def _within(point: PlanPoint, outline: Sequence[PlanPoint]) -> bool:
    """Return whether a point lies inside an outline: a ray crosses it an odd number of times."""
    x, y = point
    inside = False
    for (x1, y1), (x2, y2) in pairwise((*outline, outline[0])):
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) / (y2 - y1) * (x2 - x1):
            inside = not inside
    return inside


__all__ = ["InGround", "InGroundVerdict", "judge_in_ground", "pit_to_outline_in"]
