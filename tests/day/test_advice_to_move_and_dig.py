"""A finding about the wall is ended by a move, a shut window by a deeper pit: each taken where it is said."""

from __future__ import annotations

from pathlib import Path

import pytest
from day_help import job_data, open_day, saved

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.day.steps.advice import Advice
from crewtui.day.steps.outcomes import Refused
from crewtui.job.file.model import Job


def opened(folder: Path, anchors: list[dict[str, float | str]], **more: object) -> Day:
    data = job_data(len(anchors), **more)
    for table, values in zip(data["anchors"], anchors, strict=True):
        table.update(values)
    return open_day(folder, Job.model_validate(data), figures=figures_for)


PLACES = (
    [30, 96, 170, 230],  # 74 in between the second and the third
    [30, 60, 130, 200],  # 30 in: too close
    [40, 100, 170, 240],  # 40 in from the corner
)


@pytest.mark.parametrize("places", PLACES, ids=["too wide", "too close", "corner"])
def test_a_spacing_is_mended_by_the_least_move_that_brings_no_other_finding(
    tmp_path: Path, places: list[float]
) -> None:
    with opened(tmp_path, [{"along": place} for place in places]) as day:
        wall = day.job.walls[0]
        before = [
            one for one in day.walls.standing_findings() if ": gap A-" in one.id or "gap start" in one.id
        ]
        assert before, wall
        finding, stood = before[0], {one.id for one in day.walls.standing_findings()}
        moves = day.walls.moves(finding)
        assert moves
        advice = moves[0]
        weighed = day.aim.weigh(advice)
        assert [change.label for change in weighed.changes][:1] == ["Place along the wall"]
        assert weighed.leaves, "the plan says where it stands: somebody named agrees first"
        assert isinstance(day.aim.take_advice(advice), Refused)
        saved(day.aim.take_advice(advice, agreed_by="R. Sample, P.E."))
        after = {one.id for one in day.walls.standing_findings()}
        assert finding.id not in after
        assert after < stood, "and it brings no other"
        now = day.state.anchors[advice.anchor]
        assert not now.deviations, "what is advised, agreed to and done is no deviation"
        assert "R. Sample" in now.moved_because
        moved_in = advice.moves["along_in"] - next(
            anchor.along_in for anchor in day.job.anchors if anchor.id == advice.anchor
        )
        assert abs(moved_in) < 36


def test_an_anchor_whose_hole_is_drilled_is_not_moved(tmp_path: Path) -> None:
    with opened(tmp_path, [{"along": place} for place in PLACES[0]]) as day:
        finding = next(one for one in day.walls.standing_findings() if ": gap A-2" in one.id)
        assert {one.anchor for one in day.walls.moves(finding)} == {"A-2", "A-3"}
        saved(day.measure("A-3", "mark-depth", "28", reason="drilled before the wall was read"))
        finding = next(one for one in day.walls.standing_findings() if ": gap A-2" in one.id)
        assert {one.anchor for one in day.walls.moves(finding)} == {"A-2"}


def _pit_advice(day: Day, anchor: str) -> list[Advice]:
    return [one for one in day.aim.advice(anchor) if "pit_depth_in" in one.values]


def test_a_shut_window_is_opened_by_the_pit_that_is_advised(tmp_path: Path) -> None:
    tools = {"pit": "auger", "pit_face": "squared", "pit_depth": 38}
    with opened(tmp_path, [{"along": 30, "mark_depth": 28, "least_depth": 36}], tools=tools) as day:
        assert "no-window" in {hold.id for hold in day.standing_holds("A-1")}
        (advice,) = _pit_advice(day, "A-1")
        assert "no-window" not in {
            hold.id for hold in day.standing_holds("A-1") if hold.text in day.aim.weigh(advice).brings
        }
        saved(day.aim.take_advice(advice, agreed_by="R. Sample, P.E."))
        facts = figures_for(day.state, "A-1")
        assert facts.window is not None
        assert facts.window.open
        assert not facts.window.single
        assert "no-window" not in {hold.id for hold in day.standing_holds("A-1")}


def test_a_narrow_window_is_widened_on_the_row_that_says_by_how_much(tmp_path: Path) -> None:
    with opened(tmp_path, [{"along": 30, "mark_depth": 28, "least_depth": 36}]) as day:
        before = figures_for(day.state, "A-1").share
        advices = _pit_advice(day, "A-1")
        assert advices
        assert {one.key for one in advices} <= {"deeper-1", "deeper-2", "deeper-3"}
        saved(day.aim.take_advice(advices[-1], agreed_by="R. Sample, P.E."))
        after = figures_for(day.state, "A-1").share
        assert before is not None
        assert after is not None
        assert after > before


def test_what_can_no_more_be_judged_is_not_said_to_end(tmp_path: Path) -> None:
    points = [[96, 0], [96, 200]]
    line = {"name": "gas service", "kind": "gas", "wall": "north", "points": points}
    with opened(tmp_path, [{"along": place} for place in PLACES[0]], lines=[line]) as day:
        finding = next(one for one in day.walls.standing_findings() if ": gap A-2" in one.id)
        advice = next(one for one in day.walls.moves(finding) if one.anchor == "A-2")
        assert any("gas" in hold.text for hold in day.standing_holds("A-2"))
        weighed = day.aim.weigh(advice)
        assert any("drop" in words for words in weighed.brings), "the drop at the new place is not known"
        assert not any("gas" in words for words in weighed.ends)
