"""Random yards of two walls, checked against shapely and scipy: for the tests and for the benchmark."""

from __future__ import annotations

import math
import random

import numpy as np
from scipy.optimize import lsq_linear
from shapely import Point, Polygon
from shapely.affinity import rotate, translate

from crewtui.trade.aim.rod_line import Section, angle_for_deg
from crewtui.trade.ground.band import Band, RodHabit, rod_band
from crewtui.trade.ground.in_ground import InGround, judge_in_ground
from crewtui.trade.ground.rods_apart import PlacedBand, bands_apart_in
from crewtui.trade.ground.yard import SharedCorner, place_walls

DRAWN = 150


def band_of(rng: random.Random, along_in: float) -> Band:
    """Return the band of an invented rod."""
    seat_in = rng.uniform(100, 180)
    section = Section(
        mark_depth_in=rng.uniform(22, 34), way_in=rng.uniform(7, 13), seat_in=seat_in,
        drop_in=rng.uniform(-0.02, 0.1) * seat_in,
    )  # fmt: skip
    habit = RodHabit(
        rod_diameter_in=0.75, past_seat_in=14, drift_sd_deg=rng.uniform(0.2, 1.2),
        side_sd_deg=rng.uniform(0.2, 1.2),
    )  # fmt: skip
    return rod_band(section, angle_for_deg(section, rng.uniform(38, 50)), along_in=along_in, habit=habit)


def check_placing(rng: random.Random) -> None:
    """Hold one wall placed by a corner against shapely's rotation about the corner."""
    there_in, here_in, turn_deg = rng.uniform(100, 400), rng.uniform(-8, 8), rng.uniform(-120, 120)
    corner = SharedCorner(
        wall="b", here_in=here_in, neighbor="a", there_in=there_in, turn_deg=turn_deg, follows=True
    )
    yard = place_walls(("a", "b"), [corner])
    point = (rng.uniform(-50, 400), rng.uniform(-50, 300))
    shifted = translate(Point(point), xoff=there_in - here_in)
    turned = rotate(shifted, -turn_deg, origin=(there_in, 0))
    x, y = yard.carried([point], measured_from="b", to="a")[0]
    assert math.dist((x, y), (turned.x, turned.y)) < 1e-6
    assert math.dist(yard.carried([(x, y)], measured_from="a", to="b")[0], point) < 1e-6


def _outline(rng: random.Random) -> Polygon:
    while True:
        center = (rng.uniform(60, 140), rng.uniform(0, 190))
        count = rng.randint(3, 7)
        turns = sorted(rng.uniform(0, 2 * math.pi) for _ in range(count))
        found = Polygon([
            (center[0] + rng.uniform(4, 40) * math.cos(turn), center[1] + rng.uniform(4, 40) * math.sin(turn))
            for turn in turns
        ])  # fmt: skip
        if found.is_valid and found.area > 20:
            return found


def check_outline(rng: random.Random) -> bool:
    """Draw rods of a band and hold the verdict on an outline against each of them; say whether it held."""
    band, area = band_of(rng, 100.0), _outline(rng)
    clearance_in = rng.choice((0.0, 3.0, 6.0))
    top_in = rng.choice((0.0, rng.uniform(0, 40)))
    base_in = top_in + rng.uniform(4, 50)
    thing = InGround(
        name="stoop", kind="footing", outline=tuple(area.exterior.coords[:-1]), top_in=top_in, base_in=base_in
    )
    found = judge_in_ground(thing, band, clearance_in=clearance_in)
    around_in = clearance_in + band.rod_radius_in
    exact = False
    for _ in range(DRAWN):
        down = rng.choice(
            (band.flattest_deg, band.steepest_deg, rng.uniform(band.flattest_deg, band.steepest_deg))
        )
        side = rng.uniform(band.side_least_deg, band.side_greatest_deg)
        for step in range(31):
            x = band.reach_in * step / 30
            below_in = band.depth_in(x, down) - band.section.fall * x
            if top_in <= below_in <= base_in and area.contains(Point(band.aside_in(x, side), x)):
                exact = True
    assert found.holds or not exact
    if found.holds:
        # Not early by more than the margin's corners: the band with 1.5 times the clearance round it touches.
        ends = ((0.0, band.side_least_deg), (0.0, band.side_greatest_deg),
                (band.reach_in, band.side_greatest_deg), (band.reach_in, band.side_least_deg))  # fmt: skip
        plan = Polygon([(band.aside_in(x, side), x) for x, side in ends])
        assert plan.distance(area) <= 1.5 * around_in + 1e-6
    return found.holds


def check_rods(rng: random.Random) -> float:
    """Draw rods of two walls at a corner and hold every pair against the distance said; return it."""
    turn_deg = rng.choice((90.0, -90.0, rng.uniform(-120, 120)))
    corner = SharedCorner(
        wall="b", here_in=0, neighbor="a", there_in=300, turn_deg=turn_deg, follows=True,
        top_lower_in=rng.choice((0.0, rng.uniform(-12, 12))),
    )  # fmt: skip
    yard = place_walls(("a", "b"), [corner])
    first = PlacedBand(
        anchor="A1", band=band_of(rng, 300 - rng.uniform(20, 160)), place=yard.places["a"], grade_in=8.0
    )
    second = PlacedBand(
        anchor="B1",
        band=band_of(rng, rng.uniform(20, 160)),
        place=yard.places["b"],
        grade_in=rng.uniform(4, 16),
    )
    said_in = bands_apart_in(first, second)
    least_in = min(_pair_in(_rod(rng, first), _rod(rng, second)) for _ in range(DRAWN))
    assert least_in >= said_in - 1e-6
    # The nearest of a few dozen drawn from the bands' edges is not far from the least there is.
    assert least_in <= said_in + max(6.0, 0.2 * least_in)
    return said_in


def _rod(rng: random.Random, of: PlacedBand) -> tuple[np.ndarray, np.ndarray]:
    band = of.band
    down = rng.choice(
        (band.flattest_deg, band.steepest_deg, rng.uniform(band.flattest_deg, band.steepest_deg))
    )
    side = rng.choice(
        (
            band.side_least_deg,
            band.side_greatest_deg,
            rng.uniform(band.side_least_deg, band.side_greatest_deg),
        )
    )
    ends = []
    for x in (0.0, band.reach_in):
        at_x, at_y = of.place.to_yard((band.aside_in(x, side), x))
        ends.append(np.array([at_x, at_y, of.below_in(band.depth_in(x, down))]))
    return ends[0], ends[1]


def _pair_in(first: tuple[np.ndarray, np.ndarray], second: tuple[np.ndarray, np.ndarray]) -> float:
    """Return the distance of two segments: bounded least squares over the share along each."""
    along = np.column_stack([first[1] - first[0], -(second[1] - second[0])])
    solved = lsq_linear(along, second[0] - first[0], bounds=(0, 1), tol=1e-12)
    return float(np.linalg.norm(along @ solved.x - (second[0] - first[0])))
