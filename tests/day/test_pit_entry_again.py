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
