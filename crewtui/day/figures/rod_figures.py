"""The rod of one anchor as the day has it: section, fittings, truck, room, and what was measured."""

from __future__ import annotations

from crewtui.day.state.inputs import Inputs, number_now
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.trade.aim.rod_line import Section
from crewtui.trade.rod.make_up import plan_rod
from crewtui.trade.rod.rod_inputs import RodInputs
from crewtui.trade.rod.rod_plan import RodPlan


def plan_for(state: DayState, now: AnchorNow, inputs: Inputs, section: Section, angle_deg: float) -> RodPlan:
    """Return the pieces of the anchor's rod, lying at this angle."""
    return plan_rod(rod_inputs(state, now, inputs, section, angle_deg), system=state.job.job.units)


def rod_inputs(
    state: DayState, now: AnchorNow, inputs: Inputs, section: Section, angle_deg: float
) -> RodInputs:
    """Return what the rod follows from; a fitting that the job file leaves out is the company's."""
    rod, rules, job = state.job.rod, state.rules, state.job

    def fitting(key: str) -> float:
        return number_now(state, now, key)

    showing = now.value("threads_showing")
    pulled_in = (now.value("pull_in_in") or 0.0) + (now.value("second_pull_in_in") or 0.0)
    return RodInputs(
        seat_in=section.seat_in,
        way_in=section.way_in,
        angle_deg=angle_deg,
        plate_thickness_in=fitting("plate_thickness_in"),
        nut_height_in=fitting("nut_height_in"),
        threads_showing=showing if showing is not None else rules.number("threads_past_nut"),
        threads_per_in=rod.threads_per_in,
        wall_plate_thickness_in=fitting("wall_plate_thickness_in"),
        washer_thickness_in=fitting("washer_thickness_in"),
        take_up_in=rules.number("take_up_in"),
        stock_lengths_in=tuple(stock.length_in for stock in job.stock.rods if stock.count),
        rod_diameter_in=rod.diameter_in,
        coupling_length_in=rod.coupling_length_in,
        coupling_corners_in=rod.coupling_corners_in,
        hole_diameter_in=inputs.number("hole_diameter_in"),
        wall_thickness_in=inputs.number("thickness_in"),
        drilled_angle_deg=now.value("drilled_angle_deg"),
        sleeve_inside_in=job.tools.sleeve_inside_in,
        sleeve_past_wall_in=rules.number("sleeve_past_wall_in"),
        free_room_in=inputs.known("free_room_in"),
        hammer_length_in=inputs.known("hammer_length_in"),
        piece_least_in=rules.number("rod_piece_least_in"),
        offcut_worth_keeping_in=rules.number("rod_offcut_worth_keeping_in"),
        driven_in=tuple(piece.length_in for piece in now.pieces),
        pulled_in_in=max(0.0, pulled_in),
    )
