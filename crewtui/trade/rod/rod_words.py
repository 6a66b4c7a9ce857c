"""What stands in a rod's way, and what would mend it, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from crewtui.trade.rod.pieces import farther_out_in, fewest_pieces
from crewtui.units import at_least, at_most, show_angle, show_length, show_length_fine

if TYPE_CHECKING:
    from crewtui.trade.aim.play import Play
    from crewtui.trade.rod.rod_plan import Joint, RodPlan
    from crewtui.units import UnitSystem


def coupling_binds(angle_deg: float, drilled_deg: float, play: Play) -> str:
    """Return the words for a coupling that passes the hole straight, but not at the rod's tilt in it."""
    return (
        f"The hole was drilled at {show_angle(drilled_deg)} and lets a coupling through only between"
        f" {show_angle(play.flattest_deg)} and {show_angle(play.steepest_deg)}; this rod runs at"
        f" {show_angle(angle_deg)}: a smaller coupling, or a larger hole if the plan or the maker's sheet"
        " allows it."
    )


def sleeve_stops(corners_in: float, sleeve_in: float, system: UnitSystem) -> str:
    """Return the words for a sleeve that the couplings do not pass."""
    return (
        f"The coupling is {show_length_fine(corners_in, sleeve_in, system)} over its corners and does not"
        f" pass a sleeve of {show_length_fine(sleeve_in, corners_in, system)}: set the sleeve only when the"
        " last coupling is through the wall."
    )


def pieces_in_words(plan: RodPlan, system: UnitSystem) -> str:
    """Return the pieces in the order driven; what is cut before driving says so."""
    return " + ".join(
        f"{show_length(piece.length_in, system, step=16)}{' (cut)' if piece.cut else ''}"
        for piece in plan.pieces
    )


def refusal(plan: RodPlan, system: UnitSystem) -> tuple[str, tuple[str, ...]]:
    """Return why this rod cannot be done so, and what would; both empty where it can."""
    if plan.possible:
        return "", ()
    refused, mends = _no_way(plan)
    if refused:
        return refused, mends
    if plan.to_drive_in and _no_last_piece(plan):
        return _last_too_long(plan, system)
    tight = next((piece for piece in plan.pieces if not piece.fits), None)
    bad = next((joint for joint in plan.joints if not joint.clear), None)
    if tight is not None:
        return _too_tight(plan, tight.number, system)
    return _short(plan, system) if bad is None else _in_the_wall(plan, bad, system)


def _no_way(plan: RodPlan) -> tuple[str, tuple[str, ...]]:
    if not plan.coupling_way.passes_hole:
        return plan.coupling_way.warnings[0], (
            "a smaller coupling",
            "a larger hole, if the plan or the maker's sheet allows it",
        )
    if not plan.inputs.stock_lengths_in and not plan.inputs.pieces_in and plan.spare_in < 0:
        return "No length of stock is given: enter what is on the truck.", ()
    return "", ()


def _no_last_piece(plan: RodPlan) -> bool:
    """Whether a piece is to follow a joint, and none can be long enough to keep it out of the wall."""
    behind_a_joint = bool(plan.inputs.driven_in) or len(plan.to_drive_in) > 1
    return behind_a_joint and not at_most(plan.limits.last_least_in, plan.limits.later_greatest_in)


def _last_too_long(plan: RodPlan, system: UnitSystem) -> tuple[str, tuple[str, ...]]:
    limits = plan.limits
    least_in, greatest_in = limits.last_least_in, max(0.0, limits.later_greatest_in)
    stock_in = max(plan.inputs.stock_lengths_in, default=0.0)
    by_stock = at_least(greatest_in, stock_in)
    refused = (
        f"The last piece must be {show_length_fine(least_in, greatest_in, system)} or longer to keep its"
        f" coupling clear of the wall; {'the stock' if by_stock else 'the room, less hammer and stub,'}"
        f" allows {show_length_fine(greatest_in, least_in, system)}."
    )
    if by_stock:
        return refused, ("longer stock",)
    short_in = least_in - greatest_in
    return refused, (
        f"{show_length(short_in, system, step=16)} more room along the rod, or a hammer that much shorter",
        "a shorter stub or less take-up, if the company allows it",
    )


def _too_tight(plan: RodPlan, number: int, system: UnitSystem) -> tuple[str, tuple[str, ...]]:
    piece = plan.pieces[number - 1]
    there_in = plan.inputs.room_along_rod_in or 0.0
    short_in = piece.room_needed_in - there_in
    if piece.room_there_in is None or short_in <= 0:
        longest_in = max(plan.inputs.stock_lengths_in, default=0.0)
        refused = (
            f"Piece {number} is {show_length_fine(piece.length_in, longest_in, system)}; the longest stock is"
            f" {show_length_fine(longest_in, piece.length_in, system)}."
        )
        return refused, _other_pieces(plan, system)
    refused = (
        f"Piece {number} of {show_length(piece.length_in, system)} needs"
        f" {show_length_fine(piece.room_needed_in, there_in, system)} along the rod, with hammer and stub;"
        f" there is {show_length_fine(there_in, piece.room_needed_in, system)}."
    )
    if plan.inputs.pieces_in and fewest_pieces(plan.limits) is not None:
        return refused, _other_pieces(plan, system)
    return refused, (f"{show_length(short_in, system)} more room, or a hammer and driver that much shorter",)


def _in_the_wall(plan: RodPlan, joint: Joint, system: UnitSystem) -> tuple[str, tuple[str, ...]]:
    over_in = -joint.clear_in
    when = "" if joint.place_in - plan.inputs.coupling_length_in / 2 < 0 else " when the take-up is drawn in"
    refused = (
        f"No order of these pieces keeps every coupling clear: coupling {joint.number} would meet"
        f" {joint.near}{when}, by {show_length(over_in, system, step=16)}."
    )
    return refused, _other_pieces(plan, system)


def _short(plan: RodPlan, system: UnitSystem) -> tuple[str, tuple[str, ...]]:
    short_in = -plan.spare_in
    refused = (
        f"The pieces come to {show_length_fine(plan.total_in, plan.needed_in, system)};"
        f" {show_length_fine(plan.needed_in, plan.total_in, system)} is needed,"
        f" {show_length(short_in, system, step=16)} more."
    )
    last_in = plan.pieces[-1].length_in if plan.pieces and not plan.pieces[-1].driven else 0.0
    if not last_in:
        return refused, (f"one more piece, at least {show_length(plan.limits.last_least_in, system)} long",)
    return refused, (f"a last piece of {show_length(last_in + short_in, system, step=16)}",)


def _other_pieces(plan: RodPlan, system: UnitSystem) -> tuple[str, ...]:
    """Return the ways to a rod whose couplings stand clear: other pieces, one cut, another set-back."""
    mends: list[str] = []
    if plan.inputs.pieces_in and fewest_pieces(plan.limits) is not None:
        mends.append("other pieces: let them be chosen anew for this anchor")
    wall_side = [joint for joint in plan.joints if not joint.clear and joint.near != "the plate"]
    if wall_side and plan.pieces:
        over_in = max(-joint.clear_in for joint in wall_side)
        before = plan.pieces[wall_side[0].number - 1]
        shorter_in = before.length_in - over_in
        if shorter_in >= plan.limits.least_in:
            out = ", which means to draw it out again" if before.driven else ""
            mends.append(
                f"piece {before.number} cut to {show_length(shorter_in, system)} or less{out}, and what"
                " follows longer by as much"
            )
    shift_in = farther_out_in(plan.limits, plan.inputs.pieces_in)
    if shift_in is not None:
        out_in = shift_in * plan.inputs.cos
        mends.append(
            f"a set-back {show_length(out_in, system)} farther out, judged anew for soil, lines and ticket"
        )
    return tuple(mends)


def warnings(plan: RodPlan, refused: str, system: UnitSystem) -> tuple[str, ...]:
    """Return what to know of this rod; first whether the couplings pass, then why it cannot be done so."""
    inputs = plan.inputs
    found = list(plan.coupling_way.warnings)
    if refused and refused not in found:
        found.append(refused)
    if plan.to_drive_in and inputs.free_room_in is None:
        found.append(
            "The free room inside is not given: the pieces are planned as for an open room; measure it."
        )
    elif plan.to_drive_in and inputs.hammer_length_in is None:
        found.append(
            "The length of hammer and driver is not given: the room is figured without them; measure it."
        )
    short = [
        piece.number
        for piece in plan.pieces
        if not piece.driven and not at_least(piece.length_in, inputs.piece_least_in)
    ]
    if short:
        found.append(
            f"Piece {short[0]} is shorter than the company's least of"
            f" {show_length(inputs.piece_least_in, system)}."
        )
    long = [
        piece.number
        for piece in plan.pieces
        if not piece.driven and piece.stock_in is None and inputs.stock_lengths_in
    ]
    if long:
        found.append(
            f"Piece {long[0]} is longer than any stock given: a rod of that length has to be fetched."
        )
    if any(joint.driven and not joint.clear for joint in plan.joints):
        found.append(
            "A coupling in the ground does not stand clear: torque may jam it and say nothing of the anchor;"
            " do not tighten before the office has answered."
        )
    return tuple(found)
