"""A disk that is full, read-only or gone: a sentence, a way on, and no loss."""

from __future__ import annotations

import errno
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from test_kill import start

from crewtui.day.journal import chained as module
from crewtui.day.journal.chained import Journal, JournalError, journal_path, read_journal
from crewtui.day.journal.entries import Note

NOW = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
posix_only = pytest.mark.skipif(
    os.name == "nt", reason="needs a size limit or another user, as POSIX has them"
)


def clock() -> datetime:
    return NOW


def note(text: str) -> Note:
    return Note(done_at=NOW, typed_at=NOW, text=text)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return journal_path(tmp_path / "job.toml")


@posix_only
def test_a_size_limit_at_many_places_loses_nothing_that_was_said_to_be_saved(tmp_path: Path) -> None:
    for limit in (1, 100, 700, 1024, 1500, 2048, 4100):
        job = tmp_path / f"{limit}.toml"
        child = start(job, limit, limit)
        said, _ = child.communicate(timeout=30)
        lines = said.decode("utf-8").splitlines()
        assert child.returncode == 0
        assert lines[-1].startswith("refused Not saved: the disk")
        stands = read_journal(journal_path(job))
        assert len(stands.entries) == len(lines) - 2
        assert stands.reports == []
        with Journal.open(journal_path(job), clock=clock) as journal:
            assert journal.reports == ()


class FullDisk:
    """Lets so many bytes through, then says that the disk is full."""

    def __init__(self, room: int, *, cuts: bool = True) -> None:
        self.room, self.cuts = room, cuts
        self.write, self.ftruncate, self.fsync = os.write, os.ftruncate, os.fsync

    def put(self, handle: int, data: bytes) -> int:
        if self.room <= 0:
            raise OSError(errno.ENOSPC, "No space left on device")
        wrote = self.write(handle, bytes(data)[: self.room])
        self.room -= wrote
        return wrote

    def cut(self, handle: int, length: int) -> None:
        if not self.cuts:
            raise OSError(errno.EIO, "Input/output error")
        self.ftruncate(handle, length)


def test_full_at_every_byte_of_an_entry_the_file_is_as_before(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Journal.open(path, clock=clock) as journal:
        journal.append(note("first"))
        whole = path.read_bytes()
        for room in range(len(whole) + 1):
            disk = FullDisk(room)
            with monkeypatch.context() as patch:
                patch.setattr(module.os, "write", disk.put)
                with pytest.raises(JournalError, match="is full") as caught:
                    journal.append(note("x" * len(whole)))
            assert "Make room" in caught.value.way_on
            assert path.read_bytes() == whole
            assert len(journal.entries) == 1
        assert journal.append(note("room again")).n == 2
    assert len(read_journal(path).entries) == 2


def test_a_part_that_cannot_be_cut_back_is_said_and_cleared_before_the_next_entry(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Journal.open(path, clock=clock) as journal:
        journal.append(note("first"))
        disk = FullDisk(20, cuts=False)
        monkeypatch.setattr(module.os, "write", disk.put)
        monkeypatch.setattr(module.os, "ftruncate", disk.cut)
        with pytest.raises(JournalError, match="Part of it may stand"):
            journal.append(note("second"))
        with pytest.raises(JournalError, match="cannot be written"):
            journal.append(note("still not"))
        disk.cuts, disk.room = True, 100_000
        assert journal.append(note("third")).n == 2
    assert [entry.n for entry in read_journal(path).entries] == [1, 2]


def test_a_flush_that_fails_is_no_saved_entry(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with Journal.open(path, clock=clock) as journal:
        journal.append(note("first"))

        def broken(_: int) -> None:
            raise OSError(errno.EIO, "Input/output error")

        with monkeypatch.context() as patch:
            patch.setattr(module.os, "fsync", broken)
            with pytest.raises(JournalError, match="cannot be written"):
                journal.append(note("second"))
        assert journal.append(note("third")).n == 2
    assert len(read_journal(path).entries) == 2


@pytest.mark.parametrize("number", [errno.EROFS, errno.EACCES, errno.EPERM])
def test_a_read_only_folder_is_said_with_a_way_on(
    path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    def barred(*_: object) -> int:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(module.os, "open", barred)
    with pytest.raises(JournalError, match="read-only") as caught:
        Journal.open(path, clock=clock)
    assert "Copy the job file into a folder where you may write" in caught.value.way_on


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that every user may enter, since the tests' own may not be."""
    folder = Path(tempfile.mkdtemp(prefix="crewtui-readonly-"))
    folder.chmod(0o755)
    yield folder
    folder.chmod(0o755)
    shutil.rmtree(folder)


OPENER = """
import os, sys
from pathlib import Path
from datetime import UTC, datetime
from crewtui.day.journal.chained import Journal, JournalError, journal_path
if os.geteuid() == 0:
    os.setuid(65534)
try:
    Journal.open(journal_path(Path(sys.argv[1])), clock=lambda: datetime.now(UTC))
except JournalError as error:
    print(error.sentence)
"""


@posix_only
def test_a_folder_that_really_is_read_only_is_said_in_one_sentence(open_folder: Path) -> None:
    open_folder.chmod(0o555)
    job = open_folder / "job.toml"
    found = subprocess.run(
        [sys.executable, "-c", OPENER, str(job)], capture_output=True, text=True, check=True
    )
    assert "read-only" in found.stdout
    assert list(open_folder.iterdir()) == []


@posix_only
def test_a_folder_that_vanishes_while_the_day_is_open_is_said(path: Path, tmp_path: Path) -> None:
    with Journal.open(path, clock=clock) as journal:
        journal.append(note("first"))
        shutil.rmtree(path.parent)
        with pytest.raises(JournalError, match="moved or deleted"):
            journal.append(note("second"))
        elsewhere = tmp_path / "elsewhere"
        elsewhere.mkdir(parents=True)
        assert len(read_journal(journal.save_copy(elsewhere)).entries) == 1


def test_a_file_that_may_not_be_read_is_said(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    Journal.open(path, clock=clock).close()
    opened = os.open

    def barred(name: Path | str, *args: int) -> int:
        if Path(name) == path:
            raise PermissionError(errno.EACCES, "Permission denied")
        return opened(name, *args)

    monkeypatch.setattr(os, "open", barred)
    with pytest.raises(JournalError, match="cannot be read"):
        Journal.open(path, clock=clock)
