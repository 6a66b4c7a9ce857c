"""The tail's sag through a day: in the height of a tail, not with a level, and kept with each drive."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from day_help import job_data, open_day, saved

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.job.file.model import Job
from crewtui.record.signed.build_anchor import anchor_done
from crewtui.trade.aim.rod_line import tail_rise_in
from crewtui.trade.aim.sag import sag_deg

WHY = "only the tail is tried here"


def job(aim_by: str | None) -> Job:
    data = job_data(2, tools={"pit_depth": 60} | ({"aim_by": aim_by} if aim_by else {}))
    for anchor in data["anchors"]:
        anchor |= {"drop": 0, "free_room": 110}
    return Job.model_validate(data)


def drive(day: Day, anchor: str) -> None:
    for step, text in (("held-angle", "6"), ("depth-found", "40")):
        saved(day.measure(anchor, step, text, reason=WHY))


@pytest.mark.parametrize("aim_by", [None, "level at the wall", "tail"])
def test_the_tails_height_carries_its_sag_only_where_the_aim_is_taken_by_it(
    tmp_path: Path, aim_by: str | None
) -> None:
    with open_day(tmp_path, job(aim_by), figures=None) as day:
        figures = figures_for(day.state, "A-1")
        held_deg, tail_in = figures.held_angle_deg, figures.inputs.number("tail_length_in")
        assert held_deg is not None
        sag = sag_deg(0.75, 10, tail_in)
        assert sag > 0.3
        more_deg = sag if aim_by == "tail" else 0.0
        assert figures.held_rise_in == pytest.approx(tail_rise_in(held_deg + more_deg, tail_in))
        assert (figures.sag_deg is not None) is (aim_by == "tail")


def test_a_rod_held_by_its_tails_height_enters_at_the_angle_that_is_called_out(tmp_path: Path) -> None:
    """From the height back: the chord's angle less the slope of the sag is the angle held."""
    with open_day(tmp_path, job("tail"), figures=None) as day:
        figures = figures_for(day.state, "A-1")
        assert figures.held_rise_in is not None
        tail_in = figures.inputs.number("tail_length_in")
        chord_deg = math.degrees(math.asin(figures.held_rise_in / tail_in))
        assert chord_deg - sag_deg(0.75, 10, tail_in) == pytest.approx(figures.held_angle_deg)


def test_each_drive_keeps_how_its_aim_was_taken_and_the_drift_says_where_nobody_did(tmp_path: Path) -> None:
    with open_day(tmp_path, job(None), figures=None) as day:
        drive(day, "A-1")
        saved(day.site.set_up("tools", {"aim_by": "tail"}))
        said = figures_for(day.state, "A-2").said["aim"]
        assert any(words.startswith("Nobody said how the aim was taken at A-1") for words in said)
        drive(day, "A-2")
        held_by = [day.state.anchors[one].drives[0].held_by for one in ("A-1", "A-2")]
        assert held_by == ["", "tail"]
        done = [
            anchor_done(day.state, day.state.anchors[one], still_open=(), figures={}, typed_at={})
            for one in ("A-1", "A-2")
        ]
        assert [one.attempt[0].held_by for one in done] == ["", "tail"]


def test_the_share_in_the_pits_width_stands_beside_that_in_depth(tmp_path: Path) -> None:
    with open_day(tmp_path, job(None), figures=None) as day:
        figures = figures_for(day.state, "A-1")
        assert figures.share_aside is not None
        # 5 5/8 in to each side over 152 in is 2.119 deg, 1.895 deviations of 1.118: 0.942 by a printed table.
        assert figures.share_aside == pytest.approx(0.94, abs=0.01)
