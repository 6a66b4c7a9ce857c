"""A wall seen from inside, as a picture in inches: what stands where, before anybody draws it.

x runs along the wall from its start corner, y up from the slab. Text on the screen and the printed sheet draw
the same picture.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from msgspec import Struct

from crewtui.trade.vocabulary import AnchorWord, WallType
from crewtui.trade.wall.layout import GapVerdict, Obstacle
from crewtui.units import UnitSystem, at_least, at_most


class PlateOnWall(Struct, frozen=True, kw_only=True):
    """One anchor seen from inside: its wall plate, or the place where it will sit."""

    id: str
    along_in: float
    planned_along_in: float | None
    """Where the plan had it; None for one added on site."""
    height_in: float
    """Middle of the hole above the slab."""
    width_in: float
    plate_height_in: float
    state: AnchorWord
    on: bool
    """The wall plate is on."""
    wrong: bool = False
    """Something about its place is not as the limits would have it."""


class GapAlong(Struct, frozen=True, kw_only=True):
    """The distance between two neighbors, an anchor or a corner each, as drawn under the wall."""

    from_in: float
    to_in: float
    verdict: GapVerdict

    @property
    def distance_in(self) -> float:
        """Return the distance between the two."""
        return self.to_in - self.from_in


class ElevationPicture(Struct, frozen=True, kw_only=True):
    """Everything that the drawing of a wall shows, in inches."""

    title: str
    type: WallType
    length_in: float
    slab_to_top_in: float
    grade_in: float
    """Outside grade above the slab."""
    plates: tuple[PlateOnWall, ...]
    """Along the wall."""
    openings: tuple[Obstacle, ...]
    """With a top each."""
    gaps: tuple[GapAlong, ...]
    band: tuple[float, float] | None
    """Lower and upper edge of the band for marks, above the slab."""
    beds_in: tuple[float, ...]
    """Bed joints above the slab; none on a wall without courses."""
    system: UnitSystem

    @property
    def block(self) -> bool:
        """Whether it is laid in block."""
        return self.type == "block"


def elevation_picture(
    title: str,
    *,
    wall_type: WallType,
    length_in: float,
    slab_to_top_in: float,
    grade_to_top_in: float,
    plates: Sequence[PlateOnWall],
    openings: Sequence[Obstacle] = (),
    gaps: Sequence[GapAlong] = (),
    band_depths_in: tuple[float, float] | None = None,
    course_in: float | None = None,
    system: UnitSystem = "imperial",
) -> ElevationPicture:
    """Return the picture of one wall; an opening without a top reaches the wall's.

    ``band_depths_in`` are the upper and lower edge of the band for marks, below outside grade. Bed joints are
    drawn a course apart from the wall's top down; only a tape
    on the wall tells where they are.
    """
    for name, value in (("the wall's length", length_in), ("slab to top of wall", slab_to_top_in)):
        if not (math.isfinite(value) and value > 0):
            raise ValueError(f"{name} must be over zero; it is {value:g}")
    grade_in = slab_to_top_in - grade_to_top_in
    band = None
    if band_depths_in is not None:
        upper_in, lower_in = band_depths_in
        if upper_in > lower_in:
            raise ValueError("the band's top must lie above its bottom")
        band = (max(0.0, grade_in - lower_in), max(0.0, grade_in - upper_in))
    return ElevationPicture(
        title=title,
        type=wall_type,
        length_in=length_in,
        slab_to_top_in=slab_to_top_in,
        grade_in=grade_in,
        plates=tuple(sorted(plates, key=lambda one: one.along_in)),
        openings=tuple(_closed(one, slab_to_top_in) for one in openings),
        gaps=tuple(gaps),
        band=band,
        beds_in=tuple(_beds(slab_to_top_in, course_in)) if wall_type == "block" and course_in else (),
        system=system,
    )


def _closed(one: Obstacle, top_in: float) -> Obstacle:
    if one.top_in is not None:
        return one
    return Obstacle(
        name=one.name, start_in=one.start_in, end_in=one.end_in, bottom_in=one.bottom_in, top_in=top_in
    )


def _beds(top_in: float, course_in: float) -> Iterator[float]:
    if not (math.isfinite(course_in) and course_in > 0):
        raise ValueError(f"the course must be over zero; it is {course_in:g}")
    height_in = top_in - course_in
    while height_in > course_in / 4.0:
        yield height_in
        height_in -= course_in


def gaps_along(
    places_in: Sequence[float],
    *,
    wall_length_in: float,
    corner_greatest_in: float,
    spacing_greatest_in: float,
    spacing_least_in: float,
) -> tuple[GapAlong, ...]:
    """Return the gaps from corner to corner for drawing; places outside the wall are drawn all the same."""
    stops = [0.0, *sorted(places_in), wall_length_in]
    found = []
    for number, (start_in, end_in) in enumerate(pairwise(stops)):
        at_corner = number in {0, len(places_in)}
        greatest_in = corner_greatest_in if at_corner else spacing_greatest_in
        least_in = 0.0 if at_corner else spacing_least_in
        verdict: GapVerdict = "ok"
        if not at_most(end_in - start_in, greatest_in):
            verdict = "too wide"
        elif not at_least(end_in - start_in, least_in):
            verdict = "too close"
        found.append(GapAlong(from_in=start_in, to_in=end_in, verdict=verdict))
    return tuple(found)


__all__ = ["AnchorWord", "ElevationPicture", "GapAlong", "PlateOnWall", "elevation_picture", "gaps_along"]
