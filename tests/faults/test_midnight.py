"""A day turns at midnight of its own time, in the running program too, however the clock got there."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import pytest
from day_help import MORNING, Hands, clear_hazards, open_day, saved

from crewtui.day.journal.chained import JournalError, read_journal
from crewtui.day.journal.entries import DayOpened, Note
from crewtui.day.safety.holds import RENEWED_DAILY, answer_to
from crewtui.day.session.day import Day
from crewtui.day.steps.outcomes import NeedsReason

FAR_AHEAD = datetime(2038, 1, 19, 3, 14, tzinfo=MORNING.tzinfo)


def asked_anew(day: Day) -> set[str]:
    """Return the job's daily hazards that are asked for now."""
    return {
        hazard.id
        for hazard in day.hazards
        if hazard.id in day_hazards(day) and not answer_to(day.state, hazard, None)
    }


def worked(day: Day) -> None:
    """Do a morning: the day's steps and hazards."""
    clear_hazards(day)
    saved(day.answer("A-1", "sod", reason="as it was"))


@pytest.fixture
def clock() -> Hands:
    return Hands()


@pytest.fixture
def day(tmp_path: Path, clock: Hands) -> Day:
    opened = open_day(tmp_path, clock=clock)
    worked(opened)
    assert asked_anew(opened) == set()
    return opened


def test_left_open_overnight_the_day_turns_says_so_and_asks_again(day: Day, clock: Hands) -> None:
    clock.on(hours=16, minutes=59)
    assert day.turn_day() == ""
    clock.on(minutes=1)
    assert "A new day has begun: Tuesday 2026-05-05" in day.turn_day()
    assert asked_anew(day) == day_hazards(day)
    assert day.turn_day() == ""
    assert [type(entry) for entry in day.journal.entries].count(DayOpened) == 2


def day_hazards(day: Day) -> set[str]:
    return {hazard.id for hazard in day.hazards if hazard.scope == "job"} & RENEWED_DAILY


def test_an_intent_on_the_next_morning_is_judged_by_that_morning(day: Day, clock: Hands) -> None:
    clock.on(days=1)
    outcome = day.answer("A-2", "sod")
    assert isinstance(outcome, NeedsReason)
    assert outcome.holds
    assert asked_anew(day) == day_hazards(day)
    assert any("A new day has begun" in report for report in day.reports)


def test_left_open_and_opened_again_ask_the_same(day: Day, clock: Hands, tmp_path: Path) -> None:
    clock.on(days=1)
    day.turn_day()
    running, rows = day.state.shared, [(row.id, row.mark) for row in day.rows(None, scope="before")]
    day.close()
    with open_day(tmp_path, clock=clock) as again:
        assert again.state.shared.day_began_n == running.day_began_n
        assert [(row.id, row.mark) for row in again.rows(None, scope="before")] == rows


def test_a_clock_far_ahead_then_right_silences_no_later_morning(
    day: Day, clock: Hands, tmp_path: Path
) -> None:
    day.close()
    clock.now = FAR_AHEAD
    with open_day(tmp_path, clock=clock) as ahead:
        worked(ahead)
    for morning in range(1, 4):
        clock.now = MORNING + timedelta(days=morning)
        with open_day(tmp_path, clock=clock) as right:
            assert asked_anew(right) == day_hazards(right), morning
            jump = [entry for entry in right.journal.entries if isinstance(entry, Note) and entry.by_program]
            assert len(jump) == 1
            assert "says 2026-05-05 07:00, and the last entry was typed at 2038-01-19 03:14" in jump[0].text
            assert ("Set the clock" in " ".join(right.reports)) == (morning == 1)
            worked(right)
            assert asked_anew(right) == set()


def test_a_clock_set_right_while_the_day_is_open_is_said_and_judged_the_same(day: Day, clock: Hands) -> None:
    clock.now = FAR_AHEAD
    worked(day)
    clock.now = MORNING + timedelta(days=1)
    assert "A new day has begun: Tuesday" in day.turn_day()
    assert asked_anew(day) == day_hazards(day)
    assert any("typed at 2038-01-19" in report for report in day.reports)


def test_a_clock_set_back_by_minutes_over_midnight_turns_no_day_twice(day: Day, clock: Hands) -> None:
    clock.now = MORNING.replace(hour=0, minute=1) + timedelta(days=1)
    assert day.turn_day()
    clock.on(minutes=-3)
    assert day.turn_day() == ""
    clock.on(minutes=5)
    assert day.turn_day() == ""


def test_a_day_that_cannot_be_turned_is_said_and_turned_later(
    day: Day, clock: Hands, monkeypatch: pytest.MonkeyPatch
) -> None:
    clock.on(days=1)

    def full(*_: object) -> int:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("os.write", full)
        with pytest.raises(JournalError, match="is full"):
            day.turn_day()
        assert asked_anew(day) == set()
    assert day.turn_day()
    assert asked_anew(day) == day_hazards(day)
    assert read_journal(day.journal.path).reports == []
