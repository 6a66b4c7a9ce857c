"""Time to the proven cut list, beside scipy's HiGHS on the same model in the same run.

    python tests/bench/cutting_vs_highs.py [--anchors 60] [--jobs 3] [--limit 60] [--seed 1]

Invented jobs: anchors with mixed set-backs and free room, and three lengths of stock. The compact model has a
yes or no for each piece in each length of stock and a length beside it; it aims for the least stock.
Both have the same limit. Prints a Markdown table.
"""

# ruff: noqa: S311, T201 - invented jobs, and a benchmark that prints

from __future__ import annotations

import argparse
import random
import time
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_matrix

from crewtui.trade.cutting import CutPlan, PieceRange, RodToCut, StockLength, plan_cuts, rod_to_cut
from crewtui.trade.rods import RodInputs, piece_limits

KERF_IN = 0.125
STOCK_IN = (72.0, 80.0, 96.0)


def anchors(count: int, seed: int) -> list[RodToCut]:
    """Return the rods of an invented job."""
    chance = random.Random(seed)
    rods = []
    for number in range(count):
        inputs = RodInputs(
            seat_in=chance.choice((138.0, 138.0, 162.0, 210.0)) + chance.uniform(-1.5, 1.5),
            way_in=8 + chance.uniform(0, 1.5),
            angle_deg=chance.uniform(4, 8),
            plate_thickness_in=0.375,
            nut_height_in=0.64,
            threads_showing=4,
            threads_per_in=10,
            wall_plate_thickness_in=0.375,
            washer_thickness_in=0.15,
            take_up_in=3,
            stock_lengths_in=STOCK_IN,
            rod_diameter_in=0.75,
            coupling_length_in=2.25,
            coupling_corners_in=1.1,
            hole_diameter_in=1.1875,
            free_room_in=chance.choice((None, 130.0, 90.0, 70.0)),
            hammer_length_in=14,
        )
        rod = rod_to_cut(f"A-{number + 1}", piece_limits(inputs))
        if rod is not None:
            rods.append(rod)
    return rods


@dataclass(frozen=True, slots=True)
class Highs:
    """What scipy's HiGHS made of the compact model."""

    length_in: float | None
    proven: bool
    seconds: float


class _Compact:
    """Pieces against lengths of stock: columns are x (piece there), y (its length there), u (length used)."""

    def __init__(self, rods: Sequence[RodToCut], bins: Sequence[float]) -> None:
        self.pieces: list[tuple[int, PieceRange]] = [
            (number, part) for number, rod in enumerate(rods) for part in rod.splits[0]
        ]
        self.rods, self.bins = rods, bins
        self.cells = len(self.pieces) * len(bins)
        self.rows: list[int] = []
        self.columns: list[int] = []
        self.values: list[float] = []
        self.low: list[float] = []
        self.high: list[float] = []

    def row(self, entries: Sequence[tuple[int, float]], low: float, high: float) -> None:
        for column, value in entries:
            self.rows.append(len(self.low))
            self.columns.append(column)
            self.values.append(value)
        self.low.append(low)
        self.high.append(high)

    def solve(self, limit_s: float) -> Highs:
        started = time.monotonic()
        count, infinite = len(self.bins), np.inf
        for place, (_, part) in enumerate(self.pieces):
            here = [place * count + bin_ for bin_ in range(count)]
            self.row([(cell, 1.0) for cell in here], 1, 1)
            for bin_, cell in enumerate(here):
                self.row([(self.cells + cell, 1.0), (cell, -part.greatest_in)], -infinite, 0)
                self.row([(self.cells + cell, 1.0), (cell, -part.least_in)], 0, infinite)
                self.row([(cell, 1.0), (2 * self.cells + bin_, -1.0)], -infinite, 0)
        for number, rod in enumerate(self.rods):
            own = [
                self.cells + place * count + bin_
                for place, (owner, _) in enumerate(self.pieces)
                if owner == number
                for bin_ in range(count)
            ]
            self.row([(column, 1.0) for column in own], rod.length_in, rod.length_in)
        for bin_, length_in in enumerate(self.bins):
            entries = [(self.cells + place * count + bin_, 1.0) for place in range(len(self.pieces))]
            entries += [(place * count + bin_, KERF_IN) for place in range(len(self.pieces))]
            self.row([*entries, (2 * self.cells + bin_, -length_in - KERF_IN)], -infinite, 0)
            if bin_ and self.bins[bin_ - 1] == length_in:
                self.row([(2 * self.cells + bin_, 1.0), (2 * self.cells + bin_ - 1, -1.0)], -infinite, 0)
        size = 2 * self.cells + count
        cost = np.zeros(size)
        cost[2 * self.cells :] = self.bins
        whole = np.zeros(size)
        whole[: self.cells] = whole[2 * self.cells :] = 1
        top = np.ones(size)
        top[self.cells : 2 * self.cells] = infinite
        matrix = coo_matrix((self.values, (self.rows, self.columns)), shape=(len(self.low), size)).tocsr()
        answer = milp(
            cost,
            constraints=LinearConstraint(matrix, self.low, self.high),
            integrality=whole,
            bounds=Bounds(0, top),
            options={"time_limit": limit_s, "mip_rel_gap": 0},
        )
        length_in = None if answer.x is None else float(answer.fun)
        return Highs(length_in, answer.status == 0, time.monotonic() - started)


def compact(rods: Sequence[RodToCut], plan: CutPlan, limit_s: float) -> Highs:
    """Return scipy's answer, with as many of each length as the plan uses, and a few more, to choose from."""
    used = [stock.length_in for stock in plan.lengths]
    bins = [length for length in STOCK_IN for _ in range(used.count(length) + 3)]
    return _Compact(rods, bins).solve(limit_s)


def main() -> None:
    raw = argparse.RawDescriptionHelpFormatter
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=raw)
    parser.add_argument("--anchors", type=int, default=60)
    parser.add_argument("--jobs", type=int, default=3)
    parser.add_argument("--limit", type=float, default=60.0)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    print("| job | anchors | ours, in of stock | state | s | scipy's HiGHS, in of stock | proven | s |")
    print("|---|---|---|---|---|---|---|---|")
    for seed in range(given.seed, given.seed + given.jobs):
        rods = anchors(given.anchors, seed)
        plan = plan_cuts(
            rods,
            [StockLength(length_in=length) for length in STOCK_IN],
            kerf_in=KERF_IN,
            time_limit_s=given.limit,
        )
        ours = sum(stock.length_in for stock in plan.lengths)
        theirs = compact(rods, plan, given.limit)
        answer = "none found" if theirs.length_in is None else f"{theirs.length_in:g}"
        proven = "yes" if theirs.proven else "no"
        print(
            f"| {seed} | {len(rods)} | {ours:g} | {plan.state} | {plan.seconds:.1f} |"
            f" {answer} | {proven} | {theirs.seconds:.1f} |",
            flush=True,
        )


if __name__ == "__main__":
    main()
