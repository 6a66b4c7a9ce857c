"""A record beside its journal: the same, or every difference by name."""

from __future__ import annotations

import json
from collections.abc import Callable
from copy import deepcopy
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from crewtui import cli
from crewtui.day.journal.chained import journal_path, read_journal
from crewtui.day.session.day import Day
from crewtui.job.file.load import job_sha256, load_job
from crewtui.job.file.template import template
from crewtui.record.signed.against_journal import JournalComparison, compare, compare_files
from crewtui.record.signed.hand_in import HandedIn, hand_in
from crewtui.record.signed.known_keys import KnownKey, save_known
from crewtui.record.signed.sign import sign_record, write_record
from crewtui.record.signed.signing_keys import SigningKey

KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
START = datetime(2031, 4, 5, 7, 30, tzinfo=UTC)


class Clock:
    def __init__(self) -> None:
        self.now = START

    def __call__(self) -> datetime:
        self.now += timedelta(minutes=1)
        return self.now


@pytest.fixture
def job_path(tmp_path: Path) -> Path:
    path = tmp_path / "j-1.toml"
    path.write_text(template(START.date()), encoding="utf-8")
    return path


@pytest.fixture
def signed(job_path: Path) -> HandedIn:
    with Day.open(job_path, clock=Clock()) as day:
        first = next(day.state.live()).id
        day.answer(None, "briefing")
        day.measure(first, "setback", "12 ft 1/2", reason="a root")
        day.beside.note("a caf\u00e9 note", anchor=first)
        day.take_back()
        day.beside.note("another", anchor=first)
        done = hand_in(day, KEY, lead="Lee Sample")
        day.beside.note("after signing")
    return done


def compared(signed: HandedIn, job_path: Path, data: dict[str, Any] | None = None) -> JournalComparison:
    return compare(
        data or signed.data,
        read_journal(journal_path(job_path)),
        load_job(job_path),
        job_sha256=job_sha256(job_path),
    )


def test_a_record_is_what_its_journal_adds_up_to(signed: HandedIn, job_path: Path) -> None:
    found = compared(signed, job_path)
    assert found.differences == ()
    assert found.same
    assert found.later == 2, "the signing and the note after it"
    assert compare_files(signed.data, journal_path(job_path), job_path) == found


def change_value(data: dict[str, Any]) -> None:
    data["anchor"][0]["value"][0]["value"] = 140.0


def change_time(data: dict[str, Any]) -> None:
    data["anchor"][0]["value"][0]["done_at"] += timedelta(hours=1)


def change_note(data: dict[str, Any]) -> None:
    data["note"][0]["text"] = "something else"


def leave_out_a_note(data: dict[str, Any]) -> None:
    del data["note"]


def add_a_deviation(data: dict[str, Any]) -> None:
    data["deviation"] = [*data.get("deviation", []), {"text": "more"}]


def add_a_key(data: dict[str, Any]) -> None:
    data["more"] = 1


def say_complete(data: dict[str, Any]) -> None:
    data["complete"] = True


def count_fewer(data: dict[str, Any]) -> None:
    data["journal"]["entries"] -= 1


def count_more(data: dict[str, Any]) -> None:
    data["journal"]["entries"] += 100


def no_count(data: dict[str, Any]) -> None:
    data["journal"] = "x"


def another_job_file(data: dict[str, Any]) -> None:
    data["job"]["file_sha256"] = "0" * 64


def strange_revision(data: dict[str, Any]) -> None:
    data["revision"] = {"number": "one"}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (change_value, "140.0"),
        (change_time, "done_at"),
        (change_note, "something else"),
        (leave_out_a_note, "not in the record"),
        (add_a_deviation, "deviation"),
        (add_a_key, "the journal gives none"),
        (say_complete, "complete: the record says True"),
        (count_fewer, "not the one that the record names"),
        (count_more, "stand in the journal"),
        (no_count, "stand in the journal"),
        (another_job_file, "job file is not the one"),
        (strange_revision, "no record of this program"),
    ],
)
def test_a_record_that_says_otherwise_is_found_out(
    change: Callable[[dict[str, Any]], None], words: str, signed: HandedIn, job_path: Path
) -> None:
    data = deepcopy(signed.data)
    change(data)
    found = compared(signed, job_path, data)
    assert not found.same
    assert any(words in each for each in found.differences), found.differences


def test_another_version_of_the_program_may_word_it_otherwise(signed: HandedIn, job_path: Path) -> None:
    data = deepcopy(signed.data)
    data["program"]["version"] = "0.0.9"
    data["governs"] = "Other words."
    found = compared(signed, job_path, data)
    assert found.same
    assert "another version" in found.notes[-1]


def test_the_command_compares_and_says_so(
    signed: HandedIn,
    job_path: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("CREWTUI_HOME", str(tmp_path / "home"))
    office = tmp_path / "office.toml"
    save_known([KnownKey(public=KEY.public, name="Lee Sample")], office)
    common = ["--keys", str(office), "--journal", str(journal_path(job_path))]
    assert cli.run(["verify", str(signed.path), *common]) == 0
    assert "one by one" in capsys.readouterr().out
    forged = deepcopy(signed.data)
    change_value(forged)
    other = tmp_path / "forged.record.toml"
    write_record(other, sign_record(forged, KEY, signed_at=START))
    assert cli.run(["verify", str(other), *common]) == 1
    assert "140.0" in capsys.readouterr().out
    assert cli.run(["verify", str(other), *common, "--json"]) == 1
    found = json.loads(capsys.readouterr().out)
    assert found["journal"]["same"] is False
    assert found["exit_code"] == 1
    assert cli.run(["verify", str(other), "--keys", str(office), "--journal", str(tmp_path / "none")]) == 2
    assert cli.run(["verify", str(other), str(signed.path), *common]) == 2
