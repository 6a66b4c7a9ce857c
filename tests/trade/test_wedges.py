"""Soil wedges: clear or not, what would clear, and what is refused."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewtui.trade.ground import wedges


@settings(deadline=None, max_examples=80)
@given(
    seat_in=st.floats(60.0, 400.0),
    wall_in=st.floats(30.0, 130.0),
    plate_in=st.floats(30.0, 80.0),
    friction_deg=st.floats(20.0, 42.0),
    fall=st.floats(-0.1, 0.2),
)
def test_setting_the_plate_at_the_least_distance_clears_and_nearer_does_not(
    seat_in: float, wall_in: float, plate_in: float, friction_deg: float, fall: float
) -> None:
    def check(at_in: float, *, slope: float = fall) -> wedges.WedgeCheck:
        return wedges.check_wedges(
            at_in,
            base_to_grade_in=wall_in,
            plate_base_depth_in=plate_in,
            friction_angle_deg=friction_deg,
            fall=slope,
        )

    least_in = check(seat_in).least_seat_in
    assert least_in is not None
    assert check(least_in).clear
    assert check(least_in + 0.01).clear
    assert not check(least_in - 0.01).clear
    spare_in = check(seat_in).spare_in
    assert spare_in is not None
    assert spare_in == pytest.approx(seat_in - least_in)


def test_falling_ground_needs_more_distance_than_level_ground() -> None:
    level, falling = (
        wedges.check_wedges(144.0, base_to_grade_in=84.0, plate_base_depth_in=52.0, fall=fall)
        for fall in (0.0, 0.05)
    )
    assert level.clear
    assert not falling.clear
    assert "farther out" in falling.warnings[0]


def test_ground_that_falls_as_steeply_as_the_wedge_rises_never_clears() -> None:
    got = wedges.check_wedges(
        400.0, base_to_grade_in=84.0, plate_base_depth_in=52.0, fall=math.tan(math.radians(30.0)) + 1e-9
    )
    assert got.least_seat_in is None
    assert not got.clear
    assert "no distance" in got.warnings[0]


def test_words_promise_nothing_of_the_soil() -> None:
    for words in (wedges.CLEAR_WORDS, wedges.MEET_WORDS):
        assert words.startswith("Geometry only: ")
        assert "nothing of what the soil holds" in words


@pytest.mark.parametrize(
    ("change", "match"),
    [
        ({"seat_in": 0.0}, "distance to the plate"),
        ({"base_to_grade_in": -1.0}, "wall's base"),
        ({"plate_base_depth_in": math.nan}, "plate's base"),
        ({"friction_angle_deg": 60.0}, "angle of friction"),
        ({"fall": 1.5}, "fall"),
    ],
)
def test_bad_input_is_refused(change: dict[str, float], match: str) -> None:
    good = {"seat_in": 144.0, "base_to_grade_in": 84.0, "plate_base_depth_in": 48.0} | change
    with pytest.raises(ValueError, match=match):
        wedges.check_wedges(
            good["seat_in"],
            base_to_grade_in=good["base_to_grade_in"],
            plate_base_depth_in=good["plate_base_depth_in"],
            friction_angle_deg=good.get("friction_angle_deg", 30.0),
            fall=good.get("fall", 0.0),
        )
