"""What the record tells of rods that came up wrong: six stories on the block sample job."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from crewtui.day.recovery.ways_on import DEPTH, SIDE, WayOn, what_now
from crewtui.day.session.day import Day
from crewtui.day.steps.outcomes import Saved
from crewtui.record.signed.build import Revision, build_record
from crewtui.record.signed.hand_in import sources_of
from crewtui.record.signed.progress import progress_of

SAMPLE = Path(__file__).parents[2] / "sample_jobs" / "block-wall.toml"
REASON = "tested while held"


@pytest.fixture
def day(tmp_path: Path) -> Iterator[Day]:
    job = tmp_path / "job.toml"
    shutil.copy(SAMPLE, job)
    with Day.open(job) as day:
        yield day


def choose(day: Day, anchor: str, texts: dict[str, str], start: str, **options: Any) -> WayOn:
    sheet = what_now(day.state, anchor, texts, **options)
    chosen = next(item for item in sheet.ways if item.label.startswith(start))
    assert chosen.given is not None
    assert isinstance(day.rods.take_way(anchor, **chosen.given, reason=REASON), Saved)
    return chosen


def attempts(day: Day, anchor: str) -> list[dict[str, Any]]:
    record = build_record(
        day.state,
        day.journal.entries,
        sources=sources_of(day),
        progress=progress_of(day.state),
        lead="Lee Sample",
        revision=Revision(number=1),
    )
    found = next(item for item in record["anchor"] if item["id"] == anchor)
    return list(found["attempt"])


def test_a_shallow_rod_driven_again_steeper(day: Day) -> None:
    choose(day, "N1", {DEPTH: "33"}, "drive again")
    told = attempts(day, "N1")[0]
    assert told["depth_found_in"] == 33
    assert told["drift_deg"] == pytest.approx(told["angle_run_deg"] - told["held_angle_deg"], abs=2e-4)
    assert told["drift_deg"] < -2
    assert told["way"]["kind"] == "same hole"
    assert told["way"]["hold_angle_deg"] > told["held_angle_deg"]
    assert told["straight"] is True


def test_a_deep_rod_whose_pit_becomes_exactly_5_ft(day: Day) -> None:
    choose(day, "N1", {DEPTH: "54"}, "deepen the pit")
    told = attempts(day, "N1")[0]
    assert told["way"]["kind"] == "deepen"
    assert told["way"]["pit_depth_in"] == 60
    assert day.state.anchors["N1"].pit_entry is None, "asked again who goes in"


def test_nine_inches_aside_is_first_searched_for(day: Day) -> None:
    choose(day, "N1", {DEPTH: "42", SIDE: "9"}, "search")
    told = attempts(day, "N1")[0]
    assert (told["found"], told["way"]["kind"]) == (False, "search")


def test_on_ground_that_falls_faster_than_the_rod(day: Day) -> None:
    assert isinstance(day.measure("N2", "drop", "13 in", reason="a ditch"), Saved)
    choose(day, "N2", {DEPTH: "27"}, "re-drill steeper")
    told = attempts(day, "N2")[0]
    assert told["way"]["kind"] == "re-drill"
    assert told["way"]["hold_angle_deg"] > told["held_angle_deg"]


def test_a_rod_that_no_straight_one_explains(day: Day) -> None:
    choose(day, "N1", {DEPTH: "31"}, "re-drill steeper")
    told = attempts(day, "N1")[0]
    assert told["straight"] is False
    assert what_now(day.state, "N2", {}).drift.used == (), "a bent rod teaches no habit"


def test_over_a_gas_line_of_unknown_depth(day: Day) -> None:
    held = {hold.id for hold in day.holds_on("depth-found", "N4")}
    assert any("gas service" in hold for hold in held)
    choose(day, "N4", {DEPTH: "33"}, "drive again")
    told = attempts(day, "N4")[0]
    assert told["way"]["hold_angle_deg"] > told["held_angle_deg"]
    deviation = next(item for item in day.state.deviations if item.kind == "while held")
    assert "gas service" in deviation.text
    assert any("gas service" in hold.id for hold in day.standing_holds("N4")), "the new aim is judged again"


def test_every_attempt_stays_and_the_last_one_counts(day: Day) -> None:
    choose(day, "N1", {DEPTH: "33"}, "drive again")
    choose(day, "N1", {DEPTH: "41"}, "leave it")
    told = attempts(day, "N1")
    assert [item["depth_found_in"] for item in told] == [33, 41]
    assert len(day.state.anchors["N1"].drives) == 2
    assert day.state.anchors["N1"].value("depth_found_in") == 41
