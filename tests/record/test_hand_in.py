"""Handing in a day: what is said before signing, the record on the disk, and what a crash between leaves."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest

from crewtui.day.journal import entries as e
from crewtui.day.journal.chained import JournalError
from crewtui.day.session.day import Day
from crewtui.day.steps.open_steps import LEFT_COVERED
from crewtui.job.file.load import job_sha256
from crewtui.record.signed.against_journal import compare_files
from crewtui.record.signed.build import build_record
from crewtui.record.signed.canonical import canonical_hash
from crewtui.record.signed.chain import chain_problems, verify_all
from crewtui.record.signed.hand_in import HandedIn, NotEnteredError, hand_in, preview, sources_of
from crewtui.record.signed.known_keys import KnownKey, KnownKeys
from crewtui.record.signed.progress import progress_of
from crewtui.record.signed.sign import RecordError, record_path, record_text, sign_record
from crewtui.record.signed.signing_keys import SigningKey

KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
KNOWN = KnownKeys((KnownKey(public=KEY.public, name="Lee Sample"),))
START = datetime(2031, 4, 5, 7, 30, tzinfo=timezone(timedelta(hours=-5)))
JOB = """
format = 1
[job]
id = "J-1"
site = "Sample Lane 5 (invented)"
date = 2031-04-05
lead = "Lee Sample"
[[walls]]
name = "north"
type = "poured concrete"
length = "30 ft"
thickness = 8
slab_to_top = 92
grade_to_top = 8
[[anchors]]
id = "A-1"
wall = "north"
along = 36
drop = 6
[[anchors]]
id = "A-2"
wall = "north"
along = 96
drop = 6
[rod]
diameter = 0.75
threads_per_inch = 10
coupling_length = 2.25
coupling_corners = 1.125
"""


class Clock:
    """A clock that goes on a minute at each look."""

    def __init__(self) -> None:
        self.now = START

    def __call__(self) -> datetime:
        self.now += timedelta(minutes=1)
        return self.now


@pytest.fixture
def job_path(tmp_path: Path) -> Path:
    path = tmp_path / "j-1.toml"
    path.write_text(JOB, encoding="utf-8")
    return path


@pytest.fixture
def day(job_path: Path) -> Iterator[Day]:
    with Day.open(job_path, clock=Clock()) as opened:
        yield opened


def finish(day: Day, *anchors: str | None) -> None:
    """Answer every open step there, as entries."""
    for anchor in anchors:
        for scope in ("before", "after") if anchor is None else ("anchor",):
            for step in day.steps_of(scope):  # type: ignore[arg-type]
                times = day.times(None)
                if step.kind == "value":
                    entry: e.Entry = e.ValueMeasured(
                        anchor=anchor, step=step.id, quantity=step.quantity, value=5.0, text="5", **times
                    )
                else:
                    answer = step.choices[0] if step.choices else "yes"
                    entry = e.StepDone(anchor=anchor, step=step.id, answer=answer, **times)
                day.put(entry)


def sign(day: Day, reason: str = "") -> HandedIn:
    return hand_in(day, KEY, lead="Lee Sample", reason=reason)


def test_an_untouched_day_says_what_is_open(day: Day) -> None:
    shown = preview(day)
    assert not shown.complete
    assert shown.revision == 1
    assert shown.words[0].startswith("Partial: 2 of 2 anchors not done (A-1, A-2)")
    assert shown.progress.open_steps["A-1"]
    assert not shown.path.exists()


def test_a_finished_day_is_complete_and_verifies(day: Day) -> None:
    finish(day, None, "A-1", "A-2")
    shown = preview(day)
    assert shown.complete
    assert "Complete: nothing is open." in shown.words
    done = sign(day)
    assert done.complete
    assert done.path == record_path(day.job_path)
    (verdict,) = verify_all([done.path], KNOWN).verdicts
    assert verdict.state == "valid"
    assert verdict.complete
    assert verdict.record_hash == done.record_sha256 == day.state.shared.record_sha256
    assert day.state.shared.revision == 1
    assert isinstance(day.journal.entries[-1], e.Signed)


def test_an_anchor_left_covered_is_not_done(day: Day) -> None:
    finish(day, None, "A-1", "A-2")
    closed = day.step("closed")
    day.put(
        e.StepDone(
            anchor="A-2",
            step="closed",
            answer=closed.choices[1],
            reason="dark",
            deviates=True,
            **day.times(None),
        )
    )
    shown = preview(day)
    assert shown.progress.open_steps["A-2"] == (LEFT_COVERED,)
    assert len(shown.not_accepted) == 1
    assert not sign(day).complete


def test_a_dropped_anchor_is_not_waited_for(day: Day) -> None:
    finish(day, None, "A-1")
    day.site.drop_anchor("A-2", reason="a drain in the way")
    assert preview(day).complete
    done = sign(day)
    assert {row["id"]: row["state"] for row in done.data["anchor"]} == {"A-1": "complete", "A-2": "dropped"}


def test_partial_records_of_several_days_chain(day: Day) -> None:
    first = sign(day)
    finish(day, "A-1")
    with pytest.raises(RecordError, match="says why"):
        sign(day)
    assert preview(day).revision == 2
    second = sign(day, "second day")
    finish(day, None, "A-2")
    third = sign(day, "finished")
    assert (first.complete, second.complete, third.complete) == (False, False, True)
    report = verify_all([first.path, second.path, third.path], KNOWN)
    assert report.exit_code == 0
    assert [verdict.revision for verdict in report.verdicts] == [1, 2, 3]
    assert third.data["revision"]["before"] == second.record_sha256
    assert list(chain_problems([report.verdicts[0], report.verdicts[2]])), "the second is missing"


def test_a_record_written_just_before_the_power_went_is_taken_up(
    job_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Day.open(job_path, clock=Clock()) as day:

        def power_cut(_: e.Entry) -> e.Entry:
            raise KeyboardInterrupt

        with monkeypatch.context() as patch:
            patch.setattr(day, "put", power_cut)
            with pytest.raises(KeyboardInterrupt):
                sign(day)
    content = record_path(job_path).read_bytes()
    with Day.open(job_path, clock=Clock()) as day:
        assert day.state.shared.revision == 0
        done = sign(day)
        assert (done.revision, day.state.shared.revision) == (1, 1)
        assert record_path(job_path).read_bytes() == content
        assert not record_path(job_path, 2).exists()
        day.beside.note("something more")
        assert sign(day, "a note was added").revision == 2
    files = sorted(job_path.parent.glob("*.record.toml"))
    assert verify_all(files, KNOWN).exit_code == 0


def test_a_journal_that_cannot_say_it_was_signed_says_that_it_was(
    day: Day, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: e.Entry) -> e.Entry:
        raise JournalError("The disk is full.", "Make room.")

    with monkeypatch.context() as patch:
        patch.setattr(day, "put", full)
        with pytest.raises(NotEnteredError, match=r"IS signed and on the disk.*The disk is full"):
            sign(day)
    content = record_path(day.job_path).read_bytes()
    assert verify_all([record_path(day.job_path)], KNOWN).exit_code == 0
    assert sign(day).revision == 1
    assert record_path(day.job_path).read_bytes() == content


def forged(day: Day, key: SigningKey, change: Callable[[dict[str, Any]], None]) -> dict[str, Any]:
    """Return the record that would be signed now, changed, and signed with this key."""
    data = build_record(
        day.state,
        day.journal.entries,
        sources=sources_of(day),
        progress=progress_of(day.state),
        lead="Lee Sample",
    )
    change(data)
    return sign_record(data, key, signed_at=START)


def nothing(_: dict[str, Any]) -> None:
    """Change nothing."""


def a_value(data: dict[str, Any]) -> None:
    data["anchor"][0]["value"][0]["value"] = 99.0


def said_complete(data: dict[str, Any]) -> None:
    data["complete"] = True


def a_note_left_out(data: dict[str, Any]) -> None:
    del data["note"]


def no_complete(data: dict[str, Any]) -> None:
    del data["complete"]


def no_number(data: dict[str, Any]) -> None:
    del data["revision"]["number"]


def long_name(data: dict[str, Any]) -> None:
    data["signer"]["name"] = "x" * 3_000


def odd_journal(data: dict[str, Any]) -> None:
    data["journal"] = 7


def far_entries(data: dict[str, Any]) -> None:
    data["journal"]["entries"] = 9_999_999


STRANGER = SigningKey.from_secret(bytes(32), name="Lee Sample")


@pytest.mark.parametrize("key", [KEY, STRANGER], ids=["own", "stranger"])
@pytest.mark.parametrize(
    "change",
    [nothing, a_value, said_complete, a_note_left_out, no_complete, no_number, long_name, odd_journal,
     far_entries],
)  # fmt: skip
def test_only_an_own_record_that_the_journal_adds_up_to_is_taken_up(
    day: Day, key: SigningKey, change: Callable[[dict[str, Any]], None]
) -> None:
    finish(day, "A-1")
    day.beside.note("a note")
    path = record_path(day.job_path)
    path.write_text(record_text(forged(day, key, change)), encoding="utf-8")
    content = path.read_bytes()
    done = sign(day)
    assert path.read_bytes() == content, "nothing is written over"
    signed = day.journal.entries[-1]
    assert isinstance(signed, e.Signed)
    if key is KEY and change is nothing:
        assert (done.path, done.in_the_way) == (path, "")
    else:
        assert done.path.name == "j-1.beside-2.record.toml"
        assert "j-1.record.toml stands in the record's place" in done.in_the_way
        assert done.data["complete"] is False
        assert done.data["note"][0]["text"] == "a note"
    assert signed.record_sha256 == canonical_hash(done.data)
    (verdict,) = verify_all([done.path], KNOWN).verdicts
    assert verdict.state == "valid"


@pytest.mark.parametrize("content", [b"x = 1", b"= no TOML", b"", b"\xff\xfe\x00", b"[[a]]\n" * 70_000])
def test_whatever_stands_in_the_records_place_is_left_and_named(day: Day, content: bytes) -> None:
    path = record_path(day.job_path)
    path.write_bytes(content)
    (words,) = [words for words in preview(day).words if "stands in the record's place" in words]
    assert words.startswith("j-1.record.toml")
    done = sign(day)
    assert path.read_bytes() == content
    assert done.path == day.job_path.with_name("j-1.beside-2.record.toml")
    assert done.path.name in done.in_the_way


def test_a_link_a_pipe_or_a_folder_in_the_records_place_hangs_nothing(day: Day, tmp_path: Path) -> None:
    path = record_path(day.job_path)
    others = tmp_path / "others.toml"
    os.mkfifo(path)
    (tmp_path / "j-1.beside-2.record.toml").symlink_to(others)
    (tmp_path / "j-1.beside-3.record.toml").mkdir()
    assert sign(day).path.name == "j-1.beside-4.record.toml"
    assert not others.exists()


def test_a_record_of_another_journal_is_not_taken_up(day: Day, tmp_path: Path) -> None:
    other = tmp_path / "other"
    other.mkdir()
    (other / "j-1.toml").write_text(JOB, encoding="utf-8")
    with Day.open(other / "j-1.toml", clock=Clock()) as another:
        another.beside.note("not the same day")
        done = sign(another)
    record_path(day.job_path).write_bytes(done.path.read_bytes())
    assert sign(day).path.name == "j-1.beside-2.record.toml"


def test_a_signing_beside_another_file_is_taken_up_after_a_power_cut_too(
    day: Day, monkeypatch: pytest.MonkeyPatch
) -> None:
    record_path(day.job_path).write_text("x = 1", encoding="utf-8")

    def power_cut(_: e.Entry) -> e.Entry:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(day, "put", power_cut)
        with pytest.raises(KeyboardInterrupt):
            sign(day)
    done = sign(day)
    assert done.path.name == "j-1.beside-2.record.toml"
    assert not done.path.with_name("j-1.beside-3.record.toml").exists()


def test_a_name_of_no_length_or_beyond_all_is_refused(day: Day) -> None:
    with pytest.raises(RecordError, match="at most 200"):
        hand_in(day, KEY, lead="x" * 3_000)
    assert not record_path(day.job_path).exists()


def test_a_name_is_typed(day: Day) -> None:
    with pytest.raises(RecordError, match="name"):
        hand_in(day, KEY, lead=" ")
    assert not record_path(day.job_path).exists()


def test_a_job_file_that_has_gone_stops_no_signing_of_the_plan_that_the_day_opened(day: Day) -> None:
    day.job_path.unlink()
    assert sign(day).data["job"]["file_sha256"] == day.plan_sha256


def test_a_job_file_edited_while_the_day_is_open_is_asked_about_before_signing(day: Day) -> None:
    opened = day.plan_sha256
    text = day.job_path.read_text(encoding="utf-8")
    day.job_path.write_text(text.replace("thickness = 8", "thickness = 9"), encoding="utf-8")
    with pytest.raises(RecordError, match=r"thickness: 9 in, was 8 in\): say first which plan counts"):
        sign(day)
    assert not record_path(day.job_path).exists()
    day.job_file.stay_with_opened_plan(name="Pat Sample")
    done = sign(day)
    assert done.data["job"]["file_sha256"] == opened
    found = compare_files(done.data, day.journal.path, day.job_path)
    assert found.differences == ()
    assert "edited since" in found.notes[-1]


def test_a_record_of_a_newly_taken_plan_is_what_its_journal_adds_up_to(day: Day) -> None:
    text = day.job_path.read_text(encoding="utf-8")
    day.job_path.write_text(text.replace("thickness = 8", "thickness = 9"), encoding="utf-8")
    day.look_at_job_file()
    day.job_file.take_edited_plan(name="Pat Sample", reason="the wall is thicker")
    done = sign(day)
    assert done.data["job"]["file_sha256"] == job_sha256(day.job_path)
    assert done.data["wall"][0]["thickness_in"] == 9
    found = compare_files(done.data, day.journal.path, day.job_path)
    assert (found.differences, found.notes) == ((), ())
