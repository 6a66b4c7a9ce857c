"""A journal cut short behind a line, or put back from a copy, is noticed where the cursor's file stayed."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from day_help import open_day, saved

from crewtui.day.journal.chained import journal_path


def worked(folder: Path) -> Path:
    with open_day(folder) as day:
        for text in "abc":
            saved(day.beside.note(text))
        day.remember("A-1", "sod")
    return journal_path(folder / "job.toml")


def test_entries_that_went_missing_are_said_in_numbers(tmp_path: Path) -> None:
    path = worked(tmp_path)
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join(lines[:2]))
    with open_day(tmp_path) as day:
        assert "had 4 entries when it was last open here, and has 2 now: 2 missing" in day.reports[0]
        assert day.here().anchor is None


def test_a_day_that_is_whole_says_nothing(tmp_path: Path) -> None:
    worked(tmp_path)
    with open_day(tmp_path) as day:
        assert day.reports == ()


@pytest.mark.skipif(os.name == "nt", reason="Windows asks for rights before it makes a link")
def test_a_job_file_that_is_a_link_is_refused_so_that_one_job_has_one_journal(tmp_path: Path) -> None:
    from crewtui.cli import run  # noqa: PLC0415 - a command imports what it needs

    (tmp_path / "true.toml").write_bytes(b"")
    (tmp_path / "job.toml").symlink_to("true.toml")
    assert run(["plan", str(tmp_path / "job.toml")]) == 2
