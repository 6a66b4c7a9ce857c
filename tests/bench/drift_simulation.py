"""Share of first drives inside the window on simulated days, with and without learning the drift.

    python tests/bench/drift_simulation.py [--days 4000] [--seed 1]

Section: mark 28 in, wall 8 in, seat 144 in, level ground; window 36 to 43 in; eight rods a day, spread 0.5° a
rod, prior 1°. "habit" is the drift the crew really has, the same all day. Prints a Markdown table.
"""

# ruff: noqa: S311, T201 - a simulation that prints

from __future__ import annotations

import argparse
import random
from collections.abc import Iterator

from crewtui.trade.aim.drift import DriveRun, corrected_held_deg, estimate
from crewtui.trade.aim.rod_line import Section, angle_for_deg, depth_at_seat_in
from crewtui.trade.aim.window import best_aim, window

SECTION = Section(mark_depth_in=28, way_in=8, seat_in=144, drop_in=0)
LEAST_IN, GREATEST_IN, PLAN_AIM_IN = 36.0, 43.0, 42.0
WINDOW = window(SECTION, least_in=LEAST_IN, aim_in=PLAN_AIM_IN, greatest_in=GREATEST_IN)
RODS, SPREAD_DEG = 8, 0.5
HABITS_DEG = (0.0, 0.5, 1.0, 1.5, -1.5)
STARTS: dict[str, int | None] = {
    "never": None,
    "after the first": 1,
    "after the second": 2,
    "after the third": 3,
}


def aims() -> dict[str, float]:
    """Return the aims compared, as the angle that the rod is to run at."""
    best = best_aim(WINDOW)
    if best is None:
        raise SystemExit("no window")
    return {
        "plan's 42 in": angle_for_deg(SECTION, PLAN_AIM_IN),
        "middle depth 39.5 in": angle_for_deg(SECTION, (LEAST_IN + GREATEST_IN) / 2),
        f"best, {best.depth_in:.2f} in": best.held_deg,
    }


def day(rng: random.Random, habit_deg: float, target_deg: float, start: int | None, *, planned: bool) -> int:
    """Return how many of a day's first drives land inside."""
    driven: list[DriveRun] = []
    inside = 0
    for _ in range(RODS):
        held_deg = target_deg
        if start is not None and len(driven) >= start:
            held_deg = corrected_held_deg(target_deg, estimate(driven, wall="w", spread_deg=SPREAD_DEG))
        run_deg = held_deg + habit_deg + rng.gauss(0.0, SPREAD_DEG)
        inside += LEAST_IN <= depth_at_seat_in(SECTION, run_deg) <= GREATEST_IN
        learned_deg = target_deg if planned else held_deg
        driven.append(DriveRun(anchor="A", wall="w", angle_run_deg=run_deg, angle_held_deg=learned_deg))
    return inside


def share(
    days: int,
    seed: int,
    habit_deg: float | None,
    target_deg: float,
    start: int | None,
    *,
    planned: bool = False,
) -> float:
    """Return the share inside over many days; ``habit_deg`` None draws each day's habit from the prior."""
    rng = random.Random(seed)
    total = 0
    for _ in range(days):
        habit = rng.gauss(0.0, 1.0) if habit_deg is None else habit_deg
        total += day(rng, habit, target_deg, start, planned=planned)
    return total / (days * RODS)


def rows(days: int, seed: int) -> Iterator[str]:
    """Yield the lines of the table."""
    habits = (*HABITS_DEG, None)
    yield (
        "| aim | correction | "
        + " | ".join("from the prior" if h is None else f"{h:+.1f}°" for h in habits)
        + " |"
    )
    yield "|---|---|" + "---|" * len(habits)
    for aim_name, target_deg in aims().items():
        for start_name, start in STARTS.items():
            shares = (share(days, seed, habit, target_deg, start) for habit in habits)
            yield f"| {aim_name} | {start_name} | " + " | ".join(f"{s:.3f}" for s in shares) + " |"
    best_name, best_deg = list(aims().items())[-1]
    shares = (share(days, seed, habit, best_deg, 1, planned=True) for habit in habits)
    yield (
        f"| {best_name} | after the first, from the planned angle | "
        + " | ".join(f"{s:.3f}" for s in shares)
        + " |"
    )


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(
        description="Share of first drives inside the window, with and without drift."
    )
    parser.add_argument("--days", type=int, default=4000)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    print(f"{given.days} days of {RODS} rods, seed {given.seed}\n")
    for line in rows(given.days, given.seed):
        print(line, flush=True)


if __name__ == "__main__":
    main()
