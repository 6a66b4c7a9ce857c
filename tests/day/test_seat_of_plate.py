"""The plate's seat through a day: one tape measure decides it, and what moves the pit asks for it again."""

from __future__ import annotations

from pathlib import Path

import pytest
from day_help import aim_anew, asks_reason, job_data, open_day, saved

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.recovery.site_of_miss import site_for
from crewtui.day.session.day import Day
from crewtui.day.steps.step_rows import is_needed
from crewtui.job.file.model import Job
from crewtui.job.tables import steps


def job(face: str | None, *, auger_in: float = 14, plate_in: float = 12, **tables: object) -> Job:
    """Return one anchor 144 in out, on level ground."""
    tools = {"pit_face": face, "pit_along_rod": auger_in, "pit_depth": 60}
    data = job_data(1, tools={key: value for key, value in tools.items() if value is not None}, **tables)
    if face is None:
        del data["tools"]["pit_face"]
    data["anchors"][0] |= {"drop": 0, "plate": {"width": plate_in, "height": 10}}
    return Job.model_validate(data)


def seat_in(day: Day) -> float:
    section = figures_for(day.state, "A-1").section
    assert section is not None
    return section.seat_in


@pytest.mark.parametrize(
    ("face", "auger_in", "plate_in", "short_in"),
    [("squared", 14, 12, 7), (None, 14, 12, 7), ("as augered", 14, 12, 3.606), ("as augered", 10, 12, 5)],
)
def test_the_planned_seat_is_the_house_side_or_the_chord(
    tmp_path: Path, face: str | None, auger_in: float, plate_in: float, short_in: float
) -> None:
    with open_day(tmp_path, job(face, auger_in=auger_in, plate_in=plate_in), figures=None) as day:
        assert seat_in(day) == pytest.approx(144 - short_in, abs=1e-3)


def test_a_seat_that_was_taped_beats_set_back_and_pit_in_every_figure(tmp_path: Path) -> None:
    with open_day(tmp_path, job("as augered"), figures=None) as day:
        before = figures_for(day.state, "A-1")
        saved(day.measure("A-1", "seat", "139", reason="only the seat is tried here"))
        after = figures_for(day.state, "A-1")
        assert seat_in(day) == 139
        assert before.rod is not None
        assert after.rod is not None
        # The rod is shorter by what the seat came nearer: 144 - 3.606 - 139, and a little along the slope.
        assert before.rod.needed_in - after.rod.needed_in == pytest.approx(1.394, abs=0.05)
        # The end still stops at the pit's far side, 7 in past its middle.
        assert before.stop is not None
        assert after.stop is not None
        assert before.stop.far_side_in == pytest.approx(after.stop.far_side_in, abs=0.05)
        assert site_for(day.state, "A-1").setback_in == pytest.approx(144)


def test_what_moves_the_pit_asks_for_the_seat_again(tmp_path: Path) -> None:
    with open_day(tmp_path, job("as augered"), figures=None) as day:
        saved(day.measure("A-1", "seat", "139", reason="only the seat is tried here"))
        saved(aim_anew(day, "A-1", {"setback_in": 150}, because="a rock"))
        assert day.state.anchors["A-1"].value("seat_in") is None


def test_a_seat_beyond_the_pit_is_asked_back(tmp_path: Path) -> None:
    with open_day(tmp_path, job("as augered"), figures=None) as day:
        assert (
            "over 12 ft 7 in (the pit's far side)" in asks_reason(day.measure("A-1", "seat", "152")).sentence
        )
        assert (
            "under 11 ft 5 in (the pit's house side)"
            in asks_reason(day.measure("A-1", "seat", "136")).sentence
        )


@pytest.mark.parametrize(
    ("face", "auger_in", "asked"),
    [("squared", 14, False), ("squared", 10, True), ("as augered", 14, True), (None, 14, True)],
)
def test_the_seat_is_asked_for_where_it_may_lie_elsewhere(
    tmp_path: Path, face: str | None, auger_in: float, asked: bool
) -> None:
    step = next(one for one in steps.of_scope("anchor") if one.id == "seat")
    with open_day(tmp_path, job(face, auger_in=auger_in)) as day:
        assert is_needed(day.state, step, "A-1") is asked


def test_who_has_to_go_in_is_said_before_anything_is_dug(tmp_path: Path) -> None:
    with open_day(tmp_path, job("squared"), figures=None) as day:
        reach = figures_for(day.state, "A-1").nut_reach
        assert reach is not None
        assert reach.setting == "somebody has to go in"
        assert not reach.fits
        assert "way out" in reach.words
    (tmp_path / "socket").mkdir()
    data = job("squared").model_dump(by_alias=True, exclude_none=True)
    data["tools"]["long_socket"] = 20
    with open_day(tmp_path / "socket", Job.model_validate(data), figures=None) as day:
        reach = figures_for(day.state, "A-1").nut_reach
        assert reach is not None
        assert reach.setting == "with the long socket"
