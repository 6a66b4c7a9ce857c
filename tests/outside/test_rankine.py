"""Rankine's earth pressure coefficients, as printed in soil mechanics handbooks; published to four decimals.

The wedge figures are computed from the tangents of the same planes; the intersection is found here by a
geometry library on the drawn planes and ground, not by the closed form.
"""

from __future__ import annotations

import math

import pytest
from shapely import LineString

from crewtui.trade.ground.wedges import active_coefficient, check_wedges, passive_coefficient

RANKINE = [
    (26, 0.3905),
    (28, 0.3610),
    (30, 0.3333),
    (32, 0.3073),
    (34, 0.2827),
    (36, 0.2596),
    (38, 0.2379),
    (40, 0.2174),
]


@pytest.mark.parametrize(("friction_deg", "ka"), RANKINE)
def test_coefficients(friction_deg: float, ka: float) -> None:
    assert active_coefficient(friction_deg) == pytest.approx(ka, abs=0.00005)
    assert passive_coefficient(friction_deg) == pytest.approx(1.0 / ka, rel=0.0005)


@pytest.mark.parametrize(
    ("wall_in", "plate_in", "fall", "least_ft"),
    [(84.0, 48.0, 0.0, 10.97), (96.0, 60.0, 0.0, 13.28), (84.0, 52.0, 0.05, 12.15), (84.0, 52.0, 0.0, 11.55)],
)
def test_least_distance(wall_in: float, plate_in: float, fall: float, least_ft: float) -> None:
    got = check_wedges(144.0, base_to_grade_in=wall_in, plate_base_depth_in=plate_in, fall=fall)
    assert got.least_seat_in is not None
    assert got.least_seat_in / 12.0 == pytest.approx(least_ft, abs=0.005)
    assert got.clear == (least_ft <= 12.0)
    assert got.words.startswith("Geometry only: ")


@pytest.mark.parametrize("friction_deg", [26.0, 30.0, 38.0])
@pytest.mark.parametrize("fall", [-0.05, 0.0, 0.05, 0.2])
def test_at_the_least_distance_the_drawn_planes_meet_on_the_ground(friction_deg: float, fall: float) -> None:
    wall_in, plate_in = 90.0, 50.0
    least_in = check_wedges(
        144.0,
        base_to_grade_in=wall_in,
        plate_base_depth_in=plate_in,
        friction_angle_deg=friction_deg,
        fall=fall,
    ).least_seat_in
    assert least_in is not None
    steep, flat = (math.tan(math.radians(45.0 + turn * friction_deg / 2.0)) for turn in (1, -1))
    ground = LineString([(-500.0, 500.0 * fall), (1500.0, -1500.0 * fall)])
    wall_plane = LineString([(0.0, -wall_in), (800.0, -wall_in + 800.0 * steep)])
    plate_x, plate_y = least_in, -fall * least_in - plate_in
    plate_plane = LineString([(plate_x, plate_y), (plate_x - 800.0, plate_y + 800.0 * flat)])
    assert ground.intersection(wall_plane).distance(ground.intersection(plate_plane)) < 1e-6
