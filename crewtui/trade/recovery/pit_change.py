"""The ways on that leave the rod in the ground: accept it, or change the pit around it."""

from __future__ import annotations

import math
from typing import Final

from crewtui.trade.recovery.miss import Kind, Ran, Site, WayFigured
from crewtui.units import at_least, at_most, show_angle, show_length

ROUND: Final = math.pi / 4
"""Area of an augered pit beside that of the square around it."""


def accept(site: Site, ran: Ran) -> WayFigured:
    """Return the rod taken as it is: deep enough, and the plate fits this pit."""
    depth = show_length(ran.depth_in, site.system)
    why_not = ""
    if not _reaches(site, ran):
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
        words=f"Leave it at {depth}"
        + (": deep enough, and the plate fits this pit." if not why_not else " as it is."),
    )


def deepen(site: Site, ran: Ran) -> WayFigured:
    """Return the pit dug down until the plate fits on a rod that ran too deep."""
    depth_in = max(site.pit_depth_in, site.pit_depth_for_in(ran.depth_in))
    aside_in = sum(site.wider_sides_in(ran.side_offset_in))
    deeper_in3 = area_in2(site) * (depth_in - site.pit_depth_in)
    depth = show_length(depth_in, site.system)
    wider = f", and widen it {_sides_words(site, ran)}" if aside_in > 0 else ""
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


def widen(site: Site, ran: Ran) -> WayFigured:
    """Return the pit dug wider, to one side or both, until the plate sits on the rod."""
    aside_in = sum(site.wider_sides_in(ran.side_offset_in))
    why_not = ""
    if ran.fits_across:
        why_not = "The plate fits across this pit: width is not what is wrong."
    elif not _reaches(site, ran):
        why_not = "The rod is too shallow; a wider pit alone does not make it deeper."
    elif not ran.fits_depth:
        why_not = "The rod is too deep for this pit; it would have to be deepened as well."
    return _stays(
        site,
        ran,
        "widen the pit",
        why_not=why_not,
        words=f"Widen the pit {_sides_words(site, ran)}: the plate then sits on the rod as it is.",
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
) -> WayFigured:
    """Return a way in which the rod lies where it was found, so that both landings are known."""
    down_in, up_in = site.tape_in(site.section.mark_depth_in)
    pit_in = site.pit_depth_in if pit_depth_in is None else pit_depth_in
    meet = site.wedges_meet(ran.depth_in, seat_in=site.section.seat_in, fall=site.section.fall)
    if ran.bent and not why_not:
        why_not = (
            f"The rod is bent: in the pit it lies at {show_angle(ran.line_deg)}, straight from the hole it"
            f" would lie at {show_angle(ran.angle_deg)}. A bent rod is never left so; the engineer decides."
        )
    return WayFigured(
        kind=kind,
        possible=not why_not,
        sure=not why_not and ran.straight and ran.downhill,
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
        switched_on=site.switched_on(pit_in),
        new_hole_in2=0.0,
        digging_in3=digging_in3,
        extra_rod_in=0.0,
        asks_engineer=not why_not and not ran.downhill,
    )


def _reaches(site: Site, ran: Ran) -> bool:
    """Whether it is as deep as the plan asks, even where it runs level or uphill to be so."""
    return at_least(ran.depth_in, site.least_in)


def _sides_words(site: Site, ran: Ran) -> str:
    """Return how much is dug to which side."""
    start_in, end_in = site.wider_sides_in(ran.side_offset_in)
    start, end = (show_length(one, site.system) for one in (start_in, end_in))
    if start_in > 0 and end_in > 0:
        if start == end:
            return f"{start} to both sides"
        return f"{start} towards the start corner and {end} towards the end corner"
    return f"{end} towards the end corner" if end_in > 0 else f"{start} towards the start corner"


def _as_it_lies(ran: Ran) -> tuple[str, ...]:
    cautions: list[str] = []
    if not ran.straight and not ran.bent:
        cautions.append(
            "No straight rod ran so: settle that first, a bent rod pulls otherwise than a straight one."
        )
    if not ran.downhill:
        cautions.append("It runs level or uphill to the plate: the engineer decides whether it may stay.")
    return tuple(cautions)


def _too_deep_words(site: Site, ran: Ran) -> str:
    depth, greatest = (show_length(one, site.system) for one in (ran.depth_in, site.greatest_in))
    return f"{depth} is more than the {greatest} at which the plate still fits this pit."


def _aside_words(site: Site, ran: Ran) -> str:
    aside, across = (show_length(one, site.system) for one in (abs(ran.side_offset_in), site.pit_across_in))
    return f"{aside} to the side the plate does not fit a pit {across} across."


def _why_not_deepen(site: Site, ran: Ran, depth_in: float) -> str:
    if not _reaches(site, ran):
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
