# ruff: noqa: S311 - random cases with a fixed seed
"""Which stretch of a line is met and which was laid bare, against shapely walked along the line."""

from __future__ import annotations

import random

import pytest
import shapely
import yard_cases as yard
from msgspec.structs import replace

from crewtui.trade.ground import exposed
from crewtui.trade.ground.exposed import Serving, Spot
from crewtui.trade.ground.lines import Line, PitPlan, judge_pit, pit_footprint
from crewtui.trade.ground.nearness import Range


def test_the_stretch_met_is_what_shapely_finds_walking_along_the_line() -> None:
    rng = random.Random(11)
    hits = 0
    for _ in range(100):
        pit = yard.random_pit(rng, 100)
        points, within_in = yard.random_run(rng, 100), rng.uniform(6, 40)
        found = exposed.met(points, pit_footprint(pit), within_in)
        shape = yard.plan_of_pit(pit)
        for wider, met in ((yard.EDGE_IN, False), (-yard.EDGE_IN, True)):
            places = yard.really_may_be_met(points, shape, within_in + wider)
            inside = [any(one.least - 1e-3 <= at <= one.greatest + 1e-3 for one in found) for at in places]
            # Every place that is met surely lies in a stretch; none lies far outside what may be met.
            assert not met or all(inside)
            hits += len(places)
        edges = [at for one in found for at in (one.least, one.greatest)]
        places = yard.really_may_be_met(points, shape, within_in + yard.EDGE_IN)
        assert all(min(abs(at - place) for place in places) <= yard.STEP_IN + 0.01 for at in edges)
        assert bool(found) == (shapely.LineString(points).distance(shape) <= within_in)
    assert hits > 2000


def test_places_along_a_line_are_shapelys() -> None:
    rng = random.Random(12)
    for _ in range(300):
        points = yard.random_run(rng, 100)
        line = shapely.LineString(points)
        point = (rng.uniform(-100, 300), rng.uniform(-50, 300))
        assert exposed.length_of(points) == pytest.approx(line.length)
        place_in = exposed.place_along(points, point)
        nearest = line.interpolate(place_in)
        assert nearest.distance(shapely.Point(point)) == pytest.approx(line.distance(shapely.Point(point)))
        assert exposed.point_along(points, place_in) == pytest.approx((nearest.x, nearest.y))


def test_a_line_holds_exactly_where_shapely_finds_a_place_that_no_hole_shows() -> None:
    rng = random.Random(13)
    seen = {True: 0, False: 0}
    for _ in range(150):
        line, band, serving, tolerance_in, least_in, verdict = yard.judged(rng)
        expected = yard.held_by_shapely(line, band, serving, tolerance_in, least_in)
        if expected is None:
            continue
        seen[expected] += 1
        assert bool(verdict.bare) == expected, (line, band, serving)
        assert verdict.holds or not expected
    assert min(seen.values()) > 30


def test_no_rod_comes_nearer_to_a_line_laid_bare_than_said() -> None:
    rng = random.Random(14)
    tried = 0
    while tried < 60:
        line, band, serving, *_, verdict = yard.judged(rng)
        if verdict.clearance_in is None or len(line.spots) != 1:
            continue
        tried += 1
        assert yard.steel_within(line, band, rng, serving) >= verdict.clearance_in - 1e-6


def test_digging_where_it_says_until_nothing_is_asked_takes_as_many_holes_as_it_says() -> None:
    rng = random.Random(15)
    for _ in range(80):
        line, band, serving, tolerance_in, _, verdict = yard.judged(rng)
        serving = Serving(reach_in=max(6.0, serving.reach_in))
        holes = 0
        verdict = yard.judge_line(line, band, tolerance_in=tolerance_in, serving=serving)
        said = verdict.holes
        while verdict.dig_at is not None:
            x, y = verdict.dig_at
            line = replace(line, spots=(*line.spots, Spot(along_in=x, out_in=y, depth_in=30)))
            verdict = yard.judge_line(line, band, tolerance_in=tolerance_in, serving=serving)
            holes += 1
            assert holes < 200
        assert not verdict.bare
        assert holes <= said + 1  # the last few inches at a corner may ask for one more


# What one hole stands for.


def across(*alongs_in: float) -> Line:
    spots = tuple(Spot(along_in=along_in, out_in=70, depth_in=22) for along_in in alongs_in)
    return Line(name="gas", kind="gas", points=((0, 70), (600, 70)), spots=spots)


def pit(along_in: float) -> PitPlan:
    return PitPlan(along_in=along_in, setback_in=80, along_rod_in=12, across_in=12, round=True)


def test_one_hole_shows_one_spot_and_not_the_same_line_35_ft_on() -> None:
    line = across(100)
    assert judge_pit(line, pit(100)).exposed
    assert not judge_pit(line, pit(520)).exposed
    assert judge_pit(across(100, 520), pit(520)).exposed


def test_a_hole_serves_so_far_along_the_line_and_no_farther() -> None:
    # The pit's ground meets 12 in of the line, 6 in to either side of the pit's middle.
    assert judge_pit(across(100 + 18), pit(100)).exposed
    assert not judge_pit(across(100 + 18.1), pit(100)).exposed
    assert judge_pit(across(100 + 18.1), pit(100), serving=Serving(reach_in=25)).exposed
    assert not judge_pit(across(100), pit(100), serving=Serving(reach_in=0)).exposed


def test_between_two_holes_the_line_is_taken_between_them_only_where_the_company_says_so() -> None:
    line = across(40, 160)
    assert not judge_pit(line, pit(100)).exposed
    assert judge_pit(line, pit(100), serving=Serving(between=True)).exposed
    assert not judge_pit(line, pit(200), serving=Serving(between=True)).exposed


def test_between_two_holes_it_lies_as_deep_as_both_say_together() -> None:
    points = ((0.0, 70.0), (600.0, 70.0))
    spots = (Spot(along_in=0, out_in=70, depth_in=20), Spot(along_in=200, out_in=74, depth_in=40))
    (piece,) = exposed.pieces(points, spots, Serving(reach_in=0, between=True), (Range(90, 110),))
    at = shapely.LineString([(x, z) for x, _, z in piece])
    assert at.intersection(shapely.LineString([(50, 0), (50, 100)])).y == pytest.approx(25)
    assert piece[-1] == pytest.approx((200, 74, 40))


@pytest.mark.parametrize("bad", [{"depth_in": -1.0}, {"along_in": float("nan")}, {"out_in": float("inf")}])
def test_a_place_that_cannot_be_is_refused(bad: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="laid bare"):
        Spot(**{"along_in": 0.0, "out_in": 0.0, "depth_in": 10.0, **bad})
