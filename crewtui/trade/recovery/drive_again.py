"""The ways on for a rod that is driven again: same hole, re-drilled, or from another mark."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec.structs import replace

from crewtui.trade.aim.rod_line import Section, depth_at_seat_in, rod_line_in, tail_rise_in, tail_room
from crewtui.trade.aim.window import chance_held_inside
from crewtui.trade.recovery.miss import Kind, Ran, Site, Way
from crewtui.units import TOLERANCE_IN, at_least, at_most, show_angle, show_length

_STEEPEST_DEG = 89.0
"""Where a landing is no longer figured: no rod is driven so."""
_SAME_ANGLE_DEG = 0.1
"""Angles nearer than what a level reads to are the same angle."""


def drive_again(site: Site, ran: Ran) -> Way:
    """Return the drive through the same hole, as near to the wanted angle as its play lets the rod lie."""
    kind: Kind = "drive flatter" if not ran.fits_depth else "drive again"
    wanted_deg = _wanted_deg(site, ran)
    cautions = ["In the same hole the rod tends to follow its old path."]
    if ran.play is None:
        why_not = "The rod does not go into this hole by its sizes: check both."
        held_deg = wanted_deg
    else:
        why_not = ""
        held_deg = min(max(wanted_deg, ran.play.flattest_deg), ran.play.steepest_deg)
        if abs(held_deg - wanted_deg) > _SAME_ANGLE_DEG:
            cautions.append(
                f"{show_angle(wanted_deg)} would be wanted; the hole's play ends at {show_angle(held_deg)}."
            )
    return _driven(
        site,
        ran,
        kind,
        section=site.section,
        held_deg=held_deg,
        why_not=why_not,
        cautions=cautions,
        how="Pull it and drive again through the same hole",
    )


def redrill(site: Site, ran: Ran) -> Way:
    """Return the hole drilled anew at the same mark, at the angle that the drift calls for."""
    flatter = not ran.fits_depth
    kind: Kind = "re-drill flatter" if flatter else "re-drill steeper"
    held_deg = _wanted_deg(site, ran)
    change_deg = held_deg - site.hole_angle_deg
    why_not = ""
    if (change_deg > -_SAME_ANGLE_DEG) if flatter else (change_deg < _SAME_ANGLE_DEG):
        why_not = (
            f"The hole stands at {show_angle(site.hole_angle_deg)} and {show_angle(held_deg)} is wanted:"
            " drilling again gains nothing."
        )
    shift_in = site.thickness_in * abs(
        math.tan(math.radians(held_deg)) - math.tan(math.radians(site.hole_angle_deg))
    )
    return _driven(
        site,
        ran,
        kind,
        section=site.section,
        held_deg=held_deg,
        why_not=why_not,
        cautions=["The bit wanders into the old hole: start it square and steepen slowly; fill what opens."],
        how="Pull it and re-drill at the same mark",
        new_hole_in2=_opened_in2(site.hole_diameter_in, shift_in) / 2,
    )


def other_mark(site: Site, ran: Ran) -> Way:
    """Return a lower mark (a higher one where the rod ran too deep), held at the same angle."""
    higher = not ran.fits_depth
    kind: Kind = "higher mark" if higher else "lower mark"
    now_in = site.section.mark_depth_in
    held_deg = ran.angle_deg - ran.drift_deg
    wanted_in = now_in + _wanted_shift_in(site, ran, held_deg)
    first_in, last_in = (
        (site.band_top_in, min(site.band_bottom_in, now_in - site.hole_diameter_in))
        if higher
        else (max(site.band_top_in, now_in + site.hole_diameter_in), site.band_bottom_in)
    )
    mark_in = clear_mark_in(site, wanted_in, first_in, last_in)
    why_not = ""
    if mark_in is None or not any(map(site.inside, mark_lands_in(site, ran, mark_in))):
        mark_in = wanted_in
        wanted, top, bottom = (
            show_length(one, site.system) for one in (wanted_in, site.band_top_in, site.band_bottom_in)
        )
        clear = " and clear of joints" if site.block else ""
        why_not = (
            f"It would take a mark at {wanted} below grade: the band of {top} to {bottom} has no"
            " place that serves,"
            f" a hole's width from the old one{clear}."
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
    return _driven(
        site,
        ran,
        kind,
        section=replace(site.section, mark_depth_in=max(mark_in, TOLERANCE_IN)),
        held_deg=held_deg,
        why_not=why_not,
        cautions=cautions,
        how="Drill a new hole",
        new_hole_in2=_opened_in2(site.hole_diameter_in, abs(mark_in - now_in)),
    )


def mark_lands_in(site: Site, ran: Ran, mark_depth_in: float) -> tuple[float, float]:
    """Return where a rod from this mark lands at the same held angle: if chance, if the drift repeats."""
    section = replace(site.section, mark_depth_in=max(mark_depth_in, TOLERANCE_IN))
    return _lands_in(site, ran, section, ran.angle_deg - ran.drift_deg)


def clear_mark_in(site: Site, wanted_in: float, first_in: float, last_in: float) -> float | None:
    """Return the nearest depth to the wanted one, first to last, at which the hole clears bed joints."""
    if first_in > last_in:
        return None
    clear_in = site.joint_clear_in
    joints: list[float] = []
    for one_in in _joint_depths_in(site):
        first = math.floor((first_in - one_in) / site.course_in)
        last = math.ceil((last_in - one_in) / site.course_in)
        joints += [one_in + number * site.course_in for number in range(first, last + 1)]
    tries = [min(max(wanted_in, first_in), last_in), first_in, last_in]
    tries += [joint + way * clear_in for joint in joints for way in (-1, 1)]
    clear = [
        one
        for one in tries
        if first_in <= one <= last_in and all(at_least(abs(one - joint), clear_in) for joint in joints)
    ]
    return min(clear, key=lambda one: abs(one - wanted_in), default=None)


def _joint_depths_in(site: Site) -> tuple[float, ...]:
    """Return where a bed joint lies below grade; both places where its side is not known."""
    if not site.block or site.bed_joint_in is None:
        return ()
    above_in = site.section.mark_depth_in - site.bed_joint_in
    below_in = site.section.mark_depth_in + site.bed_joint_in
    if site.bed_joint_side is None:
        return (above_in, below_in)
    return (above_in,) if site.bed_joint_side == "above" else (below_in,)


def _wanted_deg(site: Site, ran: Ran) -> float:
    """Return the angle to hold: the aim's less the drift expected.

    Where some angle lands inside both times, the nearest of those.
    """
    window = site.window()
    wanted_deg = window.aim_angle_deg - site.next_drift_deg(ran.drift_deg)
    drifts = (site.drift_mean_deg, ran.drift_deg)
    low_deg = window.least_angle_deg - min(drifts)
    high_deg = window.greatest_angle_deg - max(drifts)
    return min(max(wanted_deg, low_deg), high_deg) if window.open and low_deg <= high_deg else wanted_deg


def _wanted_shift_in(site: Site, ran: Ran, held_deg: float) -> float:
    """Return how much lower the mark is wanted at this held angle; the same choice as for the angle."""
    expected_deg = _bounded(held_deg + site.next_drift_deg(ran.drift_deg))
    wanted_in = site.aim_in - depth_at_seat_in(site.section, expected_deg)
    lands = _lands_in(site, ran, site.section, held_deg)
    low_in, high_in = site.least_in - min(lands), site.greatest_in - max(lands)
    return min(max(wanted_in, low_in), high_in) if low_in <= high_in else wanted_in


def _bounded(angle_deg: float) -> float:
    return min(max(angle_deg, -_STEEPEST_DEG), _STEEPEST_DEG)


def _lands_in(site: Site, ran: Ran, section: Section, held_deg: float) -> tuple[float, float]:
    return (
        depth_at_seat_in(section, _bounded(held_deg + site.drift_mean_deg)),
        depth_at_seat_in(section, _bounded(held_deg + ran.drift_deg)),
    )


def _opened_in2(diameter_in: float, shift_in: float) -> float:
    """Return the area of a round hole that an equal one, so far off, leaves uncut."""
    full_in2 = math.pi * diameter_in**2 / 4
    if shift_in >= diameter_in:
        return full_in2
    half = math.acos(shift_in / diameter_in)
    lens_in2 = diameter_in**2 / 2 * half - shift_in / 2 * math.sqrt(diameter_in**2 - shift_in**2)
    return full_in2 - lens_in2


def _driven(
    site: Site,
    ran: Ran,
    kind: Kind,
    *,
    section: Section,
    held_deg: float,
    how: str,
    why_not: str,
    cautions: Sequence[str],
    new_hole_in2: float = 0.0,
) -> Way:
    """Return a new drive at this angle from this mark, with both landings and what speaks against it."""
    lands_in = _lands_in(site, ran, section, held_deg)
    flattest_deg = held_deg + min(site.drift_mean_deg, ran.drift_deg)
    lands = flattest_deg > 0 and ran.fits_across and ran.straight_in_section
    why_not = why_not or _why_no_drive(site, section, held_deg, lands_in)
    pit_for_sure_in = _pit_for_sure_in(site, lands_in)
    held_deg = _bounded(held_deg)
    down_in, up_in = site.tape_in(section.mark_depth_in)
    more_rod_in = rod_line_in(section, held_deg) - rod_line_in(site.section, ran.angle_deg - ran.drift_deg)
    return Way(
        kind=kind,
        possible=not why_not,
        sure=not why_not and lands and all(map(site.inside, lands_in)),
        why_not=why_not,
        words=_drive_words(site, section, held_deg, how=how, lands_in=lands_in),
        cautions=(*cautions, *_drive_cautions(site, ran, section, lands_in, pit_for_sure_in)),
        lands_if_chance_in=lands_in[0],
        lands_if_drift_repeats_in=lands_in[1],
        share=_share(site, ran, section, held_deg),
        held_angle_deg=held_deg,
        tail_rise_in=tail_rise_in(held_deg, site.tail_length_in),
        mark_depth_in=section.mark_depth_in,
        down_from_top_in=down_in,
        up_from_slab_in=up_in,
        seat_in=section.seat_in,
        setback_in=site.setback_in,
        drop_in=section.drop_in,
        pit_depth_in=site.pit_depth_in,
        pit_across_in=site.pit_across_in,
        pit_for_sure_in=pit_for_sure_in,
        switched_on=site.switched_on(pit_for_sure_in) if pit_for_sure_in is not None else (),
        new_hole_in2=new_hole_in2,
        digging_in3=0.0,
        extra_rod_in=max(0.0, more_rod_in) if new_hole_in2 else 0.0,
    )


def _share(site: Site, ran: Ran, section: Section, held_deg: float) -> float:
    return chance_held_inside(
        site.window(section),
        held_deg,
        drift_mean_deg=site.next_drift_deg(ran.drift_deg),
        drift_sd_deg=site.sd_after_deg,
        spread_deg=site.spread_deg,
    )


def _pit_for_sure_in(site: Site, lands_in: tuple[float, float]) -> float | None:
    """Return the pit in which both landings would be inside; None where this one does or depth is lacking."""
    if at_most(max(lands_in), site.greatest_in) or not at_least(min(lands_in), site.least_in):
        return None
    needed_in = site.pit_depth_for_in(max(lands_in))
    reach_in = site.greatest_pit_depth_in
    return needed_in if reach_in is None or at_most(needed_in, reach_in) else None


def _why_no_drive(site: Site, section: Section, held_deg: float, lands_in: tuple[float, float]) -> str:
    if not 0 < held_deg < _STEEPEST_DEG:
        return (
            f"It would have to be held at {show_angle(held_deg)}: no rod is driven level, uphill or upright."
        )
    _, up_in = site.tape_in(section.mark_depth_in)
    if up_in is not None and at_most(up_in, 0):
        return "The mark would lie below the slab."
    if site.room_above_mark_in is not None:
        lower_in = section.mark_depth_in - site.section.mark_depth_in
        room = tail_room(
            held_deg,
            tail_length_in=site.tail_length_in,
            hammer_length_in=site.hammer_length_in,
            down_from_top_in=site.room_above_mark_in + lower_in,
            joist_clearance_in=0.0,
            system=site.system,
        )
        if not room.clears:
            return room.warnings[0]
    if not any(map(site.inside, lands_in)):
        chance, repeats = (show_length(one, site.system) for one in lands_in)
        return (
            f"It would land at {chance} if the miss was chance and at {repeats} if the drift repeats:"
            f" neither is inside {_window_words(site)}."
        )
    return ""


def _window_words(site: Site) -> str:
    if not at_most(site.least_in, site.greatest_in):
        return "a window, which this pit and plate leave none of"
    return f"{show_length(site.least_in, site.system)} to {show_length(site.greatest_in, site.system)}"


def _drive_words(
    site: Site, section: Section, held_deg: float, *, how: str, lands_in: tuple[float, float]
) -> str:
    chance, repeats = (show_length(one, site.system) for one in lands_in)
    place = ""
    if section.mark_depth_in != site.section.mark_depth_in:
        place = f" at {show_length(section.mark_depth_in, site.system)} below grade"
        down_in, up_in = site.tape_in(section.mark_depth_in)
        if down_in is not None:
            place += f", {show_length(down_in, site.system)} down from the top of the wall"
        if up_in is not None:
            place += f", {show_length(up_in, site.system)} up from the slab"
    rise_in = tail_rise_in(held_deg, site.tail_length_in)
    tail = f"{show_length(rise_in, site.system)} over {show_length(site.tail_length_in, site.system)} of tail"
    return (
        f"{how}{place}, held at {show_angle(held_deg)} ({tail}):"
        f" {chance} if the miss was chance, {repeats} if the drift repeats."
    )


def _drive_cautions(
    site: Site, ran: Ran, section: Section, lands_in: tuple[float, float], pit_for_sure_in: float | None
) -> list[str]:
    cautions: list[str] = []
    if not ran.straight_in_section:
        cautions.append(
            "Not sure while nobody has settled why no straight rod explains the last one; a bent rod is not"
            " driven again."
        )
    if pit_for_sure_in is not None:
        cautions.append(
            f"Both would be inside only in a pit {show_length(pit_for_sure_in, site.system)} deep."
        )
    if not ran.fits_across:
        aside = show_length(abs(ran.side_offset_in), site.system)
        cautions.append(
            f"To the side it may miss by {aside} again: point it {show_angle(abs(ran.side_deg))}"
            " back, or widen the pit."
        )
    landed_in = [one for one in lands_in if site.inside(one)]
    if landed_in:
        meet = site.wedges_meet(max(landed_in), seat_in=section.seat_in, fall=section.fall)
        cautions += [meet] if meet else []
    return cautions
