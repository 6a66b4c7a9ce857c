from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from crewtui.trade.aim.drift import posterior
from crewtui.trade.aim.rod_line import Section, angle_for_deg, depth_at_seat_in, skewed
from crewtui.trade.recovery.choosing import nearest
from crewtui.trade.recovery.other_hole import clear_marks_in
from crewtui.trade.recovery.ways import (
    AFTER_WORDS,
    NONE_WORDS,
    Found,
    Kind,
    Recovery,
    Site,
    WayFigured,
    depth_on_line_in,
    how_it_ran,
    reach,
    recover,
    search,
)
from crewtui.units import show_length

LEVEL = Section(mark_depth_in=28, way_in=8, seat_in=144, drop_in=0)
HELD = angle_for_deg(LEVEL, 42)
SITE = Site(
    section=LEVEL,
    hole_angle_deg=HELD,
    thickness_in=8,
    rod_diameter_in=0.75,
    hole_diameter_in=1.125,
    pit_kind="auger",
    pit_along_rod_in=12,
    pit_across_in=14,
    pit_depth_in=54,
    plate_width_in=12,
    plate_height_in=12,
    wrench_room_in=3,
    least_in=36,
    aim_in=42,
    band_top_in=26,
    band_bottom_in=30,
    tail_length_in=80,
    grade_to_top_in=10,
    slab_to_top_in=92,
    along_in=60,
    wall_length_in=360,
    rules_at_depth=lambda depth: ("protective system",) if depth >= 60 else (),
)
quick = settings(deadline=None, max_examples=100)


def at(depth: float, site: Site = SITE, *, held: float = HELD, aside: float = 0.0) -> Recovery:
    return recover(site, Found(depth_in=depth, held_angle_deg=held, side_offset_in=aside))


def way(got: Recovery, kind: Kind) -> WayFigured:
    found = got.way(kind)
    assert found is not None
    return found


def other(**changes: object) -> Site:
    return replace(SITE, **changes)  # type: ignore[arg-type] - names of Site's own fields


# How it ran


def test_depth_gives_the_angle_run_and_the_drift_from_the_angle_held() -> None:
    ran = how_it_ran(SITE, Found(depth_in=40, held_angle_deg=6.0))
    assert depth_at_seat_in(LEVEL, ran.angle_deg) == pytest.approx(40)
    assert ran.drift_deg == pytest.approx(ran.angle_deg - 6.0)
    assert ran.tilt_deg == pytest.approx(ran.angle_deg - HELD)


def test_measured_to_the_top_half_the_rod_is_added() -> None:
    top = how_it_ran(SITE, Found(depth_in=39.625, held_angle_deg=HELD, measured_to="top"))
    assert top.depth_in == 40


def test_limits_are_inclusive() -> None:
    assert how_it_ran(SITE, Found(depth_in=36, held_angle_deg=HELD)).deep_enough
    assert not how_it_ran(SITE, Found(depth_in=35.99, held_angle_deg=HELD)).deep_enough
    assert how_it_ran(SITE, Found(depth_in=45, held_angle_deg=HELD)).fits_depth
    assert not how_it_ran(SITE, Found(depth_in=45.01, held_angle_deg=HELD)).fits_depth
    assert how_it_ran(SITE, Found(depth_in=40, held_angle_deg=HELD, side_offset_in=1)).fits_across
    assert not how_it_ran(SITE, Found(depth_in=40, held_angle_deg=HELD, side_offset_in=-1.01)).fits_across


@quick
@given(st.floats(-4, 4))
def test_straight_exactly_within_the_play_of_the_hole(tilt: float) -> None:
    play = SITE.play
    assert play is not None
    if min(abs(tilt - play.steeper_deg), abs(tilt + play.flatter_deg)) < 1e-4:
        return
    depth = depth_at_seat_in(LEVEL, HELD + tilt)
    ran = how_it_ran(SITE, Found(depth_in=depth, held_angle_deg=HELD))
    assert ran.straight == (-play.flatter_deg <= tilt <= play.steeper_deg)
    assert bool(ran.check_first) != ran.straight


def test_no_straight_rod_says_what_to_check_first_and_which_drop_would_explain_it() -> None:
    ran = at(33).ran
    assert not ran.straight
    assert "Check the hole's angle, the drop and the tape first" in ran.check_first[0]
    assert ran.drop_that_explains_in == pytest.approx(9)
    explained = replace(LEVEL, drop_in=ran.drop_that_explains_in)
    assert how_it_ran(other(section=explained), Found(depth_in=33, held_angle_deg=HELD)).drift_deg == (
        pytest.approx(0)
    )
    assert "rise of 9 in" in at(51).ran.check_first[1]


def test_31_in_is_explained_by_no_straight_rod() -> None:
    got = at(31)
    assert not got.ran.straight
    assert not any(one.sure for one in got.ways if one.new_drive)


def test_a_rod_that_does_not_go_into_its_hole_is_said_first() -> None:
    ran = at(40, other(rod_diameter_in=1.25)).ran
    assert not ran.straight
    assert "does not go into this hole" in ran.check_first[0]


def test_a_bow_lengthens_the_way_but_not_the_hole() -> None:
    bowed = other(section=replace(LEVEL, way_in=10))
    assert bowed.play == SITE.play


# Accept, and the order


def test_deep_enough_and_fitting_is_accepted_and_nothing_else_is_offered() -> None:
    got = at(42)
    assert [one.kind for one in got.ways] == ["accept"]
    assert got.ways[0].possible
    assert got.ways[0].sure
    assert not got.warnings


def test_too_shallow_is_not_accepted_and_says_why() -> None:
    accept = way(at(34), "accept")
    assert not accept.possible
    assert "short of the least depth" in accept.why_not


def test_order_is_least_new_hole_then_least_digging_then_least_rod() -> None:
    got = at(35, other(greatest_setback_in=240))
    kinds = [one.kind for one in got.possible]
    enough_and_aim = ["pit farther out", "pit farther out"]
    assert kinds == ["drive again", *enough_and_aim, "re-drill steeper", "lower mark", "hole beside"]
    assert [one.place.split(",")[0] for one in got.possible] == [
        "no new hole in the wall",
        "no new hole in the wall",
        "no new hole in the wall",
        "the old hole opened wider",
        "a new hole in the wall",
        "a new hole in the wall",
    ]
    assert "more rod" in got.possible[1].place
    assert AFTER_WORDS in got.warnings


@quick
@given(st.floats(5, 54), st.floats(-12, 12), st.floats(0.5, 10))
def test_order_holds_for_any_find(depth: float, aside: float, held: float) -> None:
    got = at(depth, held=held, aside=aside)
    keys = [
        (not one.possible, round(one.new_hole_in2, 3), round(one.digging_in3, 3), round(one.extra_rod_in, 3))
        for one in got.ways
    ]
    assert keys == sorted(keys)
    for one in got.ways:
        assert one.place
        assert one.possible == (not one.why_not)
        if one.sure:
            assert one.possible
            assert one.lands_if_chance_in is not None
            assert one.lands_if_drift_repeats_in is not None
            deepest = max(one.lands_if_chance_in, one.lands_if_drift_repeats_in)
            assert min(one.lands_if_chance_in, one.lands_if_drift_repeats_in) >= 36 - 1e-6
            assert deepest + 6 + 3 <= one.pit_depth_in + 1e-6


# Driven again


@quick
@given(st.floats(28.5, 54), st.floats(1, 9))
def test_a_way_done_as_told_lands_where_it_said(depth: float, held: float) -> None:
    got = at(depth, held=held)
    for one in got.possible:
        if one.held_angle_deg is None:
            continue
        section = skewed(replace(LEVEL, mark_depth_in=one.mark_depth_in), one.hole_aside_in)
        next_site = other(section=section, hole_angle_deg=one.held_angle_deg)
        assert one.lands_if_drift_repeats_in is not None
        again = how_it_ran(
            replace(next_site, pit_depth_in=200),
            Found(
                depth_in=min(max(one.lands_if_drift_repeats_in, 0), 200), held_angle_deg=one.held_angle_deg
            ),
        )
        if 0 < one.lands_if_drift_repeats_in < 200:
            assert again.drift_deg == pytest.approx(got.ran.drift_deg)
        assert one.lands_if_chance_in == pytest.approx(depth_at_seat_in(section, one.held_angle_deg))


def test_both_landings_are_brought_inside_where_an_angle_does_that() -> None:
    again = way(at(35), "drive again")
    assert again.lands_if_chance_in == pytest.approx(45)
    assert not again.sure
    assert again.share is None, "a rod in its old hole follows it, and nobody knows how far"
    steeper = way(at(35), "re-drill steeper")
    assert steeper.sure
    assert steeper.lands_if_chance_in == pytest.approx(45)
    assert "45 in if it runs true, 38 in if it runs flat again" in steeper.words


def test_drive_again_stays_within_the_play() -> None:
    got = at(32)
    again = way(got, "drive again")
    assert got.ran.play is not None
    assert again.held_angle_deg == pytest.approx(got.ran.play.steepest_deg)
    assert any("play ends" in words for words in again.cautions)
    assert any("old path" in words for words in again.cautions)
    assert again.tail_rise_in == pytest.approx(80 * math.sin(math.radians(again.held_angle_deg or 0)))


def test_redrill_takes_the_estimators_angle_past_the_play() -> None:
    steeper = way(at(33), "re-drill steeper")
    assert steeper.held_angle_deg == pytest.approx(HELD + 0.8 * 3.378345, abs=1e-5)


def test_chance_is_the_drift_that_was_expected_before() -> None:
    known = other(drift_mean_deg=-1.0, drift_sd_deg=0.3)
    again = way(at(35, known), "drive again")
    assert again.held_angle_deg is not None
    assert again.lands_if_chance_in == pytest.approx(depth_at_seat_in(LEVEL, again.held_angle_deg - 1))


@quick
@given(st.floats(-5, 5), st.floats(-2, 2), st.floats(0.1, 2), st.floats(0.1, 2))
def test_without_an_estimator_handed_in_it_is_the_wall_drifts_own(
    drift: float, mean: float, sd: float, spread: float
) -> None:
    site = other(drift_mean_deg=mean, drift_sd_deg=sd, spread_deg=spread)
    after = posterior([drift], prior_mean_deg=mean, prior_sd_deg=sd, spread_deg=spread)
    assert (site.next_drift_deg(drift), site.sd_after_deg) == pytest.approx(after)


def test_too_deep_is_driven_and_drilled_flatter() -> None:
    got = at(47, other(least_in=30))
    flatter = way(got, "drive flatter")
    assert flatter.possible
    assert flatter.held_angle_deg is not None
    assert flatter.held_angle_deg < HELD
    assert way(got, "re-drill flatter").possible
    assert way(got, "higher mark").mark_depth_in < 28


def test_a_pit_in_which_both_would_be_inside_is_named_with_its_rules() -> None:
    steeper = way(at(33), "re-drill steeper")
    assert not steeper.sure
    for_sure = show_length((steeper.lands_if_chance_in or 0) + 9)
    assert f"Both would be inside only in a pit {for_sure} deep." in steeper.cautions
    again = way(at(33), "drive again")
    assert not any("would be inside only" in one for one in again.cautions), "an old hole is never sure"
    deep = way(at(28, other(pit_depth_in=57)), "re-drill steeper")
    assert deep.switched_on == ("protective system",)


def test_hammer_against_the_joists_bars_a_steep_hold() -> None:
    low = other(room_above_mark_in=8.0, hammer_length_in=20.0)
    again = way(at(33, low), "drive again")
    assert again.possible
    assert again.held_angle_deg == pytest.approx(math.degrees(math.asin(8 / 100)))
    again = way(at(33, replace(low, room_above_mark_in=0.5)), "drive again")
    assert not again.possible
    assert "joists" in again.why_not


def test_new_hole_is_none_then_a_slot_then_a_whole_one() -> None:
    got = at(33)
    whole = math.pi * 1.125**2 / 4
    assert way(got, "drive again").new_hole_in2 == 0
    assert 0 < way(got, "re-drill steeper").new_hole_in2 < whole / 2
    assert way(got, "lower mark").new_hole_in2 == pytest.approx(whole)


# Another mark


def test_lower_mark_stays_inside_the_band_and_is_given_by_tape() -> None:
    lower = way(at(35), "lower mark")
    assert lower.possible
    assert lower.mark_depth_in == pytest.approx(30)
    assert (lower.down_from_top_in, lower.up_from_slab_in) == (40, 52)
    assert lower.held_angle_deg == pytest.approx(HELD)
    assert lower.lands_if_drift_repeats_in == pytest.approx(37)


def test_no_lower_mark_where_the_band_ends() -> None:
    lower = way(at(33, other(band_top_in=27, band_bottom_in=29)), "lower mark")
    assert not lower.possible
    assert "no place that serves" in lower.why_not


def test_lower_mark_keeps_clear_of_bed_joints_on_block() -> None:
    site = other(block=True, bed_joint_in=2.0, bed_joint_side="below", band_bottom_in=34)
    lower = way(at(35, site), "lower mark")
    assert lower.possible
    assert abs(lower.mark_depth_in - 30) >= site.joint_clear_in - 1e-9
    unknown = replace(site, bed_joint_side=None)
    assert way(at(35, unknown), "lower mark").mark_depth_in == pytest.approx(lower.mark_depth_in)
    unmeasured = way(at(35, replace(site, bed_joint_in=None)), "lower mark")
    assert any("measure it first" in words for words in unmeasured.cautions)


@quick
@given(st.floats(20, 44), st.floats(0, 4), st.sampled_from(["above", "below", None]))
def test_a_clear_mark_is_clear_of_every_joint(wanted: float, joint: float, side: str | None) -> None:
    site = other(block=True, bed_joint_in=joint, bed_joint_side=side)
    mark = nearest(wanted, clear_marks_in(site, 26, 34))
    if mark is None:
        return
    assert 26 <= mark <= 34
    places = {"above": (-joint,), "below": (joint,), None: (-joint, joint)}[side]
    for number in range(-4, 5):
        for place in places:
            assert abs(mark - (28 + place + 8 * number)) >= site.joint_clear_in - 2e-6


def test_no_lower_mark_below_the_slab() -> None:
    lower = way(at(35, other(slab_to_top_in=39.5)), "lower mark")
    assert lower.possible
    assert lower.mark_depth_in < 29.5
    got = at(35, other(slab_to_top_in=39.0, band_top_in=27.5))
    assert not way(got, "lower mark").possible


def test_a_lower_mark_gains_room_under_the_joists() -> None:
    rise = 80 * math.sin(math.radians(HELD))
    assert way(at(35, other(room_above_mark_in=rise - 1.5)), "lower mark").possible
    assert not way(at(35, other(room_above_mark_in=rise - 2.5)), "lower mark").possible


# Farther out


def test_farther_out_without_a_drop_there_is_an_estimate_and_never_sure() -> None:
    enough, farther = (one for one in at(35).ways if one.kind == "pit farther out")
    for one in (enough, farther):
        assert one.possible
        assert not one.sure
        assert one.drop_in is None
        assert "Shoot the drop there first" in one.cautions[0]
    assert enough.lands_if_drift_repeats_in == pytest.approx(36)
    assert farther.setback_in == pytest.approx(216)


def test_farther_out_with_the_drop_shot_is_sure() -> None:
    shot = other(drops_shot=((230.0, 6.0),))
    farther = way(at(35.5, shot), "pit farther out")
    assert not farther.possible  # the ground falls 6 in over 86 in there, faster than the rod
    rising = other(
        drops_shot=((230.0, -3.0),), rods_left_in=(80.0,), couplings_left=1, farthest_setback_in=400
    )
    enough, farther = (one for one in at(35.5, rising).ways if one.kind == "pit farther out")
    assert enough.lands_if_drift_repeats_in == pytest.approx(36)
    assert farther.possible
    assert farther.sure
    assert farther.lands_if_chance_in == pytest.approx(42)
    assert farther.drop_in is not None
    assert farther.drop_in < 0


def test_farther_out_stops_at_ticket_property_and_stock() -> None:
    near = way(at(33, other(greatest_setback_in=160)), "pit farther out")
    assert not near.possible
    assert "the ticket's area" in near.why_not
    poor = way(at(34, other(rods_left_in=(20.0,), couplings_left=1)), "pit farther out")
    assert not poor.possible
    assert "truck has not enough" in poor.why_not
    no_coupling = way(at(35, other(rods_left_in=(80.0,), couplings_left=0)), "pit farther out")
    assert not no_coupling.possible
    got = at(35, other(rods_left_in=(40.0,), couplings_left=3))
    just = [one for one in got.ways if one.kind == "pit farther out"][-1]
    assert just.possible
    assert just.extra_rod_in == pytest.approx(40)


def test_farther_out_asks_the_joints_and_the_wedges() -> None:
    joint = way(at(35, other(joint_check=lambda _: "A coupling would lie in the wall.")), "pit farther out")
    assert joint.why_not == "A coupling would lie in the wall."
    wedges = way(at(35, other(wedges_least_seat_in=lambda _base, _fall: 300.0)), "pit farther out")
    assert "wedges" in wedges.why_not
    never = way(at(35, other(wedges_least_seat_in=lambda _base, _fall: None)), "pit farther out")
    assert "no distance clears" in never.why_not


def test_wedges_are_judged_at_the_plates_base_and_the_fall_there() -> None:
    asked: list[tuple[float, float]] = []

    def least_seat(base: float, fall: float) -> float:
        asked.append((base, fall))
        return 100.0

    farther = way(at(35, other(wedges_least_seat_in=least_seat)), "pit farther out")
    assert farther.lands_if_drift_repeats_in is not None
    assert (farther.lands_if_drift_repeats_in + 6, 0.0) in asked


def test_a_pit_just_farther_out_digs_the_strip_and_a_far_one_a_new_pit() -> None:
    near = other(pit_kind="hand", drops_shot=((156.0, -6.0),))
    strip = way(at(35.5, replace(near, aim_in=36)), "pit farther out")
    step = strip.seat_in - 144
    assert 0 < step < 12
    assert strip.digging_in3 == pytest.approx(step * 14 * 54)
    whole = way(at(35, other(pit_kind="hand")), "pit farther out")
    assert whole.digging_in3 == pytest.approx(12 * 14 * 54)


def test_a_bent_rod_seen_rising_finds_no_pit_farther_out() -> None:
    got = recover(SITE, Found(depth_in=35, held_angle_deg=HELD, seen_angle_deg=-1))
    assert reach(SITE, got.ran, 36) is None
    assert "level or uphill" in way(got, "pit farther out").why_not
    assert any("bent" in words for words in got.warnings)


def test_the_angle_seen_in_the_pit_is_the_line_it_goes_on_at() -> None:
    got = recover(SITE, Found(depth_in=35, held_angle_deg=HELD, seen_angle_deg=3.0))
    there = reach(SITE, got.ran, 36)
    assert there is not None
    assert there.seat_in == pytest.approx(144 + 1 / math.tan(math.radians(3)))
    assert depth_on_line_in(SITE, got.ran, there.seat_in) == pytest.approx(36)


@quick
@given(st.floats(-0.05, 0.05), st.floats(29, 35.9))
def test_farther_out_found_there_is_the_same_line(fall: float, depth: float) -> None:
    section = replace(LEVEL, drop_in=fall * 144)
    site = other(section=section, farthest_setback_in=1e6)
    got = at(depth, site)
    there = reach(site, got.ran, 36)
    if there is None or there.seat_in > 1e6:
        return
    moved = replace(section, seat_in=there.seat_in, drop_in=there.drop_in)
    again = how_it_ran(other(section=moved), Found(depth_in=36, held_angle_deg=HELD))
    assert again.angle_deg == pytest.approx(got.ran.angle_deg, abs=1e-7)


# The pit


def test_deepening_to_exactly_five_feet_names_the_rule_it_switches_on() -> None:
    deep = way(at(51, other(pit_depth_in=54, hole_angle_deg=HELD + 2)), "deepen the pit")
    assert deep.possible
    assert deep.sure
    assert not way(at(51, other(pit_depth_in=54)), "deepen the pit").sure, "no straight rod ran so"
    assert deep.pit_depth_in == 60
    assert deep.switched_on == ("protective system",)
    assert deep.digging_in3 == pytest.approx(math.pi / 4 * 12 * 14 * 6)
    already = way(at(55, other(pit_depth_in=61)), "deepen the pit")
    assert already.pit_depth_in == 64
    assert not already.switched_on
    barred = way(at(51, other(pit_depth_in=54, greatest_pit_depth_in=58)), "deepen the pit")
    assert not barred.possible


def test_a_rod_aside_is_met_by_widening_to_that_side() -> None:
    got = at(40, aside=-3)
    wider = way(got, "widen the pit")
    assert wider.possible
    assert wider.pit_across_in == pytest.approx(16)
    assert "start corner" in wider.words
    assert not way(got, "accept").possible
    assert not way(got, "drive again").sure


def test_too_deep_and_aside_is_deepened_and_widened_in_one() -> None:
    got = at(50, aside=2)
    deep = way(got, "deepen the pit")
    assert deep.possible
    assert deep.pit_across_in == pytest.approx(15)
    assert deep.digging_in3 == pytest.approx(math.pi / 4 * 12 * 14 * 5 + 1 * 12 * 59)
    assert not way(got, "widen the pit").possible


def test_nine_in_aside_of_a_twelve_inch_pit_counts_as_not_found() -> None:
    got = at(40, other(pit_across_in=12), aside=9)
    assert not got.ran.shows
    assert got.search is not None
    assert way(got, "widen the pit").pit_across_in == pytest.approx(21)
    assert at(40, other(pit_across_in=12), aside=6).ran.shows


def test_where_nothing_can_be_done_the_office_decides() -> None:
    barred = other(band_bottom_in=28, greatest_setback_in=150, room_above_mark_in=1.0)
    got = at(33, barred)
    assert not got.possible
    assert NONE_WORDS in got.warnings


def test_a_window_that_does_not_exist_is_told() -> None:
    got = at(33, other(least_in=50))
    assert any(words.startswith("No window") for words in got.warnings)
    assert any("5 in deeper (59 in)" in words for words in got.warnings)


def test_a_drive_that_would_rise_if_the_drift_repeats_is_never_sure() -> None:
    section = replace(LEVEL, drop_in=-12.0)
    got = at(35.8, other(section=section, hole_angle_deg=1.0), held=1.0)
    again = way(got, "lower mark")
    assert got.ran.straight
    assert again.lands_if_chance_in is not None
    assert again.lands_if_drift_repeats_in is not None
    assert 36 <= again.lands_if_drift_repeats_in < again.lands_if_chance_in <= 45
    assert not again.sure


def test_a_window_of_a_single_depth_says_that_it_has_no_room() -> None:
    assert any("single depth, 45 in" in words for words in at(40, other(least_in=45)).warnings)
    assert not any("single depth" in words for words in at(40, other(least_in=44)).warnings)


def test_a_bent_rod_is_never_left_as_it_is() -> None:
    chord = angle_for_deg(LEVEL, 42)
    straight = recover(SITE, Found(depth_in=42, held_angle_deg=HELD, seen_angle_deg=chord + 0.4))
    assert [one.kind for one in straight.ways] == ["accept"]
    bent = recover(SITE, Found(depth_in=42, held_angle_deg=HELD, seen_angle_deg=chord - 2))
    assert not way(bent, "accept").possible
    assert "bent" in way(bent, "accept").why_not
    assert not any(one.sure for one in bent.ways)
    assert bent.possible, "another way is offered"


def test_a_pit_narrower_than_its_plate_is_widened_to_both_sides() -> None:
    narrow = way(at(40, other(pit_across_in=10)), "widen the pit")
    assert "1 in to both sides" in narrow.words
    assert narrow.pit_across_in == pytest.approx(12)
    more = way(at(40, other(pit_across_in=10), aside=0.5), "widen the pit")
    assert "1/2 in towards the start corner and 1 1/2 in towards the end corner" in more.words


def test_a_fresh_hole_beside_is_in_the_next_core_and_points_at_the_same_seat() -> None:
    block = other(
        block=True, bed_joint_in=4.0, bed_joint_side="below", head_joint_in=4.0, head_joint_side="start"
    )
    beside = way(at(35, block), "hole beside")
    assert beside.possible
    # Cores of a two-core block run from 1.75 to 6.94 in past a head joint, and so before the next.
    assert 9.0 <= 4.0 + abs(beside.hole_aside_in) <= 14.3 or -14.3 <= 4.0 - abs(beside.hole_aside_in) <= -1.7
    skew = math.degrees(math.atan2(abs(beside.hole_aside_in), 152))
    assert f"{skew:.1f}°" in beside.words
    # Seen in space: from the hole beside to the seat, as far below as told.
    run = math.hypot(152, beside.hole_aside_in)
    assert beside.lands_if_chance_in == pytest.approx(
        28 + run * math.tan(math.radians(beside.held_angle_deg or 0))
    )
    poured = way(at(35), "hole beside")
    assert abs(poured.hole_aside_in) >= 4 + 1.125 - 1e-9
    assert not way(at(35, other(openings_clear=lambda _: "a window")), "hole beside").possible


# What cannot be


@pytest.mark.parametrize(
    ("found", "words"),
    [
        (Found(depth_in=55, held_angle_deg=5), "below the floor of the pit"),
        (Found(depth_in=-1, held_angle_deg=5), "above the ground"),
        (Found(depth_in=math.nan, held_angle_deg=5), "must be a number"),
        (Found(depth_in=40, held_angle_deg=95), "held of 95"),
        (Found(depth_in=40, held_angle_deg=5, seen_angle_deg=-95), "seen in the pit of -95"),
        (Found(depth_in=40, held_angle_deg=5, side_offset_in=301), "beyond the end of the wall"),
        (Found(depth_in=40, held_angle_deg=5, side_offset_in=-61), "beyond the end of the wall"),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(found: Found, words: str) -> None:
    with pytest.raises(ValueError, match=words) as caught:
        recover(SITE, found)
    assert str(caught.value).count(". ") == 0


def test_a_site_without_sizes_is_refused() -> None:
    with pytest.raises(ValueError, match="over 0"):
        other(pit_depth_in=0)
    with pytest.raises(ValueError, match="band"):
        other(band_top_in=31)


# Not found


def test_search_band_is_the_spread_within_the_play() -> None:
    got = search(SITE, HELD, at_stop_mark=True)
    assert got.shallowest_in < 42 < got.deepest_in
    sd = 2 * math.hypot(1, 0.5)
    assert got.shallowest_in == pytest.approx(depth_at_seat_in(LEVEL, HELD - sd))
    assert got.aside_in == pytest.approx(152 * math.tan(math.radians(sd)))
    wide = search(other(drift_sd_deg=5.0), HELD, at_stop_mark=True)
    play = SITE.play
    assert play is not None
    assert wide.deepest_in == pytest.approx(depth_at_seat_in(LEVEL, HELD + play.steeper_deg)), (
        "no straight rod beyond"
    )


@pytest.mark.parametrize(
    ("reached", "words"), [(True, "Nobody drives on"), (False, "drive on to the mark"), (None, "See whether")]
)
def test_search_asks_for_the_stop_mark_first(reached: bool | None, words: str) -> None:
    got = search(SITE, HELD, at_stop_mark=reached)
    assert words in got.words[0]
    assert got.stop.from_end_in == pytest.approx(164 / math.cos(math.radians(HELD)))
    assert "nobody in the pit" in got.words[-1]


def test_search_says_what_of_the_band_the_pit_does_not_open() -> None:
    assert "opens all of that" in " ".join(search(SITE, HELD, at_stop_mark=True).words)
    small = search(other(pit_across_in=8, pit_depth_in=46), HELD, at_stop_mark=True)
    words = " ".join(small.words)
    assert "wider to either side" in words
    assert "deeper" in words


def test_search_below_a_shallow_pit_says_so() -> None:
    assert any("floor" in words for words in search(other(pit_depth_in=45), HELD, at_stop_mark=True).words)


# Words


def test_words_follow_the_jobs_units() -> None:
    metric = at(34, other(system="metric"))
    for one in metric.ways:
        assert " in deep" not in one.words
        assert "mm" in one.words + one.why_not


def test_uphill_is_told_and_left_to_the_engineer() -> None:
    section = replace(LEVEL, drop_in=-12.0)
    got = at(38, other(section=section, hole_angle_deg=0.5), held=0.5)
    accept = way(got, "accept")
    assert accept.possible
    assert not accept.sure
    assert "engineer" in accept.cautions[-1]
    assert not got.ran.deep_enough, "the window starts where a level rod arrives"
    assert [one.kind for one in got.possible][-1] == "accept"
