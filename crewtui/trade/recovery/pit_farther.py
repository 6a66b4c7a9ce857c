"""The way on that drives the rod farther on its own line, to a pit farther out."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from msgspec import Struct

from crewtui.trade.recovery.miss import Ran, Site, WayFigured
from crewtui.trade.recovery.pit_change import area_in2
from crewtui.units import TOLERANCE_IN, at_least, at_most, show_angle, show_length

SAME_PLACE_IN: Final = 1.0
"""Pits nearer to each other than this are one place: none is dug finer."""
_MOST_PLACES: Final = 480
"""So many inches past the first place are tried: more than any company lets a rod be driven."""


class Reach(Struct, frozen=True, kw_only=True):
    """Where a rod on its line comes to a depth below the ground."""

    seat_in: float
    drop_in: float
    """Drop from grade at the wall to the ground there."""


def reach(site: Site, ran: Ran, depth_in: float, *, line_deg: float | None = None) -> Reach | None:
    """Return the nearest place past the seat where the rod is so deep; None where it never gets there."""
    rise = math.tan(math.radians(ran.line_deg if line_deg is None else line_deg))
    at_in = ran.depth_in
    if at_least(at_in, depth_in):
        return Reach(seat_in=site.section.seat_in, drop_in=site.section.drop_in)
    for start_in, drop_in, end_in, fall in _ground(site):
        # each inch out gains tan θ less the fall of the ground
        gain = rise - fall
        needed_in = (depth_in - at_in) / gain if gain > 0 else math.inf
        if start_in + needed_in <= end_in and math.isfinite(needed_in):
            return Reach(seat_in=start_in + needed_in, drop_in=drop_in + fall * needed_in)
        at_in += gain * (end_in - start_in)
    return None


def depth_on_line_in(site: Site, ran: Ran, seat_in: float, *, line_deg: float | None = None) -> float:
    """Return the rod's depth below the ground at a place past the seat, on the line that it goes on at."""
    rise = math.tan(math.radians(ran.line_deg if line_deg is None else line_deg))
    at_in = ran.depth_in
    for start_in, _, end_in, fall in _ground(site):
        step_in = min(seat_in, end_in) - start_in
        at_in += (rise - fall) * step_in
        if seat_in <= end_in:
            break
    return at_in


def _ground(site: Site) -> Iterator[tuple[float, float, float, float]]:
    """Yield the ground past the seat: start, drop there, end, fall; the last one goes on without end."""
    start_in, drop_in, fall = site.section.seat_in, site.section.drop_in, site.section.fall
    for end_in, end_drop_in in sorted(site.drops_shot):
        if end_in <= start_in + TOLERANCE_IN:
            continue
        fall = (end_drop_in - drop_in) / (end_in - start_in)
        yield start_in, drop_in, end_in, fall
        start_in, drop_in = end_in, end_drop_in
    yield start_in, drop_in, math.inf, fall


def farther_out(site: Site, ran: Ran) -> tuple[WayFigured, ...]:
    """Return the rod driven on to a new pit on its line: no farther than for enough, and as near to the aim.

    Every place between is tried; where none serves, the one for enough says why.
    """
    least = reach(site, ran, site.least_in) if ran.line_deg > 0 else None
    if least is None:
        return (_farther(site, ran, site.section.seat_in, why_not=_never(site, ran)),)
    aimed = reach(site, ran, site.aim_in) or least
    serves_in = [
        seat_in for seat_in in _places_in(site, ran, least, aimed) if not _why_not(site, ran, seat_in)
    ]
    if not serves_in:
        return (_farther(site, ran, least.seat_in, why_not=_why_not(site, ran, least.seat_in)),)
    enough_in = serves_in[0]
    near_aim_in = min(serves_in, key=lambda one: (abs(one - aimed.seat_in), one))
    seats_in = (enough_in, near_aim_in) if near_aim_in - enough_in > SAME_PLACE_IN else (near_aim_in,)
    return tuple(_farther(site, ran, seat_in, why_not="") for seat_in in seats_in)


def _places_in(site: Site, ran: Ran, least: Reach, aimed: Reach) -> list[float]:
    """Return the places that are tried, the nearest first: at every inch and where a limit ends."""
    first_in = least.seat_in
    cos = math.cos(math.radians(ran.line_deg))
    last_in = min(_limit(site)[0] - site.seat_short_in, site.section.seat_in + _stock_in(site) * cos)
    count = min(_MOST_PLACES, max(0, math.floor((last_in - first_in) / SAME_PLACE_IN)))
    steps = (first_in + number * SAME_PLACE_IN for number in range(count + 1))
    ends = (one for one in (aimed.seat_in, last_in) if one >= first_in)
    return sorted({first_in, *steps, *ends})


def _why_not(site: Site, ran: Ran, seat_in: float) -> str:
    """Return why there can be no pit at this place; empty where there can."""
    depth_in = depth_on_line_in(site, ran, seat_in)
    drop_in, _ = _drop_there(site, seat_in)
    # rod is 1/cos θ as long as its run
    extra_in = (seat_in - site.section.seat_in) / math.cos(math.radians(ran.line_deg))
    return _why_not_here(site, seat_in, extra_in, depth_in=depth_in, drop_in=drop_in)


def _farther(site: Site, ran: Ran, seat_in: float, *, why_not: str) -> WayFigured:
    section = site.section
    lands_in = (
        depth_on_line_in(site, ran, seat_in, line_deg=ran.angle_deg),
        depth_on_line_in(site, ran, seat_in),
    )
    drop_in, shot = _drop_there(site, seat_in)
    extra_in = (seat_in - section.seat_in) / math.cos(math.radians(ran.line_deg))
    pit_in = max(site.pit_depth_in, site.pit_depth_for_in(lands_in[1]))
    deep_enough = all(at_least(one, site.least_in) for one in lands_in)
    fits = all(at_most(site.pit_depth_for_in(one), pit_in) for one in lands_in)
    down_in, up_in = site.tape_in(section.mark_depth_in)
    setback_in = seat_in + site.seat_short_in
    return WayFigured(
        kind="pit farther out",
        possible=not why_not,
        sure=not why_not and deep_enough and fits and shot and ran.straight and ran.downhill,
        why_not=why_not,
        words=_words(site, lands_in[1], setback_in=setback_in, extra_in=extra_in),
        cautions=_cautions(site, ran, shot=shot),
        lands_if_chance_in=lands_in[0],
        lands_if_drift_repeats_in=lands_in[1],
        share=None,
        held_angle_deg=None,
        tail_rise_in=None,
        mark_depth_in=section.mark_depth_in,
        down_from_top_in=down_in,
        up_from_slab_in=up_in,
        seat_in=seat_in,
        setback_in=setback_in,
        drop_in=drop_in if shot else None,
        pit_depth_in=pit_in,
        pit_across_in=site.pit_across_in,
        switched_on=site.switched_on(pit_in),
        new_hole_in2=0.0,
        digging_in3=_dug_in3(site, seat_in, pit_in),
        extra_rod_in=extra_in,
    )


def _drop_there(site: Site, seat_in: float) -> tuple[float, bool]:
    """Return the drop of the ground at a place, and whether it is measured."""
    for start_in, drop_in, end_in, fall in _ground(site):
        if seat_in <= end_in:
            measured = math.isfinite(end_in) or at_most(seat_in, start_in)
            return drop_in + fall * (seat_in - start_in), measured
    raise ValueError(f"No ground is known at {seat_in:g} in from the wall.")


def _never(site: Site, ran: Ran) -> str:
    rod = show_angle(ran.line_deg)
    falls = [fall for *_, fall in _ground(site)]
    ground = show_angle(math.degrees(math.atan(max(falls))))
    if ran.line_deg <= 0:
        return f"The rod runs level or uphill ({rod}): on this line no pit farther out helps, ever."
    return (
        f"The ground falls as fast as the rod or faster ({ground}; rod {rod}): no pit farther out"
        " helps, ever."
    )


def _why_not_here(site: Site, seat_in: float, extra_in: float, *, depth_in: float, drop_in: float) -> str:
    setback_in = seat_in + site.seat_short_in
    needed = show_length(setback_in, site.system)
    if not at_least(depth_in, site.least_in):
        return f"At a set-back of {needed} it is not as deep as the least depth."
    limit_in, allows = _limit(site)
    if not at_most(setback_in, limit_in):
        limit = show_length(limit_in, site.system)
        return f"The least depth is reached only with the set-back at {needed}; {allows} {limit}."
    if not at_most(extra_in, _stock_in(site)):
        rod = show_length(extra_in, site.system)
        return (
            f"It takes {rod} more rod (set-back {needed}), each piece with a coupling: the truck has"
            " not enough."
        )
    pit_in, reach_in = site.pit_depth_for_in(depth_in), site.greatest_pit_depth_in
    if reach_in is not None and not at_most(pit_in, reach_in):
        pit, deepest = (show_length(one, site.system) for one in (pit_in, reach_in))
        return f"It would take a pit {pit} deep there; {deepest} is the deepest that can be dug here."
    joints = site.joint_check(extra_in) if site.joint_check is not None else ""
    return joints or site.wedges_meet(depth_in, seat_in=seat_in, fall=drop_in / seat_in)


def _limit(site: Site) -> tuple[float, str]:
    """Return the greatest set-back and whose limit it is."""
    if site.greatest_setback_in is not None and site.greatest_setback_in <= site.farthest_setback_in:
        return site.greatest_setback_in, f"{site.greatest_setback_why} allow"
    return site.farthest_setback_in, "no rod is driven farther than"


def _stock_in(site: Site) -> float:
    """Return how much rod can still be screwed on, one coupling a piece; endless if not counted."""
    if site.rods_left_in is None:
        return math.inf
    longest_first = sorted(site.rods_left_in, reverse=True)
    return sum(longest_first if site.couplings_left is None else longest_first[: site.couplings_left])


def _dug_in3(site: Site, seat_in: float, pit_depth_in: float) -> float:
    """Return what is dug: the strip that lengthens the pit, or a whole new one where they do not touch."""
    step_in = seat_in - site.section.seat_in
    if step_in < site.pit_along_rod_in:
        return min(step_in * site.pit_across_in, area_in2(site)) * pit_depth_in
    return area_in2(site) * pit_depth_in


def _words(site: Site, depth_in: float, *, setback_in: float, extra_in: float) -> str:
    setback, extra, depth = (show_length(one, site.system) for one in (setback_in, extra_in, depth_in))
    return (
        f"Dig at a set-back of {setback} and drive the rod {extra} farther on its line: it comes to"
        f" {depth} there."
    )


def _cautions(site: Site, ran: Ran, *, shot: bool) -> tuple[str, ...]:
    cautions: list[str] = []
    if not shot:
        cautions.append("Shoot the drop there first: it is figured with the present fall, an estimate.")
    if ran.bent:
        cautions.append("The rod is bent: it may go on bending, and lie elsewhere there than figured.")
    elif not (ran.straight or ran.seen):
        cautions.append("Read the rod's angle in the pit first: a bent rod may be rising.")
    if site.greatest_setback_in is None:
        cautions.append("See that the place lies inside the ticket's area and the property.")
    if site.rods_left_in is None:
        cautions.append("Count rods and couplings on the truck first.")
    if site.joint_check is None:
        cautions.append("See that no coupling comes to lie in the wall.")
    if site.wedges_least_seat_in is None:
        cautions.append("The soil wedges are not figured for that place.")
    if ran.side_offset_in:
        cautions.append(
            "Off its line to the side as well: set the pit's middle on the rod, not on the anchor's line."
        )
    return tuple(cautions)
