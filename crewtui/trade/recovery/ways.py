"""Recovery: a rod that came up wrong, how it ran, and every way on with what it costs and whether it is sure.

From the depth found in the pit comes the angle that the rod ran at, and its drift from the angle held.
Each way on is figured twice, if the miss was chance and if the drift repeats. The order: what can be done
here; then the least new hole in the wall, then the least digging, then the least rod. Plane geometry; the
plan and the engineer govern.
"""

from __future__ import annotations

import math
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from crewtui.trade.aim.play import Play
from crewtui.trade.aim.rod_line import angle_for_deg, depth_at_seat_in
from crewtui.trade.aim.window import Window, no_room
from crewtui.trade.checks import checked, checked_angle
from crewtui.trade.recovery.drive_again import drive_again, redrill
from crewtui.trade.recovery.miss import Found, Kind, Ran, Site, WayFigured
from crewtui.trade.recovery.other_hole import hole_beside, mark_lands_in, other_mark
from crewtui.trade.recovery.pit_change import accept, deepen, widen
from crewtui.trade.recovery.pit_farther import depth_on_line_in, farther_out, reach
from crewtui.trade.recovery.rod_search import Search, search
from crewtui.units import at_least, at_most, show_angle, show_length

NONE_WORDS: Final = (
    "None of these can be done here: cover the pit, leave the rod, and call the office; the engineer decides."
)
AFTER_WORDS: Final = (
    "A new aim, mark, set-back or pit judges every line in the ground again before anybody drives or digs."
)


class Recovery(Struct, frozen=True, kw_only=True):
    """How the rod ran, and the ways on in order."""

    site: Site
    found: Found
    ran: Ran
    window: Window
    ways: tuple[WayFigured, ...]
    """What can be done here first, each part by new hole, digging and rod."""
    search: Search | None
    """Where to look, if it counts as not found in this pit."""
    warnings: tuple[str, ...]

    @property
    def possible(self) -> tuple[WayFigured, ...]:
        """The ways that can be done here."""
        return tuple(way for way in self.ways if way.possible)

    def way(self, kind: Kind) -> WayFigured | None:
        """Return the way of that kind, if it was figured."""
        return next((way for way in self.ways if way.kind == kind), None)


def recover(site: Site, found: Found) -> Recovery:
    """Return how the rod ran and every way on; ValueError for what no pit can show."""
    ran = how_it_ran(site, found)
    ways = in_order(site, _ways(site, ran))
    window = site.window()
    warnings = list(ran.warnings)
    if not window.open:
        warnings += [window.refused, f"What would mend it: {'; or '.join(window.mends)}."]
    if window.single:
        warnings.append(no_room(window.greatest_in, site.system))
    if not any(way.possible for way in ways):
        warnings.append(NONE_WORDS)
    elif ways[0].kind != "accept":
        warnings.append(AFTER_WORDS)
    return Recovery(
        site=site,
        found=found,
        ran=ran,
        window=window,
        ways=ways,
        search=None if ran.shows else search(site, found.held_angle_deg, at_stop_mark=None),
        warnings=tuple(warnings),
    )


def how_it_ran(site: Site, found: Found) -> Ran:
    """Return the angle run, the drift, and whether a straight rod can have run so."""
    _check_found(site, found)
    depth_in = found.middle_in(site.rod_diameter_in)
    angle_deg = angle_for_deg(site.section, depth_in)
    # atan(aside / (S + t))
    side_deg = math.degrees(math.atan2(found.side_offset_in, site.section.run_in))
    play = site.play
    tilt_deg = angle_deg - site.hole_angle_deg
    held_depth_in = depth_at_seat_in(site.section, found.held_angle_deg + site.drift_mean_deg)
    ran = Ran(
        depth_in=depth_in,
        angle_deg=angle_deg,
        drift_deg=angle_deg - found.held_angle_deg,
        tilt_deg=tilt_deg,
        side_offset_in=found.side_offset_in,
        side_deg=side_deg,
        line_deg=angle_deg if found.seen_angle_deg is None else found.seen_angle_deg,
        seen=found.seen_angle_deg is not None,
        bent=found.seen_angle_deg is not None and abs(found.seen_angle_deg - angle_deg) > site.bent_rod_deg,
        play=play,
        straight_in_section=_within_play(site, play, depth_in),
        straight_aside=play is not None and _at_most_deg(site, abs(side_deg), play.sideways_deg),
        shows=at_most(abs(found.side_offset_in), site.pit_across_in / 2),
        deep_enough=at_least(depth_in, max(site.least_in, site.section.level_depth_in)),
        fits_depth=at_most(depth_in, site.greatest_in),
        fits_across=at_most(sum(site.wider_sides_in(found.side_offset_in)), 0),
        drop_that_explains_in=site.section.drop_in + held_depth_in - depth_in,
        check_first=(),
        warnings=(),
    )
    return replace(
        ran,
        check_first=_check_first(site, ran),
        warnings=_warnings(site, found, ran),
    )


def in_order(site: Site, ways: tuple[WayFigured, ...]) -> tuple[WayFigured, ...]:
    """Return the ways sorted, each with the reason for its place."""

    def rank(way: WayFigured) -> tuple[bool, bool, float, float, float, bool]:
        return (
            not way.possible,
            way.asks_engineer,
            round(way.new_hole_in2, 3),
            round(way.digging_in3, 3),
            round(way.extra_rod_in, 3),
            not way.sure,
        )

    return tuple(replace(way, place=_place(site, way)) for way in sorted(ways, key=rank))


def _ways(site: Site, ran: Ran) -> tuple[WayFigured, ...]:
    left = accept(site, ran)
    if left.sure:
        return (left,)
    ways = [left, drive_again(site, ran), redrill(site, ran), other_mark(site, ran), hole_beside(site, ran)]
    if not ran.deep_enough:
        ways += farther_out(site, ran)
    if not ran.fits_depth:
        ways.append(deepen(site, ran))
    if not ran.fits_across:
        ways.append(widen(site, ran))
    return tuple(ways)


def _place(site: Site, way: WayFigured) -> str:
    if not way.possible:
        return "cannot be done here"
    full_in2 = math.pi * site.hole_diameter_in**2 / 4
    hole = "no new hole in the wall"
    if way.new_hole_in2 > 0:
        hole = "the old hole opened wider" if way.new_hole_in2 < full_in2 else "a new hole in the wall"
    digging = "no digging"
    if way.digging_in3 > 0:
        digging = "a new pit" if way.seat_in != site.section.seat_in else "more digging"
    extra_in = round(way.extra_rod_in, 3)
    rod = f"{show_length(extra_in, site.system)} more rod" if extra_in > 0 else "no more rod"
    return f"{hole}, {digging}, {rod}"


def _check_found(site: Site, found: Found) -> None:
    checked_angle(found.held_angle_deg, "The angle held")
    if found.seen_angle_deg is not None:
        checked_angle(found.seen_angle_deg, "The angle seen in the pit")
    checked("The depth found", found.depth_in)
    if not at_least(found.depth_in, 0):
        raise ValueError("A depth above the ground is none: measure down from the sod line.")
    if not at_most(found.depth_in, site.pit_depth_in):
        depth, pit = (show_length(one, site.system) for one in (found.depth_in, site.pit_depth_in))
        raise ValueError(
            f"A depth of {depth} lies below the floor of the pit ({pit}): check the tape, or"
            " enter the pit's depth as dug."
        )
    checked("The side offset", found.side_offset_in)
    _check_side(site, found.side_offset_in)


def _check_side(site: Site, offset_in: float) -> None:
    if site.wall_length_in is None:
        return
    along_in = (site.along_in or 0.0) + offset_in
    beyond = (
        along_in < 0 or along_in > site.wall_length_in
        if site.along_in is not None
        else (abs(offset_in) > site.wall_length_in)
    )
    if beyond:
        offset = show_length(abs(offset_in), site.system)
        raise ValueError(
            f"A side offset of {offset} lies beyond the end of the wall: measure from the pit's middle."
        )


def _within_play(site: Site, play: Play | None, depth_in: float) -> bool:
    if play is None:
        return False
    return at_least(depth_in, depth_at_seat_in(site.section, play.flattest_deg)) and at_most(
        depth_in, depth_at_seat_in(site.section, play.steepest_deg)
    )


def _at_most_deg(site: Site, angle_deg: float, limit_deg: float) -> bool:
    run_in = site.section.run_in
    return at_most(run_in * math.tan(math.radians(angle_deg)), run_in * math.tan(math.radians(limit_deg)))


def _check_first(site: Site, ran: Ran) -> tuple[str, ...]:
    if ran.play is None:
        return ("By its sizes the rod does not go into this hole: check the hole's and the rod's diameter.",)
    first: list[str] = []
    if not ran.straight_in_section:
        flatter = ran.tilt_deg < 0
        side = "flatter" if flatter else "steeper"
        play = show_angle(ran.play.flatter_deg if flatter else ran.play.steeper_deg)
        tilt = show_angle(abs(ran.tilt_deg))
        drop = show_length(abs(ran.drop_that_explains_in), site.system)
        ground = "drop" if ran.drop_that_explains_in >= 0 else "rise"
        first.append(
            f"No straight rod ran so: it lies {tilt} {side} than the hole, and the play is {play}."
            " Check the hole's angle, the drop and the tape first; if they stand, the rod bent."
        )
        first.append(f"A {ground} of {drop} to the ground at the pit would explain it: shoot it again.")
    if not ran.straight_aside:
        first.append(
            f"No straight rod from a square hole ran {show_angle(abs(ran.side_deg))} to the side (play"
            f" {show_angle(ran.play.sideways_deg)}): check that the hole is square and the pit in line."
        )
    return tuple(first)


def _warnings(site: Site, found: Found, ran: Ran) -> tuple[str, ...]:
    warnings: list[str] = []
    if not ran.shows:
        aside, half = (
            show_length(one, site.system) for one in (abs(ran.side_offset_in), site.pit_across_in / 2)
        )
        warnings.append(f"{aside} to the side is past the pit's half width of {half}: not found in this pit.")
    if (
        ran.play is not None
        and not ran.play.flattest_deg - 1e-6 <= found.held_angle_deg <= ran.play.steepest_deg + 1e-6
    ):
        warnings.append(
            f"A rod held at {show_angle(found.held_angle_deg)} does not lie in a hole drilled at"
            f" {show_angle(site.hole_angle_deg)}: check both angles."
        )
    if ran.angle_deg <= 0:
        warnings.append("The rod runs level or uphill to the plate; it must run downhill.")
    if found.seen_angle_deg is not None and found.seen_angle_deg <= 0:
        warnings.append("In the pit the rod is level or rising: it bent on its way.")
    elif ran.bent:
        seen, chord = show_angle(ran.line_deg), show_angle(ran.angle_deg)
        warnings.append(
            f"The rod is bent: in the pit it lies at {seen}, a straight one would lie at {chord}."
        )
    return tuple(warnings)


__all__ = [
    "AFTER_WORDS",
    "NONE_WORDS",
    "Found",
    "Kind",
    "Ran",
    "Recovery",
    "Search",
    "Site",
    "WayFigured",
    "depth_on_line_in",
    "how_it_ran",
    "in_order",
    "mark_lands_in",
    "reach",
    "recover",
    "search",
]
