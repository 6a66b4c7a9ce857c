"""A mark on a block wall: whether the hole meets core, web or joint, and the nearest clear place.

The mark is known by its distances to the nearest bed joint and the nearest head joint, both to the joint's
middle. Webs are not seen from outside: the judgment supposes an ordinary two-core unit. A trial hole shows
the truth.
"""

from __future__ import annotations

import math
from typing import Final, Literal

from msgspec import Struct

from crewtui.units import TOLERANCE_IN, at_least, at_most

COURSE_IN: Final = 8.0
"""Bed joint to bed joint: 7-5/8 in block and 3/8 in joint, ASTM C90."""
LEAST_COURSE_IN: Final = 1.0
"""A lower course is a slip of the pen and not drawn."""
BLOCK_IN: Final = 16.0
"""Head joint to head joint: 15-5/8 in block and 3/8 in joint, ASTM C90."""
JOINT_IN: Final = 0.375
"""Joint of modular block, ASTM C90."""
WEB_IN: Final = 1.0
"""Thickness of a web, of which a two-core unit has three (from memory; the maker's unit may differ)."""
HOLE_IN: Final = 1.125
"""Wall hole for a 3/4 in rod (common practice, no source)."""

Meets = Literal["core", "web", "joint"]
BedSide = Literal["above", "below"]
HeadSide = Literal["start", "end"]


def course_or_usual_in(entered_in: float | None) -> float:
    """Return the height of a course as entered, else the usual one of modular block."""
    return entered_in if entered_in is not None and entered_in > LEAST_COURSE_IN else COURSE_IN


class BlockMark(Struct, frozen=True, kw_only=True):
    """What the hole meets, and the shortest way to a place where it meets a core alone."""

    bed_joint_in: float
    head_joint_in: float
    hole_diameter_in: float
    meets: Meets
    move_down_in: float | None
    """Shortest move that clears inside the band; negative is up. None: side not known, or none clears."""
    move_along_in: float | None
    """Towards the end corner is positive. None while the side is not known."""
    away_from_bed_in: float
    """Move away from the bed joint, whichever side it lies on."""
    away_from_head_in: float
    """Move away from the head joint; negative is towards it."""
    clear_mark_depth_in: float | None
    """Depth of the nearest clear mark inside the band; None where none, or depth or side is not known."""
    inside_band: bool | None
    """Whether the band holds a clear mark near this one; None while that cannot be told."""
    warnings: tuple[str, ...]


def check_block_mark(
    bed_joint_in: float,
    head_joint_in: float,
    *,
    hole_diameter_in: float = HOLE_IN,
    bed_joint_side: BedSide | None = None,
    head_joint_side: HeadSide | None = None,
    mark_depth_in: float | None = None,
    band_top_in: float | None = None,
    band_bottom_in: float | None = None,
    course_in: float = COURSE_IN,
    block_length_in: float = BLOCK_IN,
    joint_in: float = JOINT_IN,
    web_in: float = WEB_IN,
) -> BlockMark:
    """Judge a mark by the distances to its nearest joints, and find the nearest clear one inside the band.

    ``bed_joint_side``: the nearest bed joint lies above or below the mark. ``head_joint_side``: the nearest
    head joint lies towards the start or the end corner. ``mark_depth_in`` and the band (26 to 30 in below
    grade by the trade's rule of thumb) are depths below outside grade.
    """
    _check(bed_joint_in, head_joint_in, course_in, block_length_in, hole_diameter_in)
    radius_in = hole_diameter_in / 2.0
    least_bed_in = joint_in / 2.0 + radius_in
    core_start_in = joint_in / 2.0 + web_in + radius_in
    core_end_in = block_length_in / 2.0 - web_in / 2.0 - radius_in
    if core_start_in > core_end_in or least_bed_in > course_in / 2.0:
        raise ValueError(
            "a hole of this size clears no core of this block; take the block's and the hole's size again"
        )
    in_bed_joint = not at_least(bed_joint_in, least_bed_in)
    in_head_joint = not at_least(head_joint_in, least_bed_in)
    in_core = at_least(head_joint_in, core_start_in) and at_most(head_joint_in, core_end_in)
    meets: Meets = "joint" if in_bed_joint or in_head_joint else "core" if in_core else "web"
    away_bed_in = max(0.0, least_bed_in - bed_joint_in) if in_bed_joint else 0.0
    away_head_in = 0.0 if in_core else min(max(head_joint_in, core_start_in), core_end_in) - head_joint_in
    band = None if band_top_in is None or band_bottom_in is None else (band_top_in, band_bottom_in)
    down_in, inside = _way_down(
        bed_joint_in,
        bed_joint_side,
        least_in=least_bed_in,
        course_in=course_in,
        depth_in=mark_depth_in,
        band=band,
    )
    along_in = _along(away_head_in, head_joint_side)
    clear_depth_in = None if mark_depth_in is None or down_in is None else mark_depth_in + down_in
    return BlockMark(
        bed_joint_in=bed_joint_in,
        head_joint_in=head_joint_in,
        hole_diameter_in=hole_diameter_in,
        meets=meets,
        move_down_in=down_in,
        move_along_in=along_in,
        away_from_bed_in=away_bed_in,
        away_from_head_in=away_head_in,
        clear_mark_depth_in=clear_depth_in,
        inside_band=inside,
        warnings=_warnings(
            meets,
            sides_known=along_in is not None and (down_in is not None or inside is False),
            inside=inside,
        ),
    )


def _check(bed_in: float, head_in: float, course_in: float, block_in: float, hole_in: float) -> None:
    for name, value in (("the course", course_in), ("the block", block_in), ("the hole", hole_in)):
        if not (math.isfinite(value) and value > 0):
            raise ValueError(f"the size of {name} must be over zero; it is {value:g}")
    if not (at_least(bed_in, 0.0) and at_most(bed_in, course_in / 2.0)):
        raise ValueError(
            "the nearest bed joint cannot be farther than half a course; measure to the nearest one"
        )
    if not (at_least(head_in, 0.0) and at_most(head_in, block_in / 2.0)):
        raise ValueError(
            "the nearest head joint cannot be farther than half a block; measure to the nearest one"
        )


def _along(away_in: float, side: HeadSide | None) -> float | None:
    """Give the move its direction: away from a joint towards the start corner is towards the end corner."""
    if away_in == 0:
        return 0.0
    if side is None:
        return None
    return away_in if side == "start" else -away_in


def _way_down(
    bed_in: float,
    side: BedSide | None,
    *,
    least_in: float,
    course_in: float,
    depth_in: float | None,
    band: tuple[float, float] | None,
) -> tuple[float | None, bool | None]:
    """Return the shortest move down that clears the bed joints inside the band, and whether there is one."""
    if band is not None and band[0] > band[1]:
        raise ValueError("the band's top must lie above its bottom")
    clear = at_least(bed_in, least_in)
    if depth_in is None or band is None:
        if clear or side is None:
            return (0.0 if clear else None), None
        return (least_in - bed_in if side == "above" else bed_in - least_in), None
    if clear and _within(depth_in, band):
        return 0.0, True
    if side is None:
        return None, None
    joint_in = depth_in - bed_in if side == "above" else depth_in + bed_in
    return _nearest_in_band(depth_in, joint_in, least_in, course_in, band)


def _within(depth_in: float, band: tuple[float, float]) -> bool:
    return at_least(depth_in, band[0]) and at_most(depth_in, band[1])


def _nearest_in_band(
    depth_in: float, joint_in: float, least_in: float, course_in: float, band: tuple[float, float]
) -> tuple[float | None, bool]:
    """Try the band's ends and both edges of every joint's strip in it: the nearest clear one wins."""
    first = math.floor((band[0] - joint_in) / course_in)
    last = math.ceil((band[1] - joint_in) / course_in)
    joints = [joint_in + number * course_in for number in range(first, last + 1)]
    tries = [*band, *(joint - least_in for joint in joints), *(joint + least_in for joint in joints)]
    ways = [
        one - depth_in
        for one in tries
        if _within(one, band) and all(at_least(abs(one - joint), least_in) for joint in joints)
    ]
    return (min(ways, key=abs), True) if ways else (None, False)


def _warnings(meets: Meets, *, sides_known: bool, inside: bool | None) -> tuple[str, ...]:
    warnings: list[str] = []
    if meets == "joint":
        warnings.append("The hole would meet a mortar joint: move the mark away from it.")
    elif meets == "web":
        warnings.append("The hole would run in a web of the block: move the mark to a core.")
    if meets != "core" and not sides_known:
        warnings.append("Enter on which side the nearest joints lie, so that the move has a direction.")
    if inside is False:
        warnings.append(
            "The band holds no clear mark near this one: ask the office before drilling outside it."
        )
    return tuple(warnings)


def joint_after_move(
    joint_in: float, move_in: float, *, spacing_in: float, before: bool | None
) -> tuple[float, bool | None] | None:
    """Return the distance to the nearest joint after the mark moved, and whether that joint lies before it.

    ``before`` tells whether the joint lay on the side that the mark moved away from when ``move_in`` is
    positive (above a mark that moves down, towards the start corner of one that moves along). Half a spacing
    from a joint both sides are alike. None where the side is not known and the mark moved.
    """
    for name, value in (("the joint's distance", joint_in), ("the move", move_in)):
        if not math.isfinite(value):
            raise ValueError(f"{name} must be a plain number; it is {value}")
    if not (math.isfinite(spacing_in) and spacing_in > 0):
        raise ValueError(f"the spacing of joints must be over zero; it is {spacing_in:g}")
    if abs(move_in) <= TOLERANCE_IN:
        return joint_in, before
    half = abs(joint_in - spacing_in / 2.0) <= TOLERANCE_IN or abs(joint_in) <= TOLERANCE_IN
    if before is None and not half:
        return None
    past_in = (-joint_in if before is False else joint_in) + move_in
    past_in %= spacing_in
    return (past_in, True) if at_most(past_in, spacing_in / 2.0) else (spacing_in - past_in, False)
