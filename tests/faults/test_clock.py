"""A clock set back or forward: nothing is lost, nothing is held by it, and it is said."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

from day_help import MORNING, Hands, clear_hazards, open_day, saved


def test_a_clock_set_back_holds_nothing_that_was_signed(tmp_path: Path) -> None:
    clock = Hands()
    day = open_day(tmp_path, clock=clock)
    clear_hazards(day)
    clock.on(hours=-2)
    saved(day.answer("A-1", "sod"))
    day.close()
    with open_day(tmp_path, clock=clock) as again:
        assert again.reports == ()
        assert again.state.anchors["A-1"].answers["sod"].done_at == MORNING - timedelta(hours=2)
    clock.on(days=-30)
    with open_day(tmp_path, clock=clock) as again:
        assert "Set the clock" in again.reports[0]
        assert "sod" in again.state.anchors["A-1"].answers
        saved(again.beside.note("goes on"))
    clock.on(days=4000)
    with open_day(tmp_path, clock=clock) as again:
        assert len(again.journal.entries) > 3
