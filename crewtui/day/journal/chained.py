"""The day's journal on the disk: append only, flushed at every entry, held by one program at a time.

An entry that ``append`` returns is on the disk. One that it could not write leaves no trace: the file is
cut back to the last whole line, or the next ``append`` is refused until it can be.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Final, Self, TypeVar, cast

from filelock import FileLock, Timeout

from crewtui.day.journal.entries import KEEP_A_PLAN, Continued, Entry, to_line
from crewtui.day.journal.journal_file import (
    GREATEST_BYTES,
    LONGEST_LINE,
    START,
    JournalError,
    JournalLine,
    JournalReading,
    NewerJournalError,
    Scan,
    cannot_be_read,
    file_of,
    journal_path,
    not_plain,
    read_journal,
)
from crewtui.day.journal.seal import seal
from crewtui.disk.own_files import NotPlainError, check_plain, flush_folder, open_own
from crewtui.units import count_of

E = TypeVar("E", bound=Entry)
Clock = Callable[[], datetime]

_LONGEST_ENTRY: Final = 65_536
"""Bytes of any entry but one that keeps a plan."""
_FULL: Final = {errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC), errno.EFBIG}
_BARRED: Final = {errno.EACCES, errno.EPERM, errno.EROFS}


class JournalHeldError(JournalError):
    """Another program, or another window of this one, holds the journal."""


def _said(error: OSError, path: Path) -> JournalError:
    """Return the error as a sentence and a way on."""
    if isinstance(error, NotPlainError):
        return not_plain(error, path)
    if error.errno in _FULL:
        return JournalError(
            f"Not saved: the disk that holds {path.name} is full.",
            "Make room on it and enter this again; everything said to be saved before is safe.",
        )
    if error.errno in _BARRED:
        return JournalError(
            f"Not saved: {path.name} cannot be written; the file or its folder is read-only ({path.parent}).",
            "Copy the job file into a folder where you may write, and open it there.",
        )
    return JournalError(
        f"Not saved: {path.name} cannot be written ({error.strerror or error}).",
        "Check that the disk or stick is in and enter this again, or save a copy of the day elsewhere.",
    )


class Journal:
    """An open journal; ``reports`` says what was found wrong at opening, in words."""

    def __init__(self, path: Path, *, lock: FileLock, reading: JournalReading) -> None:
        self.path = path
        self._lock = lock
        self._lines: list[JournalLine] = list(reading.lines)
        self.reports: tuple[str, ...] = tuple(reading.reports)
        self._file = path
        self._handle = -1
        self._length = 0
        self._elsewhere = 0
        self._uncut = False

    @classmethod
    def open(cls, path: Path, *, clock: Clock) -> Self:
        """Lock the journal, read it, set a torn last line aside, and stand ready to append.

        Raises JournalHeldError, NewerJournalError or JournalError; then nothing is held.
        """
        lock_file = path.with_name(f"{path.stem}.lock")
        lock = FileLock(lock_file, timeout=0, thread_local=False)
        try:
            check_plain(lock_file, writes=True)
            lock.acquire()
        except Timeout:
            raise JournalHeldError(
                f"The day of {path.name} is already open in another window or program.",
                "Go on in that window, or close it first.",
            ) from None
        except NotPlainError as error:
            raise not_plain(error, lock_file) from error
        except OSError as error:
            raise _said(error, path) from error
        try:
            reading = read_journal(path)
            journal = cls(path, lock=lock, reading=reading)
            journal._make_ready(reading, clock)
        except BaseException:
            lock.release()
            raise
        return journal

    @property
    def entries(self) -> tuple[Entry, ...]:
        """Return every entry that stands, in order."""
        return tuple(line.entry for line in self._lines)

    @property
    def last(self) -> Entry | None:
        """Return the last entry, or None before the first."""
        return self._lines[-1].entry if self._lines else None

    @property
    def last_sha256(self) -> str:
        """Return the hash of the last line, which the next one names."""
        return self._lines[-1].sha256 if self._lines else START

    @property
    def file(self) -> Path:
        """Return the file that is appended to."""
        return self._file

    def append(self, entry: E) -> E:
        """Write the entry to the disk and return it with its number and chain, or raise JournalError."""
        placed = cast("E", entry.model_copy(update={"n": len(self._lines) + 1, "prev": self.last_sha256}))
        body = seal(to_line(placed))
        longest = LONGEST_LINE if isinstance(placed, KEEP_A_PLAN) else _LONGEST_ENTRY
        if len(body) > longest:
            raise JournalError(
                "Not saved: that is too long for one entry.", "Say it shorter, or in several notes."
            )
        if self._elsewhere + self._length + len(body) > GREATEST_BYTES:
            raise JournalError(
                f"Not saved: with it the journal would be over {GREATEST_BYTES / 1e6:.0f} MB.",
                "Sign the record, and ask the office how to go on.",
            )
        self._write(body + b"\n")
        self._lines.append(JournalLine(entry=placed, body=body, sha256=hashlib.sha256(body).hexdigest()))
        return placed

    def save_copy(self, folder: Path) -> Path:
        """Write all that stands into another folder: the way on when a disk is full or gone."""
        target = folder / self.path.name
        try:
            with target.open("xb") as file:
                file.writelines(line.body + b"\n" for line in self._lines)
                file.flush()
                os.fsync(file.fileno())
            flush_folder(folder)
        except FileExistsError:
            raise JournalError(f"{target} is there already.", "Choose another folder.") from None
        except OSError as error:
            raise _said(error, target) from error
        return target

    def close(self) -> None:
        """Let go of the file and of the lock."""
        if self._handle >= 0:
            os.close(self._handle)
            self._handle = -1
        self._lock.release()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    # Opening.

    def _make_ready(self, reading: JournalReading, clock: Clock) -> None:
        scans = reading.scans
        last = scans[-1] if scans else None
        damaged = last is not None and ((last.bad is not None and not last.bad.torn) or not reading.follows)
        number = len(scans) + 1 if damaged or last is None else len(scans)
        others = scans if damaged or last is None else scans[:-1]
        try:
            self._elsewhere = sum(one.path.lstat().st_size for one in others)
        except OSError as error:
            raise cannot_be_read(error, self.path) from error
        self._open_file(file_of(self.path, number))
        try:
            if last is not None and not damaged:
                self._mend_end(last, clock)
            if number > 1 and (damaged or (last is not None and not last.lines)):
                self._continue_from(scans[number - 2], clock)
        except BaseException:
            os.close(self._handle)
            self._handle = -1
            raise

    def _open_file(self, path: Path) -> None:
        self._file = path
        try:
            is_new = not os.path.lexists(path)
            self._handle = open_own(path, os.O_RDWR | os.O_APPEND | os.O_CREAT)
            if is_new:
                flush_folder(path.parent)
            self._length = os.fstat(self._handle).st_size
        except OSError as error:
            if self._handle >= 0:
                os.close(self._handle)
                self._handle = -1
            raise _said(error, path) from error

    def _mend_end(self, last: Scan, clock: Clock) -> None:
        """Give a whole last line its ending, or set a torn one aside and cut it: the one cut allowed."""
        if last.bad is not None:
            size = self._length - last.good_bytes
            kept = self._set_aside(last, clock)
            self._cut(last.good_bytes)
            what = (
                f"After the last entry of {last.path.name} stood what is no line ending; the entry is whole."
                if last.ends_open
                else f"The last line of {last.path.name} is not whole: cut off in the middle of writing, "
                "and then never said to be saved, or damaged since."
            )
            self._report(
                f"{what} The day stands as of {count_of(len(self._lines), 'entry')}; "
                f"{count_of(size, 'byte')} after them are kept in {kept.name}."
            )
        if last.ends_open:
            self._write(b"\n")

    def _set_aside(self, last: Scan, clock: Clock) -> Path:
        stamp = clock().astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")
        name = f"{last.path.name}.torn-{stamp}"
        target = last.path.with_name(name)
        again = 1
        while os.path.lexists(target):
            again += 1
            target = last.path.with_name(f"{name}-{again}")
        try:
            with target.open("xb") as file:
                os.lseek(self._handle, last.good_bytes, os.SEEK_SET)
                file.write(os.read(self._handle, self._length - last.good_bytes))
                file.flush()
                os.fsync(file.fileno())
            flush_folder(target.parent)
        except OSError as error:
            raise _said(error, target) from error
        return target

    def _continue_from(self, damaged: Scan, clock: Clock) -> None:
        now = clock()
        bad = damaged.bad
        self.append(
            Continued(
                done_at=now,
                typed_at=now,
                file=damaged.path.name,
                damaged_line=bad.line if bad is not None else 1,
                why=bad.why if bad is not None else "it does not go on from what stands before it",
            )
        )
        self._report(f"What is entered from here on goes into {self._file.name}; keep both files together.")

    def _report(self, sentence: str) -> None:
        self.reports = (*self.reports, sentence)

    # Writing.

    def _write(self, data: bytes) -> None:
        """Write one whole line and flush it, or leave the file as it was."""
        self._check_ours()
        try:
            rest = memoryview(data)
            while rest:
                rest = rest[os.write(self._handle, rest) :]
            os.fsync(self._handle)
        except OSError as error:
            said = _said(error, self._file)
            with contextlib.suppress(JournalError):
                self._cut(self._length)
            if self._uncut:
                said = JournalError(
                    f"{said.sentence} Part of it may stand at the end of the file.",
                    f"{said.way_on} That part is cleared away before the next entry.",
                )
            raise said from error
        self._length += len(data)

    def _check_ours(self) -> None:
        """Refuse to write where nobody would find it, or after what somebody else wrote."""
        if self._handle < 0:
            raise JournalError("The journal is closed.", "Open the job again.")
        if self._uncut:
            self._cut(self._length)
        try:
            held = os.fstat(self._handle)
            there = os.path.samestat(held, self._file.lstat())
        except FileNotFoundError:
            there = False
        except OSError as error:
            raise _said(error, self._file) from error
        if not there:
            raise JournalError(
                f"Not saved: {self._file.name} was moved or deleted while the day is open.",
                "Put it back where it was, or save a copy of the day elsewhere.",
            )
        if held.st_size != self._length:
            raise JournalError(
                f"Not saved: {self._file.name} was changed by another program while the day is open.",
                "Close that program, then close and open the job again.",
            )

    def _cut(self, length: int) -> None:
        self._uncut = True
        try:
            os.ftruncate(self._handle, length)
            os.fsync(self._handle)
        except OSError as error:
            raise _said(error, self._file) from error
        self._uncut = False
        self._length = length


__all__ = [
    "START",
    "Clock",
    "Journal",
    "JournalError",
    "JournalHeldError",
    "JournalReading",
    "NewerJournalError",
    "journal_path",
    "read_journal",
]
