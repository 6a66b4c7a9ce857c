"""The job's cut list and load-out as the day goes: what is asked, what follows from what was entered."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from day_help import make_job, open_day, saved

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.day.truck.day_cut_list import cut_question, rod_by_list, rod_of, sources_for
from crewtui.day.truck.loading import Loaded, counted_today, load, on_truck
from crewtui.job.file.load import load_job
from crewtui.trade.truck.load_out import LoadLine

SAMPLES = sorted((Path(__file__).parents[2] / "sample_jobs").glob("*.toml"))
STOCK: dict[str, Any] = {
    "rods": [{"length": 90, "count": 7}, {"length": 36, "count": 2}],
    "couplings": 8, "nuts": 14, "washers": 12, "sleeves": 6, "caps": 6, "covers": 5, "tags": 6, "wax": 3,
    "plates": [{"width": 12, "height": 12, "count": 5}],
    "wall_plates": [{"width": 12, "height": 12, "count": 5}],
}  # fmt: skip


@pytest.fixture
def day(tmp_path: Path) -> Day:
    return open_day(tmp_path, make_job(3, stock=STOCK), figures=figures_for)


def loaded(day: Day) -> Loaded:
    question = cut_question(day.state)
    return load(day.state, question, question.answer(time_limit_s=2))


def line(day: Day, key: str) -> LoadLine:
    return next(one for one in loaded(day).load.lines if one.key == key)


def test_equal_days_ask_equal_questions_and_another_place_asks_another(day: Day) -> None:
    first = cut_question(day.state)
    saved(day.answer("A-1", "sod", "yes", reason="test"))
    assert cut_question(day.state) == first
    saved(day.site.move_anchor("A-1", {"setback_in": 168, "drop_in": 8}, reason="a root"))
    moved = cut_question(day.state)
    assert moved != first
    assert moved.rods[0].length_in > first.rods[0].length_in + 23
    assert moved.rods[1:] == first.rods[1:]


def test_pieces_in_the_ground_stay_and_the_rest_is_asked(day: Day) -> None:
    before = cut_question(day.state).rods[0]
    saved(day.truck.drive_pieces("A-1", ["90"], reason="test"))
    after = cut_question(day.state)
    assert after.rods[0].length_in == pytest.approx(before.length_in - 90)
    assert after.stock[0].count == 6
    rod = rod_of(day.state, day.state.anchors["A-1"])
    assert rod is not None
    saved(day.truck.drive_pieces("A-1", [str(after.rods[0].length_in)], reason="test"))
    assert [one.anchor for one in cut_question(day.state).rods] == ["A-2", "A-3"]


def test_an_anchor_s_rod_is_drawn_in_the_pieces_that_the_list_gives_it(day: Day) -> None:
    found = loaded(day)
    for now in day.state.live():
        plan = rod_of(day.state, now)
        assert plan is not None
        assert found.question.holds(plan, now.id)
        rod = rod_by_list(plan, found.cuts, now.id, system="imperial")
        assert rod.refused == ""
        assert sorted(rod.to_drive_in) == sorted(found.cuts.pieces_for(now.id))
        sources = sources_for(found.cuts, now.id)
        assert [piece.stock_in for piece in rod.pieces] == [sources[piece.number][0] for piece in rod.pieces]
    saved(day.site.move_anchor("A-1", {"setback_in": 150, "drop_in": 8}, reason="a root"))
    plan = rod_of(day.state, day.state.anchors["A-1"])
    assert plan is not None
    assert not found.question.holds(plan, "A-1")


def test_one_rod_short_is_said_and_a_rod_more_mends_it(day: Day) -> None:
    needed = line(day, "rods 90").needed
    saved(day.truck.count_stock("rods", needed - 1, size_in=(90.0,)))
    saved(day.truck.count_stock("rods", 0, size_in=(36.0,)))
    found = loaded(day)
    assert found.word == ("1 SHORT", True)
    (short,) = found.short
    assert short.said == f"rods of 90 in: {needed - 1} left, {needed} needed, 1 short"
    saved(day.truck.count_stock("rods", needed, size_in=(90.0,)))
    assert loaded(day).short == ()


def test_what_goes_into_an_anchor_leaves_the_truck_and_the_need(day: Day) -> None:
    before = {one.key: (one.needed, one.there) for one in loaded(day).load.lines}
    for step in ("wax", "plate-on", "wall-plate-on", "trimmed"):
        saved(day.answer("A-1", step, "yes", reason="test"))
    saved(day.answer("A-1", "closed", "tag fixed", reason="test"))
    after = {one.key: (one.needed, one.there) for one in loaded(day).load.lines}
    took = {
        "plates 12 x 12": 1, "wall plates 12 x 12": 1, "nuts": 2, "washers": 1, "sleeves": 1, "caps": 1,
        "tags": 1,
    }  # fmt: skip
    for key, count in took.items():
        needed, there = before[key]
        assert there is not None
        assert after[key] == (needed - count, there - count), key
    assert after["wax"] == (1, 2)
    assert after["covers"] == before["covers"], "a cover is used again, and the pit is still open"


def test_a_count_is_of_what_is_left_so_what_went_in_before_counts_no_more(day: Day) -> None:
    saved(day.answer("A-1", "plate-on", "yes", reason="test"))
    assert on_truck(day.state).nuts == 13
    saved(day.truck.count_stock("nuts", 13))
    assert on_truck(day.state).nuts == 13
    saved(day.answer("A-2", "plate-on", "yes", reason="test"))
    assert on_truck(day.state).nuts == 12


def test_couplings_are_used_by_the_pieces_they_join(day: Day) -> None:
    saved(day.truck.drive_pieces("A-1", ["90"], reason="test"))
    assert on_truck(day.state).couplings == 8
    saved(day.truck.drive_pieces("A-1", ["60"], reason="test"))
    assert on_truck(day.state).couplings == 7
    saved(day.truck.count_stock("couplings", 7))
    saved(day.truck.drive_pieces("A-1", ["20"], reason="test"))
    assert on_truck(day.state).couplings == 6


def test_a_line_counted_today_says_so(day: Day) -> None:
    nuts = line(day, "nuts")
    assert not counted_today(day.state, nuts)
    saved(day.truck.count_stock(nuts.stock, 14, size_in=nuts.size_in))
    assert counted_today(day.state, nuts)
    rods = line(day, "rods 90")
    saved(day.truck.count_stock(rods.stock, 7, size_in=rods.size_in))
    assert counted_today(day.state, line(day, "rods 90"))


def test_a_rod_that_is_in_without_its_pieces_is_asked_about_and_stays_in_the_sum(day: Day) -> None:
    before = line(day, "rods 90")
    for step, text in (("held-angle", "6"), ("depth-found", "40")):
        saved(day.measure("A-1", step, text, reason="test"))
    found = loaded(day)
    assert found.question.unentered == ("A-1",)
    assert line(day, "rods 90").spare == before.spare
    rod = rod_of(day.state, day.state.anchors["A-1"])
    assert rod is not None
    for length_in in rod.to_drive_in:
        saved(day.truck.drive_pieces("A-1", [length_in], reason="test"))
    assert loaded(day).question.unentered == ()


def test_an_anchor_without_a_rod_stands_apart_and_no_truck_is_enough_with_it(tmp_path: Path) -> None:
    job = make_job(2, stock=STOCK)
    anchors = (job.anchors[0], job.anchors[1].model_copy(update={"drop_in": None}))
    day = open_day(tmp_path, job.model_copy(update={"anchors": anchors}), figures=figures_for)
    found = loaded(day)
    assert [anchor for anchor, _ in found.question.cannot] == ["A-2"]
    assert found.word == ("not A-2", True)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_each_sample_s_pieces_fit_the_room_with_no_coupling_in_the_wall(tmp_path: Path, path: Path) -> None:
    day = open_day(tmp_path, load_job(path), figures=figures_for)
    question = cut_question(day.state)
    cuts = question.answer(time_limit_s=1)
    assert cuts.left_out == ()
    assert {piece.anchor for length in cuts.lengths for piece in length.pieces} == {
        rod.anchor for rod in question.rods
    }
    for rod in question.rods:
        plan = rod_of(day.state, day.state.anchors[rod.anchor])
        assert plan is not None
        found = rod_by_list(plan, cuts, rod.anchor, system=day.job.job.units)
        assert found.refused == ""
        assert all(piece.fits for piece in found.pieces)
        assert all(joint.clear for joint in found.joints)
        # What is over is a last piece left whole, and trimmed after tightening.
        assert found.spare_in > -1 / 64
        assert found.spare_in < 1 / 64 or not found.pieces[-1].cut
    for length in cuts.lengths:
        used = sum(piece.length_in for piece in length.pieces) + length.cuts * cuts.kerf_in
        assert used + length.offcut_in == pytest.approx(length.length_in, abs=cuts.kerf_in + 1e-6)
