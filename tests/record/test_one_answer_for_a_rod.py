"""A rod's pieces are the same in the figures, on the rods' page, in the cut list and on paper."""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

import pytest
from day_help import job_data, make_job, open_day, saved

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.day.steps.calculators import calculate
from crewtui.day.truck.cut_drawing import cut_bars, rod_drawing
from crewtui.day.truck.loading import Loaded, worked_out
from crewtui.day.truck.rod_made import WORKING, rod_made
from crewtui.job.file.load import load_job
from crewtui.job.file.model import Job
from crewtui.record.sheets.plan_sheet import plan_as_json, plan_sheet, printable
from crewtui.trade.rod.rod_plan import RodPlan
from crewtui.trade.rod.rod_words import pieces_in_words
from crewtui.units import show_length

SAMPLES = sorted((Path(__file__).parents[2] / "sample_jobs").glob("*.toml"))


def made_in(day: Day, anchor: str, rod: RodPlan, loaded: Loaded | None) -> RodPlan | str:
    found = rod_made(rod, anchor, loaded, system=day.job.job.units)
    return WORKING if found is None else found


def pieces_row(day: Day, anchor: str, loaded: Loaded | None) -> str:
    sheet = calculate(day.state, anchor, {}, made=lambda rod: made_in(day, anchor, rod, loaded))
    return next((row.text for row in sheet.part("rod").rows if row.key == "pieces"), "")


def says_one_thing(day: Day) -> None:
    loaded = worked_out(day.state, time_limit_s=2)
    system = day.job.job.units
    paper = " ".join(plan_sheet(day.state, loaded).split())
    plain = {one["id"]: one for one in plan_as_json(day.state, loaded)["anchors"]}
    bars = " ".join(" ".join(cut_bars(loaded.cuts, 120, system=system)).split())
    for now in day.state.live():
        by_itself = figures_for(day.state, now.id).rod
        if by_itself is None:
            continue
        rod = made_in(day, now.id, by_itself, loaded)
        assert isinstance(rod, RodPlan)
        words = pieces_in_words(rod, system)
        assert pieces_row(day, now.id, loaded) == words
        said = f"Pieces, in the order driven {printable(words)}"
        assert not rod.pieces or said in paper.replace("order driven: ", "order driven ")
        lengths = [piece["length_in"] for piece in plain[now.id]["rod"]["pieces"]]
        assert lengths == [piece.length_in for piece in rod.pieces]
        drawn = " ".join(" ".join(rod_drawing(rod, 120, system=system)).split())
        listed = loaded.cuts.pieces_for(now.id)
        for piece in rod.pieces:
            assert f"piece {piece.number}: {show_length(piece.length_in, system, step=16)}" in drawn
        if listed:
            assert listed == rod.to_drive_in
            for length_in in listed:
                assert f"{show_length(length_in, system, step=16)} for {now.id}" in bars
        assert pieces_row(day, now.id, None) in {WORKING, words if not rod.to_drive_in else WORKING}


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_the_samples(tmp_path: Path, path: Path) -> None:
    says_one_thing(open_day(tmp_path, load_job(path), figures=figures_for))


@pytest.mark.parametrize("seed", range(8))
def test_invented_jobs_before_and_after_a_piece_is_driven(tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)  # noqa: S311 - an invented job
    rods = [
        {"length": length, "count": chance.randint(1, 12)}
        for length in chance.sample([40, 60, 72, 80, 90, 120], 2)
    ]
    tools: dict[str, Any] = {"pit": "auger", "pit_depth": 50, "hammer_length": 14}
    anchors = [
        {**one, "setback": chance.choice([138, 144, 162]), "free_room": chance.choice([60, 80, 130])}
        for one in job_data(3)["anchors"]
    ]
    job = Job.model_validate(job_data(stock={"rods": rods}, tools=tools) | {"anchors": anchors})
    day = open_day(tmp_path, job, figures=figures_for)
    says_one_thing(day)
    loaded = worked_out(day.state, time_limit_s=2)
    listed = loaded.cuts.pieces_for("A-1")
    if listed:
        saved(day.truck.drive_pieces("A-1", [f"{listed[0]:.4f} in"], reason="test"))
        says_one_thing(day)


def test_a_last_piece_stays_whole_where_room_and_truck_allow(tmp_path: Path) -> None:
    stock = {"rods": [{"length": 90, "count": 20}]}
    day = open_day(tmp_path, make_job(3, stock=stock), figures=figures_for)
    assert {pieces_row(day, now.id, worked_out(day.state)) for now in day.state.live()} == {"90 in + 90 in"}


def test_no_list_gives_each_rod_by_itself(tmp_path: Path) -> None:
    day = open_day(tmp_path, make_job(1), figures=figures_for)
    rod = figures_for(day.state, "A-1").rod
    assert rod is not None
    assert rod_made(rod, "A-1", None, no_list=True, system="imperial") is rod
