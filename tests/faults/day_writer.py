"""A whole day as a program of its own: enters next steps of anchors, reports each one, until it is ended."""

from __future__ import annotations

import random
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from day_help import open_day

from crewtui.day.session.day import Day, system_clock
from crewtui.day.steps.outcomes import Saved

TYPED = {"length": "40 in", "angle": "5", "torque": "80", "count": "8"}


def enter_next(day: Day, anchor: str) -> Saved | None:
    """Enter an anchor's next step as an ordinary day would, or None where all is entered."""
    row = day.next_step(anchor)
    if row is None:
        return None
    if row.kind != "value":
        outcome = day.answer(anchor, row.id, row.choices[0] if row.choices else "yes", reason="as it was")
    else:
        text = (
            "1 in"
            if row.id in {"side-offset", "drop", "marks", "pull-in", "readings"}
            else TYPED[row.measure]
        )
        then = row.then[0] if row.then else ""
        outcome = day.measure(anchor, row.id, text, then=then, reason="as it was")
    if not isinstance(outcome, Saved):
        raise TypeError(f"{row.id} was not saved: {outcome}")
    return outcome


def main(folder: str, seed: str) -> None:
    """Work a phase across the anchors, a few steps at a time, with an undo now and then."""
    rng = random.Random(int(seed))  # noqa: S311 - which entries come is no secret
    with open_day(Path(folder), clock=system_clock) as day:
        sys.stdout.write("open\n")
        sys.stdout.flush()
        while True:
            anchor = rng.choice(list(day.state.anchors))
            outcome = day.take_back() if rng.random() < 0.3 else enter_next(day, anchor)
            if isinstance(outcome, Saved):
                sys.stdout.write(f"{outcome.entry.n}\n")
                sys.stdout.flush()


if __name__ == "__main__":
    main(*sys.argv[1:])
