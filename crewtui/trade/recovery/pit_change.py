"""The ways on that leave the rod in the ground: accept it, or change the pit around it."""

from __future__ import annotations

import math
from typing import Final

from crewtui.trade.recovery.miss import Kind, Ran, Site, Way
from crewtui.units import at_most, show_length

ROUND: Final = math.pi / 4
"""Area of an augered pit beside that of the square around it."""


def accept(site: Site, ran: Ran) -> Way:
    """Return the rod taken as it is: deep enough, and the plate fits this pit."""
    depth = show_length(ran.depth_in, site.system)
    why_not = ""
    if not ran.deep_enough:
        why_not = f"{depth} is short of the least depth of {show_length(site.least_in, site.system)}."
    elif not ran.fits_depth:
        why_not = _too_deep_words(site, ran)
    elif not ran.fits_across:
        why_not = _aside_words(site, ran)
    return _stays(
        site,
        ran,
        "accept",
        why_not=why_not,
        words=f"Accept it at {depth}"
        + (": deep enough, and the plate fits this pit." if not why_not else " as it is."),
    )


def deepen(site: Site, ran: Ran) -> Way:
    """Return the pit dug down until the plate fits on a rod that ran too deep."""
    depth_in = max(site.pit_depth_in, site.pit_depth_for_in(ran.depth_in))
    aside_in = site.wider_across_in(ran.side_offset_in)
    deeper_in3 = area_in2(site) * (depth_in - site.pit_depth_in)
    depth = show_length(depth_in, site.system)
    wider = f", and widen it {show_length(aside_in, site.system)} to the side" if aside_in > 0 else ""
    return _stays(
        site,
        ran,
        "deepen the pit",
        why_not=_why_not_deepen(site, ran, depth_in),
        words=f"Deepen the pit to {depth}{wider}: the plate then fits on the rod as it is.",
        pit_depth_in=depth_in,
        pit_across_in=site.pit_across_in + aside_in,
        digging_in3=deeper_in3 + aside_in * site.pit_along_rod_in * depth_in,
    )


def widen(site: Site, ran: Ran) -> Way:
    """Return the pit dug wider to one side until the plate sits on a rod off its middle."""
    aside_in = site.wider_across_in(ran.side_offset_in)
    aside = show_length(aside_in, site.system)
    side = "towards the end corner" if ran.side_offset_in > 0 else "towards the start corner"
    why_not = ""
    if ran.fits_across:
        why_not = "The plate fits across this pit: width is not what is wrong."
    elif not ran.deep_enough:
        why_not = "The rod is too shallow; a wider pit alone does not make it deeper."
    elif not ran.fits_depth:
        why_not = "The rod is too deep for this pit; it would have to be deepened as well."
    return _stays(
        site,
        ran,
        "widen the pit",
        why_not=why_not,
        words=f"Widen the pit {aside} {side}: the plate then sits on the rod as it is.",
        pit_across_in=site.pit_across_in + aside_in,
        digging_in3=aside_in * site.pit_along_rod_in * site.pit_depth_in,
    )


def _stays(
    site: Site,
    ran: Ran,
    kind: Kind,
    *,
    words: str,
    why_not: str,
    pit_depth_in: float | None = None,
    pit_across_in: float | None = None,
    digging_in3: float = 0.0,
) -> Way:
    """Return a way in which the rod lies where it was found, so that both landings are known."""
    down_in, up_in = site.tape_in(site.section.mark_depth_in)
    pit_in = site.pit_depth_in if pit_depth_in is None else pit_depth_in
    meet = site.wedges_meet(ran.depth_in, seat_in=site.section.seat_in, fall=site.section.fall)
    return Way(
        kind=kind,
        possible=not why_not,
        sure=not why_not,
        why_not=why_not,
        words=words,
        cautions=(*_as_it_lies(ran), *((meet,) if meet else ())),
        lands_if_chance_in=ran.depth_in,
        lands_if_drift_repeats_in=ran.depth_in,
        share=None,
        held_angle_deg=None,
        tail_rise_in=None,
        mark_depth_in=site.section.mark_depth_in,
        down_from_top_in=down_in,
        up_from_slab_in=up_in,
        seat_in=site.section.seat_in,
        setback_in=site.setback_in,
        drop_in=site.section.drop_in,
        pit_depth_in=pit_in,
        pit_across_in=site.pit_across_in if pit_across_in is None else pit_across_in,
        pit_for_sure_in=None,
        switched_on=site.switched_on(pit_in),
        new_hole_in2=0.0,
        digging_in3=digging_in3,
        extra_rod_in=0.0,
    )


def _as_it_lies(ran: Ran) -> tuple[str, ...]:
    cautions: list[str] = []
    if not ran.straight:
        cautions.append(
            "No straight rod ran so: settle that first, a bent rod pulls otherwise than a straight one."
        )
    if ran.angle_deg <= 0:
        cautions.append("It runs level or uphill to the plate: the engineer decides whether it may stay.")
    return tuple(cautions)


def _too_deep_words(site: Site, ran: Ran) -> str:
    depth, greatest = (show_length(one, site.system) for one in (ran.depth_in, site.greatest_in))
    return f"{depth} is more than the {greatest} at which the plate still fits this pit."


def _aside_words(site: Site, ran: Ran) -> str:
    aside, across = (show_length(one, site.system) for one in (abs(ran.side_offset_in), site.pit_across_in))
    return f"{aside} to the side the plate does not fit a pit {across} across."


def _why_not_deepen(site: Site, ran: Ran, depth_in: float) -> str:
    if not ran.deep_enough:
        return "The rod is too shallow; a deeper pit does not make it deeper."
    if ran.fits_depth:
        return "The plate fits the depth of this pit: depth is not what is wrong."
    reach_in = site.greatest_pit_depth_in
    if reach_in is not None and not at_most(depth_in, reach_in):
        need, reach = (show_length(one, site.system) for one in (depth_in, reach_in))
        return f"It would take a pit {need} deep; {reach} is the deepest that can be dug here."
    return ""


def area_in2(site: Site) -> float:
    """Return the area of the pit as it is, seen from above."""
    square_in2 = site.pit_along_rod_in * site.pit_across_in
    return square_in2 * ROUND if site.pit_kind == "auger" else square_in2
