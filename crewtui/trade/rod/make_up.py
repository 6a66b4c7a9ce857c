"""The rod of one anchor: how long, which pieces in which order, where its couplings end up, what is trimmed.

Places along the rod are counted from the wall's outer face, positive toward the plate, as they stand before
tightening. The rod's length is (S + t)/cos θ, with what stands out past the seat and what stands in the room.
Plane geometry and sums of lengths; no source beyond them. The plan and the maker's sheet govern the fittings.
"""

from __future__ import annotations

import math

from msgspec.structs import replace

from crewtui.trade.aim.play import coupling_play
from crewtui.trade.rod import rod_words
from crewtui.trade.rod.pieces import ChosenPiece, PieceLimits, choose_pieces, fewest_pieces, order_for
from crewtui.trade.rod.rod_inputs import RodInputs
from crewtui.trade.rod.rod_plan import CouplingWay, Joint, RodPiece, RodPlan
from crewtui.units import TOLERANCE_IN, UnitSystem, at_least, at_most


def piece_limits(inputs: RodInputs) -> PieceLimits:
    """Return what bounds the pieces of this rod: stock, room, the least piece, and the joints' places."""
    stock_in = max(inputs.stock_lengths_in, default=0.0)
    first_in = later_in = stock_in
    if inputs.room_along_rod_in is not None:
        room_in = inputs.room_along_rod_in - (inputs.hammer_length_in or 0.0)
        first_in = min(stock_in, room_in + inputs.way_in / inputs.cos)
        later_in = min(stock_in, room_in - inputs.stub_in)
    half_in = inputs.coupling_length_in / 2
    return PieceLimits(
        needed_in=inputs.needed_in,
        driven_in=sum(inputs.driven_in),
        least_in=inputs.piece_least_in,
        first_greatest_in=first_in,
        later_greatest_in=later_in,
        joint_least_in=inputs.past_plate_in + half_in,
        joint_greatest_in=inputs.lead_place_in - _sleeve_in(inputs) - half_in - inputs.drawn_in,
    )


def plan_rod(inputs: RodInputs, *, system: UnitSystem = "imperial") -> RodPlan:
    """Return the rod's pieces in the order driven, its joints, and what stands in its way.

    Fewest pieces first, then the fewest cut before driving. Pieces already driven stay as they are;
    pieces of a cut list keep their lengths and are put in an order that serves, if one does.
    """
    limits = piece_limits(inputs)
    choices, serves = _chosen(inputs, limits)
    lengths_in = inputs.driven_in + tuple(choice.length_in for choice in choices)
    pieces = _pieces(inputs, limits, choices)
    joints = _joints(inputs, lengths_in)
    total_in = sum(lengths_in)
    spare_in = total_in - inputs.needed_in
    trimmed_in = max(0.0, spare_in + inputs.pulled_in_in)
    way = _coupling_way(inputs, any(not joint.driven for joint in joints), system)
    plan = RodPlan(
        inputs=inputs,
        needed_in=inputs.needed_in,
        past_plate_in=inputs.past_plate_in,
        in_room_in=inputs.in_room_in,
        limits=limits,
        pieces=pieces,
        joints=joints,
        total_in=total_in,
        spare_in=spare_in,
        trimmed_in=trimmed_in,
        trimmed_worth_keeping=trimmed_in > 0 and at_least(trimmed_in, inputs.offcut_worth_keeping_in),
        coupling_way=way,
        possible=serves and way.passes_hole and at_least(spare_in, 0.0),
        refused="",
        mends=(),
    )
    refused, mends = rod_words.refusal(plan, system)
    return replace(plan, refused=refused, mends=mends, warnings=rod_words.warnings(plan, refused, system))


def _chosen(inputs: RodInputs, limits: PieceLimits) -> tuple[tuple[ChosenPiece, ...], bool]:
    """Return the pieces still to be driven, and whether they fit; those that do not are shown as well."""
    if inputs.pieces_in:
        order = order_for(limits, inputs.pieces_in)
        lengths_in = inputs.pieces_in if order is None else order
        return tuple(_given(inputs, length_in) for length_in in lengths_in), order is not None
    if not inputs.stock_lengths_in:
        return (), limits.rest_in <= TOLERANCE_IN
    anywhere = replace(limits, joint_least_in=0.0, joint_greatest_in=limits.needed_in)
    stock_in = max(inputs.stock_lengths_in)
    for relaxed in (
        limits,
        anywhere,
        replace(
            anywhere,
            least_in=min(limits.least_in, stock_in),
            first_greatest_in=stock_in,
            later_greatest_in=stock_in,
        ),
    ):
        count = fewest_pieces(relaxed)
        choices = (
            choose_pieces(relaxed, count, inputs.stock_lengths_in) if count else (() if count == 0 else None)
        )
        if choices is not None:
            return choices, relaxed is limits and (count != 0 or _driven_clear(inputs))
    return (), False


def _driven_clear(inputs: RodInputs) -> bool:
    return all(joint.clear for joint in _joints(inputs, inputs.driven_in))


def _given(inputs: RodInputs, length_in: float) -> ChosenPiece:
    source = min(
        (stock for stock in inputs.stock_lengths_in if at_least(stock, length_in)), default=length_in
    )
    return ChosenPiece(length_in=length_in, stock_in=source)


def _pieces(inputs: RodInputs, limits: PieceLimits, choices: tuple[ChosenPiece, ...]) -> tuple[RodPiece, ...]:
    there_in = inputs.room_along_rod_in
    hammer_in = inputs.hammer_length_in or 0.0
    pieces = [
        RodPiece(
            number=number,
            length_in=length_in,
            driven=True,
            stock_in=None,
            cut=False,
            room_needed_in=0.0,
            room_there_in=there_in,
            fits=True,
        )
        for number, length_in in enumerate(inputs.driven_in, start=1)
    ]
    for place, choice in enumerate(choices):
        first = place == 0 and not inputs.driven_in
        base_in = -inputs.way_in / inputs.cos if first else inputs.stub_in
        in_stock = any(at_least(stock_in, choice.length_in) for stock_in in inputs.stock_lengths_in)
        pieces.append(
            RodPiece(
                number=len(pieces) + 1,
                length_in=choice.length_in,
                driven=False,
                stock_in=choice.stock_in if in_stock else None,
                cut=choice.cut,
                room_needed_in=max(0.0, base_in + choice.length_in) + hammer_in,
                room_there_in=there_in,
                fits=at_most(choice.length_in, limits.greatest_in(place)),
            )
        )
    return tuple(pieces)


def _joints(inputs: RodInputs, lengths_in: tuple[float, ...]) -> tuple[Joint, ...]:
    joints: list[Joint] = []
    end_in = 0.0
    for number, length_in in enumerate(lengths_in[:-1], start=1):
        end_in += length_in
        place_in = inputs.lead_place_in - end_in
        drawn_in = place_in - inputs.drawn_in
        clear_in, near = _clear(inputs, place_in)
        joints.append(
            Joint(
                number=number,
                place_in=place_in,
                place_drawn_in=drawn_in,
                clear_in=clear_in,
                near=near,
                driven=number < len(inputs.driven_in),
            )
        )
    return tuple(joints)


def _clear(inputs: RodInputs, place_in: float) -> tuple[float, str]:
    """Return the least distance that a coupling keeps, before and after the take-up, and what from."""
    half_in = inputs.coupling_length_in / 2
    nut_in = -inputs.way_in / inputs.cos - (inputs.in_room_in - inputs.take_up_in)
    if place_in + half_in <= nut_in:
        return nut_in - place_in - half_in, "the wall nut"
    return min(
        (place_in - inputs.drawn_in - half_in - _sleeve_in(inputs), "the wall"),
        (inputs.seat_in / inputs.cos - half_in - place_in, "the plate"),
    )


def _sleeve_in(inputs: RodInputs) -> float:
    return inputs.sleeve_past_wall_in / inputs.cos


def coupling_passes(inputs: RodInputs) -> bool:
    """Whether a coupling passes the hole at the angle that this rod lies at."""
    return _coupling_way(inputs, True, "imperial").passes_hole


def _coupling_way(inputs: RodInputs, to_pass: bool, system: UnitSystem) -> CouplingWay:
    """Judge the couplings still to pass, over their corners; none to pass is no trouble."""
    drilled_deg = inputs.angle_deg if inputs.drilled_angle_deg is None else inputs.drilled_angle_deg
    play = coupling_play(
        drilled_deg,
        rod_diameter_in=inputs.rod_diameter_in,
        corners_in=inputs.coupling_corners_in,
        coupling_length_in=inputs.coupling_length_in,
        hole_diameter_in=inputs.hole_diameter_in,
        hole_length_in=inputs.wall_thickness_in or inputs.way_in,
        system=system,
    )
    sleeve = inputs.sleeve_inside_in
    passes_sleeve = None if sleeve is None else at_most(inputs.coupling_corners_in, sleeve)
    said: tuple[str, ...] = ()
    passes = not to_pass or play.play is not None
    if to_pass:
        said = play.warnings
        if play.play is not None:
            leaning = play.play.flattest_deg <= inputs.angle_deg <= play.play.steepest_deg
            passes = leaning or math.isclose(drilled_deg, inputs.angle_deg, abs_tol=1e-9)
            if not passes:
                said += (rod_words.coupling_binds(inputs.angle_deg, drilled_deg, play.play),)
        if sleeve is not None and not passes_sleeve:
            said += (rod_words.sleeve_stops(inputs.coupling_corners_in, sleeve, system),)
    return CouplingWay(
        passes_hole=passes,
        tilt_deg=None if play.play is None else min(play.play.steeper_deg, play.play.flatter_deg),
        warnings=said,
    )
