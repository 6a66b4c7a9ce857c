"""The holds of each sample job, met in order: each is right, says what to do, and goes by doing it."""

from __future__ import annotations

import shutil
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from day_help import Hands, saved

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.day.state.hold import Hold

SAMPLES = Path(__file__).parents[2] / "sample_jobs"
MORNING = datetime(2026, 11, 30, 8, 0, tzinfo=timezone(timedelta(hours=-5)))
NAMES = ("block-wall", "poured-deep-frost-metric", "clay-tile-tight")


def open_sample(folder: Path, name: str) -> Day:
    job = folder / f"{name}.toml"
    shutil.copy(SAMPLES / job.name, job)
    return Day.open(job, clock=Hands(MORNING), figures=figures_for)


def release(day: Day, hold: Hold, anchor: str) -> None:
    """Do what the hold asks for: sign it, or measure what it names."""
    if hold.release != "fact":
        saved(day.safety.release_hold(hold.id, anchor, initials="Invented Lead"))
    elif hold.id == "drop-unknown":
        saved(day.measure(anchor, "drop", "7 1/2 in"))
    elif hold.id == "watch-mark":
        saved(day.measure(anchor, "watch-mark", "0"))
    elif hold.id.startswith(("zone at ", "line at ")):
        saved(day.ground.expose_line(hold.line, "14 in", anchor=anchor))
    else:
        raise AssertionError(f"{hold.id}: {hold.sentence}")


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("somebody", [True, False])
def test_every_hold_of_a_sample_says_what_to_do_and_goes_by_doing_it(
    tmp_path: Path, name: str, somebody: bool
) -> None:
    with open_sample(tmp_path, name) as day:
        asked: dict[str, int] = {}
        for now in tuple(day.state.live()):
            saved(day.safety.answer_pit_entry(now.id, somebody=somebody))
            for step in day.steps_of("anchor"):
                # What is done about one may bring another: a line laid bare is watched as the rod passes.
                while holds := day.holds_on(step.id, now.id):
                    for hold in holds:
                        assert hold.sentence
                        assert hold.why
                        assert hold.source
                        release(day, hold, now.id)
                        asked[hold.id] = asked.get(hold.id, 0) + 1
                if step.id == "sod":
                    saved(day.answer(now.id, step.id))
        assert day.state.deviations == ()
        anchors = len(tuple(day.state.live()))
        once = [ident for ident, times in asked.items() if times == 1]
        each = [ident for ident, times in asked.items() if times == anchors]
        assert len(once) >= 10, "most is asked once a job"
        assert len(each) <= (5 if somebody else 1), each
