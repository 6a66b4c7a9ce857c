"""How long the day's arithmetic takes, as ratios to reading a job file's TOML in the same run.

    python tests/bench/arithmetic.py [--repeats 15]

The yardstick is ``tomllib.loads`` of the block sample, a few milliseconds of the standard library. Each row
is the median of its repeats, taken in turns with the yardstick so that a busy machine slows both.
"""

# ruff: noqa: T201 - a benchmark that prints

from __future__ import annotations

import argparse
import statistics
import sys
import tempfile
import time
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path

TESTS = Path(__file__).parent.parent
sys.path.insert(0, str(TESTS))

from day_help import make_job, open_day, read_watch_marks, saved  # noqa: E402 - the tests' own helpers

from crewtui.day.session.day import Day  # noqa: E402
from crewtui.day.state.fold import apply, start  # noqa: E402
from crewtui.day.steps.calculators import calculate  # noqa: E402
from crewtui.job.file.load import load_job  # noqa: E402
from crewtui.job.file.rule_overrides import resolve  # noqa: E402
from crewtui.trade.rod.make_up import plan_rod  # noqa: E402

SAMPLES = TESTS.parent / "sample_jobs"
MANY = 200
YARDSTICK = (SAMPLES / "block-wall.toml").read_text(encoding="utf-8")

Work = tuple[str, Callable[[], object]]


def sheets() -> Iterator[Work]:
    """Every figure of an anchor, as at a key press, on each sample job."""
    for path in sorted(SAMPLES.glob("*.toml")):
        job = load_job(path)
        state = start(job, resolve(job))
        first = next(iter(state.anchors))
        depths = iter(range(10**6))

        def work() -> object:
            # Another value each time: what was worked out before serves for nothing.
            return calculate(state, first, {"mark_depth_in": f"{28 + next(depths) / 4096} in"})  # noqa: B023

        yield f"figures of one anchor, {path.stem}", work


def entries(folder: Path) -> Iterator[Work]:
    """Entries, the rows of an anchor and the list of anchors on a job of many."""
    day: Day = open_day(folder, make_job(MANY))
    read_watch_marks(day)
    turn = iter(range(10**6))

    def entered() -> object:
        ident = f"A-{next(turn) % MANY + 1}"
        saved(day.measure(ident, "drop", "7"))
        return day.rows(ident), day.overview()

    def taken_back() -> object:
        return saved(day.take_back())

    yield f"an entry, its rows and the overview, {MANY} anchors", entered
    yield f"an entry taken back, {MANY} anchors", taken_back

    def added_up() -> object:
        state = start(day.job, day.state.rules)
        for entry in day.journal.entries:
            state = apply(state, entry)
        return state

    yield f"a day of {MANY} anchors added up anew", added_up


def rods() -> Iterator[Work]:
    """The pieces of one anchor's rod."""
    from test_rods import COMMON, RodInputs  # noqa: PLC0415 - the tests' own example

    yield "pieces of one anchor's rod", lambda: plan_rod(RodInputs(**COMMON))


def took(work: Callable[[], object]) -> float:
    """Return how long it took, in seconds."""
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--repeats", type=int, default=15)
    repeats = parser.parse_args().repeats
    with tempfile.TemporaryDirectory() as folder:
        rows = [*sheets(), *rods(), *entries(Path(folder))]
        print(f"{'':58}{'ms':>9}{'ratio':>8}")
        for name, work in rows:
            work()
            times, yardsticks = [], []
            for _ in range(repeats):
                yardsticks.append(took(lambda: tomllib.loads(YARDSTICK)))
                times.append(took(work))
            median, yardstick = statistics.median(times), statistics.median(yardsticks)
            print(f"{name:58}{median * 1000:9.2f}{median / yardstick:8.2f}")


if __name__ == "__main__":
    main()
