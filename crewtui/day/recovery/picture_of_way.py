"""The section with a rod as it ran, and as one way on would run."""

from __future__ import annotations

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.figures.section_of_anchor import picture_of
from crewtui.day.state.state import DayState
from crewtui.trade.aim.rod_line import Section, angle_for_deg
from crewtui.trade.pictures.section import SectionPicture, Stroke, with_rods
from crewtui.trade.recovery.ways import Recovery, WayFigured
from crewtui.units import show_angle, show_length


def picture_of_way(
    state: DayState, anchor: str, recovery: Recovery, way: WayFigured | None
) -> SectionPicture:
    """Return the section of the anchor as the way on would have it; without one, as it stands."""
    system = state.job.job.units
    site, ran = recovery.site.section, recovery.ran
    words = f"ran {show_angle(ran.angle_deg)}, {show_length(ran.depth_in, system)}"
    ran_stroke = _stroke(site, ran.depth_in, ran.angle_deg, words)
    typed = {} if way is None else _placed(way)
    picture = picture_of(state, figures_for(state, anchor, typed=typed))
    rod = None
    lands_in = None if way is None else way.lands_if_chance_in
    if way is not None and way.new_drive and lands_in is not None:
        section = Section(
            mark_depth_in=way.mark_depth_in,
            way_in=site.way_in,
            seat_in=way.seat_in,
            drop_in=site.drop_in if way.drop_in is None else way.drop_in,
        )
        hold = show_angle(way.held_angle_deg or 0.0)
        words = f"hold {hold}, {show_length(lands_in, system)} if it runs true"
        rod = _stroke(section, lands_in, angle_for_deg(section, lands_in), words)
    return with_rods(picture, ran=ran_stroke, rod=rod)


def _placed(way: WayFigured) -> dict[str, float]:
    """Return where the way puts hole, plate and pit."""
    found = {
        "mark_depth_in": way.mark_depth_in,
        "seat_in": way.seat_in,
        "setback_in": way.setback_in,
        "pit_depth_in": way.pit_depth_in,
    }
    return found if way.drop_in is None else {**found, "drop_in": way.drop_in}


def _stroke(section: Section, depth_in: float, angle_deg: float, words: str) -> Stroke:
    """Return a rod from its mark to the seat, where it lies so deep below the ground there."""
    return Stroke(
        start=(-section.way_in, section.mark_depth_in),
        end=(section.seat_in, section.drop_in + depth_in),
        angle_deg=angle_deg,
        words=words,
        short=words.partition(",")[0],
    )


__all__ = ["picture_of_way"]
