"""IRC R401.3 (published): grade falls at least 6 in within the first 10 ft; paved within 10 ft, at least 2 %.

What that fall does to an aim that takes the yard for level, on the common anchor: mark 28 in below grade,
8 in wall, 12 ft to the seat, 42 in wanted and 36 in the least. Tolerance: 0.05 in, the last digit printed.
"""

from __future__ import annotations

import pytest

from crewtui.trade.aim.rod_line import Section, angle_for_deg, depth_at_seat_in
from crewtui.trade.aim.window import window

FALL = 6 / (10 * 12)
SEAT_IN = 144.0


def yard(fall: float) -> Section:
    return Section(mark_depth_in=28, way_in=8, seat_in=SEAT_IN, drop_in=fall * SEAT_IN)


def test_a_level_aim_arrives_at_34_8_in_where_the_ground_falls_as_the_code_asks() -> None:
    level_aim_deg = angle_for_deg(yard(0), 42)
    found_in = depth_at_seat_in(yard(FALL), level_aim_deg)
    assert found_in == pytest.approx(34.8, abs=0.05)
    assert found_in < 36
    assert (
        angle_for_deg(yard(FALL), found_in)
        < window(yard(FALL), least_in=36, aim_in=42, greatest_in=44).least_angle_deg
    )


def test_the_aim_with_the_drop_in_it_arrives() -> None:
    assert depth_at_seat_in(yard(FALL), angle_for_deg(yard(FALL), 42)) == pytest.approx(42, abs=1e-9)
    assert yard(FALL).drop_in == pytest.approx(7.2)


def test_a_paved_yard_at_2_percent_takes_2_88_in() -> None:
    level_aim_deg = angle_for_deg(yard(0), 42)
    assert depth_at_seat_in(yard(0.02), level_aim_deg) == pytest.approx(42 - 2.88, abs=1e-9)
