"""The cut list counted over thousands of invented jobs and trucks, for docs/cutting-model.md.

    python tests/bench/cutting_counts.py times --jobs 100     20 anchors, 3 lengths: proven in what time
    python tests/bench/cutting_counts.py trucks --jobs 2000   each "not enough" beside scipy's HiGHS
    python tests/bench/cutting_counts.py stock --jobs 300     lengths and inches taken

Times are of the processor, so that what else runs on the machine does not count.
"""

# ruff: noqa: T201 - a benchmark that prints

from __future__ import annotations

import argparse
import math
import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from compact_cutting import least_missing
from invented_rods import invented, invented_truck

from crewtui.trade.truck.cutting import CutPlan, RodToCut, StockLength, plan_cuts

KERF_IN = 0.125
GOAL_S = 2.0


def timed(rods: list[RodToCut], stock: list[StockLength], limit_s: float) -> tuple[CutPlan, float]:
    """Return the list and the processor's seconds."""
    started = time.process_time()
    plan = plan_cuts(rods, stock, kerf_in=KERF_IN, time_limit_s=limit_s)
    return plan, time.process_time() - started


def times(jobs: int, first: int) -> None:
    """Twenty anchors, three lengths of stock: how many are proven, how many of them within the goal."""
    found = []
    for seed in range(first, first + jobs):
        rods, stock = invented(seed, anchors=(20, 20), kinds=(3, 3))
        plan, taken_s = timed(rods, stock, 60)
        found.append((taken_s, plan.proven))
    seconds = sorted(taken_s for taken_s, _ in found)
    quick = sum(one and taken_s <= GOAL_S for taken_s, one in found)
    proven = sum(one for _, one in found)
    print(f"{jobs} jobs of 20 anchors, 3 lengths: {proven} proven, {quick} of them in {GOAL_S:g} s;")
    middle_s, late_s = seconds[len(seconds) // 2], seconds[int(len(seconds) * 0.95)]
    print(f"median {middle_s:.2f} s, 95 of 100 within {late_s:.2f} s")


def trucks(jobs: int, first: int) -> None:
    """Counted trucks: what is said of them, and each "not enough" beside another solver."""
    said: Counter[str] = Counter()
    for seed in range(first, first + jobs):
        rods, stock = invented(seed, anchors=(2, 6))
        truck = invented_truck(rods, stock, seed)
        plan, taken_s = timed(rods, truck, 6)
        said["longest call, hundredths of a second"] = max(
            said["longest call, hundredths of a second"], round(100 * taken_s)
        )
        said[_words(plan)] += 1
        if plan.enough is not False or plan.left_out:
            continue
        if _by_length(rods, truck) >= 1:
            said["not enough: by length alone"] += 1
            continue
        near = [RodToCut(anchor=rod.anchor, length_in=rod.length_in, splits=rod.splits[:2]) for rod in rods]
        other = least_missing(near, truck, kerf_in=KERF_IN, fetched=0, limit_s=10)
        verdict = "not settled in 10 s" if other is None else "agrees" if math.isinf(other) else "FALSE"
        said[f"not enough: scipy's HiGHS {verdict}"] += 1
        if verdict == "FALSE":
            print(f"FALSE: seed {seed}", flush=True)
    for words, count in sorted(said.items()):
        print(f"{words}: {count}")


def _words(plan: CutPlan) -> str:
    if plan.left_out:
        return "some rod cannot be made of it"
    if plan.enough is None:
        return "said: no list found, short by at most"
    return "said: enough" if plan.enough else "said: not enough"


def _by_length(rods: list[RodToCut], truck: list[StockLength]) -> int:
    """Return the inches that lack when every inch on the truck is used, and no more cuts than must be."""
    needed_in = sum(rod.length_in + KERF_IN * len(rod.splits[0]) for rod in rods)
    return math.ceil(needed_in - sum((kind.length_in + KERF_IN) * (kind.count or 0) for kind in truck) - 1e-6)


def stock(jobs: int, first: int) -> None:
    """Lengths and inches taken, beside what no list, however rods are parted, can go below."""
    taken: Counter[str] = Counter()
    for seed in range(first, first + jobs):
        rods, kinds = invented(seed)
        if not rods:
            continue
        plan, _ = timed(rods, kinds, 8)
        least_in = sum(rod.length_in for rod in rods)
        taken["lengths"] += len(plan.lengths)
        taken["inches"] += round(sum(length.length_in for length in plan.lengths))
        taken["inches that the rods need"] += round(least_in)
        taken["pieces"] += sum(len(length.pieces) for length in plan.lengths)
    for words, count in taken.items():
        print(f"{words}: {count}")


def main() -> None:
    raw = argparse.RawDescriptionHelpFormatter
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=raw)
    parser.add_argument("what", choices=("times", "trucks", "stock"))
    parser.add_argument("--jobs", type=int, default=100)
    parser.add_argument("--first", type=int, default=0)
    given = parser.parse_args()
    {"times": times, "trucks": trucks, "stock": stock}[given.what](given.jobs, given.first)


if __name__ == "__main__":
    main()
