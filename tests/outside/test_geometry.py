"""Aim, play, recovery and the line farther out, recomputed: lines met by shapely, roots found by scipy.

Nothing here uses the program's own formulas: the yard is drawn as lines in a plane (y up), and the figure is
read off where they meet. The tables were computed beforehand by bisection on the angle; their tolerance is
half a unit of the last digit printed.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

import pytest
from scipy.optimize import brentq
from shapely import LineString, Point

from crewtui.trade.aim import play, rod_line
from crewtui.trade.recovery.ways import Found, Site, how_it_ran, mark_lands_in, reach, recover

FAR = 1e5
TABLE = [
    (28.0, 8.0, 144.0, 0.00, 42.0, 5.2624, 28.737, 7.337, 152.643),
    (28.0, 8.0, 144.0, 0.05, 42.0, 7.9400, 29.116, 11.051, 153.471),
    (30.0, 8.0, 144.0, 0.05, 36.0, 4.9632, 30.695, 6.921, 152.572),
    (30.0, 10.0, 144.0, 0.05, 48.0, 9.2933, 31.636, 12.919, 156.048),
    (28.0, 8.0, 216.0, 0.05, 42.0, 6.3177, 28.886, 8.803, 225.369),
]


def dice_of(seed: int) -> random.Random:
    return random.Random(seed)  # noqa: S311 - cases to try, no secrets


@dataclass(frozen=True)
class Yard:
    mark: float
    way: float
    seat: float
    fall: float

    @property
    def section(self) -> rod_line.Section:
        return rod_line.Section(
            mark_depth_in=self.mark, way_in=self.way, seat_in=self.seat, drop_in=self.fall * self.seat
        )

    @property
    def ground(self) -> LineString:
        return LineString([(0, 0), (FAR, -self.fall * FAR)])

    def rod(self, angle_deg: float) -> LineString:
        x, y = math.cos(math.radians(angle_deg)), -math.sin(math.radians(angle_deg))
        return LineString([(-self.way, -self.mark), (-self.way + FAR * x, -self.mark + FAR * y)])

    def height_at(self, line: LineString, x: float) -> float:
        met = line.intersection(LineString([(x, -FAR), (x, FAR)]))
        assert isinstance(met, Point)
        return met.y

    def depth(self, angle_deg: float) -> float:
        return self.height_at(self.ground, self.seat) - self.height_at(self.rod(angle_deg), self.seat)

    def angle(self, depth: float) -> float:
        return float(brentq(lambda one: self.depth(one) - depth, -60, 80, xtol=1e-11))


def yards(count: int, seed: int) -> list[tuple[Yard, float]]:
    """Yards and target depths: common ones, nearly level aims, uphill ones and steep ground."""
    dice = dice_of(seed)
    found = []
    for number in range(count):
        yard = Yard(
            mark=dice.uniform(6, 60),
            way=dice.uniform(4, 20),
            seat=dice.uniform(48, 400),
            fall=dice.uniform(-0.1, 0.1) if number % 4 else dice.uniform(-0.6, 0.6),
        )
        level = yard.mark - yard.fall * yard.seat
        near = dice.uniform(-0.05, 0.05)
        found.append((yard, level + near if number % 5 == 0 else dice.uniform(12, 96)))
    return found


@pytest.mark.parametrize(
    ("mark", "way", "seat", "fall", "target", "angle", "exit_depth", "tail", "line"), TABLE
)
def test_the_table_of_aims(  # noqa: PLR0917 - the columns of the table
    mark: float, way: float, seat: float, fall: float, target: float,
    angle: float, exit_depth: float, tail: float, line: float,
) -> None:  # fmt: skip
    yard = Yard(mark, way, seat, fall)
    got = rod_line.aim(yard.section, target, tail_length_in=80)
    assert got.angle_deg == pytest.approx(angle, abs=5e-5)
    assert got.angle_deg == pytest.approx(yard.angle(target), abs=1e-8)
    assert got.exit_depth_in == pytest.approx(exit_depth, abs=5e-4)
    assert got.tail_rise_in == pytest.approx(tail, abs=5e-4)
    assert got.rod_line_in == pytest.approx(line, abs=5e-4)
    assert got.possible


def test_one_degree_is_2_68_in_of_depth() -> None:
    section = Yard(28, 8, 144, 0).section
    assert rod_line.depth_per_degree_in(section, rod_line.angle_for_deg(section, 42)) == pytest.approx(
        2.68, abs=5e-3
    )


def test_thousands_of_aims_meet_where_the_lines_meet() -> None:
    for yard, depth in yards(2000, seed=1):
        section = yard.section
        angle = rod_line.angle_for_deg(section, depth)
        rod = yard.rod(angle)
        assert yard.depth(angle) == pytest.approx(depth, abs=1e-6)
        assert rod_line.depth_at_seat_in(section, angle) == pytest.approx(depth, abs=1e-9)
        assert rod_line.exit_depth_in(section, angle) == pytest.approx(-yard.height_at(rod, 0), abs=1e-6)
        start = Point(-yard.way, -yard.mark)
        at_seat = Point(yard.seat, yard.height_at(rod, yard.seat))
        assert rod_line.rod_line_in(section, angle) == pytest.approx(start.distance(at_seat), abs=1e-6)
        far_side = Point(yard.seat + 12, yard.height_at(rod, yard.seat + 12))
        stop = rod_line.stop_mark_in(section, angle, past_seat_in=12)
        assert stop == pytest.approx(start.distance(far_side), abs=1e-6)


def test_hundreds_of_angles_found_by_root_finding() -> None:
    for yard, depth in yards(300, seed=2):
        assert rod_line.angle_for_deg(yard.section, depth) == pytest.approx(yard.angle(depth), abs=1e-7)


def test_depth_per_degree_is_the_slope_of_the_drawn_depth() -> None:
    for yard, depth in yards(300, seed=3):
        angle = rod_line.angle_for_deg(yard.section, depth)
        slope = (yard.depth(angle + 1e-3) - yard.depth(angle - 1e-3)) / 2e-3
        assert rod_line.depth_per_degree_in(yard.section, angle) == pytest.approx(slope, rel=1e-5)


def test_millimeters_and_inches_give_one_angle() -> None:
    for yard, depth in yards(500, seed=4):
        metric = Yard(yard.mark * 25.4, yard.way * 25.4, yard.seat * 25.4, yard.fall)
        assert rod_line.angle_for_deg(metric.section, depth * 25.4) == pytest.approx(
            rod_line.angle_for_deg(yard.section, depth), abs=1e-10
        )


def hole_edge(angle_deg: float, width: float) -> tuple[LineString, LineString]:
    """Upper and lower edge of a strip of this width about a line through the hole's middle."""
    x, y = math.cos(math.radians(angle_deg)), -math.sin(math.radians(angle_deg))
    axis = LineString([(-FAR * x, -FAR * y), (FAR * x, FAR * y)])
    return axis.offset_curve(width / 2), axis.offset_curve(-width / 2)


def room(rod_deg: float, hole_deg: float, rod: float, hole: float, wall: float) -> float:
    """Least height left between rod and hole at either face; below zero it does not fit."""
    gaps = []
    rod_up, rod_down = hole_edge(rod_deg, rod)
    hole_up, hole_down = hole_edge(hole_deg, hole)
    for x in (-wall / 2, wall / 2):
        face = LineString([(x, -FAR), (x, FAR)])
        heights = [line.intersection(face).y for line in (rod_up, rod_down, hole_up, hole_down)]
        gaps += [heights[2] - heights[0], heights[1] - heights[3]]
    return min(gaps)


def drawn_play(hole_deg: float, rod: float, hole: float, wall: float) -> tuple[float, float]:
    steepest = brentq(lambda one: room(one, hole_deg, rod, hole, wall), hole_deg, 85, xtol=1e-10)
    flattest = brentq(lambda one: room(one, hole_deg, rod, hole, wall), -85, hole_deg, xtol=1e-10)
    return float(steepest) - hole_deg, hole_deg - float(flattest)


def test_play_of_the_common_rod_in_its_hole() -> None:
    hole_deg = rod_line.angle_for_deg(Yard(28, 8, 144, 0).section, 42)
    got = play.rod_play(hole_deg, rod_diameter_in=0.75, hole_diameter_in=1.125, hole_length_in=8)
    assert got is not None
    assert (got.steeper_deg, got.flatter_deg) == pytest.approx((2.63, 2.70), abs=5e-3)
    lever_in = 144 + 8 / 2  # the rod turns about the middle of the hole
    deeper = lever_in * (math.tan(math.radians(got.steepest_deg)) - math.tan(math.radians(hole_deg)))
    shallower = lever_in * (math.tan(math.radians(hole_deg)) - math.tan(math.radians(got.flattest_deg)))
    assert deeper == pytest.approx(6.9, abs=0.05)
    assert shallower == pytest.approx(6.9, abs=0.15)  # "about 6.9 in" over 12 ft; flatter is a little more


def test_hundreds_of_plays_drawn_as_strips() -> None:
    dice = dice_of(5)
    for _ in range(250):
        hole_deg, rod, wall = dice.uniform(-5, 35), dice.uniform(0.5, 1.0), dice.uniform(4, 16)
        hole = rod + dice.uniform(0.02, 0.6)
        got = play.rod_play(hole_deg, rod_diameter_in=rod, hole_diameter_in=hole, hole_length_in=wall)
        assert got is not None
        assert (got.steeper_deg, got.flatter_deg) == pytest.approx(
            drawn_play(hole_deg, rod, hole, wall), abs=1e-6
        )


def passes(rod_deg: float, hole_deg: float, sizes: tuple[float, float, float, float, float]) -> bool:
    """Whether a coupling can be pushed through, step by step, the rod free to shift up and down meanwhile."""
    rod, corners, length, hole, wall = sizes
    cos_rod, half_hole = math.cos(math.radians(rod_deg)), hole / 2 / math.cos(math.radians(hole_deg))
    tilt = math.tan(math.radians(rod_deg)) - math.tan(math.radians(hole_deg))
    level = length * cos_rod
    for step in range(401):
        start = -wall / 2 - level + step / 400 * (wall + level)
        low, high = -math.inf, math.inf
        spots = [(-wall / 2, rod), (wall / 2, rod)]
        first, last = max(start, -wall / 2), min(start + level, wall / 2)
        spots += [(first, corners), (last, corners)] if first <= last else []
        for x, width in spots:
            slack = half_hole - width / 2 / cos_rod
            low, high = max(low, -slack - tilt * x), min(high, slack - tilt * x)
        if low > high:
            return False
    return True


@pytest.mark.parametrize("length", [1.0, 2.25, 5.0, 7.9, 8.5, 14.0])
def test_coupling_pushed_through_step_by_step(length: float) -> None:
    dice = dice_of(6)
    for _ in range(6):
        hole_deg, rod, wall = dice.uniform(0, 15), 0.75, 8.0
        corners, hole = dice.uniform(1.0, 1.15), dice.uniform(1.2, 1.5)
        sizes = (rod, corners, length, hole, wall)
        got = play.coupling_play(
            hole_deg, rod_diameter_in=rod, corners_in=corners, coupling_length_in=length,
            hole_diameter_in=hole, hole_length_in=wall,
        ).play  # fmt: skip
        assert got is not None
        # The steps are wall/400 apart: an end may lie that far from the face, hence the margin.
        for sign, limit in ((1, got.steeper_deg), (-1, got.flatter_deg)):
            assert passes(hole_deg + sign * limit * 0.995, hole_deg, sizes)
            assert not passes(hole_deg + sign * (limit * 1.01 + 1e-3), hole_deg, sizes)


def common_site(section: rod_line.Section, held_deg: float, **changes: object) -> Site:
    values: dict[str, object] = {
        "section": section, "hole_angle_deg": held_deg, "thickness_in": 8.0, "rod_diameter_in": 0.75,
        "hole_diameter_in": 1.125, "pit_kind": "auger", "pit_along_rod_in": 12.0, "pit_across_in": 12.0,
        "pit_depth_in": 50.0, "plate_width_in": 12.0, "plate_height_in": 12.0, "wrench_room_in": 0.0,
        "least_in": 36.0, "aim_in": 42.0, "band_top_in": 26.0, "band_bottom_in": 30.0, "tail_length_in": 80.0,
    }  # fmt: skip
    return Site(**(values | changes))  # type: ignore[arg-type]


def test_the_common_anchor_found_at_33() -> None:
    yard = Yard(28, 8, 144, 0)
    held = rod_line.angle_for_deg(yard.section, 42)
    site = common_site(yard.section, held)
    got = recover(site, Found(depth_in=33, held_angle_deg=held))
    assert got.ran.angle_deg == pytest.approx(1.884, abs=5e-4)
    assert got.ran.angle_deg == pytest.approx(yard.angle(33), abs=1e-8)
    assert got.ran.drift_deg == pytest.approx(-3.378, abs=5e-4)
    assert got.ran.play is not None
    assert got.ran.play.steeper_deg == pytest.approx(2.63, abs=5e-3)
    assert got.ran.play.flatter_deg == pytest.approx(2.70, abs=5e-3)
    assert not got.ran.straight
    assert got.window.aim_angle_deg - got.site.drift_mean_deg == pytest.approx(5.262, abs=5e-4)
    assert got.window.aim_angle_deg - got.ran.drift_deg == pytest.approx(8.641, abs=5e-4)
    assert got.window.aim_angle_deg - got.site.next_drift_deg(got.ran.drift_deg) == pytest.approx(
        8.0, abs=0.05
    )
    for depth, seat in ((36, 235.2), (42, 417.6)):
        there = reach(site, got.ran, depth)
        assert there is not None
        assert there.seat_in == pytest.approx(seat, abs=0.05)
    assert mark_lands_in(site, got.ran, 28 + 9) == pytest.approx((51.0, 42.0), abs=1e-9)
    farther = got.way("pit farther out")
    assert farther is not None
    assert not farther.possible


def test_on_ground_that_falls_faster_no_pit_farther_out_helps_ever() -> None:
    yard = Yard(28, 8, 144, 0.08)
    depth = yard.depth(3.959)
    got = recover(common_site(yard.section, 5.262), Found(depth_in=depth, held_angle_deg=5.262))
    assert math.degrees(math.atan(0.08)) == pytest.approx(4.574, abs=5e-4)
    assert got.ran.angle_deg == pytest.approx(3.959, abs=1e-6)
    assert reach(got.site, got.ran, 36) is None
    farther = got.way("pit farther out")
    assert farther is not None
    assert not farther.possible
    assert "ever" in farther.why_not


def test_hundreds_of_places_farther_out_met_by_lines() -> None:
    dice = dice_of(7)
    reached = 0
    for _ in range(600):
        yard = Yard(
            dice.uniform(20, 34), dice.uniform(6, 12), dice.uniform(120, 180), dice.uniform(-0.08, 0.08)
        )
        depth, target = dice.uniform(5, 35), 36.0
        seat, drop = yard.seat, yard.fall * yard.seat
        shots = tuple(
            (seat + step, drop + dice.uniform(-0.1, 0.1) * step) for step in (dice.uniform(20, 60), 90.0)
        )
        site = common_site(yard.section, 5.0, drops_shot=shots, pit_depth_in=60.0)
        ran = how_it_ran(site, Found(depth_in=depth, held_angle_deg=5.0))
        last_fall = (shots[1][1] - shots[0][1]) / (shots[1][0] - shots[0][0])
        points = [(seat, drop), *shots, (FAR, shots[1][1] + last_fall * (FAR - shots[1][0]))]
        target_line = LineString([(x, -y - target) for x, y in points])
        met = yard.rod(ran.angle_deg).intersection(target_line)
        crossings = [one.x for one in getattr(met, "geoms", [met]) if not one.is_empty]
        there = reach(site, ran, target)
        if there is None:
            assert not crossings
        elif there.seat_in < FAR / 2:
            reached += 1
            assert there.seat_in == pytest.approx(min(crossings), abs=1e-4)
    assert reached > 100


def test_the_drift_of_thousands_of_drawn_rods() -> None:
    dice = dice_of(8)
    for yard, depth in yards(2000, seed=9):
        held = dice.uniform(0.5, 15)
        if not 0 <= depth <= 96:
            continue
        site = common_site(yard.section, held, pit_depth_in=96.0)
        ran = how_it_ran(site, Found(depth_in=depth, held_angle_deg=held))
        assert yard.depth(held + ran.drift_deg) == pytest.approx(depth, abs=1e-6)
