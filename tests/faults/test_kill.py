"""Kill -9 at random moments: every entry that was said to be saved is there.

``CREWTUI_KILLS`` sets how many kills (30 unless told); ``CREWTUI_KILL_SEED`` the seed.
"""

from __future__ import annotations

import os
import random
import subprocess
import sys
import time
from pathlib import Path

import pytest
from writer import clock

from crewtui.day.journal import Journal, journal_path, read_journal

KILLS = int(os.environ.get("CREWTUI_KILLS", "30"))
SEED = int(os.environ.get("CREWTUI_KILL_SEED", "20260504"))
WRITER = Path(__file__).with_name("writer.py")


def start(job: Path, seed: int, limit: int = 0) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, str(WRITER), str(job), str(seed), str(limit)], stdout=subprocess.PIPE, bufsize=0
    )


def run_until_killed(job: Path, seed: int, after_s: float) -> list[str]:
    """Start the writer, kill it a random while after its first line, return what it reported."""
    child = start(job, seed)
    assert child.stdout is not None
    with child.stdout as pipe:
        first = pipe.read(1)
        time.sleep(after_s)
        child.kill()
        said = (first + (pipe.read() or b"")).decode("utf-8")
    child.wait()
    whole = said[: said.rindex("\n") + 1] if "\n" in said else ""
    return whole.splitlines()


@pytest.mark.parametrize("day", range(3))
def test_killed_at_random_moments_nothing_said_to_be_saved_is_lost(tmp_path: Path, day: int) -> None:
    rng = random.Random(SEED + day)  # noqa: S311 - chance, no secret
    job = tmp_path / "job.toml"
    path = journal_path(job)
    reported = 0
    for kill in range(max(1, KILLS // 3)):
        lines = run_until_killed(job, rng.randrange(1 << 30), rng.uniform(0, 0.03))
        opened = int(lines[0].removeprefix("open "))
        assert opened >= reported, f"kill {kill}: {reported} were said to be saved, {opened} came back"
        reported = max([opened, *(int(line) for line in lines[1:])])
        stands = read_journal(path)
        assert len(stands.entries) >= reported
        assert [entry.n for entry in stands.entries] == list(range(1, len(stands.entries) + 1))
    with Journal.open(path, clock=clock) as journal:
        assert len(journal.entries) >= reported
    assert reported > 0
