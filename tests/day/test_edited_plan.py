"""The job file edited while the day is under way: the day works with the plan that it opened, and asks."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from day_help import Hands, refused, saved

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.journal.chained import journal_path, read_journal
from crewtui.day.journal.entries import DayOpened, PlanChosen
from crewtui.day.session.day import Day
from crewtui.day.state.kept_plan import as_kept
from crewtui.job.file.load import JobFileError, load_job
from crewtui.job.file.model import Job

SAMPLES = sorted((Path(__file__).parents[2] / "sample_jobs").glob("*.toml"))
BLOCK = next(path for path in SAMPLES if path.stem == "block-wall")


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return Path(shutil.copy(BLOCK, tmp_path / "job.toml"))


@pytest.fixture
def opened(job: Path) -> Callable[[], Day]:
    clock = Hands()
    return lambda: Day.open(job, clock=clock, figures=figures_for)


def edit(job: Path, old: str, new: str) -> None:
    text = job.read_text(encoding="utf-8")
    assert old in text
    job.write_text(text.replace(old, new, 1), encoding="utf-8")


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.stem)
def test_a_plan_is_kept_whole(sample: Path) -> None:
    job = load_job(sample)
    assert Job.model_validate(as_kept(job)) == job


def test_the_first_entry_keeps_the_plan_and_no_later_one_does(job: Path, opened: Callable[[], Day]) -> None:
    opened().close()
    with opened() as day:
        day.clock.on(days=1)  # type: ignore[attr-defined]
        day.turn_day()
        first, second = day.journal.entries
        assert isinstance(first, DayOpened)
        assert first.plan == as_kept(load_job(job))
        assert isinstance(second, DayOpened)
        assert second.plan is None


def test_the_day_works_with_the_plan_that_it_opened_until_somebody_says_otherwise(
    job: Path, opened: Callable[[], Day]
) -> None:
    with opened() as day:
        plan, sha256 = day.plan, day.plan_sha256
        saved(day.measure("N1", "setback", "156", reason="as it was"))
    edit(job, "frost_depth = 30", "frost_depth = 42")
    with opened() as day:
        assert day.plan == plan
        assert day.plan_sha256 == sha256
        assert day.plan_changes() == ("ground, frost depth: 42 in, was 30 in",)
        assert "edited since the day opened its plan: it differs in 1 place" in day.reports[0]
        assert len(day.journal.entries) == 2, "asking enters nothing"
        assert (
            refused(day.job_file.take_edited_plan(name="", reason="rock there"))
            == "Who takes the edited plan? Type the name."
        )
        assert "Why does the plan change?" in refused(day.job_file.take_edited_plan(name="Pat", reason=" "))
        saved(day.job_file.take_edited_plan(name="Pat Sample", reason="the engineer's sheet of Monday"))
        assert day.job.ground.frost_depth_in == 42
        assert day.plan_changes() == ()
        assert day.state.anchors["N1"].value("setback_in") == 156
        assert day.state.deviations[-1].text == "went on with an edited job file"
        assert day.plan_sha256 != sha256
    with opened() as day:
        assert day.reports == ()
        assert day.job.ground.frost_depth_in == 42
        saved(day.take_back())
        assert day.job.ground.frost_depth_in == 30
        assert day.plan_sha256 == sha256
        assert len(day.plan_changes()) == 1, "asked again"


def test_going_on_with_the_opened_plan_is_asked_once_for_each_edit(
    job: Path, opened: Callable[[], Day]
) -> None:
    opened().close()
    edit(job, "frost_depth = 30", "frost_depth = 42")
    with opened() as day:
        saved(day.job_file.stay_with_opened_plan(name="Pat Sample"))
        assert "no edited job file" not in day.reports
        assert refused(day.job_file.stay_with_opened_plan(name="Pat")).startswith("The job file is the plan")
    with opened() as day:
        assert day.reports == ()
        assert day.job.ground.frost_depth_in == 30
    edit(job, "frost_depth = 42", "frost_depth = 48")
    with opened() as day:
        assert day.plan_changes() == ("ground, frost depth: 48 in, was 30 in",)
        entry = day.journal.entries[-1]
        assert isinstance(entry, PlanChosen)
        assert entry.changes == ("ground, frost depth: 42 in, was 30 in",)


def test_a_job_file_edited_while_the_day_is_open_is_noticed_when_looked_at(
    job: Path, opened: Callable[[], Day]
) -> None:
    with opened() as day:
        edit(job, "frost_depth = 30", "frost_depth = 42")
        assert day.edited_plan is None
        day.look_at_job_file()
        assert day.edited_plan is not None


@pytest.mark.parametrize(
    "content", [b"", b"[job\n", b"\xff\xfe\x00", None], ids=["empty", "torn", "bytes", "gone"]
)
def test_a_job_file_spoilt_on_the_day_stops_no_day(
    job: Path, opened: Callable[[], Day], content: bytes | None
) -> None:
    with opened() as day:
        saved(day.measure("N1", "setback", "156", reason="as it was"))
    job.unlink() if content is None else job.write_bytes(content)
    with opened() as day:
        assert "The job file cannot be read now" in day.reports[0]
        assert day.state.anchors["N1"].value("setback_in") == 156
        assert day.edited_plan is None


def test_a_job_file_that_is_none_and_has_no_day_is_refused_and_begins_none(
    job: Path, opened: Callable[[], Day]
) -> None:
    job.write_text("[job\n", encoding="utf-8")
    with pytest.raises(JobFileError):
        opened()
    assert list(job.parent.iterdir()) == [job]


def test_a_journal_without_a_kept_plan_opens_with_the_job_file_and_keeps_it_from_then_on(
    job: Path, opened: Callable[[], Day]
) -> None:
    kept = Path(__file__).parents[1] / "kept" / "first-build" / "block-wall"
    shutil.copy(kept / "job.toml", job)
    shutil.copy(kept / "job.journal.jsonl", journal_path(job))
    before = read_journal(journal_path(job)).entries
    with opened() as day:
        assert day.journal.entries[: len(before)] == before
        assert next(entry for entry in day.journal.entries if isinstance(entry, DayOpened) and entry.plan)
    with opened() as day:
        assert day.reports == ()


def test_whatever_is_edited_is_named_field_by_field(job: Path, opened: Callable[[], Day]) -> None:
    opened().close()
    text = job.read_text(encoding="utf-8")
    one = text.index("[[anchors]]")
    two = text.index("[[anchors]]", one + 1)
    job.write_text(text[:one] + text[two:], encoding="utf-8")
    edit(job, "frost_depth = 30", "frost_depth = 42")
    with opened() as day:
        said = day.plan_changes()
        assert "ground, frost depth: 42 in, was 30 in" in said
        assert any("anchor N1: no longer in the plan" in line for line in said)
