"""Start, keys, memory and the disk, beside a bare app of the same widgets, in a real pseudo-terminal.

    python tests/bench/start_and_keys.py [--starts 9] [--keys 120] [--write docs/speed.md]

Both apps are started in turns, so that a busy machine slows both. A key counts from the press to the last of
what is painted for it: the app must then be silent for 60 ms. Prints a Markdown table.
"""

# ruff: noqa: T201 - a benchmark that prints

from __future__ import annotations

import argparse
import os
import platform
import select
import shutil
import statistics
import sys
import tempfile
import time
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import pexpect
import tomli_w

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.day.steps.outcomes import Saved

ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "sample_jobs" / "block-wall.toml"
BARE = (sys.executable, str(Path(__file__).with_name("bare_app.py")))
CREWTUI = (sys.executable, "-c", "from crewtui.cli import main; main()")
COLUMNS, ROWS = 120, 36
SILENT_S = 0.06
ANSWERS_S = 2.0
"""Something is painted for every key within this."""
MANY = 200
DOWN = "\x1b[B"
READY = {"crewtui": b"leave", "bare": b"q leave"}


class Running:
    """A program in a pseudo-terminal, without an emulator: only when it paints is looked at."""

    def __init__(self, command: Sequence[str], home: Path, ready: bytes) -> None:
        env = {
            **os.environ,
            "TERM": "xterm-256color",
            "COLORTERM": "truecolor",
            "CREWTUI_HOME": str(home),
            "PYTHONPATH": str(ROOT),
        }
        env.pop("PYTHONDONTWRITEBYTECODE", None)  # What pip installs is compiled.
        began = time.perf_counter()
        self.child = pexpect.spawn(
            command[0], list(command[1:]), dimensions=(ROWS, COLUMNS), env=env, timeout=None
        )
        seen = b""
        while ready not in seen:
            seen += self._read(5.0)
        self.start_s = time.perf_counter() - began
        self.settle(0.5)

    def _read(self, within_s: float) -> bytes:
        ready, _, _ = select.select([self.child.child_fd], [], [], within_s)
        return os.read(self.child.child_fd, 1 << 16) if ready else b""

    def settle(self, silent_s: float = SILENT_S) -> float:
        """Read until nothing has come for so long; return when the last came, 0 if nothing did."""
        last = 0.0
        while self._read(silent_s):
            last = time.perf_counter()
        return last

    def press(self, keys: str) -> float:
        """Press a key; return the seconds until the last of what it painted."""
        began = time.perf_counter()
        os.write(self.child.child_fd, keys.encode())
        if not self._read(ANSWERS_S):
            raise RuntimeError(f"nothing was painted for {keys!r}")
        last = time.perf_counter()
        return max(last, self.settle()) - began

    def go(self, *keys: str) -> None:
        """Press keys of which some may paint nothing."""
        for key in keys:
            os.write(self.child.child_fd, key.encode())
            self.settle(0.3)

    def memory_mib(self) -> float:
        """Return the resident set."""
        status = Path(f"/proc/{self.child.pid}/status").read_text(encoding="utf-8")
        return int(status.partition("VmRSS:")[2].split()[0]) / 1024

    def close(self) -> None:
        """End it."""
        self.child.close(force=True)


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table."""

    what: str
    ours: Sequence[float]
    other: Sequence[float]
    unit: str
    goal: str

    def line(self) -> str:
        """Return it as Markdown: medians and 99th percentiles, and the ratio of the medians."""
        ratio = statistics.median(self.ours) / statistics.median(self.other)
        cells = [f"{statistics.median(values):.1f}, {p99(values):.1f}" for values in (self.ours, self.other)]
        return f"| {self.what} | {cells[0]} | {cells[1]} | {self.unit} | {ratio:.2f} | {self.goal} |"


def p99(values: Sequence[float]) -> float:
    """Return the 99th percentile; the greatest of few."""
    return sorted(values)[max(0, round(0.99 * len(values)) - 1)]


def many_anchors(folder: Path) -> Path:
    """Write an invented job with two hundred anchors on one long wall, after the block sample's first."""
    data = tomllib.loads(SAMPLE.read_text(encoding="utf-8"))
    first, wall = data["anchors"][0], data["walls"][0]
    wall["length"] = 50 * MANY + 100
    data["anchors"] = [
        {**first, "id": f"A{number}", "along": 30 + 50 * number} for number in range(1, MANY + 1)
    ]
    path = folder / "many.toml"
    path.write_text(tomli_w.dumps(data), encoding="utf-8")
    return path


def opened(job: Path, home: Path) -> Running:
    """Open a day; its journal starts anew."""
    job.with_name(f"{job.stem}.journal.jsonl").unlink(missing_ok=True)
    return Running((*CREWTUI, "open", str(job)), home, READY["crewtui"])


def typed(running: Running, count: int) -> list[float]:
    """Type a digit and take it away again, so many times; milliseconds each."""
    return [running.press("3" if number % 2 == 0 else "\x7f") * 1000 for number in range(count)]


def moved(running: Running, count: int) -> list[float]:
    """Go down a row and up again, so many times; milliseconds each."""
    return [running.press(DOWN if number % 2 == 0 else "\x1b[A") * 1000 for number in range(count)]


def on_disk(folder: Path, count: int) -> tuple[list[float], list[float]]:
    """Return milliseconds of entries, and of appending and flushing as many bytes to a plain file."""
    job = folder / "disk.toml"
    shutil.copy(SAMPLE, job)
    ours, plain = [], []
    with Day.open(job, figures=figures_for) as day, (folder / "plain").open("ab", buffering=0) as file:
        day.overview()
        size = day.journal.file.stat().st_size
        for number in range(count):
            began = time.perf_counter()
            outcome = day.measure("N1", "setback", f"{150 + number % 9}", reason="bench")
            ours.append((time.perf_counter() - began) * 1000)
            assert isinstance(outcome, Saved)
            grown, size = day.journal.file.stat().st_size - size, day.journal.file.stat().st_size
            began = time.perf_counter()
            file.write(b"x" * grown)
            os.fsync(file.fileno())
            plain.append((time.perf_counter() - began) * 1000)
    return ours, plain


def in_turns(starts: int, *ways: Callable[[], Running]) -> list[tuple[list[float], list[float]]]:
    """Start each in turn, so many times; milliseconds until ready and MiB of each."""
    found: list[tuple[list[float], list[float]]] = [([], []) for _ in ways]
    for _ in range(starts):
        for (times, sizes), way in zip(found, ways, strict=True):
            running = way()
            times.append(running.start_s * 1000)
            sizes.append(running.memory_mib())
            running.close()
    return found


def measured(starts: int, keys: int) -> list[Row]:
    """Return every row of the table."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        home = folder / "home"
        small = Path(shutil.copy(SAMPLE, folder))
        large = many_anchors(folder)

        def bare() -> Running:
            return Running(BARE, home, READY["bare"])

        first, plain, many = in_turns(starts, lambda: opened(small, home), bare, lambda: opened(large, home))
        five, yardstick, hundreds = opened(small, home), bare(), opened(large, home)
        for running in (five, hundreds):
            running.settle(4.0)
            running.go("f", *[DOWN] * 4)
        echo = typed(yardstick, keys)
        figures = typed(five, keys)
        for running in (five, hundreds):
            running.go("\x1b", "s", "\x1b[H")
        steps, steps_many = moved(five, keys), moved(hundreds, keys)
        typed_five, typed_many = typed(five, keys), typed(hundreds, keys)
        for running in (five, yardstick, hundreds):
            running.close()
        ours, disk = on_disk(folder, 200)
    return [
        Row("start to the first usable screen", first[0], plain[0], "ms", "1.4 of the bare app"),
        Row("memory", first[1], plain[1], "MiB", "1.5 of the bare app"),
        Row("a digit typed: figures and drawing repainted", figures, echo, "ms", "1.5 of the bare app"),
        Row(f"a job of {MANY} anchors opens", many[0], first[0], "ms", "1.3 of 5 anchors"),
        Row(f"a row down, {MANY} anchors", steps_many, steps, "ms", "1.2 of 5 anchors"),
        Row(f"a digit typed on a step, {MANY} anchors", typed_many, typed_five, "ms", "1.2 of 5 anchors"),
        Row("an entry on the disk", ours, disk, "ms", "20 ms at the 99th percentile"),
    ]


def main() -> None:
    """Print the table, and write it where asked."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--starts", type=int, default=9)
    parser.add_argument("--keys", type=int, default=120)
    parser.add_argument("--write", type=Path)
    arguments = parser.parse_args()
    rows = measured(arguments.starts, arguments.keys)
    table = "\n".join((
        "| what | here: median, 99th percentile | beside it | unit | ratio | goal |",
        "|---|---|---|---|---|---|",
        *(row.line() for row in rows),
    ))  # fmt: skip
    print(table)
    if arguments.write:
        machine = (
            f"{os.cpu_count()} cores, {platform.system()}, Python {platform.python_version()},"
            f" a terminal of {COLUMNS} x {ROWS}"
        )
        head, mark, _ = arguments.write.read_text(encoding="utf-8").partition("<!-- table -->\n")
        arguments.write.write_text(f"{head}{mark}\nMeasured on {machine}:\n\n{table}\n", encoding="utf-8")


if __name__ == "__main__":
    main()
