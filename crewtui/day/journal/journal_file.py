"""Reading a journal's files: which lines stand, where a line is torn or damaged, what follows on what.

A line's hash is SHA-256 over its bytes without the line ending; the first line names ``START``.
Nothing here writes.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any, BinaryIO, Final

import pydantic_core
from msgspec import Struct, field

from crewtui.day.journal.entries import FORMAT, Continued, DayOpened, Entry, from_line

START: Final = hashlib.sha256(b"").hexdigest()
"""What the first line of a journal names as the line before it."""
LONGEST_LINE: Final = 65_536
"""Bytes; nothing that the program writes is longer, so anything longer is damage."""
_BOM: Final = b"\xef\xbb\xbf"


class JournalError(Exception):
    """The journal cannot be read or written; ``str()`` is what happened and what to do."""

    def __init__(self, sentence: str, way_on: str) -> None:
        self.sentence, self.way_on = sentence, way_on
        super().__init__(f"{sentence} {way_on}")


class NewerJournalError(JournalError):
    """The journal was written by a newer version of the program."""


class Line(Struct, frozen=True, kw_only=True):
    """One good line: its entry, its bytes without the ending, its hash."""

    entry: Entry
    body: bytes
    sha256: str


class Bad(Struct, frozen=True, kw_only=True):
    """The first line of a file that cannot stand."""

    line: int
    why: str
    torn: bool
    """It is the file's last and unfinished: it was never said to be saved."""


class Scan(Struct, kw_only=True):
    """One file: its good lines from the top, where they end, and what is bad after them."""

    path: Path
    lines: list[Line] = field(default_factory=list)
    good_bytes: int = 0
    ends_open: bool = False
    """The last good line is whole but for its line ending."""
    bad: Bad | None = None


class Reading(Struct, kw_only=True):
    """What all files of a journal add up to."""

    scans: list[Scan]
    lines: list[Line]
    reports: list[str]
    follows: bool = True
    """The last file goes on from what stands."""

    @property
    def entries(self) -> tuple[Entry, ...]:
        """Return the entries that stand, in order."""
        return tuple(line.entry for line in self.lines)

    @property
    def last_sha256(self) -> str:
        """Return the hash of the last good line."""
        return self.lines[-1].sha256 if self.lines else START


def journal_path(job_path: Path) -> Path:
    """Return where the journal of that job file stands: beside it."""
    return job_path.with_name(f"{job_path.stem}.journal.jsonl")


def file_of(path: Path, number: int) -> Path:
    """Return the journal's first file, or its second, third, ... begun after damage."""
    return path if number == 1 else path.with_name(f"{path.stem}.{number}.jsonl")


def read_journal(path: Path) -> Reading:
    """Read the journal and the files that continue it; nothing is changed on the disk."""
    reading = Reading(scans=[], lines=[], reports=[])
    number = 1
    while file_of(path, number).exists():
        _take_in(reading, scan(file_of(path, number)), number)
        number += 1
    if number == 1 and file_of(path, 2).exists():
        raise JournalError(
            f"{path.name} is missing, but {file_of(path, 2).name} that goes on from it is here.",
            f"Put {path.name} back beside it, or move both away to begin anew.",
        )
    return reading


def scan(path: Path) -> Scan:
    """Read one file up to its first bad line."""
    result = Scan(path=path)
    try:
        with path.open("rb") as file:
            for number, raw in enumerate(_raw_lines(file), start=1):
                if not _take_line(result, raw, number, is_last=_at_end(file)):
                    break
    except OSError as error:
        raise JournalError(
            f"{path.name} cannot be read ({error.strerror or error}).",
            "Check that the disk or stick is in and that you may read the file.",
        ) from error
    return result


def _raw_lines(file: BinaryIO) -> Iterator[bytes]:
    while raw := file.readline(LONGEST_LINE + 2):
        yield raw


def _at_end(file: BinaryIO) -> bool:
    here = file.tell()
    more = file.read(1)
    file.seek(here)
    return not more


def _take_line(result: Scan, raw: bytes, number: int, *, is_last: bool) -> bool:
    """Add one line to the scan; False ends it."""
    body = raw.rstrip(b"\r\n")
    if number == 1:
        body = body.removeprefix(_BOM)
    if not body:
        result.good_bytes += len(raw)
        return True
    ends = raw.endswith(b"\n")
    if not ends and len(body) > LONGEST_LINE:
        result.bad = Bad(line=number, why="it is longer than any entry", torn=False)
        return False
    try:
        entry = from_line(body)
    except ValueError:
        _refuse_newer(_format_in(body), result.path)
        result.bad = Bad(line=number, why="it cannot be read as an entry", torn=is_last)
        return False
    _refuse_newer(entry.format if isinstance(entry, DayOpened | Continued) else 0, result.path)
    if result.lines and not _follows(entry, result.lines[-1]):
        changed = result.lines.pop()
        result.good_bytes -= len(changed.body)
        result.bad = Bad(
            line=number - 1, why=f"line {number} does not go on from it as it reads now", torn=False
        )
        return False
    result.lines.append(Line(entry=entry, body=body, sha256=hashlib.sha256(body).hexdigest()))
    result.good_bytes += len(raw)
    result.ends_open = not ends
    return True


def _follows(entry: Entry, before: Line) -> bool:
    return entry.n == before.entry.n + 1 and entry.prev == before.sha256


def _format_in(body: bytes) -> int:
    """Return the format version that a line names, even one of an unknown kind; 0 if it names none."""
    try:
        data: Any = pydantic_core.from_json(body)
    except ValueError:
        return 0
    version = data.get("format") if isinstance(data, dict) else None
    return version if isinstance(version, int) else 0


def _refuse_newer(version: int, path: Path) -> None:
    if version > FORMAT:
        raise NewerJournalError(
            f"{path.name} was written by a newer version of this program "
            f"(its format is {version}, this one knows {FORMAT}).",
            "Install the newer version and open the job with it; nothing was changed.",
        )


def _take_in(reading: Reading, new: Scan, number: int) -> None:
    """Add a file to the reading: the first from the start, a later one from the line that it names."""
    reading.scans.append(new)
    if new.lines:
        first = new.lines[0].entry
        stands = first.n - 1
        fits = 0 <= stands <= len(reading.lines) and (number == 1 or isinstance(first, Continued))
        before = (reading.lines[stands - 1].sha256 if stands else START) if fits else ""
        if not fits or first.prev != before or (number == 1 and stands):
            reading.follows = False
            reading.reports.append(
                f"{new.path.name} does not go on from what stands before it, so its {len(new.lines)} entries "
                "are left out; the file is untouched."
            )
            if number == 1:
                new.bad = Bad(line=1, why="it does not begin a journal", torn=False)
            return
        if stands < len(reading.lines):
            left_out = len(reading.lines) - stands
            reading.reports.append(
                f"{left_out} entries are left out that {new.path.name} does not go on from."
            )
        reading.lines[stands:] = new.lines
        reading.follows = True
    elif number > 1:
        reading.follows = True
    if new.bad is not None and not new.bad.torn:
        reading.reports.append(
            f"{new.path.name} is damaged at line {new.bad.line}: {new.bad.why}. The day stands as of the "
            f"{len(reading.lines)} entries before it; the file is untouched."
        )
