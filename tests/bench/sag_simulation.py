"""Share of first drives inside in depth and side, with and without the tail's sag in its height.

    python tests/bench/sag_simulation.py [--days 4000] [--seed 1]

Section: mark 28 in, wall 8 in, seat 144 in, level ground; window 36 to 43 in, pit 14 in wide; eight rods of
3/4 in a day, the free tail another one each time (48 to 96 in); spread 0.5° a rod both ways, habit from the
prior of 1°. A tail that is held at its end sags, so that the rod enters flatter than the tail's height says
(docs/calculations.md). "No sag" holds by the height alone, "with sag" has it in the height, as the program
gives it. Prints a Markdown table.
"""

# ruff: noqa: S311, T201 - a simulation that prints

from __future__ import annotations

import argparse
import math
import random

from crewtui.trade.aim.drift import DriveRun, corrected_held_deg, estimate
from crewtui.trade.aim.rod_line import Section, angle_for_deg, depth_at_seat_in
from crewtui.trade.aim.sag import sag_deg
from crewtui.trade.aim.window import best_aim, window

SECTION = Section(mark_depth_in=28, way_in=8, seat_in=144, drop_in=0)
LEAST_IN, GREATEST_IN = 36.0, 43.0
RODS, SPREAD_DEG = 8, 0.5
WIDTH_IN, MIDDLE_IN = 7.0, 1.0
"""Half the pit's width, and how far off its middle the step takes without a word."""
TAILS_IN = (48.0, 96.0)
DIAMETER_IN, THREADS = 0.75, 10.0


def day(rng: random.Random, target_deg: float, *, with_sag: bool, learns: bool) -> tuple[int, int, int]:
    """Return how many first drives of a day land inside in depth, in the pit's width too, near its middle."""
    habit_deg = rng.gauss(0.0, 1.0)
    driven: list[DriveRun] = []
    deep = wide = middle = 0
    for _ in range(RODS):
        sag = sag_deg(DIAMETER_IN, THREADS, rng.uniform(*TAILS_IN))
        held_deg = target_deg
        if learns and driven:
            held_deg = corrected_held_deg(target_deg, estimate(driven, wall="w", spread_deg=SPREAD_DEG))
        entered_deg = held_deg if with_sag else held_deg - sag
        run_deg = entered_deg + habit_deg + rng.gauss(0.0, SPREAD_DEG)
        inside = LEAST_IN <= depth_at_seat_in(SECTION, run_deg) <= GREATEST_IN
        aside_in = SECTION.run_in * math.tan(math.radians(rng.gauss(0.0, SPREAD_DEG)))
        deep += inside
        wide += inside and abs(aside_in) <= WIDTH_IN
        middle += inside and abs(aside_in) <= MIDDLE_IN
        driven.append(DriveRun(anchor="A", wall="w", angle_run_deg=run_deg, angle_held_deg=held_deg))
    return deep, wide, middle


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--days", type=int, default=4000)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    middle_in = (LEAST_IN + GREATEST_IN) / 2
    found = best_aim(window(SECTION, least_in=LEAST_IN, aim_in=middle_in, greatest_in=GREATEST_IN))
    target_deg = found.held_deg if found is not None else angle_for_deg(SECTION, middle_in)
    print(
        "| tail's height | drift | inside in depth | and in the pit's width | and within 1 in of its middle |"
    )
    print("|---|---|---|---|---|")
    for with_sag in (False, True):
        for learns in (False, True):
            rng = random.Random(given.seed)
            days = [day(rng, target_deg, with_sag=with_sag, learns=learns) for _ in range(given.days)]
            shares = [sum(one[at] for one in days) / (given.days * RODS) for at in range(3)]
            words = ("with sag" if with_sag else "no sag", "after the first" if learns else "never")
            said = " | ".join(f"{share:.3f}" for share in shares)
            print(f"| {words[0]} | {words[1]} | {said} |", flush=True)


if __name__ == "__main__":
    main()
