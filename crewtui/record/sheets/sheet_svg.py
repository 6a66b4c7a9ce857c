"""The drawings of the printed sheet: the wall from inside, an anchor from the side, readings of the wall."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from markupsafe import Markup
from msgspec import Struct

from crewtui.record.sheets.svg import Drawing, letter_in
from crewtui.record.sheets.wall_profiles import nice_times
from crewtui.trade.pictures.elevation import ElevationPicture
from crewtui.trade.pictures.section import SectionPicture
from crewtui.trade.wall.survey import WallReading
from crewtui.units import UnitSystem, show_length

# The wall from inside.


_PLACES_ROWS: Final = 4.2
"""Rows of letters under the wall: two of distances, one of where they are measured from."""
_LETTER_WIDE: Final = 0.6
"""A letter's width in its heights, on the wide side."""


class BuriedPlate(Struct, frozen=True, kw_only=True):
    """A buried plate as it would show through the wall."""

    id: str
    along_in: float
    below_grade_in: float
    """Its middle below grade at the wall."""
    width_in: float
    height_in: float


def elevation_svg(
    picture: ElevationPicture, buried: Sequence[BuriedPlate], *, printed_in: float = 7.0
) -> Markup:
    """Return the wall seen from inside, with wall plates black and buried plates dashed behind it."""
    width_in, top_in = picture.length_in, picture.slab_to_top_in
    letter = letter_in(width_in * 1.04, printed_in=printed_in)
    deepest_in = max(
        [top_in, *(top_in - picture.grade_in + one.below_grade_in + one.height_in for one in buried)]
    )
    side_in, over_in, under_in = width_in * 0.02, letter * 1.8, letter * (_PLACES_ROWS + 0.5)
    at = Drawing(
        -side_in,
        -over_in,
        width_in + 2 * side_in,
        deepest_in + over_in + under_in,
        printed_in=printed_in,
        label=f"{picture.title}: where the anchors are",
    )

    def y(height_in: float) -> float:
        return top_in - height_in

    at.box(0, 0, width_in, top_in, pt=1.6)
    for bed_in in picture.beds_in:
        at.line(0, y(bed_in), width_in, y(bed_in), pt=0.35, gray=True)
    for opening in picture.openings:
        high_in = (opening.top_in or top_in) - opening.bottom_in
        at.box(
            opening.start_in,
            y(opening.bottom_in + high_in),
            opening.end_in - opening.start_in,
            high_in,
            fill="white",
            pt=0.9,
        )
    at.line(0, y(picture.grade_in), width_in, y(picture.grade_in), dash="6 3", pt=0.9)
    roomy = top_in - picture.grade_in > letter * 1.2
    at.words(at.pt(3), y(picture.grade_in) + (-at.pt(2) if roomy else letter), "ground outside, at the wall")
    for plate in buried:
        at.box(
            plate.along_in - plate.width_in / 2,
            y(picture.grade_in) + plate.below_grade_in - plate.height_in / 2,
            plate.width_in,
            plate.height_in,
            dash="3 2",
            pt=0.9,
        )
    for one in picture.plates:
        dropped = one.state == "dropped"
        at.box(
            one.along_in - one.width_in / 2,
            y(one.height_in) - one.plate_height_in / 2,
            one.width_in,
            one.plate_height_in,
            fill="white" if dropped else "black" if one.on else "gray",
            pt=0.9,
        )
        at.words(one.along_in, -letter * 0.6, one.id, anchor="middle", bold=True)
    _name_openings(at, picture, buried, letter)
    _places(at, picture, deepest_in, letter)
    return at.svg()


def _name_openings(
    at: Drawing, picture: ElevationPicture, buried: Sequence[BuriedPlate], letter: float
) -> None:
    """Write the name of each opening into it, or beside it where it covers the least of anything else."""
    top_in, grade_in = picture.slab_to_top_in, picture.slab_to_top_in - picture.grade_in
    taken = [
        _Box.around(one.along_in, top_in - one.height_in, one.width_in, one.plate_height_in)
        for one in picture.plates
    ]
    taken += [
        _Box.around(one.along_in, grade_in + one.below_grade_in, one.width_in, one.height_in)
        for one in buried
    ]
    openings = [
        _Box(
            left=one.start_in,
            top=top_in - (one.top_in or top_in),
            right=one.end_in,
            bottom=top_in - one.bottom_in,
        )
        for one in picture.openings
    ]
    for opening, box in zip(picture.openings, openings, strict=True):
        long_in, x, y = len(opening.name) * letter * _LETTER_WIDE, box.middle[0], box.middle[1]
        gap = letter / 3
        if long_in <= box.right - box.left:
            spots = [(x, y)]
        else:
            aside = (box.right - box.left + long_in) / 2 + gap
            over = (box.bottom - box.top + letter) / 2 + gap
            spots = [(x + aside, y), (x - aside, y), (x, y - over), (x, y + over)]
        others = [*taken, *(one for one in openings if one is not box)]
        words = [_Box.around(*spot, long_in, letter) for spot in spots]
        best = min(words, key=lambda one: sum(one.shared(other) for other in others) + one.outside(picture))
        taken.append(best)
        at.words(best.middle[0], best.middle[1] + letter / 3, opening.name, anchor="middle")


class _Box(Struct, frozen=True, kw_only=True):
    """A rectangle of the drawing, in inches from the wall's start corner and down from its top."""

    left: float
    top: float
    right: float
    bottom: float

    @classmethod
    def around(cls, x: float, y: float, width: float, height: float) -> _Box:
        return cls(left=x - width / 2, top=y - height / 2, right=x + width / 2, bottom=y + height / 2)

    @property
    def middle(self) -> tuple[float, float]:
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2

    def shared(self, other: _Box) -> float:
        """Return the area that both cover, in square inches."""
        wide = min(self.right, other.right) - max(self.left, other.left)
        tall = min(self.bottom, other.bottom) - max(self.top, other.top)
        return max(0.0, wide) * max(0.0, tall)

    def outside(self, picture: ElevationPicture) -> float:
        """Return the area that lies off the wall."""
        wall = _Box(left=0.0, top=0.0, right=picture.length_in, bottom=picture.slab_to_top_in)
        return (self.right - self.left) * (self.bottom - self.top) - self.shared(wall)


def _places(at: Drawing, picture: ElevationPicture, deepest_in: float, letter: float) -> None:
    """Write each anchor's distance from the start corner under the wall; two lines where they are close."""
    last_end, lower, lowest = -math.inf, False, 1.5
    for one in (plate for plate in picture.plates if plate.state != "dropped"):
        words = show_length(one.along_in, picture.system)
        half = len(words) * letter * _LETTER_WIDE / 2
        lower = not lower if one.along_in - half < last_end else False
        last_end = one.along_in + half
        lowest = 2.8 if lower else lowest
        y = deepest_in + letter * (2.8 if lower else 1.5)
        at.line(one.along_in, deepest_in + letter * 0.1, one.along_in, y - letter, pt=0.6)
        at.words(one.along_in, y, words, anchor="middle")
    at.words(0, deepest_in + letter * (lowest + 1.4), "measured from the start corner, at the left")


# One anchor from the side.


def section_svg(picture: SectionPicture, *, printed_in: float = 4.1) -> Markup:
    """Return the section of an anchor as built."""
    mark, rod = picture.mark, picture.rod
    left_in = mark[0] - 34.0
    right_in = max(picture.right_in, picture.pit.sides_in[1]) + 8.0
    width_in = right_in - left_in
    letter = letter_in(width_in, printed_in=printed_in)
    top_in = min(picture.wall_top_in, -letter) - letter * 1.2
    bottom_in = max(picture.slab_in, picture.pit_floor_in) + letter * 3.2
    at = Drawing(left_in, top_in, width_in, bottom_in - top_in, printed_in=printed_in, label=picture.title)
    near, far = 0.0, right_in
    at.line(near, 0, far, picture.ground_at_in(far), pt=1.2)
    _hatch(at, picture, far)
    if picture.frost:
        deep_in = picture.frost[0][1]
        at.line(near, deep_in, far, picture.ground_at_in(far) + deep_in, dash="1 3", pt=1.0)
        _label_frost(at, picture, deep_in)
    pit = picture.pit
    ground_in = picture.ground_at_in(pit.seat_in)
    at.box(pit.sides_in[0], ground_in, pit.along_rod_in, picture.pit_floor_in - ground_in, dash="4 2", pt=0.7)
    at.box(mark[0], picture.wall_top_in, -mark[0], picture.slab_in - picture.wall_top_in, fill="gray", pt=1.2)
    at.line(left_in, picture.slab_in, mark[0], picture.slab_in, pt=1.4)
    if rod is not None:
        at.line(
            mark[0] - 3, mark[1] - 3 * math.tan(math.radians(rod.angle_deg)), rod.end[0], rod.end[1], pt=2.4
        )
        at.box(mark[0] - 1.6, mark[1] - 7, 1.6, 14, fill="black", pt=0.4)
    if picture.plate is not None:
        at.box(
            pit.seat_in, picture.plate[0], at.pt(3), picture.plate[1] - picture.plate[0], fill="black", pt=0.4
        )
    _dimensions(at, picture, letter, bottom_in)
    return at.svg()


def _label_frost(at: Drawing, picture: SectionPicture, deep_in: float) -> None:
    """Write the frost's depth along its line, where the rod is farthest from the words."""
    words = f"frost {show_length(deep_in, picture.system)}"
    long_in = len(words) * at.letter * _LETTER_WIDE
    seat_in = picture.pit.seat_in
    spots = []
    for share in (0.02, 0.2, 0.35):
        x = max(at.pt(4), share * seat_in)
        line_in = picture.ground_at_in(x) + deep_in
        for y in (line_in - at.pt(2), line_in + at.letter):
            middle_in = y - at.letter / 3
            rod = picture.rod
            away = (
                math.inf
                if rod is None
                else min(abs(rod.at_in(place) - middle_in) for place in (x, x + long_in / 2, x + long_in))
            )
            spots.append((min(away, at.letter * 1.5), -x, y))
    _, minus_x, y = max(spots)
    at.words(-minus_x, y, words)


def _hatch(at: Drawing, picture: SectionPicture, far_in: float) -> None:
    """Mark the ground with short strokes under its line."""
    x = 6.0
    while x < far_in - 4:
        y = picture.ground_at_in(x)
        at.line(x, y, x - at.pt(5), y + at.pt(6), pt=0.5)
        x += at.pt(16)


def _dimensions(at: Drawing, picture: SectionPicture, letter: float, bottom_in: float) -> None:
    """Write set-back along the bottom, depth at the plate, and the fall of the ground."""
    pit, system = picture.pit, picture.system
    middle_in = sum(pit.sides_in) / 2
    y = bottom_in - letter * 1.5
    _measure(at, 0.0, middle_in, y)
    at.words(
        middle_in / 2,
        y + letter * 1.2,
        f"{show_length(middle_in, system)} from the wall to the pit's middle",
        anchor="middle",
    )
    ground_in = picture.ground_at_in(pit.seat_in)
    if picture.plate is not None:
        depth_in = (picture.plate[0] + picture.plate[1]) / 2
        x = pit.sides_in[1] + at.pt(5)
        at.line(x, ground_in, x, depth_in, pt=0.7)
        for end in (ground_in, depth_in):
            at.line(x - at.pt(3), end, x + at.pt(3), end, pt=0.7)
        at.words(
            pit.seat_in - at.pt(4),
            ground_in + letter * 1.6,
            f"{show_length(depth_in - ground_in, system)} deep",
            anchor="end",
        )
    drop_in = picture.drop_in
    if drop_in is not None and abs(drop_in) >= 1 / 8:
        way = "falls" if drop_in > 0 else "rises"
        words = f"ground {way} {show_length(abs(drop_in), system)}"
        at.words(
            pit.seat_in * 0.42,
            picture.ground_at_in(pit.seat_in * 0.42) - letter * 0.5,
            words,
            anchor="middle",
        )


def _measure(at: Drawing, x1: float, x2: float, y: float) -> None:
    at.line(x1, y, x2, y, pt=0.7)
    for x in (x1, x2):
        at.line(x, y - at.pt(3), x, y + at.pt(3), pt=0.7)


# Readings.


_ALONG_SHARE: Final = 0.11
"""The bow is drawn no taller than this share of the wall's length."""


def along_times(length_in: float, readings: Sequence[WallReading]) -> int:
    """Return how many times as large as it is the bow can be drawn along a wall of this length."""
    values = [one.largest_inward_in.value for one in readings]
    return nice_times(length_in * _ALONG_SHARE / (max([0.25, *values]) - min([0.0, *values])))


def along_svg(
    length_in: float,
    before: Sequence[WallReading],
    after: Sequence[WallReading],
    system: UnitSystem,
    *,
    times: int,
    title: str,
    found: str,
    printed_in: float = 7.0,
) -> Markup:
    """Return the largest inward place at each anchor along the wall, before and after.

    ``found`` is how the readings before are called.
    """
    values = [one.largest_inward_in.value for one in (*before, *after)]
    high, under = max([0.25, *values]) * times, -min([0.0, *values]) * times
    letter = letter_in(length_in * 1.04, printed_in=printed_in)
    side = length_in * 0.02
    at = Drawing(
        -side,
        -high - letter * 0.8,
        length_in + 2 * side,
        high + under + letter * 5.6,
        printed_in=printed_in,
        label=title,
    )
    at.line(0, 0, length_in, 0, pt=1.0)
    for run, filled in ((before, False), (after, True)):
        points = [(one.along_in, -one.largest_inward_in.value * times) for one in run]
        for start, end in pairwise(points):
            at.line(*start, *end, pt=1.4 if filled else 0.9, dash="" if filled else "3 2")
        for point in points:
            at.dot(*point, filled=filled)
    rows = [(when, run) for when, run in ((found, before), ("after", after)) if run]
    for number, (when, run) in enumerate(rows):
        y = under + letter * (2.6 + 1.3 * number)
        at.words(-side, y, when)
        for one in run:
            shown = show_length(one.largest_inward_in.value, system, step=16)
            at.words(one.along_in, y, shown, anchor="middle")
    for one in after or before:
        at.words(one.along_in, under + letter * 1.3, one.anchor, anchor="middle", bold=True)
    return at.svg()


LEGEND: Final = (
    "Black: wall plate, inside. Dashed: buried plate, in the yard. Gray: plate not on yet. White: not set"
)
