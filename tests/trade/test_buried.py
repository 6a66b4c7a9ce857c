# ruff: noqa: S311, PLR0917 - random cases with a fixed seed; Hypothesis fills arguments by name
from __future__ import annotations

import math
import random

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from scipy.optimize import minimize

from crewtui.trade.aim.rod_line import Section, angle_for_deg
from crewtui.trade.ground.band import Band, RodHabit, rod_band
from crewtui.trade.ground.clearing import ClearingBounds, what_clears
from crewtui.trade.ground.exposed import Spot
from crewtui.trade.ground.line_verdict import judge_line
from crewtui.trade.ground.lines import Line, PitPlan, judge_pit, pit_to_line_in
from crewtui.trade.ground.nearness import Range, body, nearest_in

SECTION = Section(mark_depth_in=28, way_in=8, seat_in=138, drop_in=0)
USUAL_DEG = math.hypot(1.0, 0.5)
HABIT = RodHabit(rod_diameter_in=0.75, past_seat_in=12, drift_sd_deg=USUAL_DEG, side_sd_deg=USUAL_DEG)
SURE = replace(HABIT, drift_sd_deg=0.0, side_sd_deg=0.0)
PIT = PitPlan(along_in=100, setback_in=144, along_rod_in=12, across_in=12, round=True)
BOUNDS = ClearingBounds(least_depth_in=36, greatest_depth_in=47, mark_top_in=26, mark_bottom_in=30)


def band(section: Section = SECTION, depth_in: float = 42, habit: RodHabit = HABIT) -> Band:
    return rod_band(section, angle_for_deg(section, depth_in), along_in=100, habit=habit)


def across(out_in: float, depth_in: float | None, *, width_in: float = 0.0) -> Line:
    """Return a line along the wall, this far out; with a depth, laid bare where it crosses the rod."""
    bare = () if depth_in is None else (Spot(along_in=100, out_in=out_in, depth_in=depth_in),)
    return Line(
        name="service", kind="gas", points=((-200, out_in), (400, out_in)), width_in=width_in, spots=bare
    )


def outward(along_in: float, depth_in: float | None) -> Line:
    """Return a service that runs out from the house; with a depth, laid bare every 4 ft."""
    places = () if depth_in is None else range(24, 600, 48)
    bare = tuple(Spot(along_in=along_in, out_in=out_in, depth_in=depth_in or 0.0) for out_in in places)
    points = ((along_in, 0.0), (along_in, 600.0))
    return Line(name="service", kind="potable water", points=points, spots=bare)


# The distance itself, against libraries and brute force.


def random_body(rng: random.Random) -> tuple[float, list[list[float]], list[list[float]]]:
    """Return the length out, and at its near and far end the ranges along and in depth."""
    along = [sorted(rng.uniform(-40, 40) for _ in range(2)) for _ in range(2)]
    depth = [sorted(rng.uniform(0, 60) for _ in range(2)) for _ in range(2)]
    return rng.uniform(20, 200), along, depth


def test_the_distance_seen_from_above_agrees_with_shapely_over_random_cases() -> None:
    rng = random.Random(3)
    for _ in range(600):
        length, along, _ = random_body(rng)
        run = [(rng.uniform(-60, 260), rng.uniform(-120, 120)) for _ in range(rng.randint(2, 5))]
        flat = (Range(0, 0), Range(0, 0))
        solid = body(Range(0, length), along=(Range(*along[0]), Range(*along[1])), depth=flat)
        shape = shapely.Polygon(
            [(0, along[0][0]), (length, along[1][0]), (length, along[1][1]), (0, along[0][1])]
        )
        expected = shape.distance(shapely.LineString(run))
        assert nearest_in(solid, [(x, y, 0) for x, y in run]) == pytest.approx(expected, abs=1e-6)


def test_the_distance_in_space_agrees_with_a_general_minimizer_over_random_cases() -> None:
    rng = random.Random(4)
    for _ in range(30):
        length, along, depth = random_body(rng)
        solid = body(
            Range(0, length),
            along=(Range(*along[0]), Range(*along[1])),
            depth=(Range(*depth[0]), Range(*depth[1])),
        )
        a, b = (tuple(rng.uniform(-150, 250) for _ in range(3)) for _ in range(2))

        # Any point of the body is a mix of its near and far end, written by its share in the ranges.
        def apart(v: list[float], length=length, along=along, depth=depth, a=a, b=b) -> float:  # noqa: ANN001 - bound now
            x, y, z, s = v
            share = x / length
            low_y, high_y = (along[0][i] + share * (along[1][i] - along[0][i]) for i in (0, 1))
            low_z, high_z = (depth[0][i] + share * (depth[1][i] - depth[0][i]) for i in (0, 1))
            point = (x, low_y + y * (high_y - low_y), low_z + z * (high_z - low_z))
            return sum((p - (q + s * (r - q))) ** 2 for p, q, r in zip(point, a, b, strict=True))

        best = min(
            minimize(
                apart,
                [rng.uniform(0, length), rng.random(), rng.random(), rng.random()],
                bounds=[(0, length), (0, 1), (0, 1), (0, 1)],
                method="L-BFGS-B",
                options={"ftol": 1e-15, "gtol": 1e-10},
            ).fun
            for _ in range(4)
        )
        found = nearest_in(solid, [a, b])
        # The minimizer stops a little short of the least; the exact distance is never over what it found.
        assert found <= math.sqrt(max(0.0, best)) + 1e-6
        assert found == pytest.approx(math.sqrt(max(0.0, best)), abs=5e-3)


def test_a_body_shrunk_to_a_rod_is_a_segment() -> None:
    solid = body(Range(0, 100), along=(Range(5, 5), Range(5, 5)), depth=(Range(30, 30), Range(40, 40)))
    assert nearest_in(solid, [(50, -100, 35), (50, 100, 35)]) == pytest.approx(0, abs=1e-9)
    assert nearest_in(solid, [(50, -100, 25), (50, 100, 25)]) == pytest.approx(10 * math.cos(math.atan(0.1)))


@given(
    mark_in=st.floats(20, 40),
    way_in=st.floats(6, 16),
    seat_in=st.floats(60, 300),
    fall=st.floats(-0.1, 0.15),
    target_in=st.floats(30, 60),
    out_in=st.floats(0, 320),
    angle_deg=st.floats(0, 180),
    line_depth_in=st.floats(0, 90),
    seed=st.integers(0, 1000),
)
@settings(deadline=None, max_examples=60)
def test_no_rod_of_the_band_ever_comes_nearer_than_said(
    mark_in: float,
    way_in: float,
    seat_in: float,
    fall: float,
    target_in: float,
    out_in: float,
    angle_deg: float,
    line_depth_in: float,
    seed: int,
) -> None:
    section = Section(mark_depth_in=mark_in, way_in=way_in, seat_in=seat_in, drop_in=fall * seat_in)
    where = band(section, target_in)
    turn = (math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg)))
    line = Line(
        name="line",
        kind="sewer",
        depth_in=line_depth_in,
        width_in=2,
        points=((100 - 300 * turn[0], out_in - 300 * turn[1]), (100 + 300 * turn[0], out_in + 300 * turn[1])),
    )
    verdict = judge_line(line, where)
    assert verdict.clearance_in is not None
    rng = random.Random(seed)
    stop_in = (section.run_in + HABIT.past_seat_in) / math.cos(math.radians(where.held_deg))
    for _ in range(200):
        down = math.radians(where.held_deg + rng.choice([-1, -0.5, 0, 0.5, 1]) * 2 * math.hypot(1, 0.5))
        side = math.radians(rng.choice([-1, -0.5, 0, 0.5, 1]) * 2 * math.hypot(1, 0.5))
        ends = []
        for along_rod in (way_in / math.cos(down), stop_in):
            x = along_rod * math.cos(down) * math.cos(side)
            ends.append((x - way_in, 100 + x * math.tan(side), mark_in + x * math.tan(down)))
        share, line_share = rng.random(), rng.random()
        steel = [p + share * (q - p) for p, q in zip(*ends, strict=True)]
        x, y = (out_in + (2 * line_share - 1) * 300 * turn[1], 100 + (2 * line_share - 1) * 300 * turn[0])
        apart = math.dist(steel, (x, y, fall * x + line_depth_in))
        assert max(0.0, apart - 1 - 0.375) >= verdict.clearance_in - 1e-6


def test_the_sure_rod_comes_exactly_as_near_as_two_lines_in_space_do() -> None:
    # No spread: the band is the rod itself, level line across it 70 in out and 20 in down.
    where = band(habit=SURE)
    slope = 14 / 146
    rod_depth_in = 28 + 78 * slope
    verdict = judge_line(across(70, 20), where)
    assert verdict.clearance_in == pytest.approx((rod_depth_in - 20) / math.hypot(1, slope) - 0.375)


# The pit and the zone.


def test_a_round_pit_and_a_square_one_differ_at_the_corner() -> None:
    square = replace(PIT, round=False)
    points = ((106 + 20, 138 - 40), (106 + 60, 138))  # passes the pit's corner at 45°
    assert pit_to_line_in(square, points) == pytest.approx(
        shapely.box(94, 138, 106, 150).distance(shapely.LineString(points))
    )
    assert pit_to_line_in(PIT, points) == pytest.approx(
        shapely.Point(100, 144).distance(shapely.LineString(points)) - 6
    )
    assert pit_to_line_in(PIT, points) > pit_to_line_in(square, points)


def test_a_line_through_the_pit_says_move_the_pit() -> None:
    verdict = judge_pit(across(144, None, width_in=1), PIT)
    assert verdict.on_line
    assert verdict.in_zone
    assert "move the pit" in verdict.words


def test_a_line_that_ends_before_the_zone_leaves_the_pit_clear() -> None:
    line = Line(name="stub", kind="gas", points=((100, 0), (100, 138 - 18.1)))
    assert not judge_pit(line, PIT).in_zone
    assert judge_pit(replace(line, points=((100, 0), (100, 138 - 18.0))), PIT).in_zone


# The rod.


def test_the_band_runs_two_standard_deviations_either_way_about_where_the_habit_takes_the_rod() -> None:
    where = rod_band(SECTION, 6.0, along_in=100, habit=replace(HABIT, drift_mean_deg=-0.8, drift_sd_deg=0.5))
    assert (where.run_deg, where.flattest_deg, where.steepest_deg) == pytest.approx((5.2, 4.2, 6.2))
    assert (where.side_least_deg, where.side_greatest_deg) == pytest.approx((-2.236, 2.236), abs=1e-3)


def test_the_band_reaches_past_the_pits_far_side_by_what_a_flatter_rod_gains() -> None:
    where = band()
    assert where.reach_in == pytest.approx(
        158 * math.cos(math.radians(where.flattest_deg)) / math.cos(math.radians(where.held_deg)) - 8
    )
    assert where.reach_in > 150


def test_a_line_that_the_aim_passes_but_the_band_does_not_holds() -> None:
    # The aim passes 2.1 in under it; a rod two degrees flatter does not.
    line = across(70, 33)
    assert not judge_line(line, band(habit=SURE)).holds
    verdict = judge_line(line, band())
    assert verdict.state == "hold: too near"
    assert verdict.clearance_in == 0
    assert "The rod may strike it: do not drive." in verdict.words


def test_unknown_depth_in_the_band_holds_until_exposed_and_measured() -> None:
    unknown = judge_line(across(70, None), band())
    assert unknown.state == "hold until exposed"
    assert unknown.clearance_in is None
    assert "Expose it by hand" in unknown.words
    assert judge_line(across(70, 12), band()).state == "clear"


def test_a_line_beyond_the_stop_mark_holds_as_far_as_its_tolerance_zone_reaches() -> None:
    reach_in = band().reach_in
    assert judge_line(across(reach_in + 18.3, None), band()).state == "hold until exposed"
    assert judge_line(across(reach_in + 18.4, None), band()).state == "clear"
    assert judge_line(across(reach_in + 18.4, None), band(), tolerance_in=24).state == "hold until exposed"
    assert judge_line(across(reach_in + 18.4, None), band(), least_clearance_in=20).holds


def test_a_service_that_runs_out_alongside_never_crosses_and_still_holds() -> None:
    verdict = judge_line(outward(104, None), band())
    assert not verdict.crosses
    assert verdict.state == "hold until exposed"
    assert "runs beside the rod from 0 in" in verdict.words
    assert judge_line(outward(104, 38), band()).state == "hold: too near"
    assert judge_line(outward(112, 38), band()).state == "clear"
    assert judge_line(outward(112, 38), band(), least_clearance_in=12).state == "hold: too near"


def test_the_least_clearance_itself_is_enough() -> None:
    clearance_in = judge_line(across(70, 12), band()).clearance_in
    assert clearance_in is not None
    assert not judge_line(across(70, 12), band(), least_clearance_in=clearance_in).holds
    assert judge_line(across(70, 12), band(), least_clearance_in=clearance_in + 0.01).holds


def test_a_crossing_says_how_far_out_and_how_deep_the_rod_may_run_there() -> None:
    verdict = judge_line(across(70, 12), band())
    (place,) = verdict.passing
    assert place.crosses
    assert (place.out_in, place.along_in) == pytest.approx((70, 100))
    assert place.rod_depth_in == pytest.approx(28 + 78 * 14 / 146)
    assert place.rod_least_in < place.rod_depth_in < place.rod_greatest_in
    assert "service (gas, yellow marks), 12 in deep, crosses the rod 70 in out" in verdict.words


def test_a_bent_line_may_cross_more_than_once() -> None:
    line = Line(name="wire", kind="electric", points=((80, 40), (120, 60), (80, 80)), depth_in=10)
    assert [place.out_in for place in judge_line(line, band()).passing] == pytest.approx([50, 70])


def test_depth_is_below_the_ground_right_there() -> None:
    falling = replace(SECTION, drop_in=13.8)  # 10 %: the ground 70 in out is 7 in lower
    here = judge_line(across(70, 20), band(falling))
    own = judge_line(replace(across(70, 20), drop_in=7.0), band(falling))
    flat = judge_line(replace(across(70, 20), drop_in=0.0), band(falling))
    assert here.clearance_in == pytest.approx(own.clearance_in)
    assert flat.clearance_in is not None
    assert here.clearance_in is not None
    assert flat.clearance_in == pytest.approx(here.clearance_in + 7, abs=0.1)


def test_a_new_aim_judges_the_line_again() -> None:
    assert judge_line(across(100, 32), band(depth_in=38)).holds
    assert not judge_line(across(100, 32), band(depth_in=47)).holds


def test_a_steep_rod_and_a_long_habit_are_cut_off_at_what_can_be_judged() -> None:
    where = rod_band(SECTION, 79, along_in=100, habit=replace(HABIT, drift_sd_deg=5))
    assert where.steepest_deg == 80
    assert judge_line(across(70, 12), where).clearance_in is not None


# What would clear it.


def ways(line: Line, **more: float) -> dict[str, float]:
    found = what_clears([line], band(), PIT, habit=HABIT, bounds=BOUNDS, **more)
    return {way.kind: way.held_deg for way in found}


def test_nothing_is_offered_where_nothing_holds() -> None:
    assert ways(across(70, 5)) == {}


def test_every_way_offered_clears_and_keeps_its_bounds() -> None:
    line = across(40, 31)
    found = what_clears([line], band(), PIT, habit=HABIT, bounds=BOUNDS)
    assert {"steeper", "lower mark"} <= {way.kind for way in found}
    for way in found:
        tried = rod_band(way.section, way.held_deg, along_in=100, habit=HABIT)
        assert not judge_line(line, tried).holds
        assert BOUNDS.least_depth_in <= way.depth_in <= BOUNDS.greatest_depth_in
        assert BOUNDS.mark_top_in <= way.section.mark_depth_in <= BOUNDS.mark_bottom_in
    steeper = next(way for way in found if way.kind == "steeper")
    assert steeper.words.startswith("steeper: hold ")


def test_unknown_depth_over_the_rod_is_cleared_by_nothing_but_exposing_it() -> None:
    assert ways(across(70, None)) == {}


def test_a_pit_farther_out_is_kept_inside_its_bounds_and_out_of_every_zone() -> None:
    line = across(60, 37.5)

    def farther(bounds: ClearingBounds, *lines: Line) -> list[float]:
        found = what_clears([line, *lines], band(), PIT, habit=HABIT, bounds=bounds)
        return [way.setback_in for way in found if way.kind == "farther"]

    (setback_in,) = farther(BOUNDS)
    assert farther(replace(BOUNDS, greatest_setback_in=setback_in)) == [setback_in]
    assert farther(replace(BOUNDS, greatest_setback_in=setback_in - 1)) == []
    # A line far under the rod, whose zone the farther pit would stand in.
    (past_in,) = farther(BOUNDS, across(setback_in, 90))
    assert past_in > setback_in


def test_a_line_under_the_rod_is_cleared_flatter_or_farther_and_says_to_shoot_the_ground() -> None:
    line = across(60, 37.5)
    found = {way.kind: way for way in what_clears([line], band(), PIT, habit=HABIT, bounds=BOUNDS)}
    assert found["flatter"].depth_in < 42
    assert found["farther"].depth_in == pytest.approx(42)
    assert "shoot it" in found["farther"].words
    assert found["farther"].setback_in > 144


# Bad input.


def test_a_line_of_one_point_is_refused() -> None:
    with pytest.raises(ValueError, match="at least two points"):
        Line(name="wire", kind="electric", points=((0, 0),))


@pytest.mark.parametrize(
    "bad",
    [{"width_in": -1.0}, {"depth_in": -2.0}, {"depth_in": math.nan}, {"drop_in": math.inf}],
)
def test_measures_that_cannot_be_are_refused(bad: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="wire"):
        replace(Line(name="wire", kind="electric", points=((0, 0), (1, 1))), **bad)


def test_a_negative_clearance_and_tolerance_are_refused() -> None:
    with pytest.raises(ValueError, match="clearance"):
        judge_line(across(70, 12), band(), least_clearance_in=-1)
    with pytest.raises(ValueError, match="tolerance"):
        judge_pit(across(70, 12), PIT, tolerance_in=-1)
