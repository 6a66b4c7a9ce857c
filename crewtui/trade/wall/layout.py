"""Anchors along a wall: corners and spacing, the fewest and where they stand, openings, and marks on block.

Places along the wall are measured from its start corner, heights from the slab. The limits are the trade's
rules of thumb (common practice, no source); the plan's places govern.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Final, Literal

from msgspec import Struct

from crewtui.trade.checks import positive
from crewtui.units import TOLERANCE_IN, at_least, at_most

CORNER_GREATEST_IN: Final = 36.0
SPACING_GREATEST_IN: Final = 72.0
SPACING_LEAST_IN: Final = 36.0

GapVerdict = Literal["ok", "too wide", "too close"]


class Gap(Struct, frozen=True, kw_only=True):
    """The distance between two neighbors along the wall, an anchor or a corner each."""

    start: str
    end: str
    distance_in: float
    least_in: float
    greatest_in: float
    verdict: GapVerdict


class SpacingCheck(Struct, frozen=True, kw_only=True):
    """All gaps of a wall, from corner to corner."""

    wall_length_in: float
    gaps: tuple[Gap, ...]
    ok: bool
    warnings: tuple[str, ...]


START_CORNER: Final = "start corner"
END_CORNER: Final = "end corner"


def check_spacing(
    places_in: Sequence[tuple[str, float]],
    *,
    wall_length_in: float,
    corner_greatest_in: float = CORNER_GREATEST_IN,
    spacing_greatest_in: float = SPACING_GREATEST_IN,
    spacing_least_in: float = SPACING_LEAST_IN,
) -> SpacingCheck:
    """Judge the gaps between anchors and to the corners; limits are inclusive.

    ``places_in`` lists anchor and place along the wall, in any order. A place outside the wall raises
    ValueError.
    """
    positive("the wall's length", wall_length_in)
    for anchor, along_in in places_in:
        if not (at_least(along_in, 0.0) and at_most(along_in, wall_length_in)):
            raise ValueError(
                f"anchor {anchor} does not stand on this wall: its place lies outside the corners"
            )
    stops = [(START_CORNER, 0.0), *sorted(places_in, key=lambda one: one[1]), (END_CORNER, wall_length_in)]
    gaps = []
    for number, ((start, start_in), (end, end_in)) in enumerate(pairwise(stops)):
        at_corner = number in {0, len(places_in)}
        least_in = 0.0 if at_corner else spacing_least_in
        greatest_in = corner_greatest_in if at_corner else spacing_greatest_in
        gaps.append(_gap(start, end, end_in - start_in, least_in=least_in, greatest_in=greatest_in))
    warnings = tuple(_gap_words(gap) for gap in gaps if gap.verdict != "ok")
    return SpacingCheck(wall_length_in=wall_length_in, gaps=tuple(gaps), ok=not warnings, warnings=warnings)


def _gap(start: str, end: str, distance_in: float, *, least_in: float, greatest_in: float) -> Gap:
    verdict: GapVerdict = "ok"
    if not at_most(distance_in, greatest_in):
        verdict = "too wide"
    elif not at_least(distance_in, least_in):
        verdict = "too close"
    return Gap(
        start=start,
        end=end,
        distance_in=distance_in,
        least_in=least_in,
        greatest_in=greatest_in,
        verdict=verdict,
    )


def _gap_words(gap: Gap) -> str:
    where = f"from {gap.start} to {gap.end}"
    if gap.verdict == "too wide":
        return f"Too far {where}: move an anchor or add one, or let the plan's engineer say that it may stay."
    return (
        f"Too close {where}: their soil overlaps. Move one, or let the plan's engineer say that it may stay."
    )


class EvenLayout(Struct, frozen=True, kw_only=True):
    """The fewest anchors that keep the limits, evenly spaced."""

    wall_length_in: float
    corner_greatest_in: float
    spacing_greatest_in: float
    count: int
    places_in: tuple[float, ...]
    words: str


def fewest_anchors(
    wall_length_in: float,
    *,
    corner_greatest_in: float = CORNER_GREATEST_IN,
    spacing_greatest_in: float = SPACING_GREATEST_IN,
) -> EvenLayout:
    """Return the fewest anchors for a wall and where they would stand evenly.

    n anchors reach at most 2·corner + (n − 1)·spacing. Within the limits each takes an equal strip of the
    wall, half a spacing to the corner; where the limits do not allow that, the corner distance comes as
    near to it as they do.
    """
    positive("the wall's length", wall_length_in)
    positive("the greatest distance from a corner", corner_greatest_in)
    positive("the greatest spacing", spacing_greatest_in)
    beyond_in = wall_length_in - 2.0 * corner_greatest_in - TOLERANCE_IN
    count = 1 + max(0, math.ceil(beyond_in / spacing_greatest_in))
    if count == 1:
        corner_in, spacing_in = wall_length_in / 2.0, None
        places: tuple[float, ...] = (corner_in,)
    else:
        nearest_in = (wall_length_in - (count - 1) * spacing_greatest_in) / 2.0
        corner_in = min(max(wall_length_in / (2.0 * count), nearest_in), corner_greatest_in)
        spacing_in = (wall_length_in - 2.0 * corner_in) / (count - 1)
        places = tuple(corner_in + number * spacing_in for number in range(count))
    return EvenLayout(
        wall_length_in=wall_length_in,
        corner_greatest_in=corner_greatest_in,
        spacing_greatest_in=spacing_greatest_in,
        count=count,
        places_in=places,
        words="The fewest by the spacing limits alone. How many the wall needs is the engineer's to say.",
    )


class Obstacle(Struct, frozen=True, kw_only=True):
    """A window, door, pipe or column in the wall; a top of None reaches to the wall's top."""

    name: str
    start_in: float
    end_in: float
    bottom_in: float = 0.0
    top_in: float | None = None


class Conflict(Struct, frozen=True, kw_only=True):
    """A wall plate that would lie over an obstacle, and the nearest places along the wall that would not."""

    anchor: str
    obstacle: str
    overlap_in: float
    """Along the wall, the strip to keep clear included."""
    clear_to_start_in: float | None
    """Nearest clear place towards the start corner; None if there is none on this wall."""
    clear_to_end_in: float | None
    words: str


def opening_conflicts(
    places: Sequence[tuple[str, float, float | None]],
    obstacles: Sequence[Obstacle],
    *,
    wall_length_in: float,
    plate_width_in: float,
    plate_height_in: float,
    keep_clear_in: float = 0.0,
) -> tuple[Conflict, ...]:
    """Return where a wall plate meets an obstacle.

    ``places`` lists anchor, place along the wall, and height of the mark above the slab (None: not known,
    every height counts). A plate whose edge only touches the kept strip is clear.
    """
    positive("the wall plate's width", plate_width_in)
    positive("the wall plate's height", plate_height_in)
    for one in obstacles:
        if one.end_in < one.start_in:
            raise ValueError(f"{one.name} ends before it starts: exchange the two places")
    half_in = plate_width_in / 2.0 + keep_clear_in
    found = []
    for anchor, along_in, height_in in places:
        near = [
            one for one in obstacles if _meets_height(one, height_in, plate_height_in / 2.0 + keep_clear_in)
        ]
        blocked = [(one.start_in - half_in, one.end_in + half_in) for one in near]
        for one in near:
            overlap_in = min(along_in + half_in, one.end_in) - max(along_in - half_in, one.start_in)
            if at_most(overlap_in, 0.0):
                continue
            conflict = Conflict(
                anchor=anchor,
                obstacle=one.name,
                overlap_in=overlap_in,
                clear_to_start_in=_next_clear(along_in, blocked, wall_length_in, half_in, toward_start=True),
                clear_to_end_in=_next_clear(along_in, blocked, wall_length_in, half_in, toward_start=False),
                words=f"The wall plate of {anchor} would meet {one.name}: move it, and keep the spacing.",
            )
            found.append(conflict)
    return tuple(found)


def _meets_height(obstacle: Obstacle, height_in: float | None, half_in: float) -> bool:
    if height_in is None:
        return True
    under = not at_most(height_in + half_in, obstacle.bottom_in)
    over = obstacle.top_in is None or not at_least(height_in - half_in, obstacle.top_in)
    return under and over


def _next_clear(
    along_in: float,
    blocked: Sequence[tuple[float, float]],
    wall_length_in: float,
    half_in: float,
    *,
    toward_start: bool,
) -> float | None:
    """Walk from one blocked strip to the next until a place is free or the wall ends."""
    place_in = along_in
    for _ in range(len(blocked) + 1):
        hit = [(start, end) for start, end in blocked if start + TOLERANCE_IN < place_in < end - TOLERANCE_IN]
        if not hit:
            fits = at_least(place_in, half_in) and at_most(place_in, wall_length_in - half_in)
            return place_in if fits else None
        place_in = min(start for start, _ in hit) if toward_start else max(end for _, end in hit)
    return None


MARKS_AGREE_IN: Final = 0.5
"""How far the marks inside and outside may differ (company setting, from memory)."""


class MarksCheck(Struct, frozen=True, kw_only=True):
    """The mark inside and the mark outside, both measured from one thing that is seen on both sides."""

    differ_in: float
    """Outside less inside, along the wall."""
    agree_in: float
    agree: bool
    warnings: tuple[str, ...]


def check_marks(inside_in: float, outside_in: float, *, agree_in: float = MARKS_AGREE_IN) -> MarksCheck:
    """Judge the distances of both marks from a shared reference, such as a window's edge or a pipe.

    Both are measured towards the same end of the wall; the limit is inclusive.
    """
    if not (math.isfinite(inside_in) and math.isfinite(outside_in)):
        raise ValueError("both marks need their distance from the shared reference")
    differ_in = outside_in - inside_in
    agree = at_most(abs(differ_in), agree_in)
    return MarksCheck(
        differ_in=differ_in,
        agree_in=agree_in,
        agree=agree,
        warnings=()
        if agree
        else ("The marks inside and outside differ: measure both again before drilling.",),
    )
