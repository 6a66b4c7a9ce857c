"""Rounds of tightening by keys: clicked, came in by, did not come up; where the last is entered."""

from __future__ import annotations

from textual.widgets import Input

from crewtui.tui.app.application import CrewApp
from crewtui.tui.app.day_screen import DayScreen
from crewtui.tui.pages.rounds_page import RoundsPage
from crewtui.tui.widgets.dialogs import AskChoice, AskText
from crewtui.tui.widgets.rows import RowList


async def test_a_round_goes_along_the_wall_with_a_key_an_anchor(app: CrewApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("s", "z")
        await pilot.pause()
        page = app.screen
        assert isinstance(page, RoundsPage)
        for moment in ("start", "dig", "drill and drive", "tighten"):
            app.day.safety.sign_moment(moment, initials="IL")  # type: ignore[arg-type]
        for hold in app.day.holds_on("first-torque", "N1"):
            app.day.safety.release_hold(hold.id, "N1", initials="Sam Sample")
        rows = page.query_one(RowList)
        assert rows.cursor_key == "first 1 N1"
        await pilot.press("enter")
        await pilot.pause()
        done = app.day.state.anchors["N1"].rounds["first", 1]
        assert done.clicked
        assert done.set_lbf_ft < done.torque_lbf_ft, "the sample's wrench has an extension"
        assert rows.cursor_key == "first 1 N2"
        await pilot.press("1", "slash", "4", "enter")
        await pilot.pause()
        assert app.day.state.anchors["N2"].rounds["first", 1].came_in_in == 0.25


async def test_a_nut_that_did_not_come_up_asks_how_far_it_came(app: CrewApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("s", "z", "x")
        await pilot.pause()
        assert isinstance(app.screen, AskText)
        app.screen.query_one(Input).value = "3/8"
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, AskChoice), "held: nothing is signed yet"
        await pilot.press("down", "enter")
        await pilot.pause()
        app.screen.query_one(Input).value = "tightened before the briefing"
        await pilot.press("enter")
        await pilot.pause()
        done = app.day.state.anchors["N1"].rounds["first", 1]
        assert (done.clicked, done.came_in_in) == (False, 0.375)


async def test_the_last_round_leads_to_its_own_step(app: CrewApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("s", "z")
        await pilot.pause()
        page = app.screen
        assert isinstance(page, RoundsPage)
        page.query_one(RowList).go_to("first 3 N2", quietly=True)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, DayScreen)
        assert app.screen.anchor_id == "N2"
        assert app.screen.steps_pane.cursor_key == "first-torque"
