"""Hostile folders: whatever stands in place of a job's files, it is said, and no stranger's file is touched.

    python tests/faults/layouts.py [--folders 1000] [--seed 1]

In each folder each file of a job is at random absent, whole, spoilt, a link, a pipe, a folder, a device, too
large or not to be read. The day is opened, an entry made, the cursor kept, the journal read as other commands
do, and now and then the job checked. Prints a Markdown table; ends with 1 on anything but a sentence, on a
stranger's file touched, or on five seconds gone. Needs a system with pipes and links.
"""

# ruff: noqa: T201, S311 - a count that prints, and chance that is no secret

from __future__ import annotations

import argparse
import contextlib
import io
import os
import random
import resource
import shutil
import signal
import socket
import sys
import tempfile
import time
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import Final

from crewtui.cli import run
from crewtui.day.journal.chained import JournalError, journal_path, read_journal
from crewtui.day.session.day import Day
from crewtui.job.file.load import JobFileError

SAMPLE: Final = Path(__file__).parents[2] / "sample_jobs" / "block-wall.toml"
NAMES: Final = (
    "job.toml", "job.journal.jsonl", "job.journal.lock", "job.journal.jsonl.cursor",
    "job.journal.jsonl.cursor.new", "job.journal.2.jsonl", "job.journal.3.jsonl", "job.record.toml",
)  # fmt: skip
CHECKS: Final = 20
"""Of so many folders the job of one is checked, which takes long."""
IN_TIME_S: Final = 5
TOO_LARGE: Final = 200_000_000


def _socket(path: Path, _: Path) -> None:
    here = Path.cwd()
    os.chdir(path.parent)  # a socket's name may be no longer than a hundred characters
    try:
        with socket.socket(socket.AF_UNIX) as one:
            one.bind(path.name)
    finally:
        os.chdir(here)


def _sparse(path: Path, _: Path) -> None:
    path.write_bytes(b"")
    os.truncate(path, TOO_LARGE)


def _unreadable(path: Path, _: Path) -> None:
    path.write_bytes(b"{}\n")
    path.chmod(0)


KINDS: Final[dict[str, Callable[[Path, Path], object]]] = {
    "empty": lambda path, _: path.write_bytes(b""),
    "spoilt": lambda path, _: path.write_bytes(b"\x00\xff{[" * 40 + b"\n"),
    "one long line": lambda path, _: path.write_bytes(b"[" * 300_000),
    "too large": _sparse,
    "not to be read": _unreadable,
    "a folder": lambda path, _: path.mkdir(),
    "a full folder": lambda path, _: (path / "x").mkdir(parents=True),
    "a pipe": lambda path, _: os.mkfifo(path),
    "a socket": _socket,
    "a link": lambda path, stranger: path.symlink_to(stranger),
    "a hard link": lambda path, stranger: path.hardlink_to(stranger),
    "a link to nothing": lambda path, _: path.symlink_to("nothing-there"),
    "a link to itself": lambda path, _: path.symlink_to(path.name),
    "a link to its folder": lambda path, _: path.symlink_to("."),
    "an endless device": lambda path, _: path.symlink_to("/dev/zero"),
    "a full device": lambda path, _: path.symlink_to("/dev/full"),
    "a terminal": lambda path, _: path.symlink_to("/dev/tty"),
}


class LateError(Exception):
    """Five seconds are gone."""


def _late(*_: object) -> None:
    raise LateError


def laid_out(folder: Path, chance: random.Random) -> dict[Path, bytes]:
    """Fill a folder; return the strangers' files with what is in them."""
    job = folder / NAMES[0]
    shutil.copy(SAMPLE, job)
    with Day.open(job) as day:
        day.beside.note("whole")
        day.remember(None, None)
    strangers = {}
    for number, name in enumerate(NAMES):
        path, stranger = folder / name, folder / f"stranger-{number}"
        if chance.random() < (0.15 if number == 0 else 0.4):
            path.unlink(missing_ok=True)
            stranger.write_bytes(
                path.read_bytes() if path.exists() else b'{"n": 1, "anchor": null, "step": null}'
            )
            strangers[stranger] = stranger.read_bytes()
            if chance.random() < 0.9:
                KINDS[chance.choice(list(KINDS))](path, stranger)
    return strangers


def worked_in(folder: Path, *, checks: bool) -> None:
    """Do what ``open``, ``plan`` and ``check`` do; JobFileError and JournalError are sentences."""
    job = folder / NAMES[0]
    with contextlib.suppress(JobFileError, JournalError), Day.open(job) as day:
        day.beside.note("on")
        day.remember("N1", "setback")
        day.here()
    with contextlib.suppress(JournalError):
        read_journal(journal_path(job))
    if not checks:
        return
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()) as said:
        code = run(["check", str(job)])
    if code not in {0, 1, 2} or "Traceback" in said.getvalue():
        raise AssertionError(f"check ended with {code}: {said.getvalue()}")


def count(folders: int, seed: int) -> tuple[int, int, float]:
    """Return the faults, the strangers touched, and the longest time that one folder took."""
    faults, touched, slowest = 0, 0, 0.0
    signal.signal(signal.SIGALRM, _late)
    for number in range(seed * 100_000, seed * 100_000 + folders):
        with tempfile.TemporaryDirectory(prefix="crewtui-layout-") as name:
            folder = Path(name)
            strangers = laid_out(folder, random.Random(number))
            began = time.monotonic()
            signal.alarm(IN_TIME_S)
            try:
                worked_in(folder, checks=number % CHECKS == 0)
            except BaseException:  # noqa: BLE001 - whatever it is, it is counted and shown
                faults += 1
                kinds = {one.name: oct(one.lstat().st_mode) for one in sorted(folder.iterdir())}
                print(f"folder {number}: {kinds}")
                traceback.print_exc(limit=-5, file=sys.stdout)
            finally:
                signal.alarm(0)
            slowest = max(slowest, time.monotonic() - began)
            changed = [path for path, content in strangers.items() if path.read_bytes() != content]
            touched += len(changed)
            if changed:
                print(f"folder {number}: touched {changed}")
    return faults, touched, slowest


def main() -> int:
    """Print the table; 1 if anything but sentences came of it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--folders", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    faults, touched, slowest = count(arguments.folders, arguments.seed)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print("| hostile folders | faults | strangers' files touched | slowest | most memory |")
    print("|---|---|---|---|---|")
    print(f"| {arguments.folders} | {faults} | {touched} | {slowest:.1f} s | {memory:.0f} MB |")
    return int(bool(faults or touched))


if __name__ == "__main__":
    sys.exit(main())
