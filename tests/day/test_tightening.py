"""The schedule of tightening: rounds first, and only what a plan says for the owner."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from day_help import make_job, open_day

from crewtui.day.figures.tightening_rounds import (
    NO_SCHEDULE,
    NONE_ADJUSTABLE,
    NONE_MARKED,
    owner_words,
    schedule,
    schedule_words,
)
from crewtui.job.file.load import load_job
from crewtui.job.file.model import Job, LaterTightening

LATER = LaterTightening(
    said_by="Sheet S-1 (invented)", when="each spring", turn="a quarter turn", step_torque_lbf_ft=5,
    greatest_torque_lbf_ft=80, first_visit=date(2027, 4, 15), stop_when="the plate sinks in",
)  # fmt: skip


def job_with(adjustable: int, **tables: Any) -> Job:
    job = make_job(3, **tables)
    anchors = [
        anchor.model_copy(update={"owner_adjustable": number < adjustable})
        for number, anchor in enumerate(job.anchors)
    ]
    return job.model_copy(update={"anchors": tuple(anchors)})


def test_rounds_run_along_the_wall_and_end_at_the_target(tmp_path: Path) -> None:
    with open_day(tmp_path, job_with(2).model_copy(update={"tightening": LATER})) as day:
        found = schedule(day.state, "north", {"A-1": 80.0, "A-2": 80.0, "A-3": None})
    assert found.first[-1].share == 1.0
    assert found.missing == ("A-3",)
    assert found.adjustable == ("A-1", "A-2")
    assert found.first_visit == date(2027, 4, 15)


def test_the_owner_reads_which_when_how_much_and_never_past() -> None:
    said = " ".join(owner_words([("A-1", 80.0), ("A-2", 60.0)], LATER, plan_words="", system="imperial"))
    for words in ("A-1, A-2: each spring, as Sheet S-1 (invented) says",
                  "a quarter turn, not more than 5 lbf·ft",
                  "Never past 80 lbf·ft (108 N·m) at A-1", "Never past 60 lbf·ft (81 N·m) at A-2",
                  "First visit: 2027-04-15", "Stop when the plate sinks in"):  # fmt: skip
        assert words in said, words


def test_without_a_plan_it_says_what_governs() -> None:
    assert owner_words([("A-1", 80.0)], None, plan_words="", system="imperial") == (NO_SCHEDULE,)
    assert "maker's sheet" in NO_SCHEDULE
    assert "engineer" in NO_SCHEDULE
    said = owner_words([("A-1", 80.0)], None, plan_words="Twice a year", system="imperial")
    assert said[0] == "The plan says: Twice a year."
    assert "govern" in said[1]


def test_nothing_is_the_owner_s_unless_the_plan_marks_it() -> None:
    assert "tightens no anchor" in owner_words([], LATER, plan_words="", system="imperial")[-1]


def test_what_the_plan_says_and_what_is_marked_never_contradict_each_other() -> None:
    said = owner_words([], LATER, plan_words="A-1 twice a year", system="imperial")
    assert said == ("The plan says: A-1 twice a year.", NONE_MARKED)


def test_an_anchor_that_did_not_come_out_is_named_first_whatever_the_plan_says() -> None:
    for adjustable in ([], [("A-2", 80.0)]):
        said = owner_words(
            adjustable, LATER, barred=["A-1"], plan_words="A-1 twice a year", system="imperial"
        )
        assert said[0].startswith("Turn nothing on A-1 yet, whatever the plan says")
        assert not any(NONE_ADJUSTABLE in words or NONE_MARKED in words for words in said)
        assert not any("A-1" in words for words in said[2:])


def test_what_the_plan_leaves_out_is_not_filled_in() -> None:
    bare = LaterTightening(said_by="Sheet S-1 (invented)", when="each spring")
    said = " ".join(owner_words([("A-1", None)], bare, plan_words="", system="metric"))
    assert "the plan does not say; ask the engineer" in said
    assert "No torque is known for A-1: nobody tightens there" in said
    assert "Never past" not in said


@pytest.mark.parametrize(("name", "own"), [("block-wall", 3), ("clay-tile-tight", 2)])
def test_the_samples_have_a_schedule(name: str, own: int) -> None:
    job = load_job(Path(__file__).parents[2] / "sample_jobs" / f"{name}.toml")
    assert job.tightening is not None
    assert sum(anchor.owner_adjustable for anchor in job.anchors) == own


def test_the_whole_schedule_is_put_in_words(tmp_path: Path) -> None:
    job = job_with(1).model_copy(update={"tightening": LATER})
    with open_day(tmp_path, job) as day:
        words = "\n".join(schedule_words(day.state))
    for part in ("NORTH: FIRST", "Round 1 of 3", "A-2: set the wrench to 27 lbf·ft", "AFTER BACKFILLING",
                 "LATER, BY THE OWNER",
                 "A-1: each spring", "Never past 80 lbf·ft", "govern"):  # fmt: skip
        assert part in words, part
