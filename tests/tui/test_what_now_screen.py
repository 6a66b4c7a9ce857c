from __future__ import annotations

import pytest
from day_help import drive
from textual.pilot import Pilot

from crewtui.trade.pictures.section import SectionPicture
from crewtui.tui.app.application import CrewApp
from crewtui.tui.app.day_screen import DayScreen
from crewtui.tui.pages.rod_page import WhatNow
from crewtui.tui.widgets.dialogs import AskChoice, AskText
from crewtui.tui.widgets.row_layout import columns_for, lay_out_row
from crewtui.tui.widgets.rows import RowList
from crewtui.tui.widgets.section_widget import SectionView, draw_section

SMALL = (80, 24)


async def give_reason(pilot: Pilot[int]) -> None:
    """The morning's holds stand in these tests: what was done while held is entered with a reason."""
    await pilot.pause()
    if isinstance(pilot.app.screen, AskChoice):
        await pilot.press("down", "enter")
        await pilot.pause()
    if isinstance(pilot.app.screen, AskText):
        await pilot.press(*"rock", "enter")
        await pilot.pause()


async def test_shallow_rod_to_a_chosen_way_in_five_keys_and_everything_follows(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s")
        screen = next(s for s in app.screen_stack if isinstance(s, DayScreen))
        before = app.day.facts("N1").held_angle_deg  # type: ignore[attr-defined]
        await pilot.press("w", "3", "3", "enter", "enter")
        await give_reason(pilot)
        assert app.screen is screen
        drive = app.day.state.anchors["N1"].drives[0]
        assert drive.depth_found_in == 33
        held = app.day.facts("N1").held_angle_deg  # type: ignore[attr-defined]
        assert held > before + 1
        await pilot.press("g")
        picture = screen.pane_of("ground").picture
        assert picture is not None
        assert f"{held:.1f}°" in str(picture)
        await pilot.press("f")
        shown = {row.label: row.value for row in screen.figures_pane.rows}
        assert shown["Angle to hold"] == f"{held:.1f}°"


async def test_after_a_way_is_taken_the_cursor_stands_on_what_is_next(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s")
        screen = next(s for s in app.screen_stack if isinstance(s, DayScreen))
        screen.steps_pane.go_to("closed")
        await pilot.press("w", "3", "3", "enter", "enter")
        await give_reason(pilot)
        assert app.day.state.anchors["N1"].drives
        step = screen.steps_pane.step_at(screen.steps_pane.cursor_key)
        assert step is not None
        assert step.is_next
        row = next(row for row in screen.steps_pane.rows if row.key == "depth-found")
        assert "drive 1: 33 in" in row.note


async def test_nothing_is_written_by_looking_and_going_back(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        before = len(app.day.journal.entries)
        await pilot.press("s", "w", "3", "3", "escape", "escape")
        await pilot.pause()
        assert isinstance(app.screen, DayScreen)
        assert len(app.day.journal.entries) == before


async def test_bad_input_is_refused_beside_its_field_and_enter_does_not_go_on(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s", "w", "9", "9", "enter")
        await pilot.pause()
        assert isinstance(app.screen, WhatNow)
        row = app.screen.query_one(RowList).cursor_row
        assert row is not None
        assert row.key == "depth"
        assert "is not likely here" in row.note


@pytest.mark.parametrize("row", range(3))
async def test_enter_goes_on_to_the_ways_from_every_row_that_is_typed(app: CrewApp, row: int) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s", "w", "3", "3", *["down"] * row)
        page = app.screen
        assert isinstance(page, WhatNow)
        rows = page.query_one(RowList)
        assert rows.cursor_row is not None
        assert rows.cursor_row.typed
        await pilot.press("enter")
        assert app.screen is page
        assert rows.cursor_key == (page.sheet.first if page.sheet is not None else "")


async def test_a_rod_that_does_not_show_is_kept_as_an_attempt(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s", "w")
        await pilot.pause()
        page = app.screen
        assert isinstance(page, WhatNow)
        page.query_one(RowList).go_to("not found")
        await pilot.press("enter")
        page.query_one(RowList).go_to("search")
        await pilot.press("enter")
        await give_reason(pilot)
        drive = app.day.state.anchors["N1"].drives[0]
        assert drive.depth_found_in is None
        assert app.day.state.anchors["N1"].pit_entry is None, "searching asks again who goes in"


async def test_a_rock_is_left_out_of_the_drift_from_the_list_of_its_rods(app: CrewApp) -> None:
    drive(app.day, "N1", 40, 6.5)
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s", "w", "end")
        rows = app.screen.query_one(RowList)
        assert rows.cursor_row is not None
        assert rows.cursor_row.label.startswith("N1 ran ")
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, AskText)
        await pilot.press(*"rock", "enter")
        await pilot.pause()
        assert isinstance(app.screen, DayScreen)
        assert "rod left out of the drift: rock" in app.screen.said
        await pilot.press("w", "end")
        row = app.screen.query_one(RowList).cursor_row
        assert row is not None
        assert row.note == "left out: rock"


async def test_from_120_columns_the_rod_is_drawn_as_it_ran_and_as_the_way_under_the_cursor_would(
    app: CrewApp,
) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.press("s", "w", "3", "3", "enter")
        await pilot.pause()
        view = app.screen.query_one("#ran", SectionView)
        picture = view.picture
        assert isinstance(picture, SectionPicture)
        ran, first = picture.ran[-1], picture.rod
        assert first is not None
        assert ran.end[1] - (picture.drop_in or 0) == pytest.approx(33)
        rows = app.screen.query_one(RowList)
        rows.go_to("way 2")
        await pilot.pause()
        lower = view.picture
        assert isinstance(lower, SectionPicture)
        assert lower.rod is not None
        assert lower.rod.start[1] > first.start[1], "a lower mark is drawn lower"
        assert lower.ran[-1].start == ran.start, "and where it ran stays where it ran"
        drawn = "".join(text for row in draw_section(lower, 118, 12, stretched=True) for text, _ in row)
        assert "heights drawn taller" in drawn
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        assert not view.display


async def test_every_way_stands_on_one_line_with_its_bar_at_80_columns(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s", "w", "3", "3", "enter")
        await pilot.pause()
        rows = [row for row in app.screen.query_one(RowList).rows if row.key.startswith("way ")]
        columns = columns_for(rows, 78)
        done = [row for row in rows if "|" in row.label]
        assert len(done) >= 3
        assert all(len(lay_out_row(row, columns, None)) == 1 for row in done)
