"""A wall's layout as planned and as the site has it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from day_help import job_data, open_day, saved
from hypothesis import given
from hypothesis import strategies as st

from crewtui.day.session.day import Day
from crewtui.day.state.fold import start
from crewtui.day.state.state import DayState
from crewtui.day.steps.outcomes import Refused
from crewtui.day.wall.wall_rows import WallView, wall_view
from crewtui.job.file.model import Job
from crewtui.job.file.rule_overrides import resolve
from crewtui.trade.wall.block import check_block_mark, joint_after_move


def make(*, anchors: list[dict[str, Any]], wall: dict[str, Any] | None = None) -> Job:
    data = job_data(1)
    data["walls"][0] |= {"length": 336, **(wall or {})}
    common = {"wall": "north", "setback": 144, "drop": 7, "mark_depth": 28}
    data["anchors"] = [common | one for one in anchors]
    return Job.model_validate(data)


def state_of(job: Job) -> DayState:
    return start(job, resolve(job))


def view(job: Job) -> WallView:
    return wall_view(state_of(job), "north")


EVEN = [{"id": f"N{n}", "along": along} for n, along in enumerate((33.6, 100.8, 168, 235.2, 302.4), 1)]


def subject(found: WallView, name: str) -> list[Any]:
    return [one for one in found.found if one.subject == name]


def test_an_even_wall_keeps_the_limits() -> None:
    found = view(make(anchors=EVEN))
    assert found.now is not None
    assert found.now.ok
    assert found.fewest.count == 5
    assert [one.verdict for one in subject(found, "spacing")] == ["ok"] * 6
    assert not found.wrong


def test_too_wide_and_too_close_are_found_and_shown_as_finely_as_the_verdict_needs() -> None:
    places = [30, 102 + 1 / 32, 130, 200]
    found = view(make(anchors=[{"id": f"N{n}", "along": along} for n, along in enumerate(places)]))
    values = {one.label: (one.verdict, one.value) for one in subject(found, "spacing")}
    assert values["N0 to N1"] == ("wrong", "72 1/32 in")
    assert values["N1 to N2"][0] == "wrong"
    assert values["N3 to end corner"][0] == "wrong"
    assert subject(found, "fewest")[0].verdict == "wrong"


def test_a_company_s_own_limits_are_used() -> None:
    job = make(anchors=EVEN)
    own = {"spacing_greatest_in": {"value": 60, "said_by": "Office, J. Sample"}}
    found = view(Job.model_validate(job.model_dump() | {"rules": own}))
    assert {one.verdict for one in subject(found, "spacing")} == {"ok", "wrong"}
    assert found.fewest.count == 6


def test_a_place_off_the_wall_is_said_and_nothing_breaks() -> None:
    found = view(make(anchors=[{"id": "N1", "along": 400}]))
    assert found.off[0].anchor == "N1"
    assert found.now is None
    assert "past the end" in subject(found, "spacing")[0].words


def test_moved_on_site_the_plan_s_distance_stands_beside(tmp_path: Path) -> None:
    with open_day(tmp_path, make(anchors=EVEN)) as day:
        saved(day.site.move_anchor("N2", {"along_in": 112.0, "drop_in": 7.0}, reason="a pipe"))
        found = wall_view(day.state, "north")
    gap = next(one for one in subject(found, "spacing") if one.label == "N1 to N2")
    assert gap.verdict == "wrong"
    assert "The plan had 67 1/4 in" in gap.words
    moved = next(one for one in found.picture.plates if one.id == "N2")
    assert (moved.along_in, moved.planned_along_in) == (112.0, 100.8)
    assert found.planned is not None
    assert found.planned.ok


def test_dropped_anchors_are_drawn_and_not_counted(tmp_path: Path) -> None:
    with open_day(tmp_path, make(anchors=EVEN)) as day:
        saved(day.site.drop_anchor("N3", reason="rock"))
        found = wall_view(day.state, "north")
    assert next(one for one in found.picture.plates if one.id == "N3").state == "dropped"
    assert "N2 to N4" in {one.label for one in subject(found, "spacing")}


def test_a_wall_plate_over_a_window_names_the_clear_places() -> None:
    window = {"name": "window", "from": 160, "to": 180, "bottom": 40}
    found = view(make(anchors=EVEN, wall={"openings": [window]}))
    conflict = subject(found, "opening")[0]
    assert (conflict.anchor, conflict.verdict) == ("N3", "wrong")
    assert "12 ft 10 in and 15 ft 6 in" in conflict.words
    high = {"name": "window", "from": 160, "to": 180, "bottom": 80}
    assert not subject(view(make(anchors=EVEN, wall={"openings": [high]})), "opening")


# Block.


@pytest.mark.parametrize(
    ("joints", "verdict", "words"),
    [
        ({"bed_joint": 4, "head_joint": 4}, "ok", "trial hole"),
        ({"bed_joint": 0.25, "head_joint": 4, "bed_joint_side": "above"}, "wrong", "down"),
        ({"bed_joint": 4, "head_joint": 0.5, "head_joint_side": "end"}, "wrong", "towards the start corner"),
        ({"bed_joint": 4, "head_joint": 7.9, "head_joint_side": "start"}, "wrong", "web"),
        ({"bed_joint": 0.25, "head_joint": 4}, "wrong", "on which side"),
        ({"bed_joint": 5, "head_joint": 4}, "unknown", "half a course"),
        ({}, "unknown", "nearest bed joint"),
    ],
)
def test_on_block_the_mark_is_judged(joints: dict[str, Any], verdict: str, words: str) -> None:
    found = subject(view(make(anchors=[{"id": "N1", "along": 30, **joints}])), "block")[0]
    assert found.verdict == verdict
    assert words in found.words


def test_a_poured_wall_has_no_block_to_judge() -> None:
    assert not subject(view(make(anchors=EVEN, wall={"type": "poured concrete"})), "block")


def test_joints_move_with_a_mark_that_was_measured_elsewhere(tmp_path: Path) -> None:
    joints = {"bed_joint": 2, "bed_joint_side": "below", "head_joint": 4, "head_joint_side": "start"}
    job = make(anchors=[{"id": "N1", "along": 30, **joints}])
    with open_day(tmp_path, job) as day:
        assert subject(wall_view(day.state, "north"), "block")[0].value == "meets core"
        measure(day, "30")
        found = wall_view(day.state, "north")
        assert subject(found, "block")[0].value == "meets joint"


def measure(day: Day, mark_depth: str) -> None:
    saved(day.measure("N1", "mark-depth", mark_depth, reason="marked by the engineer"))


def test_joints_of_unknown_side_are_asked_again_once_the_mark_moved(tmp_path: Path) -> None:
    job = make(anchors=[{"id": "N1", "along": 30, "bed_joint": 2, "head_joint": 4}])
    with open_day(tmp_path, job) as day:
        measure(day, "29")
        assert subject(wall_view(day.state, "north"), "block")[0].verdict == "unknown"


@given(
    joint_in=st.floats(0, 4), move_in=st.floats(-40, 40), before=st.booleans(),
)  # fmt: skip
def test_a_joint_moves_as_a_grid_of_joints_does(joint_in: float, move_in: float, before: bool) -> None:
    found = joint_after_move(joint_in, move_in, spacing_in=8, before=before)
    assert found is not None
    # The mark stands at 0, joints at offset + 8k: before it (negative) or after it.
    offset = -joint_in if before else joint_in
    distances = [abs(offset + 8 * k - move_in) for k in range(-12, 13)]
    assert found[0] == pytest.approx(min(distances), abs=1e-5)
    if 0.001 < found[0] < 3.999 and found[1] is not None:
        nearest = min((offset + 8 * k - move_in for k in range(-12, 13)), key=abs)
        assert found[1] == (nearest < 0)


def test_a_clear_mark_named_is_clear_when_judged_there() -> None:
    mark = check_block_mark(
        0.5, 4, bed_joint_side="below", head_joint_side="start",
        mark_depth_in=28, band_top_in=26, band_bottom_in=30,
    )  # fmt: skip
    assert mark.move_down_in is not None
    moved = joint_after_move(0.5, mark.move_down_in, spacing_in=8, before=False)
    assert moved is not None
    assert check_block_mark(moved[0], 4).meets == "core"


# Marks.


@pytest.mark.parametrize(
    "typed", ["72 1/2 and 72 1/4", "72.5; 72.25", "72.25 + 72.5", "6 ft 1/2 in & 72 1/4 in"]
)
def test_both_distances_from_one_reference_may_be_typed(tmp_path: Path, typed: str) -> None:
    with open_day(tmp_path, make(anchors=EVEN)) as day:
        saved(day.measure("N1", "marks", typed))
        assert day.state.anchors["N1"].value("marks_differ_in") == pytest.approx(0.25)
        found = subject(wall_view(day.state, "north"), "marks")[0]
        assert found.verdict == "ok"
        assert "Inside 72 1/2 in, outside 72 1/4 in" in found.words or "+" in typed
        for unread in ("72 and", "72 and x", "and", "1 and 2 and 3"):
            assert isinstance(day.measure("N1", "marks", unread), Refused), unread


def test_marks_inside_and_outside_are_judged_by_the_company_s_limit(tmp_path: Path) -> None:
    with open_day(tmp_path, make(anchors=EVEN)) as day:
        assert subject(wall_view(day.state, "north"), "marks")[0].verdict == "unknown"
        saved(day.measure("N1", "marks", "1/4"))
        saved(day.measure("N2", "marks", "3/4", reason="as found"))
        found = {one.anchor: one for one in subject(wall_view(day.state, "north"), "marks")}
    assert found["N1"].verdict == "ok"
    assert found["N2"].verdict == "wrong"
    assert "measure both again" in found["N2"].words
