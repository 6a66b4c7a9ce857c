from __future__ import annotations

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box

from crewtui.trade.ground.area import house_side, inside, judge_area, past_property, rim
from crewtui.trade.ground.lines import PitPlan, PlanPoint

YARD = ((-24.0, 0.0), (360.0, 0.0), (360.0, 300.0), (-24.0, 300.0))
NOTCHED = (
    (0.0, 0.0),
    (300.0, 0.0),
    (300.0, 200.0),
    (152.0, 200.0),
    (150.0, 140.0),
    (148.0, 200.0),
    (0.0, 200.0),
)
"""A yard with a narrow notch that reaches in from the far side."""


def auger(along_in: float, setback_in: float, size_in: float = 12) -> PitPlan:
    return PitPlan(
        along_in=along_in, setback_in=setback_in, along_rod_in=size_in, across_in=size_in, round=True
    )


def hand(along_in: float, setback_in: float) -> PitPlan:
    return PitPlan(along_in=along_in, setback_in=setback_in, along_rod_in=12, across_in=16, round=False)


@pytest.mark.parametrize(
    ("pit", "held"),
    [
        (auger(100, 156), False),
        (auger(354, 156), False),  # touches the edge
        (auger(354.001, 156), True),
        (auger(100, 294), False),
        (auger(100, 294.01), True),
        (hand(352, 156), False),
        (hand(352.1, 156), True),
        (auger(500, 156), True),
    ],
)
def test_a_pit_that_touches_the_edge_lies_inside(pit: PitPlan, held: bool) -> None:
    verdict = judge_area(pit, YARD)
    assert verdict.pit_inside is not held
    assert bool(verdict.warnings) is held


def test_a_notch_between_the_corners_of_a_hand_pit_is_seen() -> None:
    pit = hand(150, 140)
    assert all(inside(corner, NOTCHED) for corner in rim(pit))
    assert not judge_area(pit, NOTCHED).pit_inside


def test_the_rod_s_way_is_judged_too() -> None:
    gap = ((0.0, 0.0), (90.0, 0.0), (90.0, 100.0), (110.0, 100.0), (110.0, 0.0), (200.0, 0.0), (200.0, 300.0),
           (0.0, 300.0))  # fmt: skip
    verdict = judge_area(auger(100, 150), gap)
    assert verdict.pit_inside
    assert not verdict.way_inside
    assert "way" in verdict.warnings[0]


def test_an_area_of_two_corners_is_none() -> None:
    with pytest.raises(ValueError, match="three corners"):
        judge_area(auger(10, 100), ((0, 0), (1, 1)))


@pytest.mark.parametrize(
    ("line", "pit", "past"),
    [
        (((-60, 200), (420, 200)), auger(100, 194), False),
        (((-60, 200), (420, 200)), auger(100, 194.01), True),
        (((-60, 200), (420, 200)), auger(100, 300), True),
        (((-60, 200), (420, 200)), hand(100, 194), False),
        (((-60, 200), (420, 200)), hand(100, 194.01), True),
        (((-60, 200), (420, 260)), hand(100, 208), False),
        (((-60, 200), (420, 260)), hand(100, 214), True),
        (((0, 200), (50, 200)), auger(100, 300), False),  # not known there
        (((104, 150), (104, 400)), auger(100, 160), True),
        (((), ()), auger(100, 160), False),
    ],
)
def test_the_property_line(line: tuple[PlanPoint, ...], pit: PitPlan, past: bool) -> None:
    assert past_property(pit, [point for point in line if point]) is past


def test_the_house_s_side() -> None:
    assert house_side((10, 100), ((0, 200), (50, 200)))
    assert not house_side((10, 201), ((0, 200), (50, 200)))


# Shapely as the yardstick.

COORDINATE = st.floats(-400, 400).map(lambda value: round(value, 2))
CORNERS = st.lists(st.tuples(COORDINATE, COORDINATE), min_size=3, max_size=9, unique=True)
EDGE_IN = 1e-4
"""So near to an edge two ways of rounding may differ."""


@given(corners=CORNERS, point=st.tuples(COORDINATE, COORDINATE))
@settings(max_examples=250, deadline=None)
def test_a_point_inside_as_shapely_has_it(corners: list[PlanPoint], point: PlanPoint) -> None:
    polygon = Polygon(corners)
    assume(polygon.is_valid)
    assume(polygon.exterior.distance(Point(point)) > EDGE_IN)
    assert inside(point, corners) is polygon.contains(Point(point))


@given(corners=CORNERS, along=COORDINATE, out=st.floats(20, 400), round_pit=st.booleans())
@settings(max_examples=400, deadline=None)
def test_a_pit_inside_as_shapely_has_it(
    corners: list[PlanPoint], along: float, out: float, round_pit: bool
) -> None:
    polygon = Polygon(corners)
    assume(polygon.is_valid)
    pit = auger(along, out) if round_pit else hand(along, out)
    (left, near), _, (right, far), _ = rim(pit)
    verdict = judge_area(pit, corners)
    if round_pit:
        reach_in = polygon.exterior.distance(Point(along, out))
        assume(abs(reach_in - 6) > EDGE_IN)
        assert verdict.pit_inside is (polygon.contains(Point(along, out)) and reach_in > 6)
    else:
        shape = box(left, near, right, far)
        assume(polygon.covers(shape.buffer(EDGE_IN)) == polygon.covers(shape.buffer(-EDGE_IN)))
        assert verdict.pit_inside is polygon.covers(shape)
    way = LineString([(along, 0), (along, out)])
    assume(polygon.covers(way.buffer(EDGE_IN)) == polygon.buffer(EDGE_IN).covers(way))
    assert verdict.way_inside is polygon.covers(way)


@given(along=COORDINATE, out=st.floats(20, 400), ends=st.tuples(COORDINATE, COORDINATE))
@settings(max_examples=150, deadline=None)
def test_a_pit_past_the_property_line_as_shapely_has_it(
    along: float, out: float, ends: tuple[float, float]
) -> None:
    line = ((-1000.0, ends[0]), (1000.0, ends[1]))
    house = Polygon([*line, (1000, -5000), (-1000, -5000)])
    shape = box(along - 8, out - 6, along + 8, out + 6)
    assume(house.exterior.distance(shape.exterior) > EDGE_IN or house.exterior.crosses(shape))
    beyond = shape.difference(house).area
    assume(beyond == 0 or beyond > 0.01)
    assert past_property(hand(along, out), line) is (beyond > 0)
