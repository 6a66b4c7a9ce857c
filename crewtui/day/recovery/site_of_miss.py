"""From a day's anchor to the site that recovery works on, and from a way on to the entry that takes it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from typing import Final

from msgspec.structs import replace

from crewtui.day.figures.farthest import greatest_setback
from crewtui.day.figures.figure_limits import side_allowed_in
from crewtui.day.figures.of_anchor import AnchorFigures, figures_for
from crewtui.day.figures.wall_drift import drift_of
from crewtui.day.journal import entries as e
from crewtui.day.state.inputs import Inputs, inputs_as_driven, section_of, value_now
from crewtui.day.state.pit_here import rules_at
from crewtui.day.state.state import ACCEPT, HOLD, AnchorNow, DayState
from crewtui.day.truck.loading import on_truck
from crewtui.day.wall.wall_facts import obstacle
from crewtui.trade.aim.drift import Drift
from crewtui.trade.aim.rod_line import DROP_MISSING
from crewtui.trade.ground.wedges import check_wedges
from crewtui.trade.recovery import ways as trade
from crewtui.trade.recovery.miss import Site, no_opening
from crewtui.trade.rod.make_up import plan_rod
from crewtui.trade.rod.rod_plan import RodPlan
from crewtui.trade.wall.block import BLOCK_IN, BedSide, course_or_usual_in
from crewtui.trade.wall.layout import opening_conflicts
from crewtui.units import TOLERANCE_IN, UnitSystem, at_least, at_most

DAY_KIND: Final[Mapping[trade.Kind, str]] = {
    "accept": ACCEPT,
    "drive again": "same hole",
    "drive flatter": "same hole",
    "re-drill steeper": "re-drill",
    "re-drill flatter": "re-drill",
    "hole beside": "beside",
    "lower mark": "lower mark",
    "higher mark": "lower mark",
    "pit farther out": "farther out",
    "deepen the pit": "deepen",
    "widen the pit": "widen",
}
"""The day's kind for each way on: what it makes untrue at the anchor follows from it."""


def recover(state: DayState, anchor_id: str, found: trade.Found) -> trade.Recovery:
    """Return how a rod ran and every way on; ValueError with a sentence where that cannot be worked out."""
    site = site_for(state, anchor_id)
    allowed_in = _side_allowed_in(state, site)
    aside_in = abs(found.side_offset_in)
    if at_most(aside_in, allowed_in):
        fits_in = max(site.pit_across_in - 2 * aside_in, TOLERANCE_IN)
        site = replace(site, plate_width_in=min(site.plate_width_in, fits_in))
    return trade.recover(site, found)


def _side_allowed_in(state: DayState, site: Site) -> float:
    """Return how far aside a plate is still let in, by the same limit as for the offset measured."""
    return side_allowed_in(
        site.pit_across_in, site.plate_width_in, marks_agree_in=state.rules.number("marks_agree_in")
    )


def search(
    state: DayState, anchor_id: str, held_angle_deg: float, *, at_stop_mark: bool | None
) -> trade.Search:
    """Return where to look for a rod that does not show; ValueError where a measure is missing."""
    return trade.search(site_for(state, anchor_id), held_angle_deg, at_stop_mark=at_stop_mark)


def day_way(way: trade.WayFigured) -> e.Way:
    """Return a way on as the day enters it, with the values that are aimed for from then on."""
    values: dict[str, float] = {}
    if way.held_angle_deg is not None:
        values[HOLD] = way.held_angle_deg
    if way.kind in {"lower mark", "higher mark"}:
        values["mark_depth_in"] = way.mark_depth_in
    elif way.kind == "hole beside":
        values["hole_aside_in"] = way.hole_aside_in
    elif way.kind == "pit farther out":
        values |= {"setback_in": way.setback_in, "pit_depth_in": way.pit_depth_in}
        if way.drop_in is not None:
            values["drop_in"] = way.drop_in
        if way.lands_if_drift_repeats_in is not None:
            values["aim_depth_in"] = way.lands_if_drift_repeats_in
    elif way.kind in {"deepen the pit", "widen the pit"}:
        values["pit_across_in"] = way.pit_across_in
        if way.kind == "deepen the pit":
            values["pit_depth_in"] = way.pit_depth_in
    return e.Way(kind=DAY_KIND[way.kind], words=way.words, values=values)


def site_for(state: DayState, anchor_id: str) -> Site:
    """Return the anchor as recovery takes it; ValueError with a sentence where a measure is missing."""
    now, figures = state.anchors[anchor_id], figures_for(state, anchor_id)
    at, section, least = figures.inputs, figures.section, figures.least
    if section is None or least is None or figures.held_angle_deg is None:
        said = figures.said.get("aim", ())
        raise ValueError(said[0] if said else DROP_MISSING)
    drilled_deg, drift = now.value("drilled_angle_deg"), drift_before(state, now)
    wall, tools, rules = state.job.wall(now.wall), state.job.tools, state.rules
    farthest_in, why = greatest_setback(state, now, at)
    bed_in, bed_side = _bed_joint(now, section.mark_depth_in)
    return Site(
        section=section,
        hole_angle_deg=drilled_deg if drilled_deg is not None else figures.held_angle_deg,
        thickness_in=at.number("thickness_in"),
        rod_diameter_in=state.job.rod.diameter_in,
        hole_diameter_in=at.number("hole_diameter_in"),
        pit_kind=tools.pit,
        pit_along_rod_in=at.number("pit_along_rod_in"),
        taped_short_in=at.number("setback_in") - at.number("seat_in"),
        pit_across_in=at.number("pit_across_in"),
        pit_depth_in=at.number("pit_depth_in"),
        plate_width_in=at.number("plate_width_in"),
        plate_height_in=at.number("plate_height_in"),
        wrench_room_in=at.number("wrench_room_in"),
        least_in=least.value_in,
        aim_in=_aim_in(figures),
        band_top_in=rules.number("mark_band_top_in"),
        band_bottom_in=rules.number("mark_band_bottom_in"),
        tail_length_in=at.known("tail_length_in") or 0.0,
        sag_deg=figures.sag_deg or 0.0,
        hammer_length_in=at.known("hammer_length_in") or 0.0,
        room_above_mark_in=_room_above_in(figures),
        grade_to_top_in=at.known("grade_to_top_in"),
        slab_to_top_in=at.known("slab_to_top_in"),
        along_in=at.known("along_in"),
        wall_length_in=wall.length_in,
        block=wall.type == "block",
        bed_joint_in=bed_in,
        bed_joint_side=bed_side,
        course_in=course_or_usual_in(wall.block_course_in),
        openings_clear=_openings(state, now, at),
        wall_plate_width_in=value_now(state, now, "wall_plate_width_in").value,
        wall_between_in=rules.number("wall_between_in"),
        head_joint_in=now.plan.head_joint_in,
        head_joint_side=now.plan.head_joint_side,
        block_length_in=wall.block_length_in or BLOCK_IN,
        greatest_setback_in=farthest_in,
        greatest_setback_why=why,
        farthest_setback_in=rules.number("farthest_setback_in"),
        rods_left_in=_rods_left_in(state),
        couplings_left=on_truck(state).couplings,
        drops_shot=tuple(_drops_shot(state, now, section.seat_in)),
        greatest_pit_depth_in=rules.number_or_none("deepest_pit_in"),
        bent_rod_deg=rules.number("bent_rod_deg"),
        rod_total_in=figures.rod.total_in if figures.rod is not None and figures.rod.pieces else None,
        wedges_least_seat_in=_wedges(figures),
        joint_check=_joints(figures.rod, state.job.job.units),
        rules_at_depth=lambda depth_in: tuple(
            rule.words for rule in rules_at(state, now, depth_in) if rule.applies
        ),
        drift_mean_deg=drift.mean_deg,
        drift_sd_deg=drift.sd_deg,
        spread_deg=drift.spread_deg,
        system=state.job.job.units,
    )


def _openings(state: DayState, now: AnchorNow, at: Inputs) -> Callable[[float], str]:
    """Return what says which opening of the wall a plate so far aside would lie over."""
    openings = [obstacle(one) for one in state.job.wall(now.wall).openings]
    along_in = at.number("along_in")
    up_in = at.number("slab_to_top_in") - at.number("grade_to_top_in") - at.number("mark_depth_in")

    def over(aside_in: float) -> str:
        conflicts = opening_conflicts(
            [(now.id, along_in + aside_in, up_in)],
            openings,
            wall_length_in=state.job.wall(now.wall).length_in,
            plate_width_in=value_now(state, now, "wall_plate_width_in").number,
            plate_height_in=value_now(state, now, "wall_plate_height_in").number,
        )
        return conflicts[0].words if conflicts else ""

    return over if openings else no_opening


def _rods_left_in(state: DayState) -> tuple[float, ...] | None:
    """Return the lengths that are left on the truck, whole ones and offcuts; None where none are listed."""
    truck = state.shared.truck
    if not truck.rods:
        return None
    whole = [length_in for length_in, count in truck.rods.items() for _ in range(max(0, count))]
    return (*whole, *truck.offcuts)


def _drops_shot(state: DayState, now: AnchorNow, seat_in: float) -> Iterator[tuple[float, float]]:
    """Yield the drops known farther out on this line: shot for an earlier pit, or of a plane yard."""
    for drive in now.drives:
        at = inputs_as_driven(state, now.id, drive)
        if at["drop_in"].source == "as built":
            there = section_of(at)
            if there.seat_in > seat_in:
                yield there.seat_in, there.drop_in
    if now.plan.yard_slope is not None:
        farthest_in = max(seat_in, state.rules.number("farthest_setback_in"))
        yield farthest_in, now.plan.yard_slope * farthest_in


def drift_before(state: DayState, now: AnchorNow) -> Drift:
    """Return the wall's drift without the rod that was found here and is not yet kept as a drive."""
    as_built = {name: value for name, value in now.as_built.items() if name != "depth_found_in"}
    before = replace(now, as_built=as_built, drives=now.settled)
    return drift_of(replace(state, anchors={**state.anchors, now.id: before}), now.wall)


def _aim_in(figures: AnchorFigures) -> float:
    """Return the depth to aim for anew: the plan's or the company's, where the window has room for it."""
    asked_in, window = figures.inputs.number("aim_depth_in"), figures.window
    if window is None or not window.open or figures.inputs["aim_depth_in"].source != "company rule":
        return asked_in
    inside = at_least(asked_in, window.shallowest_in) and at_most(asked_in, window.greatest_in)
    return asked_in if inside or figures.best is None else figures.best.depth_in


def _room_above_in(figures: AnchorFigures) -> float | None:
    clearance_in = figures.inputs.known("joist_clearance_in")
    if clearance_in is None or figures.mark is None:
        return None
    return figures.mark.down_from_top_in + clearance_in


def _bed_joint(now: AnchorNow, mark_in: float) -> tuple[float | None, BedSide | None]:
    """Return the nearest bed joint as entered for the planned mark, seen from the mark as it is."""
    plan = now.plan
    planned_in = plan.mark_depth_in if plan.mark_depth_in is not None else mark_in
    moved_in = mark_in - planned_in
    if plan.bed_joint_in is None or math.isclose(moved_in, 0.0, abs_tol=TOLERANCE_IN):
        return plan.bed_joint_in, plan.bed_joint_side
    if plan.bed_joint_side is None:
        return None, None
    below_in = plan.bed_joint_in if plan.bed_joint_side == "below" else -plan.bed_joint_in
    below_in -= moved_in
    return abs(below_in), "below" if below_in >= 0 else "above"


def _wedges(figures: AnchorFigures) -> Callable[[float, float], float | None] | None:
    base_in = figures.inputs.known("base_to_grade_in")
    section = figures.section
    if base_in is None or section is None:
        return None
    friction_deg = figures.inputs.number("friction_angle_deg")

    def least_seat_in(plate_base_in: float, fall: float) -> float | None:
        return check_wedges(
            section.seat_in,
            base_to_grade_in=base_in,
            plate_base_depth_in=plate_base_in,
            friction_angle_deg=friction_deg,
            fall=fall,
        ).least_seat_in

    return least_seat_in


def _joints(rod: RodPlan | None, system: UnitSystem) -> Callable[[float], str] | None:
    """Return what says how the couplings stand when this rod is driven so much farther."""
    if rod is None or not rod.pieces:
        return None
    driven_in = tuple(piece.length_in for piece in rod.pieces)

    def wrong(extra_in: float) -> str:
        farther_in = rod.inputs.seat_in + extra_in * rod.inputs.cos
        there = plan_rod(
            replace(rod.inputs, seat_in=farther_in, driven_in=driven_in, pieces_in=()), system=system
        )
        return there.refused if any(not joint.clear for joint in there.joints) else ""

    return wrong


__all__ = ["DAY_KIND", "day_way", "drift_before", "recover", "search", "site_for"]
