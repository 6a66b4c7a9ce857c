from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from crewtui.trade.aim import rod_line
from crewtui.trade.aim.rod_line import Section
from crewtui.trade.aim.window import (
    Window,
    best_aim,
    chance_held_inside,
    deeper_pits,
    greatest_depth_in,
    least_depth,
    pit_depth_for_in,
    window,
)

LEVEL = Section(mark_depth_in=28, way_in=8, seat_in=144, drop_in=0)
FALLING = replace(LEVEL, drop_in=7.2)
sections = st.builds(
    Section,
    mark_depth_in=st.floats(6, 60),
    way_in=st.floats(4, 24),
    seat_in=st.floats(36, 480),
    drop_in=st.floats(-60, 60),
)
depths = st.floats(6, 120)
quick = settings(deadline=None, max_examples=100)


@quick
@given(sections, depths)
def test_an_angle_arrives_at_its_own_depth(section: Section, depth: float) -> None:
    angle = rod_line.angle_for_deg(section, depth)
    assert rod_line.depth_at_seat_in(section, angle) == pytest.approx(depth, abs=1e-8)


@quick
@given(sections, depths, depths)
def test_a_deeper_target_is_never_a_smaller_angle(section: Section, one: float, other: float) -> None:
    shallow, deep = sorted((one, other))
    assert rod_line.angle_for_deg(section, deep) >= rod_line.angle_for_deg(section, shallow)


@quick
@given(sections, depths, st.floats(0, 30))
def test_more_drop_is_never_a_smaller_angle(section: Section, depth: float, more: float) -> None:
    lower = replace(section, drop_in=section.drop_in + more)
    assert rod_line.angle_for_deg(lower, depth) >= rod_line.angle_for_deg(section, depth)


@quick
@given(sections, depths)
def test_refused_exactly_where_the_rod_does_not_run_downhill(section: Section, depth: float) -> None:
    got = rod_line.aim(section, depth, tail_length_in=80)
    if abs(depth - section.level_depth_in) > 2e-6:  # the one stated tolerance is 1e-6 in
        assert got.possible == (got.angle_deg > 0)


def test_the_bow_makes_the_way_longer_and_the_angle_flatter() -> None:
    bowed = replace(LEVEL, way_in=10)
    assert rod_line.angle_for_deg(bowed, 42) < rod_line.angle_for_deg(LEVEL, 42)


def test_level_and_uphill_are_refused_in_words_with_what_mends_it() -> None:
    level = rod_line.aim(LEVEL, 28, tail_length_in=80)
    assert "level" in level.refused
    assert not level.possible
    uphill = rod_line.aim(replace(LEVEL, drop_in=-20), 36, tail_length_in=80)
    assert "uphill" in uphill.refused
    assert "deeper than 48 in" in uphill.refused
    assert "higher than 16 in" in uphill.refused


def test_ground_that_falls_faster_than_the_rod_is_told() -> None:
    section = replace(LEVEL, drop_in=14.4)
    got = rod_line.aim(section, 28, tail_length_in=80)
    assert any("falls faster" in words for words in got.warnings)
    assert not rod_line.aim(LEVEL, 42, tail_length_in=80).warnings


def test_stop_mark_is_the_rod_line_to_the_far_side() -> None:
    angle = rod_line.angle_for_deg(LEVEL, 42)
    assert rod_line.stop_mark_in(LEVEL, angle, past_seat_in=12) == pytest.approx(
        164 / math.cos(math.radians(angle))
    )


def test_sideways_one_degree() -> None:
    assert rod_line.sideways_per_degree_in(LEVEL) == pytest.approx(2.653, abs=5e-4)


def test_seat_is_half_a_pit_nearer_than_the_set_back() -> None:
    assert rod_line.seat_from_setback_in(150, pit_along_rod_in=12) == 144
    with pytest.raises(ValueError, match="half the pit"):
        rod_line.seat_from_setback_in(5, pit_along_rod_in=12)


@pytest.mark.parametrize("angle", [95, 90, -90, math.nan, math.inf])
def test_an_angle_no_rod_can_have_is_refused(angle: float) -> None:
    with pytest.raises(ValueError, match=r"^The angle of .*\.$"):
        rod_line.depth_at_seat_in(LEVEL, angle)


@pytest.mark.parametrize("field", ["mark_depth_in", "way_in", "seat_in"])
def test_a_section_without_size_is_refused(field: str) -> None:
    with pytest.raises(ValueError, match="over 0"):
        replace(LEVEL, **{field: 0})
    with pytest.raises(ValueError, match="drop"):
        replace(LEVEL, drop_in=math.nan)


def test_mark_seen_inside() -> None:
    got = rod_line.mark_seen_inside(28, grade_to_top_in=10, slab_to_top_in=92)
    assert (got.down_from_top_in, got.up_from_slab_in) == (38, 54)


def test_a_mark_outside_the_wall_is_refused() -> None:
    with pytest.raises(ValueError, match="below the slab"):
        rod_line.mark_seen_inside(90, grade_to_top_in=10, slab_to_top_in=92)
    with pytest.raises(ValueError, match="above the top"):
        rod_line.mark_seen_inside(-12, grade_to_top_in=10, slab_to_top_in=92)


def test_hammer_and_tail_against_the_joists() -> None:
    clears = rod_line.tail_room(
        5, tail_length_in=80, hammer_length_in=30, down_from_top_in=38, joist_clearance_in=-2
    )
    assert clears.clears
    assert clears.spare_in == pytest.approx(36 - 110 * math.sin(math.radians(5)))
    steep = rod_line.tail_room(
        25, tail_length_in=80, hammer_length_in=30, down_from_top_in=38, joist_clearance_in=0
    )
    assert not steep.clears
    assert "joists" in steep.warnings[0]
    at_limit = replace(steep, angle_deg=steep.greatest_angle_deg)
    assert rod_line.tail_rise_in(at_limit.angle_deg, 110) == pytest.approx(38)


def open_window(least: float = 36, greatest: float = 44, section: Section = LEVEL) -> Window:
    return window(section, least_in=least, aim_in=42, greatest_in=greatest, pit_depth_in=50)


def test_window_between_least_and_greatest() -> None:
    got = open_window()
    assert got.open
    assert got.least_angle_deg == pytest.approx(rod_line.angle_for_deg(LEVEL, 36))
    assert got.greatest_angle_deg == pytest.approx(rod_line.angle_for_deg(LEVEL, 44))
    assert not got.warnings


def test_limits_that_cross_say_no_window_and_what_mends_it_and_are_not_swapped() -> None:
    got = open_window(least=42, greatest=40)
    assert not got.open
    assert got.refused.startswith("No window")
    assert "2 in deeper (52 in)" in got.mends[0]
    assert "4 in less high" in got.mends[1]
    assert got.least_angle_deg > got.greatest_angle_deg
    assert best_aim(got) is None
    assert chance_held_inside(got, 5.0) == 0


def test_limits_that_meet_are_a_window() -> None:
    assert open_window(least=42, greatest=42).open
    assert open_window(least=42 + 5e-7, greatest=42).open
    assert not open_window(least=42 + 1e-3, greatest=42).open


def test_a_window_that_lies_uphill_is_refused_with_mends() -> None:
    got = open_window(section=replace(LEVEL, drop_in=-20))
    assert not got.open
    assert "downhill" in got.refused
    assert any("mark higher" in words for words in got.mends)


def test_a_window_that_starts_uphill_starts_at_level() -> None:
    got = open_window(section=replace(LEVEL, drop_in=-10))
    assert got.open
    assert got.shallowest_in == 38
    assert got.least_angle_deg == pytest.approx(0)
    assert any("level" in words for words in got.warnings)


def test_an_aim_outside_its_window_is_told() -> None:
    assert "short of" in window(LEVEL, least_in=43, aim_in=42, greatest_in=45).warnings[0]
    assert "more than" in window(LEVEL, least_in=30, aim_in=42, greatest_in=41).warnings[0]


def test_share_inside_a_two_inch_window_and_an_eight_inch_one() -> None:
    # 42 in the least, a 12 in plate: "about one in four" in a 50 in pit, "about four in five" in 56 in.
    for pit, share in ((50, 0.25), (56, 0.8)):
        greatest = greatest_depth_in(pit, plate_height_in=12, wrench_room_in=0)
        best = best_aim(window(LEVEL, least_in=42, aim_in=42, greatest_in=greatest))
        assert best is not None
        assert best.share == pytest.approx(share, abs=0.03)


@quick
@given(st.floats(-3, 3), st.floats(0, 2), st.floats(0.01, 1), st.floats(-6, 6))
def test_no_angle_beats_the_best_aim(mean: float, sd: float, spread: float, off: float) -> None:
    got = open_window()
    best = best_aim(got, drift_mean_deg=mean, drift_sd_deg=sd, spread_deg=spread)
    assert best is not None
    other = chance_held_inside(
        got, best.held_deg + off, drift_mean_deg=mean, drift_sd_deg=sd, spread_deg=spread
    )
    assert other <= best.share + 1e-12
    assert got.least_in < best.depth_in < got.greatest_in


def test_share_without_any_scatter_is_all_or_nothing() -> None:
    found = open_window()
    for depth_in, share in ((40, 1), (50, 0)):
        held_deg = rod_line.angle_for_deg(found.section, depth_in)
        assert chance_held_inside(found, held_deg, drift_sd_deg=0, spread_deg=0) == share


def test_a_deeper_pit_adds_share_and_switches_rules_on() -> None:
    got = deeper_pits(
        open_window(least=42), (50, 54, 60), plate_height_in=12, wrench_room_in=3,
        rules_switched_on=lambda depth: ("protective system",) if depth >= 60 else (),
    )  # fmt: skip
    assert [one.share for one in got] == sorted(one.share for one in got)
    assert got[0].best is None
    assert got[2].switched_on == ("protective system",)
    assert not got[1].switched_on


def test_least_depth_is_the_deepest_and_says_which() -> None:
    common = {"company_in": 36.0, "plate_height_in": 12.0}
    assert least_depth(plan_in=None, frost_in=None, **common).governs == "company rule"
    assert least_depth(plan_in=40, frost_in=30, **common).governs == "plan"
    frost = least_depth(plan_in=36, frost_in=42, **common)
    assert (frost.governs, frost.value_in) == ("frost", 42)
    assert "inside the frost" in frost.warnings[0]
    edge = least_depth(plan_in=36, frost_in=42, frost_to="plate top edge", **common)
    assert (edge.value_in, edge.warnings) == (48, ())


def test_pit_and_greatest_depth_are_each_others_way_back() -> None:
    greatest = greatest_depth_in(50, plate_height_in=12, wrench_room_in=3)
    assert greatest == 41
    assert pit_depth_for_in(greatest, plate_height_in=12, wrench_room_in=3) == 50


def test_words_are_metric_where_the_job_is() -> None:
    got = window(LEVEL, least_in=42, aim_in=42, greatest_in=40, system="metric")
    assert "mm" in got.refused
    assert " in " not in got.mends[0]
