"""The plate in its pit: shapely's geometry of a circle and a plate, and published figures of reach and slope.

- shapely: a circle as a fine polygon (1024 sides a quarter), the plate's line pushed towards the wall until
  its ends meet it; tolerance 1e-3 in for the polygon.
- NUREG-0700 rev. 3, Table 11.4 (after MIL-STD-1472G): functional reach 26.7 in and 34.9 in.
- RCSC specification, 6.1.1, as the American Institute of Steel Construction's questions and answers (6.10.1)
  quote it: surfaces under head and nut within 1:20 of square to the bolt's axis.
- A worked case of the trade's geometry: 12 in of plate in a 14 in hole, sqrt(49 - 36) = 3.606 in.
"""

from __future__ import annotations

import math
import random

import pytest
from shapely import LineString, Point

from crewtui.job.tables.rules import defaults
from crewtui.trade.ground import seat

RANDOM_PITS = 60


def test_twelve_inches_of_plate_in_a_fourteen_inch_hole() -> None:
    short_in = seat.chord_short_in(14, 12)
    assert short_in == pytest.approx(3.606, abs=5e-4)
    assert 7 - short_in == pytest.approx(3.394, abs=5e-4)


@pytest.mark.parametrize("number", range(RANDOM_PITS))
def test_a_plate_on_its_chord_just_fits_the_circle(number: int) -> None:
    chance = random.Random(number)  # noqa: S311 - to be the same each time
    across_in = chance.uniform(8, 30)
    wide_in = chance.uniform(0.2, 0.98) * across_in
    hole = Point(0, 0).buffer(across_in / 2, quad_segs=1024)
    short_in = seat.chord_short_in(across_in, wide_in)
    assert short_in is not None

    def plate(at_in: float) -> LineString:
        return LineString([(-wide_in / 2, -at_in), (wide_in / 2, -at_in)])

    assert hole.contains(plate(short_in - 1e-2))
    assert not hole.contains(plate(short_in + 1e-2))


@pytest.mark.parametrize("number", range(RANDOM_PITS))
def test_what_is_squared_is_what_of_the_plate_lies_outside_the_circle(number: int) -> None:
    chance = random.Random(1000 + number)  # noqa: S311 - to be the same each time
    across_in = chance.uniform(8, 30)
    wide_in = chance.uniform(0.2, 1.6) * across_in
    short_in = chance.uniform(0, 0.99) * across_in / 2
    hole = Point(0, 0).buffer(across_in / 2, quad_segs=1024)
    plate = LineString([(-wide_in / 2, -short_in), (wide_in / 2, -short_in)])
    outside_in = plate.difference(hole).length / 2
    assert seat.corners_out_in(across_in, wide_in, short_in=short_in) == pytest.approx(outside_in, abs=2e-3)


def test_a_plate_wider_than_the_hole_does_not_go_in() -> None:
    assert seat.chord_short_in(14, 14.1) is None
    assert seat.chord_short_in(14, 14) == pytest.approx(0.0, abs=1e-6)
    found = seat.plate_seat(
        is_round=True, pit_along_rod_in=10, pit_across_in=10, plate_width_in=12, face=None, short_in=5,
        taped=False,
    )  # fmt: skip
    assert not found.goes_in
    assert found.words == (
        (
            "The plate is 12 in wide and the round pit 10 in: it does not go in. Square the"
            " house-side corners 6 in out at each side, or take a wider auger, before anything is dug."
        ),
    )


def test_the_face_leans_by_the_rods_slope_over_the_plates_height() -> None:
    # 10 in of plate at 6.9 degrees: 10 tan 6.9 = 1.210, 1 1/4 in on a tape's eighths.
    assert seat.lean_in(10, 6.9) == pytest.approx(10 * 0.12101, abs=1e-3)
    words = seat.nut_face(6.9, plate_height_in=10, takes_deg=None).words[0]
    assert "its foot lies 1 1/4 in nearer to the house" in words
    # A face square to the rod has no length along it: rod (out, down), face from its top to its foot.
    rod = (math.cos(math.radians(6.9)), math.sin(math.radians(6.9)))
    assert rod[0] * -seat.lean_in(10, 6.9) + rod[1] * 10 == pytest.approx(0.0, abs=1e-9)


def test_the_slope_of_plain_structural_bolts() -> None:
    assert math.tan(math.radians(seat.BOLT_SLOPE_DEG)) == pytest.approx(1 / 20)
    assert not seat.nut_face(2.86, plate_height_in=10, takes_deg=None).washer
    off = seat.nut_face(7.0, plate_height_in=10, takes_deg=None)
    assert off.washer
    assert "1 in 20, the limit of plain structural bolts (RCSC 6.1.1)" in off.words[1]
    assert not seat.nut_face(7.0, plate_height_in=10, takes_deg=9.0).washer


def test_the_reach_of_an_arm_is_the_published_one() -> None:
    rule = defaults()["arm_reach_in"]
    assert rule.value == 34.9
    assert "26.7 in" in rule.source


@pytest.mark.parametrize(
    ("deep_in", "socket_in", "setting"),
    [(34.9, None, "from the rim"), (35.0, None, "somebody has to go in"), (41, 18, "with the long socket"),
     (53, 18, "somebody has to go in")],
)  # fmt: skip
def test_how_the_nut_is_set(deep_in: float, socket_in: float | None, setting: str) -> None:
    found = seat.nut_reach(
        deep_in, reach_in=34.9, long_socket_in=socket_in, pit_least_in=14, entry_least_in=24,
        entry_rules=("way out",),
    )  # fmt: skip
    assert found.setting == setting
    assert found.fits == (setting != "somebody has to go in")
    assert ("way out" in found.words) == (setting == "somebody has to go in")
