"""Who goes into a pit is asked anew once it is another pit, and it is said that it is asked again."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from day_help import open_day, saved

from crewtui.day.session.day import Day


def deepened(day: Day) -> None:
    saved(day.measure("A-1", "pit-depth", "60", reason="sand at the floor"))


def moved(day: Day) -> None:
    saved(day.site.move_anchor("A-1", {"along_in": 96.0}, reason="a root at the old place"))


@pytest.mark.parametrize("change", [deepened, moved])
def test_a_pit_that_is_another_one_asks_anew_and_keeps_what_was_said(
    tmp_path: Path, change: Callable[[Day], None]
) -> None:
    with open_day(tmp_path) as day:
        saved(day.measure("A-1", "pit-depth", "50", reason="dug before the ticket was read"))
        saved(day.safety.answer_pit_entry("A-1", somebody=False))
        change(day)
        now = day.state.anchors["A-1"]
        assert now.pit_entry is None
        assert now.pit_entry_was is False
        assert now.somebody_in_pit, "unanswered is yes"
        saved(day.safety.answer_pit_entry("A-1", somebody=False))
        assert day.state.anchors["A-1"].pit_entry is False


def test_what_holds_for_people_in_the_pit_waits_for_the_answer_first(tmp_path: Path) -> None:
    with open_day(tmp_path) as day:
        holds = {hold.id: hold for row in day.rows("A-1") for hold in row.holds}
        waits = {ident for ident, hold in holds.items() if hold.asks_entry}
        assert "inspection" in waits
        assert holds["inspection"].until == "it is said who goes into this pit"
        assert not waits & {"hearing", "drop-unknown"}
        saved(day.safety.answer_pit_entry("A-1", somebody=False))
        still = {hold.id for row in day.rows("A-1") for hold in row.holds}
        assert not waits & still
        saved(day.safety.answer_pit_entry("A-1", somebody=True))
        again = {hold.id: hold for row in day.rows("A-1") for hold in row.holds}
        assert waits <= set(again)
        assert not any(hold.asks_entry for hold in again.values())
