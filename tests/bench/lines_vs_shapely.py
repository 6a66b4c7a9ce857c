"""Random lines, rods and pits in a yard: what the program holds against what shapely finds walking the line.

    PYTHONPATH=tests python tests/bench/lines_vs_shapely.py [--anchors 10000] [--seed 1]

For each: a line of one to three legs with up to six holes, a rod of any habit, holes that serve 1 to 48 in, a
tolerance of 18 or 24 in and a least clearance of 0 to 30 in. Prints how many hold, how many do not, how many
lie within a hair of the edge, and every one where the two disagree; exits with 1 if any do.
"""

# ruff: noqa: S311, T201 - random cases that are printed

from __future__ import annotations

import argparse
import random
import sys
from collections import Counter

import yard_cases as yard


def main() -> int:
    """Count."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--anchors", type=int, default=10_000)
    arguments.add_argument("--seed", type=int, default=1)
    given = arguments.parse_args()
    rng = random.Random(given.seed)
    counts: Counter[str] = Counter()
    for number in range(given.anchors):
        line, band, serving, tolerance_in, least_in, verdict = yard.judged(rng)
        expected = yard.held_by_shapely(line, band, serving, tolerance_in, least_in)
        if expected is None:
            counts["within a hair"] += 1
            continue
        stretches = [one.greatest - one.least for one in verdict.bare]
        if not expected and stretches and max(stretches) < yard.STEP_IN:
            counts["shorter than a step of the walk"] += 1
            continue
        counts["to lay bare" if expected else "not to lay bare"] += 1
        if bool(verdict.bare) != expected or (expected and not verdict.holds):
            counts["DISAGREE"] += 1
            print(number, expected, verdict.bare, line, serving)
        if len(line.spots) == 1 and verdict.clearance_in is not None:
            counts["steel tried"] += 1
            if yard.steel_within(line, band, rng, serving) < verdict.clearance_in - 1e-6:
                counts["NEARER THAN SAID"] += 1
                print(number, verdict.clearance_in, line, serving)
    print(dict(counts))
    return int(bool(counts["DISAGREE"] or counts["NEARER THAN SAID"]))


if __name__ == "__main__":
    sys.exit(main())
