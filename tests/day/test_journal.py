from __future__ import annotations

import hashlib
import json
import os
import re
from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from crewtui.day.journal import chained
from crewtui.day.journal.chained import (
    START,
    Journal,
    JournalError,
    JournalHeldError,
    NewerJournalError,
    journal_path,
    read_journal,
)
from crewtui.day.journal.entries import FORMAT, Continued, DayOpened, Note
from crewtui.day.journal.seal import seal, unseal

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=timezone(timedelta(hours=-5)))


def clock() -> datetime:
    return NOON


def note(text: str) -> Note:
    return Note(done_at=NOON, typed_at=NOON, text=text)


def begin(path: Path, count: int = 5) -> bytes:
    """Write a journal of a day opened and notes, and return its bytes."""
    with Journal.open(path, clock=clock) as journal:
        journal.append(DayOpened(done_at=NOON, typed_at=NOON, program="0.1.0", job="J", job_sha256="00" * 32))
        for number in range(2, count + 1):
            journal.append(note(f"note {number}"))
    return path.read_bytes()


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return journal_path(tmp_path / "block.toml")


def test_it_stands_beside_the_job_file(tmp_path: Path) -> None:
    assert journal_path(tmp_path / "block.toml") == tmp_path / "block.journal.jsonl"


def test_each_line_carries_the_hash_of_the_line_before(path: Path) -> None:
    lines = begin(path).splitlines()
    assert [json.loads(line)["n"] for line in lines] == [1, 2, 3, 4, 5]
    expected = START
    for line in lines:
        assert json.loads(line)["prev"] == expected
        expected = hashlib.sha256(line).hexdigest()
    assert read_journal(path).last_sha256 == expected
    assert hashlib.sha256(b"").hexdigest() == START


def test_it_opens_with_what_was_written_and_goes_on(path: Path) -> None:
    begin(path)
    with Journal.open(path, clock=clock) as journal:
        assert [entry.n for entry in journal.entries] == [1, 2, 3, 4, 5]
        assert journal.append(note("next")).n == 6
        assert journal.reports == ()
    assert len(read_journal(path).entries) == 6


def test_a_second_program_is_refused_in_words_and_the_first_goes_on(path: Path) -> None:
    begin(path)
    with Journal.open(path, clock=clock) as journal:
        with pytest.raises(JournalHeldError, match="already open in another window"):
            Journal.open(path, clock=clock)
        journal.append(note("still mine"))
    with Journal.open(path, clock=clock) as again:
        assert len(again.entries) == 6


def test_a_lock_file_left_by_a_crash_is_no_obstacle(path: Path) -> None:
    path.with_name("block.journal.lock").write_text("4711", encoding="utf-8")
    begin(path)
    with Journal.open(path, clock=clock) as journal:
        assert len(journal.entries) == 5


def test_the_last_line_torn_at_every_byte_loses_only_what_was_never_said_to_be_saved(tmp_path: Path) -> None:
    whole = begin(journal_path(tmp_path / "whole.toml"), 4)
    before = whole.rindex(b"\n", 0, -1) + 1
    for end in range(before, len(whole) + 1):
        folder = tmp_path / str(end)
        folder.mkdir()
        path = journal_path(folder / "job.toml")
        path.write_bytes(whole[:end])
        with Journal.open(path, clock=clock) as journal:
            saved = 4 if end >= len(whole) - 1 else 3
            assert len(journal.entries) == saved
            journal.append(note("after"))
            assert bool(journal.reports) == (before < end < len(whole) - 1)
        aside = list(folder.glob("*.torn-*"))
        assert len(aside) == (1 if before < end < len(whole) - 1 else 0)
        for file in aside:
            assert file.read_bytes() == whole[before:end]
        again = read_journal(path)
        assert len(again.entries) == saved + 1
        assert again.reports == []


def test_two_torn_lines_at_one_second_are_both_kept(path: Path) -> None:
    begin(path)
    for tail in (b'{"n":6,', b'{"n":6,"x'):
        path.write_bytes(path.read_bytes() + tail)
        Journal.open(path, clock=clock).close()
    assert sorted(file.read_bytes() for file in path.parent.glob("*.torn-*")) == [b'{"n":6,', b'{"n":6,"x']


def test_a_last_line_of_nothing_readable_is_set_aside(path: Path) -> None:
    whole = begin(path)
    path.write_bytes(whole + b"\x00" * 300)
    with Journal.open(path, clock=clock) as journal:
        assert len(journal.entries) == 5
        assert "cut off in the middle of writing" in journal.reports[0]
    assert path.read_bytes() == whole


def damage(path: Path, line: int, change: Callable[[bytes], bytes]) -> bytes:
    lines = path.read_bytes().splitlines(keepends=True)
    lines[line - 1] = change(lines[line - 1])
    path.write_bytes(b"".join(lines))
    return path.read_bytes()


@pytest.mark.parametrize(
    "change",
    [
        lambda line: b"\x00" * (len(line) - 1) + b"\n",
        lambda line: line.replace(b"note 3", b"note 8"),
        lambda line: b"\xff" + line,
        lambda _: b'{"kind":"note"}\n',
        lambda _: b"x" * 300_000 + b"\n",
        lambda _: b"[" * 60_000 + b"\n",
    ],
)
def test_damage_in_the_middle_leaves_the_file_and_the_day_goes_on_in_another(
    path: Path, change: Callable[[bytes], bytes]
) -> None:
    begin(path)
    found = damage(path, 3, change)
    with Journal.open(path, clock=clock) as journal:
        assert [entry.n for entry in journal.entries] == [1, 2, 3]
        assert isinstance(journal.entries[-1], Continued)
        assert "damaged at line 3" in journal.reports[0]
        assert journal.file.name == "block.journal.2.jsonl"
        journal.append(note("after the damage"))
    assert path.read_bytes() == found
    with Journal.open(path, clock=clock) as journal:
        assert len(journal.entries) == 4
        journal.append(note("and on"))
        assert journal.file.name == "block.journal.2.jsonl"
    assert [entry.n for entry in read_journal(path).entries] == [1, 2, 3, 4, 5]


def test_damage_to_a_continuation_is_continued_in_a_third(path: Path) -> None:
    begin(path)
    damage(path, 3, lambda _: b"?\n")
    with Journal.open(path, clock=clock) as journal:
        for text in "abc":
            journal.append(note(text))
    damage(path.with_name("block.journal.2.jsonl"), 3, lambda _: b"?\n")
    with Journal.open(path, clock=clock) as journal:
        assert journal.file.name == "block.journal.3.jsonl"
        assert [entry.kind for entry in journal.entries] == [
            "day-opened",
            "note",
            "continued",
            "note",
            "continued",
        ]


def test_a_continuation_that_follows_on_nothing_is_left_out_and_said(path: Path) -> None:
    begin(path)
    damage(path, 4, lambda _: b"?\n")
    Journal.open(path, clock=clock).close()
    damage(path, 2, lambda _: b"?\n")
    with Journal.open(path, clock=clock) as journal:
        assert [entry.kind for entry in journal.entries] == ["day-opened", "continued"]
        assert any("does not go on from what stands before it" in report for report in journal.reports)
    assert len(read_journal(path).entries) == 2


def test_a_damaged_first_line_is_no_end_of_the_day(path: Path) -> None:
    begin(path)
    damage(path, 1, lambda _: b"?\n")
    with Journal.open(path, clock=clock) as journal:
        assert journal.entries[0].kind == "continued"
        journal.append(note("on"))
    assert [entry.n for entry in read_journal(path).entries] == [1, 2]


def test_a_missing_first_file_beside_its_continuation_is_refused(path: Path) -> None:
    begin(path)
    damage(path, 3, lambda _: b"?\n")
    Journal.open(path, clock=clock).close()
    path.unlink()
    with pytest.raises(JournalError, match="is missing"):
        Journal.open(path, clock=clock)


@pytest.mark.parametrize("kind", [b'"day-opened"', b'"something-new"'])
def test_a_newer_version_is_refused_in_words_and_nothing_is_changed(path: Path, kind: bytes) -> None:
    def newer(line: bytes) -> bytes:
        body, _ = unseal(line)
        return seal(
            body.replace(b'"format":%d' % FORMAT, b'"format":%d' % (FORMAT + 1)).replace(
                b'"day-opened"', kind
            )
        )

    whole = b"".join(newer(line) + b"\n" for line in begin(path).splitlines())
    path.write_bytes(whole)
    with pytest.raises(NewerJournalError, match="newer version"):
        Journal.open(path, clock=clock)
    assert path.read_bytes() == whole
    with pytest.raises(NewerJournalError):
        read_journal(path)


def test_line_endings_and_a_mark_put_in_by_an_editor_change_nothing(path: Path) -> None:
    whole = begin(path)
    path.write_bytes(b"\xef\xbb\xbf" + whole.replace(b"\n", b"\r\n") + b"\r\n")
    with Journal.open(path, clock=clock) as journal:
        assert len(journal.entries) == 5
        assert journal.reports == ()
        journal.append(note("on"))
    assert len(read_journal(path).entries) == 6


def test_a_journal_moved_away_while_open_is_said_and_can_be_copied(path: Path, tmp_path: Path) -> None:
    begin(path)
    with Journal.open(path, clock=clock) as journal:
        if os.name != "nt":
            path.rename(tmp_path / "elsewhere.jsonl")
            with pytest.raises(JournalError, match="moved or deleted"):
                journal.append(note("lost?"))
        elsewhere = tmp_path / "copy"
        elsewhere.mkdir()
        copy = journal.save_copy(elsewhere)
        assert len(read_journal(copy).entries) == 5
        with pytest.raises(JournalError, match="there already"):
            journal.save_copy(elsewhere)


def test_a_write_of_another_program_is_seen_before_ours(path: Path) -> None:
    begin(path)
    with Journal.open(path, clock=clock) as journal:
        with path.open("ab") as other:
            other.write(b"scribble")
        with pytest.raises(JournalError, match="changed by another program"):
            journal.append(note("x"))


def test_an_entry_too_long_is_refused_whole(path: Path) -> None:
    begin(path)
    with Journal.open(path, clock=clock) as journal:
        with pytest.raises(JournalError, match="too long"):
            journal.append(note("n").model_copy(update={"text": "x" * 70_000}))
        assert journal.append(note("short")).n == 6


def test_a_closed_journal_writes_nothing(path: Path) -> None:
    journal = Journal.open(path, clock=clock)
    journal.close()
    with pytest.raises(JournalError, match="closed"):
        journal.append(note("x"))


@pytest.mark.parametrize("raw", [b"\r", b"\n\r", b"\r\r", b"\xef\xbb\xbf", b"\r\n\r"])
def test_a_file_of_line_endings_alone_takes_an_entry_that_is_read_back(tmp_path: Path, raw: bytes) -> None:
    path = journal_path(tmp_path / "blank.toml")
    path.write_bytes(raw)
    with Journal.open(path, clock=clock) as journal:
        journal.append(note("on"))
    assert [type(entry) for entry in read_journal(path).entries] == [Note]


@given(raw=st.binary(max_size=400))
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_bytes_as_a_journal_open_or_are_refused_in_words(tmp_path: Path, raw: bytes) -> None:
    path = journal_path(tmp_path / "any.toml")
    for old in tmp_path.glob("any.*"):
        old.unlink()
    path.write_bytes(raw)
    with Journal.open(path, clock=clock) as journal:
        journal.append(note("on"))
    assert isinstance(read_journal(path).entries[-1], Note)


@given(line=st.integers(1, 5), at=st.integers(0, 10_000), byte=st.integers(1, 255))
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_byte_changed_anywhere_is_noticed_and_never_adds_up_to_a_false_day(
    tmp_path: Path, line: int, at: int, byte: int
) -> None:
    path = journal_path(tmp_path / "flip.toml")
    for old in tmp_path.glob("flip.*"):
        old.unlink()
    begin(path)
    true = read_journal(path).entries

    def flip(found: bytes) -> bytes:
        place = at % len(found)
        return found[:place] + bytes([found[place] ^ byte]) + found[place + 1 :]

    damage(path, line, flip)
    with Journal.open(path, clock=clock) as journal:
        found = journal.entries
        reports = " ".join(journal.reports)
    kept = [entry for entry in found if not isinstance(entry, Continued)]
    assert kept == list(true[: len(kept)])
    if len(kept) < len(true):
        assert re.search(
            rf"as of the {len(kept)} entr(y|ies) before it; [1-9]\d* lines? from there on", reports
        )


def as_first_written(line: bytes) -> bytes:
    """Return a line as the program wrote it before lines carried a check."""
    return unseal(line)[0].replace(b'"format":%d' % FORMAT, b'"format":1')


def old_journal(path: Path) -> None:
    """Turn a journal into one of before lines carried a check."""
    prev, lines = START, []
    for line in path.read_bytes().splitlines():
        body = re.sub(rb'"prev":"[0-9a-f]{64}"', b'"prev":"%s"' % prev.encode(), as_first_written(line))
        prev = hashlib.sha256(body).hexdigest()
        lines.append(body + b"\n")
    path.write_bytes(b"".join(lines))


def test_lines_of_before_the_check_are_read_and_new_ones_after_them_carry_it(path: Path) -> None:
    begin(path)
    old_journal(path)
    with Journal.open(path, clock=clock) as journal:
        assert len(journal.entries) == 5
        journal.append(note("new"))
    assert b'"check"' in path.read_bytes().splitlines()[-1]
    assert len(read_journal(path).entries) == 6


def test_a_last_line_that_lost_its_check_is_noticed(path: Path) -> None:
    begin(path)
    damage(path, 5, lambda line: unseal(line[:-1])[0] + b"\n")
    reading = read_journal(path)
    assert len(reading.entries) == 4
    assert "its check is gone" in reading.reports[0]


def test_a_last_line_that_lost_its_line_ending_alone_stands(path: Path) -> None:
    whole = begin(path)
    path.write_bytes(whole[:-1] + b"\x8a")
    with Journal.open(path, clock=clock) as journal:
        assert len(journal.entries) == 5
        assert "the entry is whole. The day stands as of 5 entries; 1 byte after them" in journal.reports[0]
    assert path.read_bytes() == whole


def test_what_is_left_out_is_said_in_numbers(path: Path) -> None:
    begin(path, 9)
    damage(path, 4, lambda _: b"?\n")
    with Journal.open(path, clock=clock) as journal:
        assert "as of the 3 entries before it; 6 lines from there on are not in it" in journal.reports[0]
        journal.append(note("on"))
    damage(path, 2, lambda _: b"?\n")
    reports = read_journal(path).reports
    assert "as of the 1 entry before it; 8 lines from there on are not in it" in reports[0]
    assert "so 2 entries of it are left out" in reports[1]


def test_a_further_file_without_the_one_before_it_is_refused(path: Path) -> None:
    begin(path)
    path.with_name("block.journal.3.jsonl").write_bytes(b"")
    with pytest.raises(JournalError, match=r"block.journal.2.jsonl is missing, but block.journal.3.jsonl"):
        Journal.open(path, clock=clock)


def test_a_journal_of_200_mb_is_refused_at_once_and_nothing_of_it_is_read(path: Path) -> None:
    begin(path)
    os.truncate(path, 200_000_000)
    with pytest.raises(JournalError, match="is 200 MB, and no day makes more than"):
        read_journal(path)


def test_a_journal_does_not_grow_past_what_is_read_again(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    begin(path)
    monkeypatch.setattr(chained, "GREATEST_BYTES", path.stat().st_size + 10)
    with Journal.open(path, clock=clock) as journal, pytest.raises(JournalError, match="Not saved"):
        journal.append(note("one more"))


def _as_lock(path: Path) -> Path:
    return path.with_name("block.journal.lock")


def _as_second(path: Path) -> Path:
    return path.with_name("block.journal.2.jsonl")


def _pipe(path: Path) -> None:
    os.mkfifo(path)


def _link(path: Path) -> None:
    path.symlink_to(path.with_name("other"))


@pytest.mark.skipif(os.name == "nt", reason="Windows has no pipes among its files")
@pytest.mark.parametrize(
    "place", [lambda path: path, _as_lock, _as_second], ids=["journal", "lock", "second"]
)
@pytest.mark.parametrize(
    "make", [os.mkfifo, Path.mkdir, lambda path: path.symlink_to(path.with_name("other"))]
)
def test_what_is_no_plain_file_in_the_journals_place_is_refused_in_words(
    path: Path, place: Callable[[Path], Path], make: Callable[[Path], None]
) -> None:
    other = path.with_name("other")
    other.write_bytes(begin(path, 1))
    if place(path) == path:
        path.unlink()
    place(path).unlink(missing_ok=True)
    make(place(path))
    before = other.read_bytes()
    with pytest.raises(JournalError, match="only plain files"):
        Journal.open(path, clock=clock)
    assert other.read_bytes() == before
