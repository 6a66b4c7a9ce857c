"""The plan of the yard against shapely: walls placed, outlines met, rods of two walls near each other.

- Placing: shapely.affinity's rotation and translation; tolerance 1e-6 in.
- Outlines: shapely's geometry of the band seen from above with the outline. The clearance is laid round as a
  margin with square corners, so that a hold may come a little early; it never comes late.
- Rods of two walls: many straight rods drawn from both bands; none comes nearer than said, each pair's
  distance from scipy's bounded least squares, and the least over them is not much wider than said.

A larger count runs in tests/bench/yard_vs_shapely.py.
"""

from __future__ import annotations

import math
import random

import pytest
from yard_walls import (
    check_outline,
    check_placing,
    check_rods,
)

from crewtui.trade.ground.yard import SharedCorner, place_walls


@pytest.mark.parametrize("seed", range(40))
def test_points_are_carried_from_wall_to_wall_as_shapely_turns_and_moves_them(seed: int) -> None:
    check_placing(random.Random(seed))  # noqa: S311 - cases to try, no secrets


@pytest.mark.parametrize("seed", range(60))
def test_a_rod_holds_where_shapely_finds_it_in_the_outline_and_deep_enough(seed: int) -> None:
    check_outline(random.Random(100 + seed))  # noqa: S311 - cases to try, no secrets


@pytest.mark.parametrize("seed", range(25))
def test_no_two_rods_of_two_walls_come_nearer_than_said(seed: int) -> None:
    check_rods(random.Random(200 + seed))  # noqa: S311 - cases to try, no secrets


Four = tuple[float, float, float, float]


def square(lengths: Four, turns: Four = (90, 90, 90, 90)) -> list[SharedCorner]:
    names = "north", "east", "south", "west"
    return [
        SharedCorner(
            wall=names[(at + 1) % 4], here_in=0, neighbor=names[at], there_in=lengths[at],
            turn_deg=turns[at], follows=True,
        )
        for at in range(4)
    ]  # fmt: skip


def test_four_square_corners_close() -> None:
    yard = place_walls(("north", "east", "south", "west"), square((336, 240, 336, 240)))
    assert not yard.unplaced
    assert [one.closes for one in yard.misclosures] == [True]
    assert yard.misclosures[0].apart_in == pytest.approx(0, abs=1e-9)
    # Clockwise seen from above, with the yard outside: east's out points along north's along.
    assert yard.carried([(0, 0), (0, 10)], measured_from="east", to="north") == (
        pytest.approx((336, 0)), pytest.approx((346, 0)),
    )  # fmt: skip


def test_corners_that_do_not_close_say_by_how_much() -> None:
    yard = place_walls(("north", "east", "south", "west"), square((336, 240, 330, 240)))
    assert yard.misclosures[0].apart_in == pytest.approx(6)
    assert not yard.misclosures[0].closes
    off = place_walls(("north", "east", "south", "west"), square((336, 240, 336, 240), (90, 90, 90, 80)))
    assert abs(off.misclosures[0].turned_deg) == pytest.approx(10)


def test_a_wall_that_no_corner_leads_to_stays_unplaced() -> None:
    yard = place_walls(("north", "east"), [])
    assert yard.unplaced == ("east",)
    assert not yard.knows("north", "east")


def test_an_inside_corner_turns_the_other_way() -> None:
    corner = SharedCorner(wall="ell", here_in=0, neighbor="north", there_in=200, turn_deg=-90, follows=True)
    yard = place_walls(("north", "ell"), [corner])
    # The two yards are one: 36 in along the ell and 50 out is 150 along north and 36 out.
    assert yard.carried([(36, 50)], measured_from="ell", to="north") == (pytest.approx((150, 36)),)
    assert math.isclose(yard.places["ell"].along_deg, 90)
