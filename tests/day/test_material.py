"""Material follows from the entries: what was driven and set is used, what was counted was received."""

from __future__ import annotations

from pathlib import Path

from day_help import clear_hazards, make_job, open_day, saved

from crewtui.day.journal import entries as e
from crewtui.day.session.day import Day
from crewtui.day.steps.step_rows import is_needed
from crewtui.day.truck.loading import loading, on_truck
from crewtui.day.truck.material import MaterialLine, material
from crewtui.job.tables import steps

STOCK = {"rods": [{"length": 80, "count": 20}], "couplings": 12, "nuts": 10}


def of(day: Day, item: str) -> MaterialLine:
    standing = [one for one in day.journal.entries if one.n not in day.state.taken_back]
    return next(line for line in material(day.state, standing) if line.item == item)


def drive(day: Day, *lengths_in: float) -> None:
    pieces = [e.PieceDriven(length_in=length_in, stock_in=80) for length_in in lengths_in]
    day.put(e.PiecesDriven(**day.times(None), anchor="A-1", pieces=tuple(pieces)))


def test_nothing_done_and_nothing_counted_is_no_material(tmp_path: Path) -> None:
    day = open_day(tmp_path, make_job(stock=STOCK))
    assert material(day.state, day.journal.entries) == ()


def test_rods_and_couplings_follow_from_the_pieces(tmp_path: Path) -> None:
    day = open_day(tmp_path, make_job(stock=STOCK))
    clear_hazards(day)
    drive(day, 80, 72)
    rods, couplings = of(day, "rods"), of(day, "couplings")
    assert (rods.ordered, rods.received, rods.used, rods.back) == (20, None, 2, 18)
    assert (couplings.ordered, couplings.used, couplings.back) == (12, 1, 11)


def test_what_was_counted_first_was_received_and_the_last_count_goes_back(tmp_path: Path) -> None:
    day = open_day(tmp_path, make_job(stock=STOCK))
    clear_hazards(day)
    saved(day.truck.count_stock("couplings", 11))
    drive(day, 80, 72)
    saved(day.truck.count_stock("couplings", 9))
    line = of(day, "couplings")
    assert (line.ordered, line.received, line.used, line.back) == (12, 11, 1, 9)


def test_plates_and_hardware_follow_from_their_steps(tmp_path: Path) -> None:
    day = open_day(tmp_path, make_job(stock=STOCK))
    clear_hazards(day)
    saved(day.answer("A-1", "plate-on", reason="in this order today"))
    assert of(day, "plates").used == 1
    assert of(day, "nuts").used == 1
    saved(day.take_back())
    assert all(line.item != "nuts" for line in material(day.state, day.journal.entries))


def test_a_cover_over_the_wall_plate_is_a_step_a_load_and_material_where_it_is_ordered(
    tmp_path: Path,
) -> None:
    plain = make_job(1)
    (wall,) = plain.walls
    ordered = plain.model_copy(update={"walls": (wall.model_copy(update={"plate_covers": True}),)})
    for job, asked in ((plain, False), (ordered, True)):
        (tmp_path / str(asked)).mkdir()
        with open_day(tmp_path / str(asked), job) as day:
            assert is_needed(day.state, steps.by_id("plate-cover"), "A-1") is asked
            lines = {line.key: line.needed for line in loading(day.state, None).lines}
            assert lines.get("plate covers") == (1 if asked else None)
            if asked:
                saved(day.truck.count_stock("plate_covers", 2))
                saved(day.answer("A-1", "plate-cover", "yes", reason="test"))
                assert on_truck(day.state).plate_covers == 1
                (line,) = material(day.state, day.journal.entries)
                assert (line.item, line.received, line.used, line.back) == ("plate_covers", 2, 1, 1)
