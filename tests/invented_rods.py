"""Invented jobs for the cut list: anchors with mixed set-backs and free room, and a truck."""

from __future__ import annotations

import random

from crewtui.trade.rod.make_up import piece_limits
from crewtui.trade.rod.rod_inputs import RodInputs
from crewtui.trade.truck.cutting import RodToCut, StockLength, rod_to_cut

STOCK_IN = (36.0, 60.0, 72.0, 80.0, 90.0, 96.0, 120.0)
SEATS_IN = (138.0, 144.0, 162.0, 180.0, 210.0)
ROOMS_IN = ((None,), (None, 130.0), (130.0, 90.0), (None, 130.0, 90.0, 70.0), (90.0,), (70.0,))
"""Free room inside, anchor by anchor; None where it is not known."""


def invented(
    seed: int, *, anchors: tuple[int, int] = (5, 20), kinds: tuple[int, int] = (1, 3)
) -> tuple[list[RodToCut], list[StockLength]]:
    """Return the rods of an invented job and its kinds of stock, uncounted."""
    chance = random.Random(seed)  # noqa: S311 - an invented job
    stock = tuple(sorted(chance.sample(STOCK_IN[1:], chance.randint(*kinds))))
    seat_in, rooms = chance.choice(SEATS_IN), chance.choice(ROOMS_IN)
    rods = []
    for number in range(chance.randint(*anchors)):
        inputs = RodInputs(
            seat_in=seat_in + chance.choice((0, 0, 0, 12, 24)) + chance.uniform(-1.5, 1.5),
            way_in=8 + chance.uniform(0, 1.5),
            angle_deg=chance.uniform(4, 8),
            plate_thickness_in=0.375,
            nut_height_in=0.64,
            threads_showing=4,
            threads_per_in=10,
            wall_plate_thickness_in=0.375,
            washer_thickness_in=0.15,
            take_up_in=3,
            stock_lengths_in=stock,
            rod_diameter_in=0.75,
            coupling_length_in=2.25,
            coupling_corners_in=1.1,
            hole_diameter_in=1.1875,
            free_room_in=chance.choice(rooms),
            hammer_length_in=14,
        )
        rod = rod_to_cut(f"A-{number + 1}", piece_limits(inputs))
        if rod is not None:
            rods.append(rod)
    return rods, [StockLength(length_in=length_in) for length_in in stock]


def invented_truck(rods: list[RodToCut], stock: list[StockLength], seed: int) -> list[StockLength]:
    """Return counts that hold about what the rods need, a little more or less, and at times an offcut."""
    chance = random.Random(seed)  # noqa: S311 - an invented truck
    needed_in = sum(rod.length_in for rod in rods) * chance.uniform(0.97, 1.15)
    shares = [chance.random() for _ in stock]
    truck = [
        StockLength(length_in=kind.length_in, count=round(needed_in * share / sum(shares) / kind.length_in))
        for kind, share in zip(stock, shares, strict=True)
    ]
    if chance.random() < 0.3:
        truck.append(StockLength(length_in=chance.choice((20.0, 33.0, 41.5)), count=1, offcut=True))
    return truck
