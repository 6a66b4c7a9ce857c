"""Hammer the program in a real terminal: random keys and random bytes, in bursts, as nobody would press them.

    python tests/faults/hammer.py [--keys 20000] [--seed 1] [--job sample_jobs/block-wall.toml]

After each burst the emergency page has to open within five seconds; at the end the journal has to be whole.
Where a burst left the program, as keys may, it is opened again. Prints a Markdown table; ends with 1 if the
program failed, hung or lost anything, and then names the burst's seed. Needs a system with terminals.
"""

# ruff: noqa: T201, S311 - a count that prints, and chance that is no secret

from __future__ import annotations

import argparse
import random
import shutil
import signal
import sys
import tempfile
import time
from pathlib import Path
from typing import Final

from msgspec import Struct

sys.path.insert(0, str(Path(__file__).parents[1] / "terminal"))

from driver import KEYS, NotShownError, Terminal, crewtui

from crewtui.day.journal.chained import journal_path, read_journal

BURST: Final = 60
IN_TIME_S: Final = 5.0
PAGE: Final = "EMERGENCY - STOP"
LETTERS: Final = "sfghvdcranpbijkoxwmtlue!?k"
SIGNS: Final = "0123456789/ .,-'\"½°%[]{}\\#"
STRANGE: Final = (
    b"\xe9", b"\xff", b"\xc3", b"\xf0\x9f\x98\x80", b"\xed\xa0\x80", b"\xc2\x9b31m", b"\x00", b"\x1a",
    b"\x03", b"\x1b\x1b\x1b[A",
    b"\x1b[200~pasted\x1b[31m\xe9\ntwice\x1b[201~", b"\x1b[1114112u", b"\x1b[55296u", b"\x1b[99999999999u",
    b"\x1b[97;1;1114112u", b"\x1b[48;99999;99999;1;1t", b"\x1b[<0;5;5M", b"\x1b[<35;-4;9m", b"\x1b[M   ",
    b"\x1b[I", b"\x1bOP", b"\x1b[11~", b"\x1b]11;rgb:ffff/ffff/ffff\x1b\\", b"\x1b[?2026;2$y",
    b"\x1b[27;5;106~", "e\u0301\u202e\u2066\u0000".encode(),
)  # fmt: skip
"""What terminals send, and what they never should: no UTF-8, halves of pairs, numbers that no key has."""


class Found(Struct):
    """What the hammering came to."""

    keys: int = 0
    bursts: int = 0
    opened: int = 0
    faults: int = 0
    hangs: int = 0
    lost: int = 0
    slowest_s: float = 0.0


def burst(chance: random.Random) -> bytes:
    """Return keys and bytes: mostly such as a person presses, some that nobody does."""
    keys: list[bytes] = []
    for _ in range(BURST):
        kind = chance.random()
        if kind < 0.45:
            keys.append(chance.choice(LETTERS).encode())
        elif kind < 0.65:
            keys.append(chance.choice(SIGNS).encode())
        elif kind < 0.9:
            keys.append(chance.choice(tuple(KEYS.values())).encode())
        elif kind < 0.95:
            keys.append(bytes([chance.randrange(256)]))
        else:
            keys.append(chance.choice(STRANGE))
    return b"".join(keys)


class Hammer:
    """One job under the hammer."""

    def __init__(self, job: Path, home: Path) -> None:
        self.job, self.home = job, home
        self.found = Found()
        self.terminal: Terminal | None = None

    def opened(self) -> Terminal:
        """Return the open program; one that was left is opened again."""
        if self.terminal is None:
            self.terminal = Terminal(crewtui("open", str(self.job)), home=self.home)
            self.terminal.until("saved ", "EMERGENCY")
            self.found.opened += 1
        return self.terminal

    def strike(self, seed: int) -> None:
        """Send one burst, and see whether the program still does what it must."""
        chance = random.Random(seed)
        terminal = self.opened()
        if chance.random() < 0.1:
            terminal.resize(chance.choice((30, 80, 120, 200)), chance.choice((8, 24, 36, 60)))
        began = time.monotonic()
        try:
            terminal.send(burst(chance))
            self._answers(terminal)
        except (NotShownError, OSError):
            self._ended(terminal, seed)
        self.found.keys += BURST
        self.found.bursts += 1
        self.found.slowest_s = max(self.found.slowest_s, time.monotonic() - began)

    def _answers(self, terminal: Terminal) -> None:
        """Wait until the emergency page opens, from wherever the burst led, and close it again."""
        terminal.resize(80, 24).painted(quiet_s=0.3)
        # A paste or a sequence that was begun ends here; two keys, since the first may end a sequence.
        terminal.send(b"\x1b[201~").painted(quiet_s=0.2)
        for _ in range(4):
            terminal.child.kill(signal.SIGCONT)  # one of the keys stops the program, as it does any other
            terminal.painted(quiet_s=0.1).press("!").painted(quiet_s=0.1)
            if terminal.shows(PAGE):
                break
        terminal.until(PAGE, within_s=IN_TIME_S)
        for _ in range(3):
            terminal.press("esc").painted(quiet_s=0.2)
            if not terminal.shows(PAGE):
                break
        terminal.until_true(lambda: PAGE not in terminal.text, what="the day", within_s=IN_TIME_S)

    def _ended(self, terminal: Terminal, seed: int) -> None:
        """Take down why the program no longer answers."""
        if terminal.child.isalive():
            self.found.hangs += 1
            print(f"burst {seed}: it does not answer; it shows {terminal.lines[0]!r}")
            terminal.kill()
        else:
            code = terminal.child.exitstatus
            if code != 0:
                self.found.faults += 1
                print(f"burst {seed}: it ended with {code} {terminal.child.signalstatus}")
                fault = self.home / "last-fault.txt"
                print(fault.read_text(encoding="utf-8") if fault.exists() else terminal.text)
        self.terminal = None

    def close(self) -> None:
        """End it, and see that the journal is whole."""
        if self.terminal is not None:
            self.terminal.kill()
        reading = read_journal(journal_path(self.job))
        numbers = [entry.n for entry in reading.entries]
        self.found.lost += bool(reading.reports) + (numbers != list(range(1, len(numbers) + 1)))


def hammered(keys: int, seed: int, sample: Path, folder: Path) -> Found:
    """Hammer a copy of a sample job with so many keys."""
    job = Path(shutil.copy(sample, folder))
    hammer = Hammer(job, folder / "home")
    try:
        for number in range(-(-keys // BURST)):
            hammer.strike(seed * 1_000_000 + number)
    finally:
        hammer.close()
    return hammer.found


def main() -> int:
    """Print the table; 1 if the program failed, hung or lost anything."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--keys", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--job", type=Path, default=Path("sample_jobs/block-wall.toml"))
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        found = hammered(arguments.keys, arguments.seed, arguments.job, Path(name))
    print("| keys and bytes | bursts | starts | faults | hangs | lost | slowest burst |")
    print("|---|---|---|---|---|---|---|")
    print(
        f"| {found.keys} | {found.bursts} | {found.opened} | {found.faults} | {found.hangs} | {found.lost}"
        f" | {found.slowest_s:.1f} s |"
    )
    return int(bool(found.faults or found.hangs or found.lost))


if __name__ == "__main__":
    sys.exit(main())
