"""The section as a picture in inches: what stands where, before anybody draws it.

x runs out from the outer wall face and is negative in the wall and the room; y runs down from grade at the
wall and is negative above it. Text on the screen and the printed sheet draw the same picture.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from crewtui.trade.checks import checked, checked_angle
from crewtui.trade.ground.line_verdict import LineVerdict
from crewtui.trade.vocabulary import WallType
from crewtui.units import UnitSystem, show_angle, show_length

Point = tuple[float, float]

SHOWN_ASIDE_IN: Final = 36.0
"""A line that comes no nearer to the rod than this, seen from above, is not drawn."""
MARGIN_IN: Final = 6.0
LEAST_ROOM_IN: Final = 24.0
SKY_IN: Final = 4.0


class WallSide(Struct, frozen=True, kw_only=True):
    """The wall in section, and the room behind it."""

    type: WallType
    way_in: float
    """Inner to outer face along the rod's way: thickness and bow."""
    grade_to_top_in: float
    """Height of the wall's top above grade."""
    slab_to_top_in: float
    joist_clearance_in: float | None = None
    """Top of the wall up to the underside of what hangs over the room."""
    course_in: float | None = None
    """Height of a course, on block."""

    def __post_init__(self) -> None:
        checked("The rod's way through the wall", self.way_in, above=0)
        checked("Grade to top of wall", self.grade_to_top_in)
        checked("Slab to top of wall", self.slab_to_top_in, above=0)


class PitSide(Struct, frozen=True, kw_only=True):
    """The pit and the plate in section."""

    seat_in: float
    """Outer face to where the plate bears."""
    near_in: float | None = None
    """Outer face to the pit's house side, where the plate bears short of it."""
    along_rod_in: float
    depth_in: float
    """Below the ground at the seat."""
    plate_height_in: float

    def __post_init__(self) -> None:
        checked("The distance to the seat", self.seat_in, above=0)
        checked("The pit's size along the rod", self.along_rod_in, above=0)
        checked("The pit's depth", self.depth_in, above=0)
        checked("The plate's height", self.plate_height_in, above=0)

    @property
    def sides_in(self) -> tuple[float, float]:
        """Return the pit's house side and its far side, out from the outer face."""
        near_in = self.seat_in if self.near_in is None else self.near_in
        return near_in, near_in + self.along_rod_in


class Stroke(Struct, frozen=True, kw_only=True):
    """A straight line of the picture."""

    start: Point
    end: Point
    angle_deg: float
    words: str
    short: str
    """The words where room is short."""

    def at_in(self, out_in: float) -> float:
        """Return its height or depth this far out."""
        return self.end[1] - (self.end[0] - out_in) * math.tan(math.radians(self.angle_deg))


class LineInSection(Struct, frozen=True, kw_only=True):
    """A buried line where it meets the section, or the stretch that it runs beside the rod."""

    words: str
    short: str
    out_from_in: float
    out_to_in: float
    """The same as ``out_from_in`` where it crosses."""
    depth_in: float | None
    """Below the ground right there."""
    y_from_in: float | None
    y_to_in: float | None
    """Below grade at the wall; None while the depth is unknown."""
    width_in: float
    holds: bool

    @property
    def crosses(self) -> bool:
        """Whether it is a point of the section."""
        return self.out_from_in == self.out_to_in


class SectionPicture(Struct, frozen=True, kw_only=True):
    """Everything that the drawing shows, in inches."""

    title: str
    wall: WallSide
    pit: PitSide
    mark: Point
    drop_in: float | None
    """Drop of the ground at the seat; None while missing: the ground is drawn level, with a question."""
    ground: tuple[Point, ...]
    frost: tuple[Point, ...]
    rod: Stroke | None
    """From the mark to the seat."""
    tail: Stroke | None
    """From the tail's end in the room to the mark, at the angle held."""
    least: Stroke | None
    greatest: Stroke | None
    ran: tuple[Stroke, ...]
    """Where rods ran, the last one last."""
    plate: tuple[float, float] | None
    """Its upper and lower edge, at the seat."""
    pit_floor_in: float
    lines: tuple[LineInSection, ...]
    left_in: float
    right_in: float
    top_in: float
    bottom_in: float
    system: UnitSystem

    @property
    def wall_top_in(self) -> float:
        """Top of the wall."""
        return -self.wall.grade_to_top_in

    @property
    def slab_in(self) -> float:
        """Top of the floor."""
        return self.wall.slab_to_top_in - self.wall.grade_to_top_in

    @property
    def joists_in(self) -> float | None:
        """Underside of what hangs over the room."""
        if self.wall.joist_clearance_in is None:
            return None
        return self.wall_top_in - self.wall.joist_clearance_in

    def ground_at_in(self, out_in: float) -> float:
        """Return the ground this far out."""
        return _ground_at(out_in, self.pit.seat_in, self.drop_in)


def section_picture(
    wall: WallSide,
    pit: PitSide,
    *,
    mark_depth_in: float,
    drop_in: float | None,
    held_deg: float | None,
    run_deg: float | None = None,
    tail_length_in: float = 0.0,
    least_angle_deg: float | None = None,
    greatest_angle_deg: float | None = None,
    frost_in: float | None = None,
    ran_deg: Sequence[float] = (),
    plate_depth_in: float | None = None,
    lines: Sequence[LineVerdict] = (),
    title: str = "",
    system: UnitSystem = "imperial",
) -> SectionPicture:
    """Return the picture of one anchor; what is not known yet is left out, never guessed.

    ``run_deg`` is where a corrected aim is expected to run, ``plate_depth_in`` where the plate sits if not
    on the rod as aimed.
    """
    checked("The mark's depth below grade", mark_depth_in, above=0)
    checked("The length in the room", tail_length_in, least=0)
    if drop_in is not None:
        checked("The drop of the ground", drop_in)
    ground_in = drop_in or 0.0
    mark = (-wall.way_in, mark_depth_in)
    right_in = pit.sides_in[1] + MARGIN_IN

    def ray(angle_deg: float, short: str) -> Stroke:
        end_in = mark_depth_in + (pit.seat_in - mark[0]) * _slope(angle_deg)
        words = short if drop_in is None else f"{short}, {show_length(end_in - ground_in, system)}"
        return Stroke(start=mark, end=(pit.seat_in, end_in), angle_deg=angle_deg, words=words, short=short)

    rod = tail = None
    if held_deg is not None:
        rod = replace(ray(held_deg if run_deg is None else run_deg, ""), short=f"hold {show_angle(held_deg)}")
        rod = replace(rod, words=f"{rod.short}{' for' * bool(rod.words)}{rod.words.removeprefix(',')}")
        tail = _tail(mark, held_deg, tail_length_in)
    ground = ((0.0, 0.0), (right_in, _ground_at(right_in, pit.seat_in, drop_in)))
    ran = tuple(ray(angle, f"ran {show_angle(angle)}") for angle in ran_deg)
    plate_in = None if rod is None else rod.end[1]
    if plate_depth_in is not None:
        plate_in = ground_in + plate_depth_in
    picture = SectionPicture(
        title=title,
        wall=wall,
        pit=pit,
        mark=mark,
        drop_in=drop_in,
        ground=ground,
        frost=tuple((x, y + frost_in) for x, y in ground) if frost_in else (),
        rod=rod,
        tail=tail,
        least=None if least_angle_deg is None else ray(least_angle_deg, "least"),
        greatest=None if greatest_angle_deg is None else ray(greatest_angle_deg, "greatest"),
        ran=ran,
        plate=None
        if plate_in is None
        else (plate_in - pit.plate_height_in / 2, plate_in + pit.plate_height_in / 2),
        pit_floor_in=ground_in + pit.depth_in,
        lines=tuple(_line(verdict, system) for verdict in lines if _near(verdict)),
        left_in=-wall.way_in - LEAST_ROOM_IN,
        right_in=right_in,
        top_in=0.0,
        bottom_in=0.0,
        system=system,
    )
    return _framed(picture)


def with_rods(picture: SectionPicture, *, ran: Stroke, rod: Stroke | None) -> SectionPicture:
    """Return the picture with a rod that ran, and with another rod to be driven or none; framed anew.

    Where no other rod is driven, the plate goes onto the one that ran.
    """
    half_in = picture.pit.plate_height_in / 2
    end_in = (ran if rod is None else rod).end[1]
    plate = (end_in - half_in, end_in + half_in)
    return _framed(replace(picture, ran=(*picture.ran, ran), rod=rod, tail=None, plate=plate))


def _slope(angle_deg: float) -> float:
    return math.tan(math.radians(checked_angle(angle_deg)))


def _ground_at(out_in: float, seat_in: float, drop_in: float | None) -> float:
    return max(0.0, out_in) * (drop_in or 0.0) / seat_in


def _tail(mark: Point, held_deg: float, length_in: float) -> Stroke | None:
    if length_in == 0:
        return None
    back_in = length_in * math.cos(math.radians(held_deg))
    start = (mark[0] - back_in, mark[1] - back_in * _slope(held_deg))
    return Stroke(start=start, end=mark, angle_deg=held_deg, words="", short="")


def _framed(picture: SectionPicture) -> SectionPicture:
    """Return the picture with the frame that everything of it stands in."""
    strokes = [picture.rod, picture.tail, picture.least, picture.greatest, *picture.ran]
    points = [point for stroke in strokes if stroke is not None for point in (stroke.start, stroke.end)]
    heights = [
        picture.wall_top_in,
        picture.slab_in,
        picture.pit_floor_in,
        -SKY_IN,
        picture.ground[1][1] - SKY_IN,
    ]
    heights += [y for _, y in points] + list(picture.plate or ())
    if picture.joists_in is not None:
        heights.append(picture.joists_in)
    return replace(
        picture,
        left_in=min([picture.left_in, *(x for x, _ in points)]) - 2.0,
        top_in=min(heights) - 2.0,
        bottom_in=max(heights) + 3.0,
    )


def _near(verdict: LineVerdict) -> bool:
    return verdict.crosses or verdict.holds or min(p.aside_in for p in verdict.passing) <= SHOWN_ASIDE_IN


def _line(verdict: LineVerdict, system: UnitSystem) -> LineInSection:
    line, section = verdict.line, verdict.band.section
    line_in = verdict.depth_in
    places = verdict.passing[:1] if verdict.crosses else verdict.passing[1:]
    first_in, last_in = places[0].out_in, places[-1].out_in

    def y_in(out_in: float) -> float | None:
        if line_in is None:
            return None
        over_in = section.fall * out_in if line.drop_in is None else line.drop_in
        return over_in + line_in

    depth = "depth ?" if line_in is None else f"{show_length(line_in, system)} deep"
    aside = "" if verdict.crosses else f", {show_length(verdict.passing[0].aside_in, system)} aside"
    kind = line.name if line.kind == "other" else line.kind
    return LineInSection(
        words=f"{kind}, {depth}{aside}",
        short=f"{kind}, {depth}",
        out_from_in=first_in,
        out_to_in=last_in,
        depth_in=line_in,
        y_from_in=y_in(first_in),
        y_to_in=y_in(last_in),
        width_in=line.width_in,
        holds=verdict.holds,
    )


__all__ = [
    "SHOWN_ASIDE_IN", "LineInSection", "PitSide", "Point", "SectionPicture", "Stroke", "WallSide", "WallType",
    "section_picture", "with_rods",
]  # fmt: skip
