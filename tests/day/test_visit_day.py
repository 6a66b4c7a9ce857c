"""A visit is a kind of day: its own steps, what may be turned, and when it is finished."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from day_help import asks_reason, make_job, open_day, refused, saved

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.day.state.kind_of_day import kind_of_day
from crewtui.day.steps.outcomes import NeedsSure
from crewtui.record.signed.hand_in import preview
from crewtui.record.signed.progress import progress_of

HEIGHTS = (("4", "6"), ("44", "4 3/4"), ("84", "6"))
LOOK = ("cracks", "plate-looked", "nut-looked", "water-looked", "cap-looked")
SCHEDULE = {"said_by": "Sheet S-1 (invented)", "when": "each spring", "step_torque": 5, "greatest_torque": 80}


def visit_day(folder: Path, *, left: float = 70.0, **job: Any) -> Day:
    made = make_job(2, job={"day": "visit", "house": "H-1", **job}, tightening=SCHEDULE, ticket=None)
    built = {"depth": 41, "torque_left": left, "left_on": "2026-05-04"}
    first = made.anchors[0].model_copy(update={"owner_adjustable": True, "torque_lbf_ft": 80.0})
    first = type(first).model_validate({**first.model_dump(exclude_none=True), "built": built})
    return open_day(
        folder, made.model_copy(update={"anchors": (first, made.anchors[1])}), figures=figures_for
    )


def asked(day: Day, anchor: str) -> list[str]:
    return [row.id for row in day.rows(anchor) if row.mark != "not needed"]


def test_a_visit_asks_readings_first_then_looks_and_turns_only_what_the_schedule_lets(tmp_path: Path) -> None:
    with visit_day(tmp_path) as day:
        assert asked(day, "A-1") == ["wall-read", *LOOK, "torque-found", "nut", "visit-word"]
        assert asked(day, "A-2") == ["wall-read", *LOOK, "visit-word"], "its nut is nobody's to turn"
        assert not [row for row in day.rows("A-1") if row.mark == "held"]
        assert not [one for one in day.hazards if one.group == "pit and trench"]
        assert [row.id for row in day.rows(None, scope="before")] == ["watch-base"]


def test_readings_only_are_a_finished_day(tmp_path: Path) -> None:
    with visit_day(tmp_path) as day:
        assert not progress_of(day.state).complete
        for anchor in day.state.anchors:
            saved(day.walls.read_wall(anchor, "before", HEIGHTS))
        assert progress_of(day.state).complete
        assert "Complete: nothing is open." in preview(day).words


def test_readings_only_of_a_later_day_in_an_old_job_are_a_finished_visit(tmp_path: Path) -> None:
    with open_day(tmp_path, make_job(2, job={"earlier_record": "first.record.toml"})) as day:
        assert kind_of_day(day.state) == "install"
        for anchor in day.state.anchors:
            saved(day.walls.read_wall(anchor, "before", HEIGHTS))
        assert kind_of_day(day.state) == "visit"
        assert progress_of(day.state).complete
    (tmp_path / "first").mkdir()
    with open_day(tmp_path / "first", make_job(2)) as day:
        for anchor in day.state.anchors:
            saved(day.walls.read_wall(anchor, "before", HEIGHTS))
        assert not progress_of(day.state).complete, "an install day that was only begun"


def test_whoever_looks_or_turns_finishes_it_with_a_word(tmp_path: Path) -> None:
    with visit_day(tmp_path) as day:
        for anchor in day.state.anchors:
            saved(day.walls.read_wall(anchor, "before", HEIGHTS))
        saved(day.answer("A-1", "cracks", "as they were"))
        assert "In one word" in progress_of(day.state).open_steps["A-1"]
        for step, answer in zip(LOOK[1:], ("flat on the wall", "snug", "dry", "on"), strict=True):
            saved(day.answer("A-1", step, answer))
        saved(day.measure("A-1", "torque-found", "66"))
        saved(day.answer("A-1", "nut", "tightened"))
        assert asked(day, "A-1")[-4:] == ["torque-left", "nut-came", "readings", "visit-word"]
        saved(day.measure("A-1", "torque-left", "75", then="clicked"))
        saved(day.measure("A-1", "nut-came", "1/8"))
        saved(day.walls.read_wall("A-1", "after", HEIGHTS))
        saved(day.answer("A-1", "visit-word", "tightened"))
        assert progress_of(day.state).complete
        assert day.anchor_row("A-1").word == "closed"


@pytest.mark.parametrize(("left", "torque"), [(70, "76"), (78, "81")])
def test_past_the_schedule_asks_for_a_reason(tmp_path: Path, left: float, torque: str) -> None:
    with visit_day(tmp_path, left=left) as day:
        asks_reason(day.measure("A-1", "torque-left", torque, then="clicked"))


def test_what_is_not_as_it_should_be_asks_for_a_reason_and_stands_in_the_record(tmp_path: Path) -> None:
    with visit_day(tmp_path) as day:
        asks_reason(day.answer("A-1", "plate-looked", "sunk in"))
        saved(day.answer("A-1", "plate-looked", "sunk in", reason="a quarter inch into the block"))
        assert len(day.state.deviations) == 1


def test_one_typed_bow_is_no_reading_of_a_visit(tmp_path: Path) -> None:
    with visit_day(tmp_path) as day:
        assert "three heights" in refused(day.measure("A-1", "wall-read", "1 1/4"))


def test_the_word_is_held_against_what_was_done(tmp_path: Path) -> None:
    with visit_day(tmp_path) as day:

        def word(answer: str) -> str:
            outcome = day.answer("A-1", "visit-word", answer)
            return outcome.sentence if isinstance(outcome, NeedsSure) else ""

        assert "says that the nut was tightened" in word("tightened")
        saved(day.measure("A-1", "torque-found", "66"))
        saved(day.answer("A-1", "nut", "tightened"))
        assert "The nut was tightened here" in word("hold")
        assert "The nut was tightened here" not in word("call")
        saved(day.answer("A-1", "nut-looked", "loose by hand", reason="turns by hand"))
        assert 'Not as it should be here: Nut and washer. Is the word "tightened"' in word("tightened")
        assert "Nut and washer" in word("hold")
        assert word("call") == ""
        saved(day.answer("A-1", "visit-word", "hold", sure=True))
