"""Aiming the rod: where a rod at an angle arrives, and which angle arrives at a depth.

A section through wall and yard: x runs out from the outer wall face, depth runs down from grade at the wall,
angles are from level and positive downward going out. The mark is on the inner face; depth, angle and rod are
judged at the seat, the house-side face of the pit. Plane geometry of a straight rod; no source beyond it.
"""

from __future__ import annotations

import math
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from crewtui.trade.checks import checked, checked_angle
from crewtui.units import TOLERANCE_IN, UnitSystem, at_least, at_most, show_angle, show_length

IN_PER_FT: Final = 12.0
DROP_MISSING: Final = (
    "The drop of the ground from grade at the wall to the pit is missing: shoot or tape it on site;"
    " it is never assumed."
)

SEAT: Final = "The distance to the seat (set-back less half the pit)"


class Section(Struct, frozen=True, kw_only=True):
    """Wall, mark, seat and ground at one anchor, seen from the side."""

    mark_depth_in: float
    """Middle of the hole below grade, at the inner face."""
    way_in: float
    """The rod's way through the wall: its thickness and, where it has bowed in at the mark, the bow."""
    seat_in: float
    """Outer face to where the plate bears: as taped, else by the pit."""
    drop_in: float
    """Drop from grade at the wall to the ground at the seat; negative where the yard rises."""

    def __post_init__(self) -> None:
        checked("The mark's depth below grade", self.mark_depth_in, above=0)
        checked("The rod's way through the wall", self.way_in, above=0)
        checked("The distance to the seat", self.seat_in, above=0)
        checked("The drop of the ground", self.drop_in)

    @property
    def run_in(self) -> float:
        """Level distance from the inner face to the seat."""
        return self.seat_in + self.way_in

    @property
    def fall(self) -> float:
        """Drop of the ground over its distance, between wall and seat."""
        # s = drop / seat: the fall as drop over distance
        return self.drop_in / self.seat_in

    @property
    def level_depth_in(self) -> float:
        """Depth below the ground at the seat at which a level rod would arrive."""
        return self.mark_depth_in - self.drop_in


def skewed(section: Section, aside_in: float) -> Section:
    """Return the section along a rod to the same seat whose hole lies so far beside the anchor's line."""
    # a line aside is longer by sqrt(1 + (aside / run)²): Pythagoras, in plan
    longer = math.hypot(1.0, aside_in / section.run_in)
    return replace(section, way_in=section.way_in * longer, seat_in=section.seat_in * longer)


def skew_of_deg(section: Section, aside_in: float) -> float:
    """Return how far off square to the wall such a rod points, seen from above."""
    # atan(x / (S + t))
    return math.degrees(math.atan2(abs(aside_in), section.run_in))


def seat_from_setback_in(setback_in: float, *, pit_along_rod_in: float) -> float:
    """Return the distance to the seat: the set-back, which is to the pit's middle, less half the pit."""
    checked("The pit's size along the rod", pit_along_rod_in, above=0)
    seat_in = checked("The set-back", setback_in, above=0) - pit_along_rod_in / 2
    return checked(SEAT, seat_in, above=0)


def way_through_in(thickness_in: float, bow_in: float) -> float:
    """Return how far the rod runs from the wall's inner face at the mark to where the set-back is taped from.

    An inward bow adds to the wall's thickness: the set-back is taped at grade, where the wall has not moved.
    An outward bow is not taken off, since the face bulges towards the tape as far as the room gains: a way
    figured too long costs an inch of thread where one too short costs the nut.
    """
    return thickness_in + max(0.0, bow_in)


def depth_at_seat_in(section: Section, angle_deg: float) -> float:
    """Return the depth of the rod's middle below the ground at the seat."""
    # D = D_i − drop + (S + t)·tan θ: plane geometry, depth from grade at the wall to the ground at the seat
    return section.level_depth_in + section.run_in * math.tan(math.radians(checked_angle(angle_deg)))


def angle_for_deg(section: Section, depth_in: float) -> float:
    """Return the angle that arrives at a depth below the ground at the seat; it may be level or uphill."""
    checked("The depth", depth_in)
    # tan θ = (D + drop − D_i) / (S + t): the same, turned round
    return math.degrees(math.atan2(depth_in - section.level_depth_in, section.run_in))


def exit_depth_in(section: Section, angle_deg: float) -> float:
    """Return the depth below grade at which the rod's middle leaves the outer face."""
    # D_i + t·tan θ: plane geometry
    return section.mark_depth_in + section.way_in * math.tan(math.radians(checked_angle(angle_deg)))


def rod_line_in(section: Section, angle_deg: float) -> float:
    """Return the length along the rod from the inner face to the seat."""
    # (S + t) / cos θ: the hypotenuse over the run
    return section.run_in / math.cos(math.radians(checked_angle(angle_deg)))


def stop_mark_in(section: Section, angle_deg: float, *, past_seat_in: float) -> float:
    """Return the length on the rod, inner face to its end, at which the end meets the pit's far side."""
    checked("The pit past the seat", past_seat_in, above=0)
    # (S + t + past) / cos θ
    return (section.run_in + past_seat_in) / math.cos(math.radians(checked_angle(angle_deg)))


def tail_rise_in(angle_deg: float, tail_length_in: float) -> float:
    """Return how far the rod's tail stands above the hole, over the length that sticks into the room."""
    checked("The length in the room", tail_length_in, least=0)
    # L·sin θ: the tail as hypotenuse
    return tail_length_in * math.sin(math.radians(checked_angle(angle_deg)))


def depth_per_degree_in(section: Section, angle_deg: float) -> float:
    """Return how much depth at the seat one degree makes, at this angle."""
    # dD/dθ = (S + t) / cos² θ, for one degree in radians
    return section.run_in * math.radians(1) / math.cos(math.radians(checked_angle(angle_deg))) ** 2


def sideways_per_degree_in(section: Section) -> float:
    """Return how far one degree off square moves the rod along the wall at the seat."""
    # (S + t)·tan 1°
    return section.run_in * math.tan(math.radians(1))


class Aim(Struct, frozen=True, kw_only=True):
    """One aim: the angle for a depth and everything that is called out with it."""

    section: Section
    depth_in: float
    angle_deg: float
    exit_depth_in: float
    rod_line_in: float
    depth_per_degree_in: float
    sideways_per_degree_in: float
    tail_length_in: float
    tail_rise_in: float
    refused: str
    """Why this is no aim, in words; empty where it is one."""
    warnings: tuple[str, ...]

    @property
    def possible(self) -> bool:
        """Whether the rod runs downhill."""
        return not self.refused


def aim(
    section: Section,
    depth_in: float,
    *,
    tail_length_in: float,
    system: UnitSystem = "imperial",
) -> Aim:
    """Return the angle for a depth at the seat, refused in words where it is level or uphill."""
    angle_deg = angle_for_deg(section, depth_in)
    return Aim(
        section=section,
        depth_in=depth_in,
        angle_deg=angle_deg,
        exit_depth_in=exit_depth_in(section, angle_deg),
        rod_line_in=rod_line_in(section, angle_deg),
        depth_per_degree_in=depth_per_degree_in(section, angle_deg),
        sideways_per_degree_in=sideways_per_degree_in(section),
        tail_length_in=tail_length_in,
        tail_rise_in=tail_rise_in(angle_deg, tail_length_in),
        refused=not_downhill(section, depth_in, system=system),
        warnings=ground_warnings(section, angle_deg),
    )


def not_downhill(section: Section, depth_in: float, *, system: UnitSystem = "imperial") -> str:
    """Return why a rod to this depth would run level or uphill and what mends it; empty where downhill."""
    if not at_most(depth_in, section.level_depth_in):
        return ""
    way = "level" if at_least(depth_in, section.level_depth_in) else "uphill"
    deeper = show_length(section.level_depth_in, system)
    higher = show_length(depth_in + section.drop_in, system)
    mend = f"aim deeper than {deeper}"
    if depth_in + section.drop_in > TOLERANCE_IN:
        mend += f", or set the mark higher than {higher} below grade"
    at = show_length(depth_in, system)
    return f"At {at} the rod would run {way}; it must run downhill to the plate: {mend}."


def ground_warnings(section: Section, angle_deg: float) -> tuple[str, ...]:
    """Return what the fall of the ground means for a rod at this angle."""
    if section.fall > math.tan(math.radians(angle_deg)) > 0:
        ground = show_angle(math.degrees(math.atan(section.fall)))
        rod = show_angle(angle_deg)
        return (f"The ground falls faster ({ground}) than the rod ({rod}): farther out it comes up.",)
    return ()


class MarkInside(Struct, frozen=True, kw_only=True):
    """The mark as a tape shows it in the basement, where grade cannot be seen."""

    mark_depth_in: float
    grade_to_top_in: float
    slab_to_top_in: float
    down_from_top_in: float
    up_from_slab_in: float


def mark_seen_inside(
    mark_depth_in: float, *, grade_to_top_in: float, slab_to_top_in: float, system: UnitSystem = "imperial"
) -> MarkInside:
    """Return the mark from the wall's top and from the slab; ValueError where it lies outside the wall."""
    down_in = checked("The mark's depth", mark_depth_in) + checked("Grade to top of wall", grade_to_top_in)
    up_in = checked("Slab to top of wall", slab_to_top_in, above=0) - down_in
    if at_most(down_in, 0):
        raise ValueError(f"The mark would lie {show_length(-down_in, system)} above the top of the wall.")
    if at_most(up_in, 0):
        below = show_length(-up_in, system)
        raise ValueError(
            f"The mark would lie {below} below the slab: check its depth and the wall's heights."
        )
    return MarkInside(
        mark_depth_in=mark_depth_in,
        grade_to_top_in=grade_to_top_in,
        slab_to_top_in=slab_to_top_in,
        down_from_top_in=down_in,
        up_from_slab_in=up_in,
    )


class TailRoom(Struct, frozen=True, kw_only=True):
    """Whether the rod's tail, and the hammer on it, clear what hangs over the room."""

    angle_deg: float
    tail_length_in: float
    hammer_length_in: float
    room_above_mark_in: float
    tail_rise_in: float
    spare_in: float
    clears: bool
    greatest_angle_deg: float
    """Steepest angle at which tail and hammer just clear; 90 where they clear at any."""
    warnings: tuple[str, ...]


def tail_room(
    angle_deg: float,
    *,
    tail_length_in: float,
    hammer_length_in: float,
    down_from_top_in: float,
    joist_clearance_in: float,
    system: UnitSystem = "imperial",
) -> TailRoom:
    """Return whether tail and hammer clear the joists, ``joist_clearance_in`` above the wall's top."""
    checked("The hammer's length", hammer_length_in, least=0)
    room_in = checked("The room above the mark", down_from_top_in + joist_clearance_in, least=0)
    reach_in = tail_length_in + hammer_length_in
    hammer_rise_in = tail_rise_in(angle_deg, reach_in)
    clears = at_most(hammer_rise_in, room_in)
    warning = (
        f"The hammer's end would stand {show_length(hammer_rise_in, system)} above the hole where the joists"
        f" leave {show_length(room_in, system)}: use shorter pieces of rod, or a flatter angle."
    )
    return TailRoom(
        angle_deg=angle_deg,
        tail_length_in=tail_length_in,
        hammer_length_in=hammer_length_in,
        room_above_mark_in=room_in,
        tail_rise_in=tail_rise_in(angle_deg, tail_length_in),
        spare_in=room_in - hammer_rise_in,
        clears=clears,
        greatest_angle_deg=90.0 if reach_in <= room_in else math.degrees(math.asin(room_in / reach_in)),
        warnings=() if clears else (warning,),
    )
