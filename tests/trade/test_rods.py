"""One anchor's rod: length, pieces, order, joints, room, trim, and what is said where none serves."""

from __future__ import annotations

import itertools
import math
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from crewtui.trade.rod.make_up import piece_limits, plan_rod
from crewtui.trade.rod.pieces import PieceLimits, choose_pieces, fewest_pieces, joint_windows, order_for
from crewtui.trade.rod.rod_inputs import RodInputs
from crewtui.trade.rod.rod_plan import RodPlan

COMMON: dict[str, Any] = {
    "seat_in": 144.0,
    "way_in": 8.0,
    "angle_deg": 5.26,
    "plate_thickness_in": 0.375,
    "nut_height_in": 0.64,
    "threads_showing": 4,
    "threads_per_in": 10,
    "wall_plate_thickness_in": 0.375,
    "washer_thickness_in": 0.15,
    "take_up_in": 3.0,
    "stock_lengths_in": (80.0,),
    "rod_diameter_in": 0.75,
    "coupling_length_in": 2.25,
    "coupling_corners_in": 1.1,
    "hole_diameter_in": 1.125,
    "free_room_in": 120.0,
    "hammer_length_in": 14.0,
}


def plan(**changes: Any) -> RodPlan:
    return plan_rod(RodInputs(**{**COMMON, **changes}))


def test_needed_length_is_the_slope_of_the_way_and_what_stands_out_at_both_ends() -> None:
    made = plan()
    cos = math.cos(math.radians(5.26))
    out_in = 0.375 + 0.64 + 4 / 10
    room_in = 0.375 + 0.15 + 0.64 + 3
    assert made.past_plate_in == pytest.approx(out_in)
    assert made.in_room_in == pytest.approx(room_in)
    assert made.needed_in == pytest.approx(152 / cos + out_in + room_in)
    assert made.total_in == 160
    assert made.spare_in == made.trimmed_in == pytest.approx(160 - made.needed_in)
    assert made.possible
    assert made.warnings == ()


def test_a_joint_stands_where_the_pieces_before_it_end() -> None:
    made = plan()
    (joint,) = made.joints
    assert joint.place_in == pytest.approx(144 / math.cos(math.radians(5.26)) + 1.415 - 80)
    assert joint.place_drawn_in == pytest.approx(joint.place_in - 3)
    sleeve_in = 0.25 / math.cos(math.radians(5.26))
    assert joint.clear_in == pytest.approx(joint.place_drawn_in - 1.125 - sleeve_in)
    assert joint.near == "the wall"
    assert made.couplings == made.couplings_to_fit == 1


def test_pieces_fit_a_tight_room_with_hammer_and_stub() -> None:
    made = plan(free_room_in=60.0)
    assert made.possible
    cos = math.cos(math.radians(5.26))
    for piece in made.pieces:
        before_in = -8 / cos if piece.number == 1 else 4
        assert piece.room_needed_in == pytest.approx(piece.length_in + before_in + 14)
        assert piece.room_needed_in <= 60 / cos + 1e-6
        assert piece.fits
    assert len(made.pieces) == 4
    assert all(joint.clear for joint in made.joints)
    assert made.total_in == pytest.approx(made.needed_in)


def test_whole_lengths_before_cut_ones_where_as_few_pieces_do() -> None:
    made = plan(free_room_in=60.0, stock_lengths_in=(80.0, 40.0))
    assert [piece.length_in for piece in made.pieces] == [40, 40, 40, 40]
    assert not any(piece.cut for piece in made.pieces)


def test_a_room_too_tight_for_the_last_piece_says_so_and_by_how_much() -> None:
    made = plan(free_room_in=30.0)
    assert not made.possible
    assert "last piece must be" in made.refused
    assert any("more room along the rod" in mend for mend in made.mends)
    assert made.refused in made.warnings
    assert made.pieces


def test_a_hammer_longer_than_the_room_is_told_not_raised() -> None:
    made = plan(free_room_in=10.0)
    assert not made.possible
    assert made.refused
    assert made.mends


def test_driven_pieces_stay_and_their_joint_stays_where_it_is() -> None:
    before = plan()
    after = plan(driven_in=(80.0,), seat_in=168.0)
    assert after.pieces[0].driven
    assert after.pieces[0].length_in == 80
    assert after.possible
    assert len(after.pieces) == 3
    moved = after.joints[0].place_in - before.joints[0].place_in
    assert moved == pytest.approx(24 / math.cos(math.radians(5.26)))


def test_a_longer_last_piece_moves_no_joint() -> None:
    short = plan(pieces_in=(80.0, 79.0))
    long = plan(pieces_in=(80.0, 95.0))
    assert [joint.place_in for joint in short.joints] == [joint.place_in for joint in long.joints]
    assert long.trimmed_in == pytest.approx(short.trimmed_in + 16)


def test_an_offcut_worth_keeping_is_said_at_the_company_s_length() -> None:
    needed_in = plan().needed_in
    assert plan(pieces_in=(80.0, needed_in - 80 + 24)).trimmed_worth_keeping
    assert not plan(pieces_in=(80.0, needed_in - 80 + 23.9)).trimmed_worth_keeping


def test_pull_in_lengthens_what_is_trimmed_and_counts_past_the_take_up() -> None:
    pulled = plan(driven_in=(80.0, 80.0), pulled_in_in=4.0)
    assert pulled.trimmed_in == pytest.approx(plan().trimmed_in + 4)
    assert pulled.joints[0].place_drawn_in == pytest.approx(pulled.joints[0].place_in - 4)


def test_a_driven_joint_that_would_meet_the_wall_names_the_ways_out() -> None:
    made = plan(driven_in=(80.0,), seat_in=78.0)
    assert not made.possible
    assert "coupling 1 would meet the wall" in made.refused
    farther = next(mend for mend in made.mends if "farther out" in mend)
    assert "draw it out again" in " ".join(made.mends)
    assert farther
    # 78 in and what is missing, to a quarter inch, stands clear; a quarter inch less does not
    short_in = -made.joints[0].clear_in * math.cos(math.radians(5.26))
    assert plan(driven_in=(80.0,), seat_in=78.0 + short_in + 0.26).possible
    assert not plan(driven_in=(80.0,), seat_in=78.0 + short_in - 0.26).possible


def test_before_the_take_up_clear_and_after_it_not_is_said_as_that() -> None:
    made = plan(driven_in=(80.0,), seat_in=81.0)
    assert "when the take-up is drawn in" in made.refused


def test_an_order_of_given_pieces_is_found_where_the_given_one_fails() -> None:
    # a short piece last would leave its coupling in the wall
    made = plan(pieces_in=(80.0, 68.0, 12.0))
    assert made.possible
    assert made.to_drive_in[-1] > 12
    assert sorted(made.to_drive_in) == [12, 68, 80]


def test_no_order_of_given_pieces_says_so_and_what_would() -> None:
    made = plan(seat_in=138.0, pieces_in=(140.0, 14.0), free_room_in=None)
    assert not made.possible
    assert "No order of these pieces" in made.refused or "longest stock" in made.refused
    assert any("chosen anew" in mend for mend in made.mends)


def test_pieces_that_come_out_short_say_how_much_more() -> None:
    made = plan(pieces_in=(80.0, 70.0))
    assert not made.possible
    assert "is needed" in made.refused
    assert made.spare_in < 0
    assert made.trimmed_in == 0


def test_corners_that_do_not_pass_the_hole_come_first() -> None:
    made = plan(coupling_corners_in=1.155, sleeve_inside_in=1.1, free_room_in=None)
    assert not made.possible
    assert not made.coupling_way.passes_hole
    assert "does not pass a hole" in made.warnings[0]
    assert "sleeve" in made.warnings[1]


def test_corners_that_pass_straight_but_not_at_the_rod_s_tilt() -> None:
    made = plan(drilled_angle_deg=8.0)
    assert not made.possible
    assert "drilled at" in made.refused
    assert plan(drilled_angle_deg=5.4).possible


def test_a_rod_in_the_ground_whose_couplings_are_through_asks_nothing_of_the_hole() -> None:
    made = plan(driven_in=(80.0, 80.0), coupling_corners_in=1.155)
    assert made.possible
    assert made.warnings == ()


def test_what_is_not_known_is_said() -> None:
    assert "free room" in plan(free_room_in=None).warnings[0]
    assert "hammer and driver" in plan(hammer_length_in=None).warnings[0]
    assert "No length of stock" in plan(stock_lengths_in=()).refused


def test_bad_inputs_are_refused_in_a_sentence() -> None:
    for change in (
        {"seat_in": 0},
        {"angle_deg": 90},
        {"stub_in": -1},
        {"stock_lengths_in": (0.0,)},
        {"pieces_in": (-2.0,)},
    ):
        with pytest.raises(ValueError, match=r"\.$"):
            plan(**change)


limits_strategy = st.builds(
    lambda needed, least, first, later, far, driven: PieceLimits(
        needed_in=float(needed),
        driven_in=float(driven),
        least_in=float(least),
        first_greatest_in=float(max(first, later)),
        later_greatest_in=float(later),
        joint_least_in=3.0,
        joint_greatest_in=float(needed - far),
    ),
    needed=st.integers(10, 60),
    least=st.integers(2, 8),
    first=st.integers(2, 30),
    later=st.integers(2, 25),
    far=st.integers(3, 14),
    driven=st.sampled_from([0, 0, 0, 12, 25]),
)


def serves(limits: PieceLimits, lengths: tuple[int, ...]) -> bool:
    """Return whether pieces keep every rule, written out one by one."""
    joints = list(itertools.accumulate(lengths, initial=int(limits.driven_in)))
    inner = joints[:-1] if limits.driven_in else joints[1:-1]
    return (
        all(limits.joint_least_in <= joint <= limits.joint_greatest_in for joint in inner)
        and all(length >= limits.least_in for length in lengths)
        and all(length <= limits.greatest_in(place) for place, length in enumerate(lengths))
        and joints[-1] >= limits.needed_in
    )


@settings(deadline=None, max_examples=120)
@given(limits=limits_strategy)
def test_fewest_pieces_against_trying_every_whole_inch(limits: PieceLimits) -> None:
    assume(limits.rest_in > 0)
    fewest = fewest_pieces(limits)
    for count in (1, 2, 3):
        sizes = range(int(limits.least_in), int(limits.first_greatest_in) + 1)
        found = any(serves(limits, lengths) for lengths in itertools.product(sizes, repeat=count))
        assert (joint_windows(limits, count) is not None) == found
        if found:
            assert fewest is not None
            assert fewest <= count


@settings(deadline=None, max_examples=150)
@given(limits=limits_strategy, stock=st.lists(st.integers(5, 30), min_size=1, max_size=3))
def test_chosen_pieces_keep_every_rule(limits: PieceLimits, stock: list[int]) -> None:
    longest = float(max(stock))
    limits = PieceLimits(
        needed_in=limits.needed_in,
        driven_in=limits.driven_in,
        least_in=limits.least_in,
        first_greatest_in=min(limits.first_greatest_in, longest),
        later_greatest_in=min(limits.later_greatest_in, longest),
        joint_least_in=limits.joint_least_in,
        joint_greatest_in=limits.joint_greatest_in,
    )
    fewest = fewest_pieces(limits)
    assume(fewest)
    assert fewest is not None
    chosen = choose_pieces(limits, fewest, [float(length) for length in stock])
    assert chosen is not None
    lengths = tuple(choice.length_in for choice in chosen)
    assert len(lengths) == fewest
    assert order_for(limits, lengths) == lengths
    assert limits.driven_in + sum(lengths) >= limits.needed_in - 1e-6
    assert all(choice.length_in <= choice.stock_in for choice in chosen)


@settings(deadline=None, max_examples=100)
@given(limits=limits_strategy, pieces=st.lists(st.integers(2, 25), min_size=1, max_size=5))
def test_an_order_is_found_when_there_is_one(limits: PieceLimits, pieces: list[int]) -> None:
    def fits(order: tuple[int, ...]) -> bool:
        joints = list(itertools.accumulate(order, initial=int(limits.driven_in)))
        inner = joints[:-1] if limits.driven_in else joints[1:-1]
        return all(limits.joint_least_in <= joint <= limits.joint_greatest_in for joint in inner) and all(
            length <= limits.greatest_in(place) for place, length in enumerate(order)
        )

    exists = any(fits(order) for order in itertools.permutations(pieces))
    found = order_for(limits, [float(piece) for piece in pieces])
    assert (found is not None) == exists
    if found is not None:
        assert sorted(found) == sorted(pieces)


@settings(deadline=None, max_examples=60)
@given(
    seat_in=st.floats(60, 300),
    angle_deg=st.floats(0, 15),
    room_in=st.one_of(st.none(), st.floats(20, 160)),
    stock=st.sampled_from([(80.0,), (72.0, 40.0), (144.0,), (36.0,)]),
)
def test_any_plan_holds_together(
    seat_in: float, angle_deg: float, room_in: float | None, stock: tuple[float, ...]
) -> None:
    made = plan(seat_in=seat_in, angle_deg=angle_deg, free_room_in=room_in, stock_lengths_in=stock)
    assert made.possible == (made.refused == "")
    assert made.total_in == pytest.approx(sum(piece.length_in for piece in made.pieces))
    assert len(made.joints) == max(0, len(made.pieces) - 1)
    if made.possible:
        limits = piece_limits(made.inputs)
        assert len(made.pieces) == fewest_pieces(limits)
        assert all(joint.clear for joint in made.joints)
        assert all(piece.fits for piece in made.pieces)
        assert made.spare_in >= -1e-6
    else:
        assert made.warnings
