"""The rods on the screen: what is short stands first; one key drives a piece in or counts a line."""

from __future__ import annotations

import sys
from collections.abc import Callable

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot

from crewtui.day.session.day import Day
from crewtui.day.truck import cut_process
from crewtui.day.truck.rod_made import WORKING
from crewtui.tui.app import truck_work
from crewtui.tui.app.application import CrewApp
from crewtui.tui.app.day_screen import DayScreen
from crewtui.tui.panes.day_pane import DayPane
from crewtui.tui.panes.rods_pane import NEXT_PIECE, TRUCK_COUNTED, RodsPane
from crewtui.tui.widgets.chrome import PaneBar
from crewtui.tui.widgets.dialogs import AskChoice, AskText
from crewtui.tui.widgets.rows import Row

SMALL, LARGE = (80, 24), (120, 36)


def screen_of(pilot: Pilot[int]) -> DayScreen:
    return next(one for one in pilot.app.screen_stack if isinstance(one, DayScreen))


async def worked_out(pilot: Pilot[int]) -> RodsPane:
    """Wait for an answer about the day as it stands."""
    screen = screen_of(pilot)
    for _ in range(500):
        await pilot.pause(0.02)
        if screen.truck.latest is not None and not screen.truck.latest.working:
            break
    else:
        raise AssertionError("no cut list came")
    await pilot.pause()
    return screen.pane_at(RodsPane)


def row(pane: RodsPane, key: str) -> Row:
    return next(one for one in pane.rows if one.key == key)


async def reason(pilot: Pilot[int]) -> None:
    await pilot.pause()
    if isinstance(pilot.app.screen, AskChoice):  # Held: it was done all the same.
        await pilot.press("down", "enter")
        await pilot.pause()
    if isinstance(pilot.app.screen, AskText):
        await pilot.press(*"stone", "space", *"there", "enter")
        await pilot.pause()


async def test_a_truck_one_rod_short_says_so_on_the_first_screen(open_day: Callable[[str], Day]) -> None:
    day = open_day("clay-tile-tight")
    needed = 10
    day.truck.count_stock("rods", needed - 1, size_in=(40.0,))
    day.truck.count_stock("rods", 3, size_in=(72.0,))
    async with CrewApp(day).run_test(size=SMALL) as pilot:
        await worked_out(pilot)
        screen = screen_of(pilot)
        assert screen.pane == "day"
        rows = screen.pane_of("day").rows
        shown = [one for one in rows if one.key.startswith("short ")]  # type: ignore[union-attr]
        assert len(shown) == 1
        assert "short" in shown[0].note
        tab = next(one for one in screen.query_one(PaneBar).tabs if one.title == "Rods")
        assert tab.wrong == "1 short on the truck"


async def test_the_next_piece_goes_in_with_one_key_and_the_truck_follows(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s", "r")
        pane = await worked_out(pilot)
        pane.go_to(NEXT_PIECE)
        assert row(pane, NEXT_PIECE).value == "90 in"
        await pilot.press("enter")
        await reason(pilot)
        assert [piece.length_in for piece in app.day.state.anchors["N1"].pieces] == [90]
        assert app.day.state.shared.truck.rods[90] == 9
        pane = await worked_out(pilot)
        assert row(pane, NEXT_PIECE).value == "90 in"
        assert row(pane, "load rods 90").value == "9 by plan"
        await pilot.press("7", "4", "enter")
        await reason(pilot)
        pane = await worked_out(pilot)
        assert row(pane, "all in").mark == "done"
        assert app.day.state.anchors["N1"].pieces[1].length_in == 74


async def test_the_load_out_is_counted_off_line_by_line(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("r")
        pane = await worked_out(pilot)
        pane.go_to("load rods 90")
        for _ in range(40):
            if pane.cursor_key == TRUCK_COUNTED:
                break
            pane.action_choose()  # What Enter does; pressed without a pause it counts as leaned on.
            await pilot.pause()
        assert pane.cursor_key == TRUCK_COUNTED
        lines = [one for one in pane.rows if one.key.startswith("load ")]
        assert lines
        assert all(one.mark == "done" for one in lines)
        assert all(one.value.endswith("counted") for one in lines)
        await pilot.press("enter")
        assert "N3" in " ".join(str(one.render()) for one in app.screen.query(".said"))
        await pilot.press("enter")
        assert "truck" not in app.day.state.shared.answers, "the first answer is to go back"
        await pilot.press("enter", "down", "enter")
        await reason(pilot)
        assert app.day.state.shared.answers["truck"].answer == "yes"


async def test_what_is_on_no_list_is_in_no_count_and_every_count_says_so(app: CrewApp) -> None:
    async with app.run_test(size=LARGE) as pilot:
        await pilot.press("r")
        pane = await worked_out(pilot)
        assert row(pane, "title load").label == "LOAD-OUT, WITHOUT N3"
        for key in ("load rods 90", "load couplings"):
            assert row(pane, key).note.startswith(("8+N3 needed", "4+N3 needed"))
        assert "N3" not in row(pane, "load nuts").note


async def test_the_day_s_own_line_for_the_truck_leads_to_the_count(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("d")
        day_pane = screen_of(pilot).in_front
        assert isinstance(day_pane, DayPane)
        day_pane.go_to_step("truck")
        await pilot.press("enter")
        pane = await worked_out(pilot)
        assert screen_of(pilot).in_front is pane
        assert pane.cursor_key == TRUCK_COUNTED
        assert "lines not counted" in row(pane, TRUCK_COUNTED).note
        await pilot.press("enter", "enter")
        assert "truck" not in app.day.state.shared.answers


async def test_a_count_that_is_typed_shows_what_is_short(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("r")
        pane = await worked_out(pilot)
        pane.go_to("load couplings")
        await pilot.press("3", "enter")
        pane = await worked_out(pilot)
        assert row(pane, "load couplings").mark == "!"
        assert pane.rows[0].key == "title short"
        assert "3 left, 4 needed, 1 short" in pane.rows[1].label


async def test_a_moved_anchor_is_followed_while_the_last_answer_stays_up(app: CrewApp) -> None:
    async with app.run_test(size=LARGE) as pilot:
        await pilot.press("r")
        pane = await worked_out(pilot)
        before = [one.label for one in pane.rows if one.key.startswith("cut ")]
        app.day.site.move_anchor("N1", {"setback_in": 180.0, "drop_in": 7.0}, reason="a root")
        screen_of(pilot).rebuild()
        assert [one.label for one in pane.rows if one.key.startswith("cut ")] == before
        assert "working" in row(pane, "title cuts").note
        pane = await worked_out(pilot)
        assert [one.label for one in pane.rows if one.key.startswith("cut ")] != before
        assert row(pane, "title cuts").note == "fewest rods"


async def test_an_offcut_that_lies_about_is_stock(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("r")
        pane = await worked_out(pilot)
        await pilot.press("end", "7", "5", "enter")
        pane = await worked_out(pilot)
        assert "75 in" in row(pane, "offcuts there").label
        assert any("offcut of 75 in" in one.label for one in pane.rows)


async def test_every_line_of_the_drawings_fits_the_pane(app: CrewApp) -> None:
    for size in (SMALL, LARGE, (200, 50), (60, 20)):
        async with CrewApp(app.day).run_test(size=size) as pilot:
            await pilot.press("r")
            pane = await worked_out(pilot)
            width = pane.scrollable_content_region.width
            drawn = [one.label for one in pane.rows if one.key.startswith(("cut ", "rod "))]
            assert drawn
            assert max(map(len, drawn)) <= max(40, width - 6)


async def test_without_a_cut_list_the_day_goes_on_and_says_so(
    open_day: Callable[[str], Day], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(truck_work, "CutListBeside", cut_process.CutListBeside)
    monkeypatch.setattr(cut_process, "_COMMAND", (sys.executable, "-c", "raise SystemExit(3)"))
    day = open_day("block-wall")
    async with CrewApp(day).run_test(size=LARGE) as pilot:
        screen = screen_of(pilot)
        for _ in range(500):
            await pilot.pause(0.02)
            if screen.truck.failed:
                break
        await pilot.press("r")
        pane = screen.pane_at(RodsPane)
        assert row(pane, "title cuts").note == "none could be worked out"
        assert row(pane, "title rod").note == "by itself, without a cut list"
        tab = next(one for one in screen.query_one(PaneBar).tabs if one.title == "Rods")
        assert tab.wrong == "no cut list could be made"
        pane.go_to(TRUCK_COUNTED)
        await pilot.press("enter")
        assert "No cut list" in " ".join(str(one.render()) for one in pilot.app.screen.query(".said"))
        await pilot.press("down", "enter")
        assert day.state.shared.answers["truck"].answer == "yes"


async def test_while_the_list_is_worked_out_no_piece_is_offered_and_enter_says_so(app: CrewApp) -> None:
    async with app.run_test(size=LARGE) as pilot:
        await pilot.press("r")
        pane = await worked_out(pilot)
        screen = screen_of(pilot)
        assert screen.truck.latest is not None
        screen.truck.latest = replace(screen.truck.latest, working=True)
        pane.rebuild(screen.here)
        assert row(pane, NEXT_PIECE).value == WORKING
        assert not [one for one in pane.rows if one.label.startswith("piece ")]
        pane.go_to(NEXT_PIECE)
        await pilot.press("enter")
        await pilot.pause()
        assert app.day.state.anchors["N1"].pieces == ()
        assert "worked out" in screen.wrong, (screen.wrong, pane.cursor_key)
        await pilot.press("8", "8", "enter")
        await reason(pilot)
        assert [piece.length_in for piece in app.day.state.anchors["N1"].pieces] == [88]
