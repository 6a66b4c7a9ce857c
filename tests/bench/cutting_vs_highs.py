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
import sys
from collections.abc import Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from compact_cutting import Compact, Highs

from crewtui.trade.rod.make_up import RodInputs, piece_limits
from crewtui.trade.truck.cutting import CutPlan, RodToCut, StockLength, plan_cuts, rod_to_cut

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


def compact(rods: Sequence[RodToCut], plan: CutPlan, limit_s: float) -> Highs:
    """Return scipy's answer, with as many of each length as the plan uses, and a few more, to choose from."""
    used = [stock.length_in for stock in plan.lengths]
    bins = [length for length in STOCK_IN for _ in range(used.count(length) + 3)]
    return Compact(rods, bins, kerf_in=KERF_IN).solve(limit_s)


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
