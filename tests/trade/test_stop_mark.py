from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point

from crewtui.trade.aim.rod_line import Section
from crewtui.trade.rod.stop_mark import stop_mark


@settings(deadline=None, max_examples=100)
@given(st.floats(20, 40), st.floats(6, 14), st.floats(100, 220), st.floats(0.2, 15), st.floats(100, 260))
def test_it_is_the_far_side_or_the_rod_less_its_grip_whichever_comes_first(
    mark: float, wall: float, seat: float, angle: float, total: float
) -> None:
    found = stop_mark(
        Section(mark_depth_in=mark, way_in=wall, seat_in=seat, drop_in=3.0),
        angle, past_seat_in=12, rod_total_in=total, tail_least_in=4,
    )  # fmt: skip
    # The rod as drawn: from the mark on the inner face until it meets the pit's far side.
    start = Point(-wall, -mark)
    far = Point(900, -mark - (900 + wall) * math.tan(math.radians(angle)))
    met = LineString([start, far]).intersection(LineString([(seat + 12, -900), (seat + 12, 900)]))
    assert found.far_side_in == pytest.approx(start.distance(met))
    assert found.from_end_in == pytest.approx(min(start.distance(met), total - 4))
    tail_in = total - found.from_end_in
    assert tail_in >= 4 - 1e-9, "something to grip stays in the room"
    ends_first = total - 4 < start.distance(met)
    assert bool(found.words()) is ends_first
    assert found.add_in == pytest.approx(max(0.0, start.distance(met) - (total - 4)), abs=1e-9)


def test_without_its_pieces_known_it_is_the_far_side() -> None:
    section = Section(mark_depth_in=28, way_in=8, seat_in=144, drop_in=0)
    found = stop_mark(section, 5.0, past_seat_in=12, rod_total_in=None, tail_least_in=4)
    assert found.from_end_in == found.far_side_in
    assert not found.words()
