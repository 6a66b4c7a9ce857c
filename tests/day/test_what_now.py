"""A rod that came up wrong, on the block sample job: what is said first, and what each way on would enter."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from day_help import drive
from hypothesis import given, settings
from hypothesis import strategies as st

from crewtui.day.recovery.ways_on import DEPTH, HELD, SEEN, SIDE, WayOn, WhatNowSheet, what_now
from crewtui.day.session.day import Day
from crewtui.day.steps.outcomes import Refused, Saved

SAMPLE = Path(__file__).parents[2] / "sample_jobs" / "block-wall.toml"


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Day]:
    with open_day(tmp_path_factory.mktemp("job")) as day:
        yield day


@pytest.fixture
def day(tmp_path: Path) -> Iterator[Day]:
    with open_day(tmp_path) as day:
        yield day


def open_day(folder: Path) -> Day:
    job = folder / "job.toml"
    shutil.copy(SAMPLE, job)
    return Day.open(job)


def words(sheet: WhatNowSheet) -> str:
    return " ".join(f"{fact.label} {fact.text}" for fact in sheet.facts)


def way(sheet: WhatNowSheet, start: str) -> WayOn:
    return next(item for item in sheet.ways if item.label.startswith(start))


def test_shallow_by_three_inches_has_a_way_without_a_new_hole_first(shared: Day) -> None:
    sheet = what_now(shared.state, "N1", {DEPTH: "33"})
    assert "33 in is short of 36 in" in words(sheet)
    assert sheet.ways[0].label.startswith("drive again, same hole, hold ")
    assert sheet.ways[0].mark == "may"
    assert sheet.first == sheet.ways[0].key
    assert way(sheet, "leave it as it is").given is None
    assert (sheet.title, sheet.least_in) == ("33 in: 3 in too shallow", 36)
    assert "flatter than held" in words(sheet)
    steeper = way(sheet, "re-drill steeper")
    assert (steeper.hole, steeper.dig) == ("wider", "no")
    assert "if it runs true" in steeper.note
    assert "depth only" in steeper.note or "inside" not in steeper.note


def test_at_31_no_straight_rod_ran_so_and_that_is_said_first(shared: Day) -> None:
    sheet = what_now(shared.state, "N1", {DEPTH: "31"})
    assert sheet.facts[0].label == "Check first"
    assert sheet.facts[0].text.startswith("No straight rod ran so")
    assert "drop" in sheet.facts[0].text
    assert sheet.recovery is not None
    assert not sheet.recovery.ran.straight


def test_too_deep_offers_the_deeper_pit_with_the_rule_that_exactly_5_ft_switches_on(shared: Day) -> None:
    sheet = what_now(shared.state, "N1", {DEPTH: "54"})
    deepen = way(sheet, "deepen the pit")
    said = " ".join(text for _, text in deepen.lines)
    assert "60 in" in said
    assert "5 ft or deeper" in said


def test_nine_inches_to_the_side_starts_as_not_found(shared: Day) -> None:
    sheet = what_now(shared.state, "N1", {DEPTH: "42", SIDE: "9"})
    assert sheet.ways[0].key == "search"
    assert "not found in this pit" in words(sheet)
    assert way(sheet, "widen the pit").given is not None


def test_a_rod_that_does_not_show_is_searched_for_by_hand(shared: Day) -> None:
    sheet = what_now(shared.state, "N1", {}, not_found=True, at_stop_mark=True)
    assert "Nobody drives on" in words(sheet)
    assert sheet.ways[0].given is not None
    assert sheet.ways[0].given["depth_found_in"] is None


def test_where_the_ground_falls_faster_than_the_rod_no_pit_farther_out_helps(day: Day) -> None:
    assert isinstance(day.measure("N2", "drop", "13 in", reason="a ditch"), Saved)
    sheet = what_now(day.state, "N2", {DEPTH: "27"})
    farther = way(sheet, "pit farther out")
    assert farther.given is None
    assert "faster" in farther.note


@pytest.mark.parametrize(
    ("texts", "at", "says"),
    [
        ({DEPTH: "60"}, DEPTH, "does not show in it"),
        ({DEPTH: "40", SIDE: "400 in"}, SIDE, "beyond the wall's end"),
        ({DEPTH: "40", HELD: "95"}, HELD, "under 90 degrees"),
        ({DEPTH: "40", SEEN: "x"}, SEEN, "cannot be read"),
        ({DEPTH: "-3"}, DEPTH, "not negative"),
    ],
)
def test_what_cannot_be_is_one_sentence_on_its_line(
    shared: Day, texts: dict[str, str], at: str, says: str
) -> None:
    sheet = what_now(shared.state, "N1", texts)
    faults = {item.key: item.fault for item in sheet.asked if item.fault}
    assert list(faults) == [at]
    assert says in faults[at]


def test_a_depth_is_read_here_as_its_step_reads_it(shared: Day) -> None:
    for text in ("3", "33 and", "1000", "60 in", "-3", "28½2"):
        step = shared.measure("N1", "depth-found", text)
        fault = next(item.fault for item in what_now(shared.state, "N1", {DEPTH: text}).asked)
        assert fault, text
        assert isinstance(step, Refused), text
        assert fault == step.sentence


def test_every_way_says_the_holds_and_rules_that_come_to_stand_once_it_is_chosen(day: Day) -> None:
    for texts in ({DEPTH: "33"}, {DEPTH: "54"}, {DEPTH: "42", SIDE: "3"}):
        sheet = day.rods.what_now("N1", texts)
        for item in sheet.ways:
            if item.given is None:
                assert not item.brings
                continue
            had = {hold.id for hold in day.standing_holds("N1")}
            outcome = day.rods.take_way("N1", **item.given, reason="tested while held")
            assert isinstance(outcome, Saved), outcome
            new = [hold for hold in day.standing_holds("N1") if hold.id not in had]
            said = " ".join(text for _, text in item.lines)
            for hold in new:
                assert hold.text in said, (item.label, hold.id)
            while day.state.anchors["N1"].drives or day.state.anchors["N1"].as_built:
                assert isinstance(day.take_back(), Saved)


def test_a_rod_found_after_a_search_is_the_same_drive(day: Day) -> None:
    looked = what_now(day.state, "N1", {}, not_found=True).ways[0]
    assert looked.given is not None
    assert isinstance(day.rods.take_way("N1", **looked.given, reason="held"), Saved)
    found = way(what_now(day.state, "N1", {DEPTH: "41"}), "leave it as it is")
    assert found.given is not None
    assert isinstance(day.rods.take_way("N1", **found.given, reason="held"), Saved)
    assert [drive.attempt for drive in day.state.anchors["N1"].drives] == [1, 1]
    drift = what_now(day.state, "N2", {}).drift
    assert (drift.rods, drift.left_out) == (1, ()), "a first drive, which counts"
    drive(day, "N1", 40, 7)
    assert day.state.anchors["N1"].drives[-1].attempt == 2


def test_the_drift_is_offered_where_the_next_rod_is_aimed_and_taken_there(day: Day) -> None:
    assert not [one for one in day.aim.advice("N2") if one.drift]
    found = way(what_now(day.state, "N1", {DEPTH: "39"}), "leave it as it is")
    assert found.given is not None
    assert isinstance(day.rods.take_way("N1", **found.given, reason="held"), Saved)
    before = day.facts("N2").held_angle_deg  # type: ignore[attr-defined]
    offer = next(one for one in day.aim.advice("N2") if one.drift)
    assert "1 rod" in offer.words
    assert "two in three" in offer.words
    assert offer.words in day.facts("N2").hints["held-angle"]
    assert day.aim.weigh(offer).changes
    deviations = len(day.state.deviations)
    assert isinstance(day.aim.take_advice(offer), Saved)
    mean = what_now(day.state, "N2", {}).drift.mean_deg
    assert day.facts("N2").held_angle_deg == pytest.approx(before - mean)  # type: ignore[attr-defined]
    assert not [one for one in day.aim.advice("N2") if one.drift], "it is in use"
    assert len(day.state.deviations) == deviations


def test_a_chosen_way_is_entered_and_every_figure_follows_its_new_aim(day: Day) -> None:
    sheet = what_now(day.state, "N1", {DEPTH: "33"})
    chosen = sheet.ways[0]
    assert chosen.given is not None
    before = day.facts("N1")
    outcome = day.rods.take_way("N1", **chosen.given, reason="tested while held")
    assert isinstance(outcome, Saved)
    now = day.state.anchors["N1"]
    assert now.drives[0].depth_found_in == 33
    after = day.facts("N1")
    held = float(chosen.label.rpartition(" ")[2].removesuffix("°"))
    assert after.held_angle_deg == pytest.approx(held, abs=0.05)  # type: ignore[attr-defined]
    assert after.held_angle_deg > before.held_angle_deg + 1  # type: ignore[attr-defined]
    rows = {row.id: row for row in day.rows("N1")}
    assert not rows["depth-found"].answered, "the next drive is asked for"


def test_a_rod_found_odd_later_is_left_out_with_a_reason_and_counts_again(day: Day) -> None:
    for anchor, depth_in in (("N1", 40.0), ("N2", 44.0)):
        drive(day, anchor, depth_in, 6.5)
    both = what_now(day.state, "N3", {})
    assert [(rod.anchor, rod.why_not) for rod in both.rods] == [("N1", ""), ("N2", "")]
    n = both.rods[1].n
    assert isinstance(day.rods.count_drive("N2", n, counts=False), Refused), "no reason was given"
    assert isinstance(day.rods.count_drive("N1", n, counts=False, reason="a rock"), Refused), "another's rod"
    assert isinstance(day.rods.count_drive("N2", n, counts=False, reason="a rock"), Saved)
    without = what_now(day.state, "N3", {})
    assert without.drift.anchors == ("N1",)
    assert without.drift.mean_deg != both.drift.mean_deg
    assert [(rod.why_not, rod.may_count) for rod in without.rods] == [("", False), ("a rock", True)]
    assert day.state.anchors["N2"].left_out == {n: "a rock"}
    assert isinstance(day.rods.count_drive("N2", n, counts=True), Saved)
    assert what_now(day.state, "N3", {}).drift == both.drift
    assert isinstance(day.take_back(), Saved)
    assert what_now(day.state, "N3", {}).drift == without.drift


def test_the_second_rod_on_the_wall_is_offered_the_drift_of_the_first(day: Day) -> None:
    sheet = what_now(day.state, "N1", {DEPTH: "39"})
    accept = way(sheet, "leave it as it is")
    assert accept.given is not None
    assert isinstance(day.rods.take_way("N1", **accept.given, reason="tested while held"), Saved)
    second = what_now(day.state, "N2", {})
    assert second.drift.offered
    assert "1 rod" in second.drift_words
    assert "two in three" in second.drift_words
    plain = day.facts("N2").held_angle_deg  # type: ignore[attr-defined]
    assert isinstance(day.aim.accept_drift("north", second.drift.mean_deg), Saved)
    assert day.facts("N2").held_angle_deg == pytest.approx(plain - second.drift.mean_deg)  # type: ignore[attr-defined]


@given(texts=st.dictionaries(st.sampled_from([DEPTH, SIDE, HELD, SEEN]), st.text(max_size=12)))
@settings(max_examples=60, deadline=None)
def test_any_text_gives_a_sheet(shared: Day, texts: dict[str, str]) -> None:
    what_now(shared.state, "N1", texts)


@given(depth=st.floats(0, 54), side=st.floats(-20, 20), held=st.floats(-5, 20))
@settings(max_examples=60, deadline=None)
def test_every_possible_way_can_be_entered(shared: Day, depth: float, side: float, held: float) -> None:
    sheet = what_now(shared.state, "N1", {DEPTH: f"{depth:.2f}", SIDE: f"{side:.2f}", HELD: f"{held:.2f}"})
    for item in sheet.ways:
        assert (item.given is None) == (item.mark == "no")
        assert item.lines
