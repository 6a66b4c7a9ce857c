"""Random rods that came up wrong, and what would serve by trying everything on grids, apart from the program.

Own geometry throughout: a straight line from the mark, the ground as a run of points, the play by root
finding on the room across the hole. Nothing of the program's arithmetic is used but its result.
"""

from __future__ import annotations

import math
import random
from collections import Counter
from itertools import pairwise

import numpy as np
from scipy.optimize import brentq
from scipy.stats import norm

from crewtui.trade.aim.rod_line import Section
from crewtui.trade.recovery.miss import Found, Site, WayFigured
from crewtui.trade.recovery.ways import Recovery, recover

NEAR_IN = 0.02
"""Grid findings nearer than this to a limit decide nothing."""
Tried = np.ndarray | float
STEPS = 33
"""Drifts tried from none to all of the last rod's."""


def one_miss(dice: random.Random) -> tuple[Site, Found]:
    """Return a random anchor and a rod in its pit: shallow, deep, aside, uphill, bent, in any window."""
    mark, thick, seat = dice.uniform(20, 40), dice.choice([7.625, 8, 10, 12]), dice.uniform(110, 190)
    drop = dice.uniform(-0.08, 0.1) * seat
    plate, room = dice.choice([8.0, 10.0, 12.0]), dice.choice([0.0, 2.0, 3.0])
    pit_depth = dice.uniform(40, 66)
    greatest = pit_depth - plate / 2 - room
    least = greatest - dice.choice([0.0, 1.0, 2.0, 6.0, 12.0, 16.0])
    aim = dice.uniform(least, greatest)
    held = math.degrees(math.atan2(aim - mark + drop, seat + thick)) if aim > mark - drop else 0.5
    block = dice.random() < 0.5
    site = Site(
        section=Section(mark_depth_in=mark, way_in=thick, seat_in=seat, drop_in=drop),
        hole_angle_deg=max(0.2, held + dice.gauss(0, 0.3)), thickness_in=thick, rod_diameter_in=0.75,
        hole_diameter_in=dice.choice([1.0, 1.125, 1.25]), pit_kind=dice.choice(["auger", "hand"]),
        pit_along_rod_in=12.0, pit_across_in=dice.choice([10.0, 12.0, 16.0]), pit_depth_in=pit_depth,
        plate_width_in=plate, plate_height_in=plate, wrench_room_in=room,
        least_in=max(1.0, least), aim_in=max(1.0, aim),
        band_top_in=mark - dice.uniform(0, 5), band_bottom_in=mark + dice.uniform(0, 5), tail_length_in=80.0,
        hammer_length_in=20.0, room_above_mark_in=dice.choice([None, 6.0, 12.0, 20.0]),
        grade_to_top_in=8.0, slab_to_top_in=dice.choice([mark + 9, mark + 60.0]),
        along_in=150.0, wall_length_in=400.0, block=block,
        bed_joint_in=dice.uniform(0.0, 4.0) if block else None,
        bed_joint_side=dice.choice(["above", "below"]),
        farthest_setback_in=dice.choice([180.0, 216.0, 300.0]),
        rods_left_in=dice.choice([None, (80.0,), (20.0, 30.0), ()]),
        couplings_left=dice.choice([None, 0, 1, 4]),
        drops_shot=((seat + 40, drop + dice.uniform(-5, 5)), (seat + 150, drop + dice.uniform(-12, 12))),
        greatest_pit_depth_in=dice.choice([None, 60.0, 72.0]),
        drift_mean_deg=dice.choice([0.0, dice.gauss(0, 0.8)]), drift_sd_deg=dice.choice([1.0, 0.3]),
        spread_deg=0.5,
    )  # fmt: skip
    depth = min(max(0.0, dice.gauss(aim, 6)), pit_depth)
    chord = math.degrees(math.atan2(depth - mark + drop, seat + thick))
    seen = dice.choice([None, None, None, chord + dice.choice([0.1, -2.0, 3.0])])
    aside = dice.choice([0.0, 0.0, dice.uniform(-4, 4)])
    return site, Found(
        depth_in=depth, held_angle_deg=max(0.1, held), side_offset_in=aside, seen_angle_deg=seen
    )


def depth_of(site: Site, mark: float, run_deg: float, longer: float = 1.0) -> float:
    run = (site.section.seat_in + site.section.way_in) * longer
    return mark - site.section.drop_in + run * math.tan(math.radians(run_deg))


class Grids:
    """Everything that can be tried for one miss."""

    def __init__(self, site: Site, found: Found, got: Recovery) -> None:
        self.site, self.found, self.got = site, found, got
        section = site.section
        self.chord = math.degrees(
            math.atan2(
                found.depth_in - section.mark_depth_in + section.drop_in, section.seat_in + section.way_in
            )
        )
        self.drift = self.chord - found.held_angle_deg
        weight = site.drift_sd_deg**2 / (site.drift_sd_deg**2 + site.spread_deg**2)
        self.expected = site.drift_mean_deg + weight * (self.drift - site.drift_mean_deg)
        self.drifts = np.append(np.linspace(site.drift_mean_deg, self.drift, STEPS), self.expected)

    def serves(
        self, held: np.ndarray | float, mark: np.ndarray | float, *, margin: float, longer: float = 1.0
    ) -> bool:
        """Whether any of these, with any drift from none to all of the last, lands inside and downhill."""
        runs = np.add.outer(np.atleast_1d(held), self.drifts)
        marks = np.broadcast_to(np.atleast_1d(mark)[:, None], (max(len(np.atleast_1d(mark)), 1), 1))
        run_in = (self.site.section.seat_in + self.site.section.way_in) * longer
        depths = marks - self.site.section.drop_in + run_in * np.tan(np.radians(np.clip(runs, -89, 89)))
        inside = (depths >= self.site.least_in + margin) & (depths <= self.site.greatest_in - margin)
        return bool((inside & (runs > margin)).any())

    def steepest(self, mark: float) -> float:
        room = self.site.room_above_mark_in
        if room is None:
            return 89.0
        reach = self.site.tail_length_in + self.site.hammer_length_in
        room += mark - self.site.section.mark_depth_in
        return 89.0 if reach <= room else math.degrees(math.asin(max(0.0, room) / reach))

    def play(self) -> tuple[float, float] | None:
        """Return the flattest and the steepest lie in the hole, by root finding on the room across it."""
        site, hole = self.site, math.radians(self.site.hole_angle_deg)

        def over(deg: float) -> float:
            lie = math.radians(deg)
            return (
                abs(math.tan(lie) - math.tan(hole)) * site.thickness_in / 2
                + site.rod_diameter_in / 2 / math.cos(lie)
                - site.hole_diameter_in / 2 / math.cos(hole)
            )

        at = site.hole_angle_deg
        return float(brentq(over, -80, at)), float(brentq(over, at, 80))

    def angles(self, kind: str) -> np.ndarray:
        steep = self.steepest(self.site.section.mark_depth_in)
        low, high = 0.001, steep - 0.001
        if kind == "same hole":
            flat, steepest = self.play() or (1.0, 0.0)
            low, high = max(low, flat), min(high, steepest)
        found = np.arange(low, high, 0.02) if high > low else np.array([])
        if kind == "re-drill":
            found = found[np.abs(found - self.site.hole_angle_deg) >= 0.1]
        return found

    def marks(self) -> np.ndarray:
        site, now = self.site, self.site.section.mark_depth_in
        found = np.arange(site.band_top_in, site.band_bottom_in, 1 / 64)
        found = found[np.abs(found - now) >= site.hole_diameter_in]
        found = found[found < site.slab_to_top_in - site.grade_to_top_in - NEAR_IN]
        if site.block and site.bed_joint_in is not None:
            joint = now + (site.bed_joint_in if site.bed_joint_side == "below" else -site.bed_joint_in)
            off = np.abs((found - joint + 4) % 8 - 4)
            found = found[off >= 0.375 / 2 + site.hole_diameter_in / 2]
        return np.array([one for one in found if self.steepest(one) >= self.found.held_angle_deg])

    def places(self) -> np.ndarray:
        """Return the places on the rod's line, a quarter of an inch apart, at which a pit may be dug."""
        site, line = self.site, math.radians(self.got.ran.line_deg)
        section = site.section
        bound = site.farthest_setback_in - site.pit_along_rod_in / 2
        if site.rods_left_in is not None:
            pieces = sorted(site.rods_left_in, reverse=True)
            pieces = pieces if site.couplings_left is None else pieces[: site.couplings_left]
            bound = min(bound, section.seat_in + sum(pieces) * math.cos(line))
        places = np.arange(section.seat_in, bound, 0.25)
        points = [(section.seat_in, section.drop_in), *site.drops_shot]
        (x1, y1), (x2, y2) = list(pairwise(points))[-1]
        points.append((x2 + 1000, y2 + (y2 - y1) / (x2 - x1) * 1000))
        ground = np.interp(places, [one[0] for one in points], [one[1] for one in points])
        depth = self.found.depth_in + (places - section.seat_in) * math.tan(line) - (ground - section.drop_in)
        good = depth >= site.least_in
        if site.greatest_pit_depth_in is not None:
            good &= depth + site.plate_height_in / 2 + site.wrench_room_in <= site.greatest_pit_depth_in
        return places[good] if line > 0 else places[:0]


def faults(site: Site, found: Found, seen: Counter[str]) -> list[str]:
    """Return everything that is wrong with the ways on for one miss, and count what was looked at."""
    got = recover(site, found)
    grids, wrong = Grids(site, found, got), []
    ways = {one.kind: one for one in reversed(got.ways)}
    now_in = site.section.mark_depth_in
    if len(got.ways) == 1:
        seen["left as it is"] += 1
        inside = site.least_in - 1e-5 <= found.depth_in <= site.greatest_in + 1e-5
        return (
            [] if inside and grids.chord > 0 and not got.ran.bent else ["left as it is, and does not serve"]
        )
    for names, kind in (
        (("drive again", "drive flatter"), "same hole"),
        (("re-drill steeper", "re-drill flatter"), "re-drill"),
    ):
        way = next(ways[name] for name in names if name in ways)
        wrong += _judged(grids, way, kind, held=grids.angles(kind), mark=now_in, seen=seen)
        if kind == "same hole":
            wrong += ["same hole: sure or with a share"] if way.sure or way.share is not None else []
            flat, steep = grids.play() or (0.0, 0.0)
            if way.possible and not flat - 1e-6 <= (way.held_angle_deg or 0) <= steep + 1e-6:
                wrong.append("same hole: held outside the play")
    mark = next(ways[name] for name in ("lower mark", "higher mark") if name in ways)
    wrong += _judged(grids, mark, "other mark", held=found.held_angle_deg, mark=grids.marks(), seen=seen)
    beside = ways["hole beside"]
    run = site.section.seat_in + site.section.way_in
    longer = math.hypot(run, beside.hole_aside_in) / run
    wrong += _judged(
        grids, beside, "hole beside", held=grids.angles(""), mark=now_in, seen=seen, longer=longer
    )
    wrong += _farther(grids, [one for one in got.ways if one.kind == "pit farther out"], seen)
    wrong += _stays(
        grids, [ways[name] for name in ("accept", "deepen the pit", "widen the pit") if name in ways], seen
    )
    return wrong


def _judged(
    grids: Grids,
    way: WayFigured,
    kind: str,
    *,
    held: Tried,
    mark: Tried,
    seen: Counter[str],
    longer: float = 1.0,
) -> list[str]:
    site, wrong = grids.site, []
    some = np.size(held) > 0 and np.size(mark) > 0
    window = site.greatest_in - site.least_in
    margin = min(NEAR_IN, window / 4)
    can = bool(some) and grids.serves(held, mark, margin=margin, longer=longer)
    seen[f"{kind}: {'can' if way.possible else 'refused'}"] += 1
    if can and not way.possible and window > 0:
        wrong.append(f"{kind}: refused ({way.why_not}) and something lands inside")
    if not way.possible:
        return wrong
    held_deg = way.held_angle_deg or 0.0
    if not grids.serves(held_deg, way.mark_depth_in, margin=-2 * NEAR_IN, longer=longer):
        # The drifts of the grid are some way apart: look again between them.
        fine = np.linspace(site.drift_mean_deg, grids.drift, 4001)
        depths = [
            depth_of(site, way.mark_depth_in, held_deg + one, longer) for one in fine if held_deg + one > 0
        ]
        if not any(site.least_in - NEAR_IN <= one <= site.greatest_in + NEAR_IN for one in depths):
            wrong.append(f"{kind}: can, and nothing lands inside downhill")
    lands = [
        depth_of(site, way.mark_depth_in, held_deg + one, longer)
        for one in (site.drift_mean_deg, grids.drift)
    ]
    told = (way.lands_if_chance_in, way.lands_if_drift_repeats_in)
    if not np.allclose(lands, told, atol=1e-6):
        wrong.append(f"{kind}: lands at {lands}, told {told}")
    inside = all(site.least_in - 1e-5 <= one <= site.greatest_in + 1e-5 for one in lands)
    if way.sure and not (inside and held_deg + min(site.drift_mean_deg, grids.drift) > 0):
        wrong.append(f"{kind}: sure, and a landing is outside or uphill")
    if way.share is not None:
        after = 1 / math.sqrt(site.drift_sd_deg**-2 + site.spread_deg**-2)
        sd = math.hypot(after, site.spread_deg)
        ends = [
            math.degrees(math.atan2(one - way.mark_depth_in + site.section.drop_in,
                                    (site.section.seat_in + site.section.way_in) * longer))
            for one in (max(site.least_in, way.mark_depth_in - site.section.drop_in), site.greatest_in)
        ]  # fmt: skip
        expected = norm.cdf(ends[1], held_deg + grids.expected, sd) - norm.cdf(
            ends[0], held_deg + grids.expected, sd
        )
        if abs(max(0.0, expected) - way.share) > 1e-6:
            wrong.append(f"{kind}: share {way.share}, not {expected}")
    return wrong


def _farther(grids: Grids, ways: list[WayFigured], seen: Counter[str]) -> list[str]:
    if not ways:
        return []
    places, wrong = grids.places(), []
    possible = [one for one in ways if one.possible]
    seen[f"pit farther out: {'can' if possible else 'refused'}"] += 1
    if len(places) > 8 and not possible:
        wrong.append(f"pit farther out: refused ({ways[0].why_not}), {len(places)} places serve")
    if possible and len(places) == 0 and possible[0].seat_in > grids.site.section.seat_in + 0.5:
        depths = grids.site.least_in
        if (possible[0].lands_if_drift_repeats_in or 0) < depths - 1e-5:
            wrong.append("pit farther out: can, and no place serves")
    if possible and len(places) and abs(possible[0].seat_in - places[0]) > 1.3:
        wrong.append(f"pit farther out: enough at {places[0]}, told {possible[0].seat_in}")
    return wrong


def _stays(grids: Grids, ways: list[WayFigured], seen: Counter[str]) -> list[str]:
    wrong, site, found = [], grids.site, grids.found
    for way in ways:
        seen[f"{way.kind}: {'can' if way.possible else 'refused'}"] += 1
        if way.sure and (grids.chord <= 0 or grids.got.ran.bent or grids.got.ran.line_deg <= 0):
            wrong.append(f"{way.kind}: sure, and the rod is level, uphill or bent")
        if (
            way.possible
            and found.seen_angle_deg is not None
            and abs(found.seen_angle_deg - grids.chord) > 0.5
        ):
            wrong.append(f"{way.kind}: a bent rod stays")
        if way.kind == "widen the pit" and way.possible:
            left = min(-site.pit_across_in / 2, found.side_offset_in - site.plate_width_in / 2)
            right = max(site.pit_across_in / 2, found.side_offset_in + site.plate_width_in / 2)
            if abs(way.pit_across_in - (right - left)) > 1e-6:
                wrong.append(f"widen: {way.pit_across_in}, not {right - left}")
    return wrong


def look_at(count: int, seed: int) -> tuple[list[str], Counter[str]]:
    """Return what is wrong with so many random misses, and how many of each way were looked at."""
    dice, seen, wrong = random.Random(seed), Counter[str](), []  # noqa: S311 - a test's dice
    for number in range(count):
        site, found = one_miss(dice)
        wrong += [f"miss {number}: {one}" for one in faults(site, found, seen)]
    return wrong, seen
