"""How near the rods of two anchors may come: band against band, in one yard.

Two rods of one wall run nearly side by side; two of the walls at an inside corner run across each other. Each
may run anywhere in its band. Two convex bodies that do not meet are nearest at an edge of one and a face or
edge of the other, so that the edges of each are held against the whole of the other.
"""

from __future__ import annotations

from msgspec import Struct

from crewtui.trade.checks import checked
from crewtui.trade.ground.band import Band
from crewtui.trade.ground.nearness import EDGES, Vector, nearest_in
from crewtui.trade.ground.yard import WallPlace
from crewtui.units import UnitSystem, at_least, at_most, show_length


class PlacedBand(Struct, frozen=True, kw_only=True):
    """The band of one anchor's rod, and where its wall lies."""

    anchor: str
    band: Band
    place: WallPlace
    grade_in: float
    """Grade at the wall, below the top of that wall."""

    def below_in(self, depth_in: float) -> float:
        """Return a depth below grade at the wall as one below the yard's own level."""
        return depth_in + self.grade_in + self.place.top_in


def bands_apart_in(first: PlacedBand, second: PlacedBand) -> float:
    """Return the least distance of two bands' middle lines, in inches; 0 where they meet."""
    return min(
        nearest_in(solid.band.body(), [_carried(point, other, solid) for point in edge])
        for solid, other in ((first, second), (second, first))
        for edge in _edges(other.band)
    )


def _edges(band: Band) -> list[tuple[Vector, Vector]]:
    corners = band.body().corners
    return [(corners[first], corners[last]) for first, last in EDGES]


def _carried(point: Vector, of: PlacedBand, to: PlacedBand) -> Vector:
    out_in, along_in, depth_in = point
    along_in, out_in = to.place.from_yard(of.place.to_yard((along_in, out_in)))
    return (out_in, along_in, of.below_in(depth_in) - to.grade_in - to.place.top_in)


class RodsVerdict(Struct, frozen=True, kw_only=True):
    """How near another anchor's rod may come."""

    anchor: str
    other: str
    apart_in: float
    """Steel to steel."""
    least_in: float
    holds: bool
    words: str


def judge_rods(
    first: PlacedBand, second: PlacedBand, *, least_in: float, system: UnitSystem = "imperial"
) -> RodsVerdict:
    """Return how near the steel of two rods may come, and whether that holds the drive."""
    checked("The least distance between rods", least_in, least=0)
    steel_in = first.band.rod_radius_in + second.band.rod_radius_in
    apart_in = max(0.0, bands_apart_in(first, second) - steel_in)
    holds = at_most(apart_in, 0) or not at_least(apart_in, least_in)
    apart, least = show_length(apart_in, system), show_length(least_in, system)
    near = "may strike" if at_most(apart_in, 0) else f"may come within {apart} of"
    words = (
        f"The rod {near} that of {second.anchor}, where {least} is the least: do not drive both so."
        if holds
        else f"The rod stays {apart} from that of {second.anchor}."
    )
    return RodsVerdict(
        anchor=first.anchor,
        other=second.anchor,
        apart_in=apart_in,
        least_in=least_in,
        holds=holds,
        words=words,
    )


__all__ = ["PlacedBand", "RodsVerdict", "bands_apart_in", "judge_rods"]
