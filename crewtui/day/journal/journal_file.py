"""Reading a journal's files: which lines stand, where a line is torn or damaged, what follows on what.

A line's hash is SHA-256 over its bytes without the line ending; the first line names ``START``.
Nothing here writes.
"""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Iterator
from io import BufferedReader
from pathlib import Path
from typing import Any, Final

import pydantic_core
from msgspec import Struct, field
from msgspec.structs import replace

from crewtui.day.journal.entries import FORMAT, Continued, DayOpened, Entry, from_line
from crewtui.day.journal.seal import BrokenSealError, unseal
from crewtui.disk.own_files import NotPlainError, open_own
from crewtui.units import count_of

START: Final = hashlib.sha256(b"").hexdigest()
"""What the first line of a journal names as the line before it."""
LONGEST_LINE: Final = 4_000_000
"""Bytes; the longest is a plan that is kept whole, and anything longer is damage."""
GREATEST_BYTES: Final = 8_000_000
"""All files of a journal together: room for some five hundred anchors; most days stay below a million."""
_CHUNK: Final = 1 << 16
_BOM: Final = b"\xef\xbb\xbf"


class JournalError(Exception):
    """The journal cannot be read or written; ``str()`` is what happened and what to do."""

    def __init__(self, sentence: str, way_on: str) -> None:
        self.sentence, self.way_on = sentence, way_on
        super().__init__(f"{sentence} {way_on}")


class NewerJournalError(JournalError):
    """The journal was written by a newer version of the program."""


class JournalLine(Struct, frozen=True, kw_only=True):
    """One good line: its entry, its bytes without the ending, its hash."""

    entry: Entry
    body: bytes
    sha256: str


class Bad(Struct, frozen=True, kw_only=True):
    """The first line of a file that cannot stand."""

    line: int
    why: str
    torn: bool
    """It is the file's last and has no line ending: what stands behind the good lines can be set aside."""
    lines: int = 1
    """How many lines are not read: this one and all after it."""


class Scan(Struct, kw_only=True):
    """One file: its good lines from the top, where they end, and what is bad after them."""

    path: Path
    lines: list[JournalLine] = field(default_factory=list)
    good_bytes: int = 0
    ends_open: bool = False
    """The last good line is whole but for its line ending."""
    sealed: bool = False
    """The last good line carries its own check, and so does every line after it."""
    bad: Bad | None = None

    @property
    def count(self) -> int:
        """Return how many lines there are, good or not."""
        return len(self.lines) + (self.bad.lines if self.bad is not None else 0)


class JournalReading(Struct, kw_only=True):
    """What all files of a journal add up to."""

    scans: list[Scan]
    lines: list[JournalLine]
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


def numbered_files(path: Path) -> tuple[Path, ...]:
    """Return the journal's files in their order; JournalError where one is missing between them."""
    named = re.compile(re.escape(path.stem) + r"\.([1-9]\d{0,3})\.jsonl")
    try:
        found = {int(match[1]) for one in path.parent.iterdir() if (match := named.fullmatch(one.name))}
    except FileNotFoundError:
        found = set()
    except OSError as error:
        raise cannot_be_read(error, path.parent) from error
    there = {number for number in found if number > 1} | ({1} if os.path.lexists(path) else set())
    for number in range(1, max(there, default=0)):
        if number not in there:
            later = file_of(path, min(other for other in there if other > number))
            raise JournalError(
                f"{file_of(path, number).name} is missing, but {later.name} that goes on from it is here.",
                f"Put {file_of(path, number).name} back beside it, or move both away to begin anew.",
            )
    return tuple(file_of(path, number) for number in sorted(there))


def read_journal(path: Path) -> JournalReading:
    """Read the journal and the files that continue it; nothing is changed on the disk."""
    reading = JournalReading(scans=[], lines=[], reports=[])
    files = numbered_files(path)
    _refuse_too_large(path, files)
    for number, file in enumerate(files, start=1):
        _take_in(reading, scan(file), number)
    return reading


def _refuse_too_large(path: Path, files: tuple[Path, ...]) -> None:
    try:
        size = sum(file.lstat().st_size for file in files)
    except OSError as error:
        raise cannot_be_read(error, path) from error
    if size > GREATEST_BYTES:
        raise JournalError(
            f"{path.name} is {size / 1e6:,.0f} MB, and no day makes more than {GREATEST_BYTES / 1e6:.0f} MB.",
            "Move it away and ask the office; nothing was changed.",
        )


def cannot_be_read(error: OSError, path: Path) -> JournalError:
    """Return the error as a sentence and a way on."""
    if isinstance(error, NotPlainError):
        return not_plain(error, path)
    return JournalError(
        f"{path.name} cannot be read ({error.strerror or error}).",
        "Check that the disk or stick is in and that you may read the file.",
    )


def not_plain(error: NotPlainError, path: Path) -> JournalError:
    """Return what stands in a file's place as a sentence and a way on."""
    return JournalError(
        f"{path.name} is {error.kind}, and only plain files of the program's own are opened.",
        f"Nothing was changed. Move it away from {path.parent}, or put the file itself in its place.",
    )


def scan(path: Path) -> Scan:
    """Read one file up to its first bad line, and count the lines after that."""
    result = Scan(path=path)
    try:
        with os.fdopen(open_own(path, os.O_RDONLY), "rb") as file:
            for number, raw in enumerate(_raw_lines(file), start=1):
                if not _take_line(result, raw, number, is_last=_at_end(file)):
                    break
            if result.bad is not None:
                more = result.bad.lines + _lines_left(file)
                result.bad = replace(result.bad, lines=more)
    except OSError as error:
        raise cannot_be_read(error, path) from error
    return result


def _raw_lines(file: BufferedReader) -> Iterator[bytes]:
    while raw := file.readline(LONGEST_LINE + 2):
        yield raw


def _at_end(file: BufferedReader) -> bool:
    return not file.peek(1)


def _lines_left(file: BufferedReader) -> int:
    """Count the lines from here to the end, without keeping any."""
    count, last = 0, b"\n"
    while chunk := file.read(_CHUNK):
        count += chunk.count(b"\n")
        last = chunk[-1:]
    return count + (last != b"\n")


def _take_line(result: Scan, raw: bytes, number: int, *, is_last: bool) -> bool:
    """Add one line to the scan; False ends it."""
    body = raw.rstrip(b"\r\n")
    if number == 1:
        body = body.removeprefix(_BOM)
    if not body:
        result.good_bytes += len(raw)
        result.ends_open = not raw.endswith(b"\n")
        return True
    ends = raw.endswith(b"\n")
    if not ends and len(body) > LONGEST_LINE:
        result.bad = Bad(line=number, why="it is longer than any entry", torn=False)
        return False
    try:
        entry, sealed = _read(body, result)
    except ValueError as error:
        if not ends and is_last and _take_line(result, body[:-1] + b"\n", number, is_last=False):
            _end_in_junk(result, number)
            return False
        why = str(error)
        if not isinstance(error, BrokenSealError):
            _refuse_newer(_format_in(body), result.path)
            why = "it cannot be read as an entry"
        result.bad = Bad(line=number, why=why, torn=is_last and not ends)
        return False
    if result.lines and not _follows(entry, result.lines[-1]):
        changed = result.lines.pop()
        result.good_bytes -= len(changed.body)
        why = f"line {number} does not go on from it as it reads now"
        result.bad = Bad(line=number - 1, why=why, torn=False, lines=2)
        return False
    result.lines.append(JournalLine(entry=entry, body=body, sha256=hashlib.sha256(body).hexdigest()))
    result.good_bytes += len(raw)
    result.ends_open, result.sealed = not ends, sealed
    return True


def _read(body: bytes, result: Scan) -> tuple[Entry, bool]:
    """Return a line's entry and whether the line carries its check; ValueError where it cannot stand."""
    plain, sealed = unseal(body)
    if result.sealed and not sealed:
        raise BrokenSealError("its check is gone")
    entry = from_line(plain)
    _refuse_newer(entry.format if isinstance(entry, DayOpened | Continued) else 0, result.path)
    return entry, sealed


def _end_in_junk(result: Scan, number: int) -> None:
    """Let a last line stand whose ending alone is damaged: its last byte is not the line ending it was."""
    result.good_bytes -= 1
    result.ends_open = True
    result.bad = Bad(line=number, why="a byte stands where it ends", torn=True)


def _follows(entry: Entry, before: JournalLine) -> bool:
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


def _take_in(reading: JournalReading, new: Scan, number: int) -> None:
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
                f"{new.path.name} does not go on from what stands before it, so "
                f"{count_of(new.count, 'entry')} of it {_are(new.count)} left out; the file is untouched."
            )
            if number == 1:
                new.bad = Bad(line=1, why="it does not begin a journal", torn=False, lines=new.count)
                new.lines = []
            return
        if stands < len(reading.lines):
            gone = len(reading.lines) - stands
            reading.reports.append(
                f"{count_of(gone, 'entry')} {_are(gone)} left out that {new.path.name} does not go on from."
            )
        reading.lines[stands:] = new.lines
        reading.follows = True
    elif number > 1:
        reading.follows = True
    if new.bad is not None and not new.bad.torn:
        reading.reports.append(
            f"{new.path.name} is damaged at line {new.bad.line}: {new.bad.why}. The day stands as of the "
            f"{count_of(len(reading.lines), 'entry')} before it; "
            f"{count_of(new.bad.lines, 'line')} from there on {_are(new.bad.lines)} not in it;"
            " the file is untouched."
        )


def _are(count: int) -> str:
    return "is" if count == 1 else "are"
