"""Endings in a real terminal: bursts of keys, cut off by kill -9, by the machine, or by closing the window.

    python tests/faults/endings.py [--endings 2000] [--seed 1]

What the screen said was saved before the ending is compared with what is in the journal after it, twenty
endings to a day. Prints a Markdown table; ends with 1 if anything was lost or the program failed by itself.
Needs a system with terminals.
"""

# ruff: noqa: T201, S311 - a count that prints, and chance that is no secret

from __future__ import annotations

import argparse
import random
import shutil
import sys
import tempfile
from pathlib import Path
from typing import Final

from msgspec import Struct

sys.path.insert(0, str(Path(__file__).parents[1] / "terminal"))

from driver import NotShownError, Terminal, crewtui
from lead import Lead

from crewtui.day.journal.chained import journal_path, read_journal

A_DAY: Final = 20
"""Endings on one job, before the next begins."""
PRESSED: Final = (
    ("s", "156", "enter", "as it was", "enter"), ("s", "enter", "enter"), ("h", "enter", "PS", "enter"),
    ("d", "enter", "Pat Sample", "enter"), ("v",), ("r",), ("n",), ("p",), ("u",), ("w", "41", "enter"),
    ("1", "4", "enter"), ("6 1/2", "enter", "in words", "enter"), ("esc",), ("up",), ("down",),
    ("down", "enter"), ("!", "g", "esc"), ("tab",), ("m", "esc"),
)  # fmt: skip


class Found(Struct):
    """What the endings came to."""

    endings: int = 0
    said_saved: int = 0
    """Entries that the screen had said to be saved, summed over the days."""
    lost: int = 0
    faults: int = 0


def ended(job: Path, home: Path, chance: random.Random, found: Found) -> None:
    """Start, press bursts, end; compare what was shown with what is there."""
    with Terminal(crewtui("open", str(job)), home=home) as terminal:
        lead, most = Lead(terminal), 0
        try:
            terminal.until("saved ", "EMERGENCY")
            most = lead.saved
            for _ in range(chance.randrange(1, 5)):
                keys = [key for _ in range(chance.randrange(2, 12)) for key in chance.choice(PRESSED)]
                terminal.press(*keys)
                terminal.painted(quiet_s=chance.choice((0.0, 0.02, 0.2)))
                most = max(most, lead.saved)
            if terminal.child.isalive():
                (terminal.kill, terminal.kill, terminal.terminate, terminal.hang_up)[chance.randrange(4)]()
        except (NotShownError, OSError) as error:
            if terminal.child.isalive() or terminal.child.exitstatus not in {0, None}:
                found.faults += 1
                print(f"{keys if most else 'start'}: {error}")
    reading = read_journal(journal_path(job))
    found.endings += 1
    found.lost += max(0, most - len(reading.entries))


def count(endings: int, seed: int, folder: Path) -> Found:
    """Return what so many endings came to."""
    found = Found()
    samples = sorted((Path(__file__).parents[2] / "sample_jobs").glob("*.toml"))
    while found.endings < endings:
        chance = random.Random(seed * 100_000 + found.endings)
        place = folder / str(found.endings)
        place.mkdir()
        job = Path(shutil.copy(chance.choice(samples), place))
        for _ in range(min(A_DAY, endings - found.endings)):
            ended(job, folder / "home", chance, found)
        found.said_saved += len(read_journal(journal_path(job)).entries)
    return found


def main() -> int:
    """Print the table; 1 if anything was lost or failed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--endings", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        found = count(arguments.endings, arguments.seed, Path(name))
    print("| endings with bursts of keys, in a terminal | entries in the journals | lost | faults |")
    print("|---|---|---|---|")
    print(f"| {found.endings} | {found.said_saved} | {found.lost} | {found.faults} |")
    return int(bool(found.lost or found.faults))


if __name__ == "__main__":
    sys.exit(main())
