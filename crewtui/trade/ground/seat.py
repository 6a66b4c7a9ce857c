"""Where the plate bears in its pit, what squares it up, and whether a hand reaches its nut.

Plane geometry of a flat plate in a round or square hole; no source beyond it. It says nothing of what the
soil bears. The reach of an arm is from NUREG-0700 rev. 3, Table 11.4; the slope under a nut from the RCSC
specification, 6.1.1, which is written for structural bolts.
"""

from __future__ import annotations

import math
from typing import Final, Literal

from msgspec import Struct

from crewtui.trade.checks import checked, checked_angle
from crewtui.trade.vocabulary import PitFace
from crewtui.units import UnitSystem, at_least, at_most, show_angle, show_length

Setting = Literal["from the rim", "with the long socket", "somebody has to go in"]

BOLT_SLOPE: Final = 1 / 20
"""Steepest slope under a plain structural bolt's nut without a beveled washer: RCSC specification, 6.1.1."""
BOLT_SLOPE_DEG: Final = math.degrees(math.atan(BOLT_SLOPE))
BOLT_SLOPE_SAID: Final = "1 in 20, the limit of plain structural bolts (RCSC 6.1.1)"


def chord_short_in(pit_diameter_in: float, plate_width_in: float) -> float | None:
    """Return how far short of a round pit's middle a flat plate bears; None where it does not go in.

    The plate's two upright edges meet the circle: sqrt(r² - (w/2)²).
    """
    radius_in = checked("The pit's diameter", pit_diameter_in, above=0) / 2
    half_in = checked("The plate's width", plate_width_in, above=0) / 2
    if not at_most(half_in, radius_in):
        return None
    # Pythagoras from the middle to the half chord
    return math.sqrt(max(0.0, radius_in**2 - half_in**2))


def corners_out_in(pit_diameter_in: float, plate_width_in: float, *, short_in: float) -> float:
    """Return how far the round wall is cut back at each side for a flat face so far short of the middle.

    Taped along the wall of the house, from where the circle stands to the plate's upright edge.
    """
    radius_in = checked("The pit's diameter", pit_diameter_in, above=0) / 2
    half_in = checked("The plate's width", plate_width_in, above=0) / 2
    checked("The face, short of the pit's middle", short_in, least=0)
    # half the plate less the half chord at that depth, sqrt(r² − x²)
    return max(0.0, half_in - math.sqrt(max(0.0, radius_in**2 - short_in**2)))


def lean_in(plate_height_in: float, angle_deg: float) -> float:
    """Return how far a face square to the rod leans out of plumb over the plate's height.

    It is as well how far the rod comes in before a plate that stays square to it bears whole on a plumb face:
    from its first edge to its last, h·tan θ along the rod.
    """
    checked("The plate's height", plate_height_in, above=0)
    # h·tan θ
    return plate_height_in * math.tan(math.radians(abs(checked_angle(angle_deg))))


class PlateSeat(Struct, frozen=True, kw_only=True):
    """A plate in its pit before it is dug, or as it was taped."""

    round: bool
    pit_along_rod_in: float
    pit_across_in: float
    plate_width_in: float
    short_in: float
    """The seat, short of the pit's middle."""
    taped: bool
    goes_in: bool
    chord_in: float | None
    """Where a flat plate bears in the hole left round, short of its middle; None where it does not go in."""
    corners_in: float
    """Cut back at each side, for the seat that the figures count on; 0 where nothing is."""
    words: tuple[str, ...]


def plate_seat(
    *,
    is_round: bool,
    pit_along_rod_in: float,
    pit_across_in: float,
    plate_width_in: float,
    face: PitFace | None,
    short_in: float,
    taped: bool,
    system: UnitSystem = "imperial",
) -> PlateSeat:
    """Return how the plate sits in the pit, with what is to be cut for it before anything is dug."""
    chord_in, corners_in = None, 0.0
    goes_in = at_most(plate_width_in, pit_across_in)
    if is_round:
        chord_in = chord_short_in(pit_along_rod_in, plate_width_in)
        goes_in = chord_in is not None
        deepest_in = min(max(0.0, short_in), pit_along_rod_in / 2)
        corners_in = corners_out_in(pit_along_rod_in, plate_width_in, short_in=deepest_in)
    seat = PlateSeat(
        round=is_round,
        pit_along_rod_in=pit_along_rod_in,
        pit_across_in=pit_across_in,
        plate_width_in=plate_width_in,
        short_in=short_in,
        taped=taped,
        goes_in=goes_in,
        chord_in=chord_in,
        corners_in=corners_in,
        words=(),
    )
    words = () if taped else tuple(_words(seat, face, system))
    return PlateSeat(**{name: getattr(seat, name) for name in seat.__struct_fields__} | {"words": words})


def _words(seat: PlateSeat, face: PitFace | None, system: UnitSystem) -> list[str]:
    wide, hole = (show_length(one, system) for one in (seat.plate_width_in, seat.pit_along_rod_in))
    if not seat.round:
        if seat.goes_in:
            return []
        across = show_length(seat.pit_across_in, system)
        return [
            (
                f"The plate is {wide} wide and the pit {across} across: it does not go in. Dig it wider, or"
                " take another plate that the plan allows."
            )
        ]
    sides = show_length(seat.corners_in, system)
    if seat.chord_in is None:
        return [
            (
                f"The plate is {wide} wide and the round pit {hole}: it does not go in. Square the"
                f" house-side corners {sides} out at each side, or take a wider auger, before anything is"
                " dug."
            )
        ]
    if face == "squared":
        return []
    if face == "as augered":
        chord = show_length(seat.chord_in, system)
        return [
            (
                f"In the round pit of {hole} the plate of {wide} bears {chord} short of its middle: the"
                " figures count on that. Tape the seat once the pit is dug."
            )
        ]
    chord = show_length(seat.chord_in, system)
    more = show_length(seat.short_in - seat.chord_in, system)
    return [
        (
            f"The figures count on the pit's house side cut flat for the plate: corners {sides} out at each"
            f" side. Left round, the plate bears {chord} short of the pit's middle, and the rod has to be"
            f" {more} longer. Say which with pit_face, and tape the seat once it is dug."
        )
    ]


class NutFace(Struct, frozen=True, kw_only=True):
    """What the rod's angle asks of the faces that plate and nut bear on."""

    angle_deg: float
    lean_in: float
    """The pit's face, out of plumb over the plate's height, to stand square to the rod: its foot nearer to
    the house.
    """
    by_maker: bool
    washer: bool
    """Whether a beveled or swiveling washer is asked for on a plumb face, as the wall's."""
    words: tuple[str, ...]


def nut_face(
    angle_deg: float,
    *,
    plate_height_in: float,
    takes_deg: float | None,
    system: UnitSystem = "imperial",
) -> NutFace:
    """Return how the face is cut, what it costs if it is left plumb, and whether a washer is asked for."""
    lean = lean_in(plate_height_in, angle_deg)
    limit_deg = takes_deg if takes_deg is not None else BOLT_SLOPE_DEG
    washer = not at_most(abs(angle_deg), limit_deg)
    shown, high = show_length(lean, system), show_length(plate_height_in, system)
    words = [
        (
            f"Cut the pit's face square to the rod: over the plate's {high} its foot lies {shown} nearer to"
            f" the house than its top. Left plumb, it costs up to {shown} of pull-in before the plate bears"
            " whole."
        )
    ]
    if washer:
        of = f"the {show_angle(limit_deg)} that the maker's hardware takes"
        if takes_deg is None:
            of = f"{BOLT_SLOPE_SAID}; what the maker's hardware takes is not in the job file"
        words.append(
            f"On a plumb face the nut bears {show_angle(abs(angle_deg))} off square, more than {of}: ask the"
            " maker for a beveled or swiveling washer."
        )
    return NutFace(
        angle_deg=angle_deg,
        lean_in=lean,
        by_maker=takes_deg is not None,
        washer=washer,
        words=tuple(words),
    )


class NutReach(Struct, frozen=True, kw_only=True):
    """Whether a hand sets the nut in the pit from the rim."""

    reach_in: float
    setting: Setting
    fits: bool
    """The pit is big enough for whoever has to go in; true where nobody has to."""
    words: str


def nut_reach(
    nut_depth_in: float,
    *,
    reach_in: float,
    long_socket_in: float | None,
    pit_least_in: float,
    entry_least_in: float,
    entry_rules: tuple[str, ...] = (),
    system: UnitSystem = "imperial",
) -> NutReach:
    """Return how the nut is set: the arm hangs straight down from the house-side rim, the trunk above it.

    ``pit_least_in`` is the pit's smaller side and ``entry_least_in`` what somebody needs to go in.
    ``entry_rules`` name what going in switches on at this depth. It leaves out what an arm can do blind.
    """
    depth_in = checked("The nut's depth", nut_depth_in, above=0)
    socket_in = long_socket_in or 0.0
    setting: Setting = "somebody has to go in"
    if at_most(depth_in, reach_in):
        setting = "from the rim"
    elif socket_in and at_most(depth_in, reach_in + socket_in):
        setting = "with the long socket"
    fits = setting != "somebody has to go in" or at_least(pit_least_in, entry_least_in)
    deep, reach = show_length(depth_in, system), show_length(reach_in, system)
    words = f"The nut lies {deep} down and an arm reaches {reach}: "
    if setting == "from the rim":
        words += "it is set from the rim, head and trunk above it."
    elif setting == "with the long socket":
        words += f"it is set from the rim with the long socket of {show_length(socket_in, system)}."
    else:
        least = show_length(entry_least_in, system)
        words += (
            "somebody has to go in to set it"
            if fits
            else f"somebody has to go in, and this pit is under {least} across: dig it wider, take a longer"
            " socket, or have the plan say shallower"
        )
        words += f". Going in switches on the rules for {', '.join(entry_rules)}." if entry_rules else "."
    return NutReach(reach_in=reach_in, setting=setting, fits=fits, words=words)


__all__ = [
    "BOLT_SLOPE_DEG", "BOLT_SLOPE_SAID", "NutFace", "NutReach", "PlateSeat", "Setting",
    "chord_short_in", "corners_out_in", "lean_in", "nut_face", "nut_reach", "plate_seat",
]  # fmt: skip
