"""The ways on that drive the rod again from its mark: through the same hole, or re-drilled."""

from __future__ import annotations

import math
from collections.abc import Sequence

from crewtui.trade.aim.rod_line import Section, depth_at_seat_in, rod_line_in, tail_rise_in, tail_room
from crewtui.trade.aim.window import chance_held_inside
from crewtui.trade.recovery.choosing import Span, best_of, both, wishes, without
from crewtui.trade.recovery.miss import Kind, Ran, Site, WayFigured
from crewtui.units import TOLERANCE_IN, at_least, at_most, show_angle, show_length

STEEPEST_DEG = 89.0
"""Where a landing is no longer figured: no rod is driven so."""
SAME_ANGLE_DEG = 0.1
"""Angles nearer than what a level reads to are the same angle."""
LEVEL_DEG = 1e-6
"""The least that is told from level."""


def drive_again(site: Site, ran: Ran) -> WayFigured:
    """Return the drive through the same hole, at the best of all angles that its play lets the rod lie at."""
    kind: Kind = "drive flatter" if not ran.fits_depth else "drive again"
    cautions = ["In its old hole a rod tends to follow its old path: how far this one will is not known."]
    wanted_deg, why_not, held_deg = _wanted_deg(site, ran, site.section), "", None
    if ran.play is None:
        why_not = "The rod does not go into this hole by its sizes: check both."
    else:
        play = (ran.play.flattest_deg, ran.play.steepest_deg)
        held_deg = best_angle(site, ran, site.section, [play])
        if held_deg is None:
            held_deg = min(max(wanted_deg, play[0]), play[1])
        if abs(held_deg - wanted_deg) > SAME_ANGLE_DEG and not play[0] <= wanted_deg <= play[1]:
            cautions.append(
                f"{show_angle(wanted_deg)} would be wanted; the hole's play ends at {show_angle(held_deg)}."
            )
    return driven(
        site,
        ran,
        kind,
        section=site.section,
        held_deg=wanted_deg if held_deg is None else held_deg,
        why_not=why_not,
        cautions=cautions,
        how="Pull the rod. Drive again through the same hole",
        follows_old_path=True,
    )


def redrill(site: Site, ran: Ran) -> WayFigured:
    """Return the hole drilled anew at the same mark, at the best angle other than the hole's own."""
    flatter = not ran.fits_depth
    ways = without([(LEVEL_DEG, STEEPEST_DEG)], site.hole_angle_deg, SAME_ANGLE_DEG)
    wanted_deg = _wanted_deg(site, ran, site.section)
    held_deg = best_angle(site, ran, site.section, ways)
    if held_deg is None:
        held_deg = wanted_deg
    else:
        flatter = held_deg < site.hole_angle_deg
    shift_in = site.thickness_in * abs(
        math.tan(math.radians(bounded(held_deg))) - math.tan(math.radians(site.hole_angle_deg))
    )
    return driven(
        site,
        ran,
        "re-drill flatter" if flatter else "re-drill steeper",
        section=site.section,
        held_deg=held_deg,
        why_not="",
        cautions=["The bit wanders into the old hole: start it square and steepen slowly; fill what opens."],
        how="Pull the rod. Re-drill at the same mark",
        new_hole_in2=opened_in2(site.hole_diameter_in, shift_in) / 2,
    )


def best_angle(site: Site, ran: Ran, section: Section, spans: Sequence[Span]) -> float | None:
    """Return the angle to hold, of those in the spans, that serves best; None where none lands inside.

    Whatever the drift turns out to be, from none to all of the last rod's, a landing counts only downhill.
    """
    window = site.window(section)
    if not at_most(window.shallowest_in, site.greatest_in):
        return None
    least_deg = max(window.least_angle_deg, LEVEL_DEG)
    allowed = both(spans, [(LEVEL_DEG, steepest_deg(site, section))])
    wish = wishes(least_deg, window.greatest_angle_deg, site.drifts_deg(ran.drift_deg))
    return best_of(_wanted_deg(site, ran, section), allowed, wish)


def steepest_deg(site: Site, section: Section) -> float:
    """Return the steepest angle at which tail and hammer clear what hangs over the room."""
    room_in = _room_in(site, section)
    if room_in is None:
        return STEEPEST_DEG
    reach_in = site.tail_length_in + site.hammer_length_in
    if reach_in <= room_in:
        return STEEPEST_DEG
    return math.degrees(math.asin(max(0.0, room_in) / reach_in))


def _room_in(site: Site, section: Section) -> float | None:
    if site.room_above_mark_in is None:
        return None
    return site.room_above_mark_in + section.mark_depth_in - site.section.mark_depth_in


def _wanted_deg(site: Site, ran: Ran, section: Section) -> float:
    """Return the angle to hold for the aim with the drift that is expected."""
    return site.window(section).aim_angle_deg - site.next_drift_deg(ran.drift_deg)


def bounded(angle_deg: float) -> float:
    """Return the angle, short of straight up and straight down."""
    return min(max(angle_deg, -STEEPEST_DEG), STEEPEST_DEG)


def lands_in(site: Site, ran: Ran, section: Section, held_deg: float) -> tuple[float, float, float]:
    """Return where a rod held so lands: if the miss was chance, if it repeats, and as expected."""
    chance, repeats, expected = (
        depth_at_seat_in(section, bounded(held_deg + drift_deg))
        for drift_deg in site.drifts_deg(ran.drift_deg)
    )
    return chance, repeats, expected


def opened_in2(diameter_in: float, shift_in: float) -> float:
    """Return the area of a round hole that an equal one, so far off, leaves uncut."""
    full_in2 = math.pi * diameter_in**2 / 4
    if shift_in >= diameter_in:
        return full_in2
    half = math.acos(shift_in / diameter_in)
    # overlap of two circles of one size, c apart: d²/2·acos(c/d) − c/2·sqrt(d² − c²)
    lens_in2 = diameter_in**2 / 2 * half - shift_in / 2 * math.sqrt(diameter_in**2 - shift_in**2)
    return full_in2 - lens_in2


def driven(
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
    hole_aside_in: float = 0.0,
    follows_old_path: bool = False,
) -> WayFigured:
    """Return a new drive at this angle from this hole, with its landings and what speaks against it.

    ``follows_old_path``: nobody knows how the rod runs there, so it has no share and is never sure.
    """
    landings_in = lands_in(site, ran, section, held_deg)
    drifts_deg = site.drifts_deg(ran.drift_deg)
    why_not = why_not or _why_no_drive(site, ran, section, held_deg)
    known = ran.fits_across and ran.straight_in_section and not ran.bent and not follows_old_path
    sure = known and all(
        site.serves(depth_in, held_deg + drift_deg)
        for depth_in, drift_deg in zip(landings_in[:2], drifts_deg[:2], strict=True)
    )
    pit_for_sure_in = None if follows_old_path else _pit_for_sure_in(site, landings_in)
    held_deg = bounded(held_deg)
    down_in, up_in = site.tape_in(section.mark_depth_in)
    more_rod_in = rod_line_in(section, held_deg) - rod_line_in(site.section, ran.angle_deg - ran.drift_deg)
    return WayFigured(
        kind=kind,
        possible=not why_not,
        sure=sure and not why_not,
        why_not=why_not,
        words=_drive_words(site, ran, section, held_deg, how=how, landings_in=landings_in),
        cautions=(*cautions, *_drive_cautions(site, ran, landings_in, pit_for_sure_in)),
        lands_if_chance_in=landings_in[0],
        lands_if_drift_repeats_in=landings_in[1],
        share=None if follows_old_path or not known else _share(site, ran, section, held_deg),
        held_angle_deg=held_deg,
        tail_rise_in=tail_rise_in(held_deg + site.sag_deg, site.tail_length_in),
        mark_depth_in=section.mark_depth_in,
        down_from_top_in=down_in,
        up_from_slab_in=up_in,
        seat_in=site.section.seat_in,
        setback_in=site.setback_in,
        drop_in=section.drop_in,
        pit_depth_in=site.pit_depth_in,
        pit_across_in=site.pit_across_in,
        switched_on=site.switched_on(pit_for_sure_in) if pit_for_sure_in is not None else (),
        new_hole_in2=new_hole_in2,
        digging_in3=0.0,
        extra_rod_in=max(0.0, more_rod_in) if new_hole_in2 else 0.0,
        hole_aside_in=hole_aside_in,
    )


def _share(site: Site, ran: Ran, section: Section, held_deg: float) -> float:
    return chance_held_inside(
        site.window(section),
        held_deg,
        drift_mean_deg=site.next_drift_deg(ran.drift_deg),
        drift_sd_deg=site.sd_after_deg,
        spread_deg=site.spread_deg,
    )


def _pit_for_sure_in(site: Site, landings_in: tuple[float, float, float]) -> float | None:
    """Return the pit in which both landings would be inside; None where this one does or depth is lacking."""
    deepest_in, shallowest_in = max(landings_in[:2]), min(landings_in[:2])
    if at_most(deepest_in, site.greatest_in) or not at_least(shallowest_in, site.least_in):
        return None
    needed_in = site.pit_depth_for_in(deepest_in)
    reach_in = site.greatest_pit_depth_in
    return needed_in if reach_in is None or at_most(needed_in, reach_in) else None


def _why_no_drive(site: Site, ran: Ran, section: Section, held_deg: float) -> str:
    if not 0 < held_deg < STEEPEST_DEG:
        return (
            f"It would have to be held at {show_angle(held_deg)}: no rod is driven level, uphill or upright."
        )
    _, up_in = site.tape_in(section.mark_depth_in)
    if up_in is not None and at_most(up_in, 0):
        return "The mark would lie below the slab."
    if not at_most(site.least_in, site.greatest_in):
        return "Least and greatest depth leave no window in this pit with this plate."
    room_in = _room_in(site, section)
    if room_in is not None and held_deg > steepest_deg(site, section) + LEVEL_DEG:
        room = tail_room(
            held_deg + site.sag_deg,
            tail_length_in=site.tail_length_in,
            hammer_length_in=site.hammer_length_in,
            down_from_top_in=max(0.0, room_in),
            joist_clearance_in=0.0,
            system=site.system,
        )
        if not room.clears:
            return room.warnings[0]
    if best_angle(site, ran, section, [(held_deg - LEVEL_DEG, held_deg + LEVEL_DEG)]) is None:
        chance, repeats, _ = (show_length(one, site.system) for one in lands_in(site, ran, section, held_deg))
        window = " to ".join(show_length(one, site.system) for one in (site.least_in, site.greatest_in))
        return (
            f"It would land at {chance} if it runs true and at {repeats} {again(ran)}: neither is inside"
            f" {window} and downhill, nor is anything between."
        )
    return ""


def again(ran: Ran) -> str:
    """Return the case that the drift repeats, in the words of somebody who saw the rod."""
    if abs(ran.drift_deg) < SAME_ANGLE_DEG / 2:
        return "if it runs so again"
    return f"if it runs {'flat' if ran.drift_deg < 0 else 'steep'} again"


def lands_words(site: Site, ran: Ran, landings_in: tuple[float, float, float]) -> str:
    """Return where a rod may land, for a tired lead."""
    chance, repeats, expected = (show_length(one, site.system) for one in landings_in)
    if chance == repeats:
        return f"It lands at {chance}."
    words = f"It lands at {chance} if it runs true, {repeats} {again(ran)}"
    inside = [site.inside(one) for one in landings_in]
    return f"{words}; {expected} is what to expect." if inside[2] and not any(inside[:2]) else f"{words}."


def _drive_words(
    site: Site,
    ran: Ran,
    section: Section,
    held_deg: float,
    *,
    how: str,
    landings_in: tuple[float, float, float],
) -> str:
    place = ""
    if abs(section.mark_depth_in - site.section.mark_depth_in) > TOLERANCE_IN:
        place = f" at {show_length(section.mark_depth_in, site.system)} below grade"
        down_in, up_in = site.tape_in(section.mark_depth_in)
        if down_in is not None:
            place += f", {show_length(down_in, site.system)} down from the top of the wall"
        if up_in is not None:
            place += f", {show_length(up_in, site.system)} up from the slab"
    tail = ""
    if site.tail_length_in > 0:
        rise = show_length(tail_rise_in(held_deg + site.sag_deg, site.tail_length_in), site.system)
        tail = f": tail {rise} up over {show_length(site.tail_length_in, site.system)}"
    return f"{how}{place}, held at {show_angle(held_deg)}{tail}. {lands_words(site, ran, landings_in)}"


def _drive_cautions(
    site: Site,
    ran: Ran,
    landings_in: tuple[float, float, float],
    pit_for_sure_in: float | None,
) -> list[str]:
    cautions: list[str] = []
    if ran.bent:
        cautions.append("The last rod is bent: it is not driven again, take another.")
    elif not ran.straight_in_section:
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
    landed_in = [one for one in landings_in if site.inside(one)]
    if landed_in:
        meet = site.wedges_meet(max(landed_in), seat_in=site.section.seat_in, fall=site.section.fall)
        cautions += [meet] if meet else []
    return cautions
