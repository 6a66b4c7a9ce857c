"""Random lines, pits and rods in a yard, and shapely's own answer to what of a line they meet."""

from __future__ import annotations

import math
import random
from itertools import pairwise

import shapely
from msgspec.structs import replace
from shapely.ops import substring

from crewtui.trade.aim.rod_line import Section, angle_for_deg
from crewtui.trade.ground.band import Band, RodHabit, rod_band
from crewtui.trade.ground.exposed import PlanPoint, Serving, Spot, point_along
from crewtui.trade.ground.line_verdict import LineVerdict, judge_line
from crewtui.trade.ground.lines import Line, PitPlan

STEP_IN = 0.5
"""How closely a line is walked along."""
EDGE_IN = 2e-3
"""Where two methods may round to different sides."""


def random_run(rng: random.Random, along_in: float) -> tuple[PlanPoint, ...]:
    """Return a line of one to three stretches in the yard near an anchor: across, outward or any way."""
    kind = rng.choice(("across", "outward", "any"))
    if kind == "across":
        out_in, turn_in = rng.uniform(-20, 200), rng.uniform(-30, 30)
        ends = [(along_in - rng.uniform(0, 250), out_in), (along_in + rng.uniform(0, 250), out_in + turn_in)]
    elif kind == "outward":
        beside_in = along_in + rng.uniform(-45, 45)
        ends = [(beside_in, rng.uniform(-5, 60)), (beside_in + rng.uniform(-20, 20), rng.uniform(90, 300))]
    else:
        ends = [(along_in + rng.uniform(-150, 150), rng.uniform(-20, 250)) for _ in range(2)]
    more = [(along_in + rng.uniform(-150, 150), rng.uniform(-20, 250)) for _ in range(rng.randint(0, 2))]
    return (*ends, *more)


def random_band(rng: random.Random, along_in: float) -> Band:
    """Return the band of a rod as a crew with any habit may run it."""
    seat_in = rng.uniform(90, 200)
    section = Section(
        mark_depth_in=rng.uniform(24, 34),
        way_in=rng.uniform(7, 13),
        seat_in=seat_in,
        drop_in=rng.uniform(-0.03, 0.1) * seat_in,
    )
    habit = RodHabit(
        rod_diameter_in=rng.choice((0.625, 0.75, 1.0)),
        past_seat_in=rng.uniform(10, 18),
        drift_mean_deg=rng.uniform(-1, 1),
        drift_sd_deg=rng.uniform(0.2, 2.5),
        side_sd_deg=rng.uniform(0.2, 2.5),
    )
    held_deg = angle_for_deg(section, rng.uniform(38, 50))
    return rod_band(section, held_deg, along_in=along_in, habit=habit)


def random_pit(rng: random.Random, along_in: float) -> PitPlan:
    """Return an augered or a hand-dug pit."""
    size_in = rng.uniform(10, 20)
    return PitPlan(
        along_in=along_in,
        setback_in=rng.uniform(90, 200),
        along_rod_in=size_in,
        across_in=rng.uniform(10, 24),
        round=rng.random() < 0.5,
    )


def random_spots(rng: random.Random, points: tuple[PlanPoint, ...]) -> tuple[Spot, ...]:
    """Return up to three holes along a line, each where its marks are or some way off them."""
    long_in = shapely.LineString(points).length
    spots = []
    for _ in range(rng.randint(0, 3)):
        x, y = point_along(points, rng.uniform(0, long_in))
        off_in = rng.choice((0.0, rng.uniform(-12, 12)))
        spots.append(Spot(along_in=x + off_in, out_in=y + off_in / 2, depth_in=rng.uniform(6, 80)))
    return tuple(spots)


def plan_of(band: Band) -> shapely.Polygon:
    """Return the ground that a band's middle line takes up, seen from above, from its angles alone."""
    way_in = band.section.way_in
    edges = [math.tan(math.radians(deg)) for deg in (band.side_least_deg, band.side_greatest_deg)]
    corners = [
        (band.along_in + (out_in + way_in) * edge, out_in)
        for out_in, pair in ((0.0, edges), (band.reach_in, edges[::-1]))
        for edge in pair
    ]
    return shapely.Polygon(corners)


def plan_of_pit(pit: PitPlan) -> shapely.Geometry:
    """Return the pit's rim; a round one as a polygon of so many sides that it is off by under 1e-3 in."""
    if pit.round:
        return shapely.Point(pit.along_in, pit.setback_in).buffer(pit.along_rod_in / 2, quad_segs=100)
    half_in, deep_in = pit.across_in / 2, pit.along_rod_in / 2
    return shapely.box(
        pit.along_in - half_in, pit.setback_in - deep_in, pit.along_in + half_in, pit.setback_in + deep_in
    )


def really_may_be_met(
    points: tuple[PlanPoint, ...],
    shape: shapely.Geometry,
    within_in: float,
    *,
    rod: shapely.LineString | None = None,
    touching_in: float = 0.0,
) -> list[float]:
    """Return the places, walked along a line, square to which or at whose corners the shape is so near.

    A leg that crosses the rod counts only where the shape is within touch of it.
    """
    found, before_in = [], 0.0
    for (x1, y1), (x2, y2) in pairwise(points):
        long_in = math.dist((x1, y1), (x2, y2))
        crosses = rod is not None and rod.intersects(shapely.LineString([(x1, y1), (x2, y2)]))
        wide_in = touching_in if crosses else within_in
        for step in range(int(long_in / STEP_IN) + 1):
            place_in = step * STEP_IN
            x, y = x1 + place_in / long_in * (x2 - x1), y1 + place_in / long_in * (y2 - y1)
            nx, ny = -(y2 - y1) / long_in * wide_in, (x2 - x1) / long_in * wide_in
            if shape.distance(shapely.LineString([(x - nx, y - ny), (x + nx, y + ny)])) == 0:
                found.append(before_in + place_in)
        for corner, at_in in (((x1, y1), 0.0), ((x2, y2), long_in)):
            if shape.distance(shapely.Point(corner)) <= wide_in:
                found.append(before_in + at_in)
        before_in += long_in
    return found


def shown_by(
    points: tuple[PlanPoint, ...], spots: tuple[Spot, ...], serving: Serving, place_in: float
) -> bool:
    """Return whether a place is within reach of a hole, or between two where that is said, by shapely."""
    line = shapely.LineString(points)
    places = [line.project(shapely.Point(spot.point)) for spot in spots]
    near = any(abs(one - place_in) <= serving.reach_in for one in places)
    return near or (serving.between and len(places) > 1 and min(places) <= place_in <= max(places))


def held_by_shapely(
    line: Line, band: Band, serving: Serving, tolerance_in: float, least_in: float
) -> bool | None:
    """Return whether any of the line that the rod may meet was never laid bare; None within a hair of it."""
    zone_in = band.rod_radius_in + line.width_in / 2 + max(tolerance_in, least_in)
    shape, answers = plan_of(band), set()
    side = math.tan(math.radians(band.side_run_deg))
    ends = (0.0, band.reach_in)
    rod = shapely.LineString(
        [(band.along_in + (out_in + band.section.way_in) * side, out_in) for out_in in ends]
    )
    for slack_in in (-EDGE_IN, EDGE_IN):
        met = really_may_be_met(
            line.points,
            shape,
            zone_in + slack_in,
            rod=rod,
            touching_in=band.rod_radius_in + line.width_in / 2 + slack_in,
        )
        serves = Serving(reach_in=max(0.0, serving.reach_in - slack_in), between=serving.between)
        answers.add(any(not shown_by(line.points, line.spots, serves, place_in) for place_in in met))
    return answers.pop() if len(answers) == 1 else None


def steel_within(line: Line, band: Band, rng: random.Random, serving: Serving) -> float:
    """Return how near a rod of the band, drawn at random, comes to the line as its holes show it."""
    section = band.section
    down = math.radians(rng.uniform(band.flattest_deg, band.steepest_deg))
    side = math.radians(rng.uniform(band.side_least_deg, band.side_greatest_deg))
    long = shapely.LineString(line.points)
    nearest_in = math.inf
    for spot in line.spots:
        place_in = long.project(shapely.Point(spot.point))
        mark = long.interpolate(place_in)
        part = substring(long, max(0.0, place_in - serving.reach_in), place_in + serving.reach_in)
        for point in (part.interpolate(share, normalized=True) for share in (0, 0.25, 0.5, 0.75, 1)):
            x, y = point.x + spot.along_in - mark.x, point.y + spot.out_in - mark.y
            depth_in = section.fall * y + spot.depth_in
            for step in range(41):
                out_in = band.reach_in * step / 40
                run_in = out_in + section.way_in
                rod = (
                    band.along_in + run_in * math.tan(side),
                    out_in,
                    section.mark_depth_in + run_in * math.tan(down),
                )
                nearest_in = min(nearest_in, math.dist(rod, (x, y, depth_in)))
    return max(0.0, nearest_in - band.rod_radius_in - line.width_in / 2)


def judged(rng: random.Random) -> tuple[Line, Band, Serving, float, float, LineVerdict]:
    """Return one random line and rod, and how the program judges them."""
    along_in = rng.uniform(0, 400)
    points = random_run(rng, along_in)
    line = Line(
        name="line",
        kind="gas",
        points=points,
        width_in=rng.choice((0.0, 0.75, 4.0, 12.0)),
        spots=random_spots(rng, points),
    )
    band = random_band(rng, along_in)
    serving = Serving(reach_in=rng.choice((1.0, 6.0, 24.0, 48.0)), between=rng.random() < 0.3)
    tolerance_in, least_in = rng.choice((18.0, 24.0)), rng.choice((0.0, 0.0, 12.0, 30.0))

    def judge(line: Line) -> LineVerdict:
        return judge_line(line, band, least_clearance_in=least_in, tolerance_in=tolerance_in, serving=serving)

    verdict = judge(line)
    for _ in range(rng.randint(0, 3)):
        if verdict.dig_at is not None:
            x, y = verdict.dig_at
            found = Spot(along_in=x + rng.choice((0.0, 3.0)), out_in=y, depth_in=rng.uniform(6, 80))
            line = replace(line, spots=(*line.spots, found))
            verdict = judge(line)
    return line, band, serving, tolerance_in, least_in, verdict
