"""Kill -9 at random moments: every entry that was said to be saved is there."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from day_help import open_day
from writer import clock

from crewtui.day.journal.chained import Journal, journal_path, read_journal
from crewtui.day.journal.entries import TakenBack
from crewtui.day.session.day import system_clock

SEED = 20260504
COUNT = Path(__file__).with_name("count.py")
WRITER = Path(__file__).with_name("writer.py")
DAY_WRITER = Path(__file__).with_name("day_writer.py")


ENDS = [signal.SIGTERM] if os.name == "nt" else [signal.SIGKILL, signal.SIGTERM, signal.SIGHUP]


def start(job: Path, seed: int, limit: int = 0) -> subprocess.Popen[bytes]:
    return run(WRITER, job, seed, limit)


def run(writer: Path, *arguments: object) -> subprocess.Popen[bytes]:
    command = [sys.executable, str(writer), *(str(argument) for argument in arguments)]
    with hanging_up_heard():
        return subprocess.Popen(command, stdout=subprocess.PIPE, bufsize=0)


@contextmanager
def hanging_up_heard() -> Iterator[None]:
    """Start programs that end on a hang-up, also where the tests run under ``nohup``, which they inherit."""
    if os.name == "nt":
        yield
        return
    before = signal.signal(signal.SIGHUP, signal.SIG_DFL)
    try:
        yield
    finally:
        signal.signal(signal.SIGHUP, before)


def run_until_killed(child: subprocess.Popen[bytes], after_s: float, end: int | None = None) -> list[str]:
    """Kill the writer a while after its first line, or end it otherwise; return what it reported."""
    assert child.stdout is not None
    with child.stdout as pipe:
        first = pipe.read(1)
        time.sleep(after_s)
        child.kill() if end is None else child.send_signal(end)
        said = (first + (pipe.read() or b"")).decode("utf-8")
    child.wait()
    whole = said[: said.rindex("\n") + 1] if "\n" in said else ""
    return whole.splitlines()


if hasattr(os, "fork"):

    def test_killed_two_hundred_times_nothing_said_to_be_saved_is_lost() -> None:
        """In a process of its own: one that runs tests has threads, and must not fork."""
        command = [sys.executable, str(COUNT), "--only-kills", "--kills", "200", "--seed", str(SEED)]
        done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=300)
        assert done.returncode == 0, done.stdout + done.stderr
        row = next(line for line in done.stdout.splitlines() if line.startswith("| kill"))
        cases, said, lost = (int(cell) for cell in row.strip("| ").split(" | ")[1:])
        assert (cases, lost) == (200, 0)
        assert said > cases, "entries were made between the kills"


def test_killed_as_a_program_of_its_own_nothing_said_to_be_saved_is_lost(tmp_path: Path) -> None:
    rng = random.Random(SEED)  # noqa: S311 - chance, no secret
    job = tmp_path / "job.toml"
    path = journal_path(job)
    reported = 0
    for kill in range(6):
        lines = run_until_killed(start(job, rng.randrange(1 << 30)), rng.uniform(0, 0.03))
        opened = int(lines[0].removeprefix("open "))
        assert opened >= reported, f"kill {kill}: {reported} were said to be saved, {opened} came back"
        reported = max([opened, *(int(line) for line in lines[1:])])
        stands = read_journal(path)
        assert len(stands.entries) >= reported
        assert [entry.n for entry in stands.entries] == list(range(1, len(stands.entries) + 1))
    with Journal.open(path, clock=clock) as journal:
        assert len(journal.entries) >= reported
    assert reported > 0


@pytest.mark.parametrize("end", ENDS)
def test_a_day_that_was_ended_opens_at_the_same_anchor_and_step(tmp_path: Path, end: int) -> None:
    rng = random.Random(SEED + end)  # noqa: S311 - chance, no secret
    for _ in range(2):
        child = run(DAY_WRITER, tmp_path, rng.randrange(1 << 30))
        lines = run_until_killed(child, rng.uniform(0.05, 0.15), end)
        assert lines[0] == "open"
        with open_day(tmp_path, clock=system_clock) as day:
            entries = day.journal.entries
            assert len(entries) >= max((int(line) for line in lines[1:]), default=0)
            standing = [
                entry
                for entry in entries
                if entry.n not in day.state.taken_back and not isinstance(entry, TakenBack)
            ]
            anchor = getattr(standing[-1], "anchor", None)
            upcoming = day.next_step(anchor, scope="before")
            here = day.here()
            assert here.anchor == anchor
            assert here.step == (upcoming.id if upcoming is not None else None)
