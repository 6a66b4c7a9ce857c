"""Count what is lost when the day is cut short: kills at random moments, torn and flipped bytes, a full disk.

    python tests/faults/count.py [--kills 2000] [--seed 20260504] [--only-kills | --only-bytes] [--bits 8]

Every case runs the journal as the program does and compares what came back with what was said to be saved.
Prints a Markdown table; ends with 1 if anything was lost. Needs a system that can fork.
"""

# ruff: noqa: T201, S311 - a count that prints, and chance that is no secret

from __future__ import annotations

import argparse
import contextlib
import errno
import os
import random
import re
import signal
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from unittest import mock

sys.path.insert(0, str(Path(__file__).parent))

import writer

from crewtui.day.journal.chained import Journal, JournalError, journal_path, read_journal
from crewtui.day.journal.entries import Continued, Entry


@dataclass(frozen=True, slots=True)
class Count:
    """What a kind of case came to."""

    what: str
    cases: int
    said_saved: int
    """Entries that were said to be saved, summed over the cases."""
    lost: int


def kills(count: int, seed: int, folder: Path) -> Count:
    """Kill -9 a program that enters entries, at random moments, some fifty times a day, day after day."""
    rng = random.Random(seed)
    said = lost = done = 0
    day = 0
    while done < count:
        job = folder / f"day-{day}.toml"
        day += 1
        reported = 0
        for _ in range(min(50, count - done)):
            lines = _run_and_kill(job, rng.randrange(1 << 30), rng.uniform(0, 0.02))
            done += 1
            stands = read_journal(journal_path(job))
            numbers = [entry.n for entry in stands.entries]
            if lines:
                opened = int(lines[0].removeprefix("open "))
                lost += max(0, reported - opened)
                reported = max([opened, *(int(line) for line in lines[1:])])
            lost += max(0, reported - len(numbers)) + (numbers != list(range(1, len(numbers) + 1)))
        said += reported
    return Count("kill -9 at a random moment", done, said, lost)


def _run_and_kill(job: Path, seed: int, after_s: float) -> list[str]:
    """Return the whole lines that a writer reported until it was killed."""
    reads, writes = os.pipe()
    child = os.fork()
    if child == 0:
        os.dup2(writes, 1)
        os.close(reads)
        sys.stdout = os.fdopen(1, "w", encoding="utf-8")
        try:
            writer.main(str(job), str(seed), "0")
        finally:
            os._exit(1)
    os.close(writes)
    with os.fdopen(reads, "rb") as pipe:
        first = pipe.read(1)
        time.sleep(after_s)
        os.kill(child, signal.SIGKILL)
        text = (first + pipe.read()).decode("utf-8")
    os.waitpid(child, 0)
    return text[: text.rfind("\n") + 1].splitlines()


def _begun(path: Path, count: int) -> bytes:
    rng = random.Random(1)
    with Journal.open(path, clock=writer.clock) as journal:
        for n in range(1, count + 1):
            journal.append(writer.some_entry(rng, n))
    return path.read_bytes()


def torn(folder: Path) -> Count:
    """Tear the last line at every byte, as a power cut may: what was said to be saved before stands."""
    whole = _begun(journal_path(folder / "whole.toml"), 12)
    before = whole.rindex(b"\n", 0, -1) + 1
    cases = lost = 0
    for end in range(before, len(whole)):
        here = folder / f"torn-{end}"
        here.mkdir()
        path = journal_path(here / "job.toml")
        path.write_bytes(whole[:end])
        with Journal.open(path, clock=writer.clock) as journal:
            lost += max(0, 11 - len(journal.entries))
            journal.append(writer.some_entry(random.Random(end), 13))
        lost += len(read_journal(path).entries) < 12
        cases += 1
    return Count("the last line torn, at each of its bytes", cases, 11 * cases, lost)


def _opened(here: Path, content: bytes) -> tuple[tuple[Entry, ...], str]:
    """Return the entries of the day in a journal of these bytes, and what is said of it."""
    path = journal_path(here / "job.toml")
    for old in here.glob("job.*"):
        old.unlink()
    path.write_bytes(content)
    # What is read does not hang on the flush, which takes most of the time.
    with mock.patch("os.fsync"), Journal.open(path, clock=writer.clock) as journal:
        found = tuple(entry for entry in journal.entries if not isinstance(entry, Continued))
        return found, " ".join(journal.reports)


def cut(folder: Path) -> Count:
    """Cut a journal at each of its bytes: whole lines before stand, and part of one is said in numbers."""
    whole = _begun(journal_path(folder / "cut.toml"), 12)
    true = read_journal(journal_path(folder / "cut.toml")).entries
    here = folder / "cut"
    here.mkdir()
    silent = 0
    for end in range(len(whole)):
        lines = whole[:end].count(b"\n")
        found, said = _opened(here, whole[:end])
        part = end - (whole[:end].rfind(b"\n") + 1)
        is_whole = whole[end : end + 1] == b"\n" and part > 0
        expected = true[: lines + is_whole]
        silent += found != expected or (part > 0 and not is_whole and f"{part} byte" not in said)
    return Count("a journal cut at each of its bytes", len(whole), len(true) * len(whole), silent)


def flipped(folder: Path, bits: int, seed: int) -> Count:
    """Flip bits of each byte: no entry reads otherwise, and what is left out is said in numbers."""
    rng = random.Random(seed)
    whole = _begun(journal_path(folder / "flip.toml"), 8)
    true = read_journal(journal_path(folder / "flip.toml")).entries
    here = folder / "flip"
    here.mkdir()
    cases = silent = 0
    for place in range(len(whole)):
        for bit in rng.sample(range(8), bits):
            changed = bytes([whole[place] ^ (1 << bit)])
            found, said = _opened(here, whole[:place] + changed + whole[place + 1 :])
            left_out = len(found) < len(true)
            silent += found != true[: len(found)] or (
                left_out and not re.search(r"[1-9]\d* (line|byte)", said)
            )
            cases += 1
    return Count(f"{bits} of 8 bits of each byte flipped", cases, len(true) * cases, silent)


@contextlib.contextmanager
def _room(left: int) -> Iterator[None]:
    """Let so many bytes more onto the disk."""
    write = os.write

    def put(handle: int, data: bytes) -> int:
        nonlocal left
        if left <= 0:
            raise OSError(errno.ENOSPC, "No space left on device")
        wrote = write(handle, bytes(data)[:left])
        left -= wrote
        return wrote

    with mock.patch("os.write", put):
        yield


def full(folder: Path) -> Count:
    """Fill the disk at each byte of an entry: it is refused in words, and what stood before stands."""
    path = journal_path(folder / "full.toml")
    before = len(_begun(path, 12))
    with Journal.open(path, clock=writer.clock) as journal:
        journal.append(writer.some_entry(random.Random(2), 13))
    size = path.stat().st_size - before
    cases = lost = 0
    for room in range(size):
        path = journal_path(folder / f"full-{room}.toml")
        _begun(path, 12)
        with Journal.open(path, clock=writer.clock) as journal:
            with _room(room), contextlib.suppress(JournalError):
                journal.append(writer.some_entry(random.Random(2), 13))
                lost += 1
            journal.append(writer.some_entry(random.Random(3), 13))
        lost += len(read_journal(path).entries) != 13
        cases += 1
    return Count("the disk full, at each byte of an entry", cases, 12 * cases, lost)


def main() -> int:
    """Print the table; 1 if anything was lost."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=20260504)
    parser.add_argument("--only-kills", action="store_true")
    parser.add_argument("--only-bytes", action="store_true")
    parser.add_argument("--bits", type=int, default=1, choices=range(1, 9))
    arguments = parser.parse_args()
    for n in range(1, 20):
        writer.some_entry(random.Random(n), n)  # builds the models, so that kills fall among the writes
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        found = [] if arguments.only_bytes else [kills(arguments.kills, arguments.seed, folder)]
        if not arguments.only_kills:
            found += [
                torn(folder),
                full(folder),
                cut(folder),
                flipped(folder, arguments.bits, arguments.seed),
            ]
    print("| what happens | cases | entries said to be saved | lost, or changed without a word |")
    print("|---|---|---|---|")
    for count in found:
        print(f"| {count.what} | {count.cases} | {count.said_saved} | {count.lost} |")
    return int(any(count.lost for count in found))


if __name__ == "__main__":
    sys.exit(main())
