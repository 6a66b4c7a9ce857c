"""Journals that no program wrote: well-formed lines, rightly chained, of entries that no day ever had.

    python tests/faults/hand_made.py [--journals 500] [--seed 1]

Each one is opened, looked at on every view, worked on and printed. Prints a Markdown table; ends with 1 if
anything but a sentence came of it.
"""

# ruff: noqa: T201, S311 - a count that prints, and chance that is no secret

from __future__ import annotations

import argparse
import contextlib
import hashlib
import io
import json
import random
import shutil
import sys
import tempfile
import time
import traceback
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Any, Final, get_args

from pydantic import TypeAdapter

from crewtui.cli import run
from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.journal import entries as e
from crewtui.day.journal.chained import START, JournalError, journal_path
from crewtui.day.journal.seal import seal
from crewtui.day.session.day import Day
from crewtui.day.steps.hand_over import hand_over
from crewtui.job.file.load import load_job
from crewtui.job.tables import steps
from crewtui.record.signed.build import build_record
from crewtui.record.signed.hand_in import preview, sources_of
from crewtui.record.signed.progress import progress_of
from crewtui.record.signed.sign import RecordError

SAMPLES: Final = Path(__file__).parents[2] / "sample_jobs"
FIRST, LAST = datetime(1, 1, 1, tzinfo=UTC), datetime(9999, 12, 31, 23, 59, 59, tzinfo=UTC)
TIMES: Final = (
    FIRST, LAST, datetime(1, 1, 1, tzinfo=timezone(timedelta(hours=14))),
    datetime(9999, 12, 31, 23, 59, tzinfo=timezone(timedelta(hours=-12))),
    datetime(2026, 11, 30, 8, tzinfo=timezone(timedelta(hours=-5))), datetime(2038, 1, 19, 3, 14, tzinfo=UTC),
    datetime(1970, 1, 1, tzinfo=UTC),
)  # fmt: skip
TEXTS: Final = (
    "yes",
    "no",
    "x",
    "[/b]",
    "{}",
    "%s",
    "\u05d0\u202e",
    "9" * 300,
    "40 in",
    "leave",
    "accept",
    "closed",
)
PRINTS: Final = 10
"""Of so many journals one is printed as a plan too, which takes a second."""
NUMBERS: Final = (0.0, -0.0, 1e-300, 1.0, 41.0, -1.0, 89.9, 1_199.0, 11_999.0, -11_999.0, 1e9, -1e9)


class Maker:
    """Makes entries by their models' own schema, of any values that the schema lets through."""

    def __init__(self, chance: random.Random, job: Path) -> None:
        self.chance = chance
        plan = load_job(job)
        self.ids = (
            *(anchor.id for anchor in plan.anchors), *(wall.name for wall in plan.walls),
            *(step.id for step in steps.load()), *(one.quantity for one in steps.load() if one.quantity),
            "none",
        )  # fmt: skip
        self.schemas = {kind: TypeAdapter(kind).json_schema() for kind in get_args(e.Entry)}

    def line(self, n: int, prev: str) -> bytes:
        """Return one line that the program reads as an entry; a few are of any kind at all."""
        kind = self.chance.choice(list(self.schemas))
        for _ in range(20):
            data = self._value(self.schemas[kind], self.schemas[kind].get("$defs", {}))
            data |= {"n": n, "prev": prev, "format": e.FORMAT} if "format" in data else {"n": n, "prev": prev}
            try:
                entry = e.from_line(json.dumps(data).encode())
            except ValueError:
                continue
            return seal(e.to_line(entry))
        return seal(json.dumps({"n": n, "prev": prev, "kind": "note"}).encode())

    def _value(self, schema: dict[str, Any], defs: dict[str, Any]) -> Any:
        if "$ref" in schema:
            return self._value(defs[schema["$ref"].rsplit("/", 1)[1]], defs)
        if "anyOf" in schema:
            return self._value(self.chance.choice(schema["anyOf"]), defs)
        if "const" in schema:
            return schema["const"]
        if "enum" in schema:
            return self.chance.choice(schema["enum"])
        makers = {"object": self._table, "array": self._list}
        if schema.get("type") in makers:
            return makers[schema["type"]](schema, defs)
        return self._plain(schema)

    def _table(self, schema: dict[str, Any], defs: dict[str, Any]) -> dict[str, Any]:
        if "properties" not in schema:
            inner = schema.get("additionalProperties")
            inner = inner if isinstance(inner, dict) else {"type": "number"}
            return {self._text(): self._value(inner, defs) for _ in range(self.chance.randrange(1, 4))}
        needed = schema.get("required", ())
        return {
            key: self._value(part, defs)
            for key, part in schema["properties"].items()
            if key in needed or self.chance.random() < 0.7
        }

    def _list(self, schema: dict[str, Any], defs: dict[str, Any]) -> list[Any]:
        inner = schema.get("items") or {"type": "number"}
        return [self._value(inner, defs) for _ in range(schema.get("minItems", 0) + self.chance.randrange(3))]

    def _plain(self, schema: dict[str, Any]) -> Any:
        kind = schema.get("type")
        if kind == "string":
            if schema.get("format") == "date-time":
                return self._time()
            return "" if "pattern" in schema else self._text()
        if kind == "boolean":
            return self.chance.random() < 0.5
        if kind == "null":
            return None
        return self.chance.choice((0, 1, 2, 3, 7, 10, 100_000)) if kind == "integer" else self._number(schema)

    def _number(self, schema: dict[str, Any]) -> float:
        least = schema.get("minimum", schema.get("exclusiveMinimum", -1e9))
        most = schema.get("maximum", schema.get("exclusiveMaximum", 1e9))
        fitting = [value for value in (*NUMBERS, least, most) if least <= value <= most]
        return self.chance.choice(fitting)

    def _text(self) -> str:
        return self.chance.choice(self.ids if self.chance.random() < 0.7 else TEXTS)

    def _time(self) -> str:
        if self.chance.random() < 0.15:
            return self.chance.choice(TIMES).isoformat()
        return (TIMES[4] + timedelta(minutes=self.chance.randrange(-2000, 6000))).isoformat()


def made(maker: Maker, count: int) -> bytes:
    """Return a journal of so many lines."""
    lines, prev = [], START
    for n in range(1, count + 1):
        line = maker.line(n, prev)
        prev = hashlib.sha256(line).hexdigest()
        lines.append(line + b"\n")
    return b"".join(lines)


def looked_at(job: Path, clock: datetime) -> None:
    """Open the day, look at it in every way, enter a little, and again; JournalError is a sentence."""
    for _ in range(2):
        try:
            day = Day.open(job, clock=lambda: clock, figures=figures_for)
        except JournalError:
            return
        with day:
            day.overview()
            day.log()
            day.pace()
            day.here()
            for scope in ("before", "after"):
                day.rows(None, scope=scope)  # type: ignore[arg-type]
            for anchor in day.state.anchors:
                day.rows(anchor)
                day.facts(anchor)
            for wall in day.job.walls:
                day.wall(wall.name)
            hand_over(day.state, day.clock())
            preview(day)
            with contextlib.suppress(RecordError):
                build_record(
                    day.state,
                    day.journal.entries,
                    sources=sources_of(day),
                    progress=progress_of(day.state),
                    lead="PS",
                )
            day.beside.note("goes on")
            day.take_back()
            for anchor in list(day.state.anchors)[:2]:
                day.measure(anchor, "setback", "13'", reason="as it was", sure=True)


def _printed(job: Path) -> int:
    """Print the plan with what the journal holds; return the exit code."""
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        return run(["plan", str(job), "--seconds", "0.1"])


def main() -> int:
    """Print the table; 1 if any of the journals ended in anything but a sentence."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--journals", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    faults, slowest, entries = count(arguments.journals, arguments.seed)
    print("| hand-made journals | entries | faults | slowest |")
    print("|---|---|---|---|")
    print(f"| {arguments.journals} | {entries} | {faults} | {slowest:.1f} s |")
    return int(faults > 0)


def count(journals: int, seed: int) -> tuple[int, float, int]:
    """Return the faults, the longest time that one journal took, and the entries in all."""
    samples = sorted(SAMPLES.glob("*.toml"))
    faults, slowest, entries = 0, 0.0, 0
    with tempfile.TemporaryDirectory() as name:
        for number in range(seed * 100_000, seed * 100_000 + journals):
            chance = random.Random(number)
            job = Path(shutil.copy(chance.choice(samples), Path(name) / "job.toml"))
            for old in Path(name).glob("job.journal*"):
                old.unlink()
            lines = chance.randrange(1, 60)
            journal_path(job).write_bytes(made(Maker(chance, job), lines))
            entries += lines
            began = time.monotonic()
            try:
                looked_at(job, chance.choice(TIMES[4:]))
            except Exception:  # noqa: BLE001 - whatever it is, it is counted and shown
                faults += 1
                print(f"journal {number}:")
                traceback.print_exc(limit=-6, file=sys.stdout)
            if number % PRINTS == 0 and _printed(job) not in {0, 2}:
                faults += 1
                print(f"journal {number}: plan")
            slowest = max(slowest, time.monotonic() - began)
    return faults, slowest, entries


if __name__ == "__main__":
    sys.exit(main())
