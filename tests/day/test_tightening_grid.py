"""Rounds by anchors along a wall: the wrench's setting, what came of it, and what stops."""

from __future__ import annotations

from pathlib import Path

import pytest
from day_help import asks_reason, clear_hazards, make_job, open_day, read_watch_marks, refused, saved

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.figures.tightening_grid import cell_words, travel_words
from crewtui.day.session.day import Day
from crewtui.job.file.model import RuleOverride

EXTENSION = {"wrench_length": 18, "extension": 4}


@pytest.fixture
def day(tmp_path: Path) -> Day:
    job = make_job(3, tools={"pit": "auger", "pit_depth": 50, **EXTENSION})
    day = open_day(tmp_path, job, figures=figures_for)
    clear_hazards(day)
    read_watch_marks(day)
    return day


def test_every_round_has_its_setting_on_the_wrench_as_it_is(day: Day) -> None:
    grid = day.tightening.grid("north", "first")
    assert [(cell.round, cell.anchor) for cell in grid.cells[:4]] == [
        (1, "A-1"),
        (1, "A-2"),
        (1, "A-3"),
        (2, "A-1"),
    ]
    for cell in grid.cells:
        # TM 1-1500-204-23-9: TW = TA L/(L + A), with L 18 in and A 4 in.
        assert cell.torque_lbf_ft == pytest.approx(80.0 * cell.round / 3)
        assert cell.set_lbf_ft == pytest.approx(cell.torque_lbf_ft * 18 / 22)
    assert cell_words(grid.at("A-1", 3), "imperial").startswith("set the wrench to 65 lbf·ft")
    assert "80 lbf·ft" in cell_words(grid.at("A-1", 3), "imperial")


def test_rounds_go_along_the_wall_and_the_last_is_the_torque_s_own_step(day: Day) -> None:
    upcoming = [day.tightening.grid("north", "first").upcoming]
    for anchor in ("A-1", "A-2", "A-3"):
        saved(day.tightening.tighten_round(anchor, "first", 1))
        upcoming.append(day.tightening.grid("north", "first").upcoming)
    assert [(cell.round, cell.anchor) for cell in upcoming if cell] == [
        (1, "A-1"), (1, "A-2"), (1, "A-3"), (2, "A-1")
    ]  # fmt: skip
    assert "own step" in refused(day.tightening.tighten_round("A-1", "first", 3))
    assert "no round 9" in refused(day.tightening.tighten_round("A-1", "first", 9))
    saved(day.take_back())
    assert day.tightening.grid("north", "first").upcoming == day.tightening.grid("north", "first").at(
        "A-3", 1
    )


def test_a_nut_that_keeps_coming_stops_the_anchor_until_somebody_named_lets_it_go_on(day: Day) -> None:
    assert "tape how far" in refused(day.tightening.tighten_round("A-1", "first", 1, clicked=False))
    saved(day.tightening.tighten_round("A-1", "first", 1, clicked=False, came_in="1/2"))
    asked = asks_reason(day.tightening.tighten_round("A-1", "first", 2, clicked=False, came_in="1 1/4"))
    assert "call the office" in asked.sentence
    saved(
        day.tightening.tighten_round(
            "A-1", "first", 2, clicked=False, came_in="1 1/4", reason="soft ground here"
        )
    )
    held = [hold.id for hold in day.holds_on("first-torque", "A-1")]
    assert "nut stopped, first" in held
    assert "nut stopped, first" not in [hold.id for hold in day.holds_on("first-torque", "A-2")]
    saved(day.safety.release_hold("nut stopped, first", "A-1", initials="R. Sample"))
    assert "nut stopped, first" not in [hold.id for hold in day.holds_on("first-torque", "A-1")]


def test_of_what_came_in_the_stretch_and_the_rest_add_up(day: Day) -> None:
    saved(day.tightening.tighten_round("A-1", "first", 2, came_in="3/8"))
    cell = day.tightening.grid("north", "first").at("A-1", 2)
    nut = cell.travel
    assert nut is not None
    assert nut.least_rest_in is not None
    assert nut.greatest_rest_in is not None
    assert nut.least_rest_in + nut.greatest_stretch_in == pytest.approx(0.375)
    assert nut.greatest_rest_in + nut.least_stretch_in == pytest.approx(0.375)
    words = travel_words(nut, 1.0, "imperial")
    assert "Came in 3/8 in of at most 1 in" in words
    assert "plate and wall" in words


def test_the_company_sets_how_many_rounds(tmp_path: Path) -> None:
    job = make_job(2)
    rules = {"tightening_rounds": RuleOverride(value=2, said_by="Office")}
    with open_day(tmp_path, job.model_copy(update={"rules": rules}), figures=figures_for) as day:
        assert [cell.share for cell in day.tightening.grid("north", "first").cells] == [0.5, 0.5, 1.0, 1.0]
