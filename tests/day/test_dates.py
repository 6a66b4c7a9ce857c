"""The job's date beside the computer's: a wrong clock is seen before anything is counted or stamped by it."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

from day_help import Hands, make_job, open_day

from crewtui.day.session.clock_dates import date_trouble


def test_on_the_job_s_day_nothing_is_said(tmp_path: Path) -> None:
    day = open_day(tmp_path)
    assert date_trouble(day.state, day.clock()) == ""


def test_another_day_than_the_job_s_is_said_with_both(tmp_path: Path) -> None:
    day = open_day(tmp_path, make_job(job={"date": "2026-05-11"}))
    assert date_trouble(day.state, day.clock()) == "Job file: Mon 2026-05-11. This computer: Mon 2026-05-04."


def test_a_job_that_goes_on_for_days_is_no_trouble_but_a_clock_set_back_is(tmp_path: Path) -> None:
    clock = Hands()
    open_day(tmp_path, clock=clock).close()
    clock.on(days=1)
    with open_day(tmp_path, clock=clock) as day:
        assert date_trouble(day.state, clock()) == ""
        assert date_trouble(day.state, clock() - timedelta(days=3)) != ""
