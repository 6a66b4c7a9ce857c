"""The cursor's side file: a comfort that is never written or read through anything that is no plain file."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from day_help import open_day, saved

from crewtui.day.journal import cursor

OTHERS: dict[str, Callable[[Path, Path], object]] = {
    "a link": lambda path, strange: path.symlink_to(strange),
    "a hard link": lambda path, strange: path.hardlink_to(strange),
    "a pipe": lambda path, _: os.mkfifo(path),
    "a folder": lambda path, _: path.mkdir(),
}


@pytest.mark.skipif(os.name == "nt", reason="Windows has no pipes among its files")
@pytest.mark.parametrize("kind", OTHERS)
@pytest.mark.parametrize("end", [".cursor", ".cursor.new"])
def test_what_stands_in_its_place_is_neither_waited_for_nor_written_through(
    tmp_path: Path, kind: str, end: str
) -> None:
    journal, strange = tmp_path / "job.journal.jsonl", tmp_path / "strange"
    strange.write_bytes(b'{"n": 4, "anchor": "A-9", "step": null}')
    before = strange.read_bytes()
    OTHERS[kind](journal.with_name(journal.name + end), strange)
    found = cursor.kept(journal, 4)
    assert found in {None, ("A-9", None)}
    assert found is None or kind == "a hard link"
    cursor.keep(journal, 5, "A-1", "sod")
    assert strange.read_bytes() == before
    assert cursor.kept(journal, 5) in {None, ("A-1", "sod")}
    assert (cursor.kept(journal, 5) is None) == (kind == "a folder")


def test_it_says_how_many_entries_were_seen(tmp_path: Path) -> None:
    journal = tmp_path / "job.journal.jsonl"
    assert cursor.entries_seen(journal) == 0
    cursor.keep(journal, 7, None, None)
    assert cursor.entries_seen(journal) == 7
    (tmp_path / "job.journal.jsonl.cursor").write_text('{"n": true}', encoding="utf-8")
    assert cursor.entries_seen(journal) == 0


def test_every_entry_is_counted_as_soon_as_it_is_saved(tmp_path: Path) -> None:
    with open_day(tmp_path) as day:
        journal = day.journal.path
        for depth_in in range(46, 52):
            saved(day.measure("A-1", "pit-depth", str(depth_in), reason="tried"))
            assert cursor.entries_seen(journal) == len(day.journal.entries)
        many = len(day.journal.entries)
    lines = journal.read_bytes().splitlines(keepends=True)
    journal.write_bytes(b"".join(lines[:-2]))
    with open_day(tmp_path) as again:
        assert any(f"had {many} entries" in words and "2 missing" in words for words in again.reports)
