"""The ways on from another hole: a lower or higher mark, or a fresh hole beside to the same pit."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from msgspec.structs import replace

from crewtui.trade.aim.rod_line import skew_of_deg, skewed
from crewtui.trade.recovery.choosing import Span, best_of, both, wishes, without
from crewtui.trade.recovery.drive_again import (
    LEVEL_DEG,
    STEEPEST_DEG,
    best_angle,
    bounded,
    driven,
    lands_in,
    opened_in2,
)
from crewtui.trade.recovery.miss import Ran, Site, WayFigured
from crewtui.trade.wall.block import JOINT_IN, WEB_IN
from crewtui.units import TOLERANCE_IN, at_least, at_most, show_angle, show_length

BEVEL_OVER: Final = 1 / 20
"""Parts farther off square want a beveled washer: RCSC specification 6.1.1, for structural bolts."""
FARTHEST_ASIDE_IN: Final = 24.0
"""A hole farther off is another anchor, not a hole beside (from memory)."""
_STEP_IN: Final = 0.125
_CORES: Final = 2
"""Cores of an ordinary block; the maker's unit may differ."""


def other_mark(site: Site, ran: Ran) -> WayFigured:
    """Return another mark, the best of all clear ones in the band, held at the same angle."""
    now_in = site.section.mark_depth_in
    held_deg = ran.angle_deg - ran.drift_deg
    wanted_in = site.aim_in - _gained_in(site, held_deg, site.next_drift_deg(ran.drift_deg))
    mark_in = _best_mark_in(site, ran, held_deg, wanted_in)
    why_not = ""
    if mark_in is None:
        mark_in = wanted_in
        wanted, top, bottom = (
            show_length(one, site.system) for one in (wanted_in, site.band_top_in, site.band_bottom_in)
        )
        clear = " and clear of joints" if site.block else ""
        why_not = (
            f"At this angle it would take a mark at {wanted} below grade: the band of {top} to {bottom} has"
            f" no place that serves, a hole's width from the old one{clear}."
        )
    beside = show_length(abs(mark_in - now_in), site.system)
    cautions = [f"{beside} beside the old path the rod may fall back into it."]
    if site.block:
        cautions.append(
            "Measure the nearest bed joint at the new mark before drilling; webs commonly stand"
            " over one another."
            if site.bed_joint_in is not None
            else "No bed joint is entered for this mark: measure it first, the place is figured without."
        )
    return driven(
        site,
        ran,
        "lower mark" if mark_in > now_in else "higher mark",
        section=replace(site.section, mark_depth_in=max(mark_in, TOLERANCE_IN)),
        held_deg=held_deg,
        why_not=why_not,
        cautions=cautions,
        how="Pull the rod. Drill a new hole",
        new_hole_in2=opened_in2(site.hole_diameter_in, abs(mark_in - now_in)),
    )


def _best_mark_in(site: Site, ran: Ran, held_deg: float, wanted_in: float) -> float | None:
    """Return the best of the clear marks; a landing counts only downhill, whatever the drift turns out."""
    if not 0 < held_deg < STEEPEST_DEG:
        return None
    drifts_deg = site.drifts_deg(ran.drift_deg)
    downhill_deg = [max(one, LEVEL_DEG - held_deg) for one in drifts_deg]
    if max(drifts_deg) < LEVEL_DEG - held_deg:
        return None
    gains_in = [_gained_in(site, held_deg, one) for one in downhill_deg]
    allowed = clear_marks_in(site, site.band_top_in, site.band_bottom_in)
    wish = wishes(site.least_in, site.greatest_in, (gains_in[0], gains_in[1], gains_in[2]))
    if min(drifts_deg[0], drifts_deg[1]) < LEVEL_DEG - held_deg:
        wish = wish[1:]
    return best_of(wanted_in, both(allowed, [(_least_mark_in(site, held_deg), math.inf)]), wish)


def _gained_in(site: Site, held_deg: float, drift_deg: float) -> float:
    """Return what the rod gains on its mark in depth below the ground at the seat."""
    run_deg = bounded(held_deg + drift_deg)
    # (S + t)·tan θ − drop
    return site.section.run_in * math.tan(math.radians(run_deg)) - site.section.drop_in


def _least_mark_in(site: Site, held_deg: float) -> float:
    """Return the highest mark at which tail and hammer clear what hangs over the room."""
    if site.room_above_mark_in is None:
        return 0.0
    # L·sin θ
    rise_in = (site.tail_length_in + site.hammer_length_in) * math.sin(math.radians(held_deg))
    return site.section.mark_depth_in + rise_in - site.room_above_mark_in


def clear_marks_in(site: Site, first_in: float, last_in: float) -> list[Span]:
    """Return the depths, first to last, at which a hole clears the old one, the bed joints and the slab."""
    if first_in > last_in:
        return []
    spans = without([(first_in, last_in)], site.section.mark_depth_in, site.hole_diameter_in)
    for one_in in _bed_joints_in(site):
        first = math.floor((first_in - one_in) / site.course_in)
        last = math.ceil((last_in - one_in) / site.course_in)
        for number in range(first, last + 1):
            spans = without(spans, one_in + number * site.course_in, site.joint_clear_in)
    if site.grade_to_top_in is not None and site.slab_to_top_in is not None:
        spans = both(spans, [(0.0, site.slab_to_top_in - site.grade_to_top_in - 2 * TOLERANCE_IN)])
    return spans


def _bed_joints_in(site: Site) -> tuple[float, ...]:
    """Return where a bed joint lies below grade; both places where its side is not known."""
    if not site.block or site.bed_joint_in is None:
        return ()
    above_in = site.section.mark_depth_in - site.bed_joint_in
    below_in = site.section.mark_depth_in + site.bed_joint_in
    if site.bed_joint_side is None:
        return (above_in, below_in)
    return (above_in,) if site.bed_joint_side == "above" else (below_in,)


def mark_lands_in(site: Site, ran: Ran, mark_depth_in: float) -> tuple[float, float]:
    """Return where a rod from this mark lands at the same held angle: if chance, if the drift repeats."""
    section = replace(site.section, mark_depth_in=max(mark_depth_in, TOLERANCE_IN))
    return lands_in(site, ran, section, ran.angle_deg - ran.drift_deg)[:2]


# A fresh hole beside the old one.


def hole_beside(site: Site, ran: Ran) -> WayFigured:
    """Return a fresh hole at the same depth, the nearest place beside the old one, aimed at the same pit."""
    places_in = tuple(_places_beside_in(site))
    served = [one for one in places_in if best_angle(site, ran, skewed(site.section, one), _ANY) is not None]
    aside_in = next(iter(served or places_in), site.hole_diameter_in + site.wall_between_in)
    section = skewed(site.section, aside_in)
    wanted_deg = site.window(section).aim_angle_deg - site.next_drift_deg(ran.drift_deg)
    held_deg = best_angle(site, ran, section, _ANY) if served else None
    side = "towards the end corner" if aside_in > 0 else "towards the start corner"
    skew_deg = skew_of_deg(site.section, aside_in)
    where = "in the next core" if site.block else "in sound wall"
    return driven(
        site,
        ran,
        "hole beside",
        section=section,
        held_deg=wanted_deg if held_deg is None else held_deg,
        why_not="" if places_in else _no_place_words(site),
        cautions=_beside_cautions(site, aside_in, skew_deg),
        how=(
            f"Pull the rod. Drill a fresh hole {show_length(abs(aside_in), site.system)} {side}, {where} at"
            f" the same height, pointed {show_angle(skew_deg)} back to the same pit"
        ),
        new_hole_in2=math.pi * site.hole_diameter_in**2 / 4,
        hole_aside_in=aside_in,
    )


_ANY: Final[list[Span]] = [(LEVEL_DEG, STEEPEST_DEG)]


def _places_beside_in(site: Site) -> Iterator[float]:
    """Yield the places for a fresh hole beside the old one, the nearest first."""
    steps = round(FARTHEST_ASIDE_IN / _STEP_IN)
    for number in range(1, steps + 1):
        for way in (1, -1):
            aside_in = way * number * _STEP_IN
            if _sound(site, aside_in) and _on_wall(site, aside_in) and not site.openings_clear(aside_in):
                yield aside_in


def _sound(site: Site, aside_in: float) -> bool:
    """Whether a hole there stands in another core of the block, or leaves enough wall between."""
    if not site.block:
        return at_least(abs(aside_in), site.wall_between_in + site.hole_diameter_in)
    core_in = site.block_length_in / _CORES
    if site.head_joint_in is None:
        return math.isclose(abs(aside_in), core_in, abs_tol=_STEP_IN / 2)
    if site.head_joint_side is None:
        return _in_other_core(site, site.head_joint_in, aside_in) and _in_other_core(
            site, -site.head_joint_in, aside_in
        )
    past_in = site.head_joint_in if site.head_joint_side == "start" else -site.head_joint_in
    return _in_other_core(site, past_in, aside_in)


def _in_other_core(site: Site, past_in: float, aside_in: float) -> bool:
    """Whether the hole stands in a core other than the old one's; ``past_in`` is past a head joint."""
    radius_in, core_in = site.hole_diameter_in / 2, site.block_length_in / _CORES
    here_in = past_in + aside_in
    if math.floor(here_in / core_in) == math.floor(past_in / core_in):
        return False
    from_joint_in = here_in % site.block_length_in
    from_joint_in = min(from_joint_in, site.block_length_in - from_joint_in)
    return at_least(from_joint_in, JOINT_IN / 2 + WEB_IN + radius_in) and at_most(
        from_joint_in, core_in - WEB_IN / 2 - radius_in
    )


def _on_wall(site: Site, aside_in: float) -> bool:
    if site.along_in is None or site.wall_length_in is None:
        return True
    half_in = (site.wall_plate_width_in or site.hole_diameter_in) / 2
    place_in = site.along_in + aside_in
    return at_least(place_in, half_in) and at_most(place_in, site.wall_length_in - half_in)


def _no_place_words(site: Site) -> str:
    within = show_length(FARTHEST_ASIDE_IN, site.system)
    what = "core that is clear" if site.block else "place with enough wall between"
    return f"Within {within} there is no {what} on this wall for hole and wall plate."


def _beside_cautions(site: Site, aside_in: float, skew_deg: float) -> list[str]:
    skew = show_angle(skew_deg)
    cautions = [f"Pointed {skew} off square, a level to that angle or the string to the pit shows the line."]
    # w·tan(skew): one edge bears so far before the other
    askew_in = site.plate_width_in * math.tan(math.radians(skew_deg))
    if math.tan(math.radians(skew_deg)) > BEVEL_OVER:
        cautions.append(
            f"{skew} is over 1 in 20: the wall plate's nut wants a beveled washer (RCSC 6.1.1, stated for"
            " structural bolts; the maker's sheet governs)."
        )
    cautions.append(
        f"The plate in the pit seats {show_length(askew_in, site.system)} askew from edge to edge: cut its"
        " seat square to the rod."
    )
    width_in = site.wall_plate_width_in
    if width_in is not None and abs(aside_in) < (width_in + site.hole_diameter_in) / 2:
        cautions.append("The wall plate lies over the old hole: fill that first and let it set.")
    if site.block and site.head_joint_in is None:
        cautions.append("No head joint is entered for this mark: find the next core by a trial hole first.")
    cautions.append("Rods near one another share soil: say it in the record, and keep the wall's spacing.")
    return cautions
