"""A rod that does not show in the pit: how far it should have come, and where to look for it."""

from __future__ import annotations

import math
from typing import Final

from msgspec import Struct

from crewtui.trade.aim.rod_line import depth_at_seat_in
from crewtui.trade.checks import checked_angle
from crewtui.trade.recovery.miss import Site
from crewtui.trade.rod.stop_mark import StopMark, stop_mark
from crewtui.units import at_most, show_length

HAND_TOOLS_WORDS: Final = (
    "Search by hand tools from the rim, with nobody in the pit and nobody at the hammer."
)
DEVIATIONS: Final = 2.0
"""The likely band: two standard deviations of drift and spread to either side."""


class Search(Struct, frozen=True, kw_only=True):
    """Where the rod's end may be, at the seat."""

    site: Site
    held_angle_deg: float
    at_stop_mark: bool | None
    """Whether the stop mark on the rod came to the wall; None while nobody said."""
    stop: StopMark
    shallowest_in: float
    """Of the likely band: two standard deviations about the aim, inside the play."""
    deepest_in: float
    aside_in: float
    """Likely to either side of the pit's middle."""
    words: tuple[str, ...]


def search(site: Site, held_angle_deg: float, *, at_stop_mark: bool | None) -> Search:
    """Return the band of depth and of side to search, from the play and from drift and spread."""
    checked_angle(held_angle_deg, "The angle held")
    # so many √(σ² + τ²) either way
    sd_deg = DEVIATIONS * math.hypot(site.drift_sd_deg, site.spread_deg)
    middle_deg = held_angle_deg + site.drift_mean_deg
    likely_deg, aside_deg = (middle_deg - sd_deg, middle_deg + sd_deg), sd_deg
    play = site.play
    bound_deg, bound_aside_deg = likely_deg, aside_deg
    if play is not None:
        bound_deg, bound_aside_deg = (play.flattest_deg, play.steepest_deg), play.sideways_deg
        low_deg, high_deg = (min(max(one, bound_deg[0]), bound_deg[1]) for one in likely_deg)
        likely_deg, aside_deg = (low_deg, high_deg), min(aside_deg, bound_aside_deg)
    shallowest_in, deepest_in = (max(0.0, _depth_in(site, one)) for one in likely_deg)
    play_shallowest_in, play_deepest_in = (max(0.0, _depth_in(site, one)) for one in bound_deg)
    aside_in, play_aside_in = (
        site.section.run_in * math.tan(math.radians(min(one, 80.0))) for one in (aside_deg, bound_aside_deg)
    )
    stop = stop_mark(
        site.section,
        held_angle_deg,
        past_seat_in=site.past_seat_in,
        rod_total_in=site.rod_total_in,
        tail_least_in=site.tail_least_in,
    )
    return Search(
        site=site,
        held_angle_deg=held_angle_deg,
        at_stop_mark=at_stop_mark,
        stop=stop,
        shallowest_in=shallowest_in,
        deepest_in=deepest_in,
        aside_in=aside_in,
        words=(
            _stop_words(site, stop, at_stop_mark),
            _band_words(site, (shallowest_in, deepest_in, aside_in), "Look first from"),
            _cut_words(site, deepest_in, aside_in),
            _band_words(
                site, (play_shallowest_in, play_deepest_in, play_aside_in), "No straight rod is outside"
            ),
            *((_floor_words(site),) if not at_most(play_deepest_in, site.pit_depth_in) else ()),
            HAND_TOOLS_WORDS,
        ),
    )


def _depth_in(site: Site, angle_deg: float) -> float:
    return depth_at_seat_in(site.section, min(max(angle_deg, -89.0), 89.0))


def _stop_words(site: Site, stop: StopMark, at_stop_mark: bool | None) -> str:
    mark = show_length(stop.from_end_in, site.system)
    ends = stop.words(site.system)
    if at_stop_mark is None:
        return f"See whether the stop mark, {mark} from the rod's end, has come to the wall. {ends}".rstrip()
    if at_stop_mark and not ends:
        return f"The stop mark ({mark}) has come to the wall: the end is out there. Nobody drives on; search."
    if at_stop_mark:
        return f"The stop mark ({mark}) has come to the wall: nobody drives on. {ends} Else search."
    return (
        f"The stop mark ({mark}) has not come to the wall: the end may not have come to the pit"
        " yet. With nobody in"
        f" the pit drive on to the mark, no farther, and look again. {ends}"
    ).rstrip()


def _band_words(site: Site, band_in: tuple[float, float, float], how: str) -> str:
    shallow, deep, aside = (show_length(one, site.system) for one in band_in)
    return f"{how} {shallow} to {deep} below the sod line and {aside} to either side."


def _cut_words(site: Site, deepest_in: float, aside_in: float) -> str:
    """Return what of the likely band the pit does not open yet."""
    half_in = site.pit_across_in / 2
    cuts: list[str] = []
    if not at_most(aside_in, half_in):
        cuts.append(f"{show_length(aside_in - half_in, site.system)} wider to either side")
    if not at_most(deepest_in, site.pit_depth_in):
        cuts.append(f"{show_length(deepest_in - site.pit_depth_in, site.system)} deeper")
    if not cuts:
        return "The pit opens all of that: probe its house-side face with a bar, then cut to either side."
    return f"Probe the house-side face with a bar, then cut the pit {' and '.join(cuts)}."


def _floor_words(site: Site) -> str:
    floor = show_length(site.pit_depth_in, site.system)
    return f"It may also lie below the pit's floor ({floor})."
