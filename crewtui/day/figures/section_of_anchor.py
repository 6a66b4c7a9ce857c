"""The section of one anchor as a picture, from its figures as they stand or as typed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from crewtui.day.figures.of_anchor import AnchorFigures, figures_for
from crewtui.day.state.inputs import inputs_as_driven, section_of
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.trade.aim.rod_line import Section, angle_for_deg, way_through_in
from crewtui.trade.pictures import section as trade
from crewtui.units import at_least, at_most

_LEAST_DRAWN_IN: Final = 1.0
"""What is typed half-way may be no size at all; the picture then draws so much."""


def section_picture(
    state: DayState, anchor_id: str, typed: Mapping[str, float] | None = None
) -> trade.SectionPicture:
    """Return the picture of an anchor; what is not known yet is left out of it."""
    return picture_of(state, figures_for(state, anchor_id, typed=typed))


def picture_of(state: DayState, figures: AnchorFigures) -> trade.SectionPicture:
    """Return the picture of an anchor whose figures are known."""
    now, at, window = state.anchors[figures.anchor], figures.inputs, figures.window
    wall = state.job.wall(now.wall)
    pit_along_in = max(at.number("pit_along_rod_in"), _LEAST_DRAWN_IN)
    tail_in = max(at.known("tail_length_in") or 0.0, 0.0)
    is_open = window is not None and window.open
    aim = figures.aim
    return trade.section_picture(
        trade.WallSide(
            type=wall.type,
            way_in=max(way_through_in(at.number("thickness_in"), at.number("bow_in")), _LEAST_DRAWN_IN),
            grade_to_top_in=at.number("grade_to_top_in"),
            slab_to_top_in=max(at.number("slab_to_top_in"), _LEAST_DRAWN_IN),
            joist_clearance_in=at.known("joist_clearance_in"),
            course_in=wall.block_course_in if wall.type == "block" else None,
        ),
        trade.PitSide(
            seat_in=max(at.number("seat_in"), _LEAST_DRAWN_IN),
            near_in=at.number("setback_in") - pit_along_in / 2,
            along_rod_in=pit_along_in,
            depth_in=max(at.number("pit_depth_in"), _LEAST_DRAWN_IN),
            plate_height_in=max(at.number("plate_height_in"), _LEAST_DRAWN_IN),
        ),
        mark_depth_in=max(at.number("mark_depth_in"), _LEAST_DRAWN_IN),
        drop_in=at.known("drop_in"),
        held_deg=figures.held_angle_deg,
        run_deg=aim.angle_deg if aim is not None else None,
        tail_length_in=tail_in,
        least_angle_deg=window.least_angle_deg if window is not None and is_open else None,
        greatest_angle_deg=window.greatest_angle_deg if window is not None and is_open else None,
        frost_in=at.known("frost_depth_in"),
        ran_deg=tuple(_ran_deg(state, now, figures.section)),
        plate_depth_in=now.value("depth_found_in"),
        lines=figures.lines.lines if figures.lines is not None else (),
        title=f"{now.id}, {wall.name}",
        system=state.job.job.units,
    )


def _ran_deg(state: DayState, now: AnchorNow, section: Section | None) -> Iterator[float]:
    """Yield the angles of the rods driven from this mark, the last one last."""
    if section is None:
        return
    for drive in now.drives:
        at = inputs_as_driven(state, now.id, drive)
        if drive.depth_found_in is None or at.known("drop_in") is None:
            continue
        then = section_of(at)
        same_mark = at_least(then.mark_depth_in, section.mark_depth_in) and at_most(
            then.mark_depth_in, section.mark_depth_in
        )
        if same_mark:
            yield angle_for_deg(then, drive.depth_found_in)
