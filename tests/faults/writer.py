"""A program of its own for the fault tests: enters entries and reports each one saved, until it is killed."""

from __future__ import annotations

import itertools
import random
import sys
from datetime import UTC, datetime
from pathlib import Path

from crewtui.day.journal.chained import Journal, JournalError, journal_path
from crewtui.day.journal.entries import Entry, Note, StepDone, TakenBack, ValueMeasured


def clock() -> datetime:
    return datetime.now(UTC)


def some_entry(rng: random.Random, n: int) -> Entry:
    """Return one of the entries of an ordinary day."""
    now = clock()
    anchor = f"A-{rng.randint(1, 12)}"
    choice = rng.randrange(4)
    if choice == 0:
        return StepDone(done_at=now, typed_at=now, anchor=anchor, step="marks", answer="yes")
    if choice == 1:
        return Note(done_at=now, typed_at=now, anchor=anchor, text="word " * rng.randint(1, 300))
    if choice == 2 and n > 1:
        return TakenBack(done_at=now, typed_at=now, of=rng.randrange(1, n))
    value = rng.uniform(100, 200)
    measured = {"step": "setback", "quantity": "setback_in", "value": value, "text": str(value)}
    return ValueMeasured(done_at=now, typed_at=now, anchor=anchor, **measured)


def main(job: str, seed: str, limit: str) -> None:
    """Enter entries; with a limit in bytes, the file may not grow past it, as on a full disk."""
    rng = random.Random(int(seed))  # noqa: S311 - which entries come is no secret
    if int(limit):
        import resource  # noqa: PLC0415 - only where the platform has it

        resource.setrlimit(resource.RLIMIT_FSIZE, (int(limit), resource.RLIM_INFINITY))
    for n in range(1, 20):
        some_entry(rng, n)  # builds the models, so that kills fall among the writes
    with Journal.open(journal_path(Path(job)), clock=clock) as journal:
        sys.stdout.write(f"open {len(journal.entries)}\n")
        sys.stdout.flush()
        for _ in itertools.count():
            try:
                entry = journal.append(some_entry(rng, len(journal.entries) + 1))
            except JournalError as error:
                sys.stdout.write(f"refused {error.sentence}\n")
                sys.stdout.flush()
                return
            sys.stdout.write(f"{entry.n}\n")
            sys.stdout.flush()


if __name__ == "__main__":
    main(*sys.argv[1:])
