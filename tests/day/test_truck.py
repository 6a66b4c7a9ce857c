"""Rods that go into the ground and leave the truck: pieces driven, offcuts, counts, and what is left."""

from __future__ import annotations

from pathlib import Path

import pytest
from day_help import asks_reason, make_job, open_day, refused, saved

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.journal import entries as e
from crewtui.day.session.day import Day
from crewtui.trade.rod.rod_plan import RodPlan


@pytest.fixture
def day(tmp_path: Path) -> Day:
    job = make_job(
        3, stock={"rods": [{"length": 80, "count": 20}, {"length": 36, "count": 2}], "couplings": 8}
    )
    return open_day(tmp_path, job, figures=figures_for)


def drive(day: Day, anchor: str, *texts: str) -> None:
    saved(day.truck.drive_pieces(anchor, texts, reason="test"))


def rod_of(day: Day, anchor: str) -> RodPlan:
    rod = figures_for(day.state, anchor).rod
    assert rod is not None
    return rod


def test_a_piece_driven_is_kept_and_leaves_the_truck(day: Day) -> None:
    drive(day, "A-1", "80")
    assert [piece.length_in for piece in day.state.anchors["A-1"].pieces] == [80]
    assert day.state.shared.truck.rods == {80: 19, 36: 2}
    assert rod_of(day, "A-1").pieces[0].driven
    assert day.log()[0].words == "A-1: driven in: 80 in (test)"


def test_what_is_left_of_a_cut_rod_is_an_offcut_if_it_can_still_serve(day: Day) -> None:
    drive(day, "A-1", "60")
    assert day.state.shared.truck.offcuts == (80 - 60 - 0.125,)
    drive(day, "A-1", "75")
    assert len(day.state.shared.truck.offcuts) == 1
    drive(day, "A-2", "19 1/2")
    truck = day.state.shared.truck
    assert (truck.offcuts, truck.rods[80]) == ((), 18)


def test_the_cut_list_says_what_a_piece_comes_from(day: Day) -> None:
    saved(day.truck.drive_pieces("A-1", ["30"], cut_from=[(80.0, False)], reason="test"))
    assert day.state.shared.truck.rods == {80: 19, 36: 2}
    assert day.state.shared.truck.offcuts == (49.875,)


def test_a_changed_set_back_changes_only_the_pieces_not_yet_driven(day: Day) -> None:
    drive(day, "A-1", "80")
    before = rod_of(day, "A-1")
    saved(day.site.move_anchor("A-1", {"setback_in": 168, "drop_in": 8}, reason="a root"))
    after = rod_of(day, "A-1")
    assert after.pieces[0] == before.pieces[0]
    assert after.needed_in > before.needed_in + 23
    assert after.to_drive_in != before.to_drive_in


def test_a_rod_that_is_driven_anew_lies_about_again_as_it_was_cut(day: Day) -> None:
    drive(day, "A-1", "80", "60")
    way = e.Way(kind="re-drill", words="drill steeper", values={"drilled_angle_deg": 8.0})
    saved(day.rods.take_way("A-1", depth_found_in=30, held_angle_deg=5.0, way=way, reason="test"))
    assert day.state.anchors["A-1"].pieces == ()
    assert day.state.shared.truck.offcuts == (80, 60, 19.875)
    assert day.state.shared.truck.rods[80] == 18


@pytest.mark.parametrize("kind", ["farther out", "deepen", "widen", "search"])
def test_a_rod_that_stays_keeps_its_pieces(day: Day, kind: str) -> None:
    drive(day, "A-1", "80", "80")
    way = e.Way(kind=kind, words="on", values={})
    saved(day.rods.take_way("A-1", depth_found_in=30, held_angle_deg=5.0, way=way, reason="test"))
    assert len(day.state.anchors["A-1"].pieces) == 2


def test_undo_puts_a_piece_back_on_the_truck(day: Day) -> None:
    drive(day, "A-1", "60")
    saved(day.take_back())
    assert day.state.anchors["A-1"].pieces == ()
    assert (day.state.shared.truck.offcuts, day.state.shared.truck.rods[80]) == ((), 20)


def test_driving_while_held_asks_for_a_reason_and_stands_as_a_deviation(day: Day) -> None:
    asks_reason(day.truck.drive_pieces("A-1", ["80"]))
    drive(day, "A-1", "80")
    assert [item.kind for item in day.state.deviations] == ["while held"]


@pytest.mark.parametrize(
    ("text", "words"), [("12 ft", "longest stock is 80 in"), ("0", "no piece"), ("x", "x")]
)
def test_what_is_no_piece_is_asked_back(day: Day, text: str, words: str) -> None:
    assert words in refused(day.truck.drive_pieces("A-1", [text], reason="test"))
    assert day.state.anchors["A-1"].pieces == ()


def test_a_count_is_what_is_there_from_then_on(day: Day) -> None:
    drive(day, "A-1", "80")
    saved(day.truck.count_stock("rods", "12", size_in=(80.0,)))
    assert day.state.shared.truck.rods == {80: 12, 36: 2}
    assert [(row.length_in, row.count) for row in day.job.stock.rods] == [(80, 12), (36, 2)]
    drive(day, "A-2", "80")
    assert day.state.shared.truck.rods[80] == 11
    assert day.log()[1].words == "counted: 12 rods of 80 in"


def test_plates_and_plain_things_are_counted_too(day: Day) -> None:
    saved(day.truck.count_stock("plates", "4", size_in=(12.0, 12.0)))
    saved(day.truck.count_stock("nuts", 9))
    assert [(row.width_in, row.count) for row in day.job.stock.plates] == [(12, 4)]
    assert day.job.stock.nuts == 9
    assert set(day.state.shared.truck.counted) == {"plates 12 x 12", "nuts"}
    assert refused(day.truck.count_stock("nuts", "2.5"))
    assert refused(day.truck.count_stock("nuts", "-3"))


def test_offcuts_are_found_counted_and_used_up(day: Day) -> None:
    saved(day.truck.add_offcut("40"))
    saved(day.truck.add_offcut("40"))
    assert day.state.shared.truck.offcuts == (40, 40)
    drive(day, "A-1", "39")
    assert day.state.shared.truck.offcuts == (40,)
    saved(day.truck.count_stock("offcuts", "0", size_in=(40.0,)))
    assert day.state.shared.truck.offcuts == ()
    assert "least piece" in refused(day.truck.add_offcut("8"))


def test_stock_filled_in_by_its_page_counts_as_counted(day: Day) -> None:
    drive(day, "A-1", "80")
    saved(day.site.set_up("stock", {"rods": [{"length_in": 90, "count": 4}], "nuts": 7}))
    assert day.state.shared.truck.rods == {90: 4}
    assert {"rods 90", "nuts"} <= set(day.state.shared.truck.counted)


def test_a_count_of_the_wrong_size_fits_nothing(day: Day) -> None:
    assert "cannot be entered" in refused(day.truck.count_stock("rods", 3))
    assert day.state.shared.unplaced == ()
