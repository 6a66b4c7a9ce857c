"""Slips of the hand at a row: refused, taken back, there already, far from the plan, measured by nobody."""

from __future__ import annotations

import pytest
from textual.pilot import Pilot

from crewtui.tui.app.application import CrewApp
from crewtui.tui.app.day_screen import DayScreen
from crewtui.tui.keys.commands import FIXED_TYPING, PaneName
from crewtui.tui.pages.rod_page import WhatNow
from crewtui.tui.panes.steps_pane import StepsPane
from crewtui.tui.widgets.chrome import KeyBar, SayingView
from crewtui.tui.widgets.dialogs import GO_BACK, AskChoice, AskText
from crewtui.tui.widgets.pane import Pane
from crewtui.tui.widgets.rows import RowList

SMALL = (80, 24)
SIGNS = {" ": "space", "/": "slash", ".": "full_stop", "'": "apostrophe"}


def screen_of(pilot: Pilot[int]) -> DayScreen:
    return next(screen for screen in pilot.app.screen_stack if isinstance(screen, DayScreen))


async def at(pilot: Pilot[int], step: str) -> StepsPane:
    await pilot.press("s")
    pane = screen_of(pilot).steps_pane
    pane.go_to(step)
    await pilot.pause()
    return pane


async def type_in(pilot: Pilot[int], text: str) -> None:
    await pilot.press(*[SIGNS.get(sign, sign) for sign in text])


async def test_what_was_refused_is_typed_anew_and_never_added_to(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        pane = await at(pilot, "setback")
        await type_in(pilot, "13")
        await pilot.press("enter")
        assert "not likely here" in screen_of(pilot).wrong
        assert pane.drafts == {"setback": "13"}, "what was typed stands there to be read"
        await type_in(pilot, "6")
        assert pane.drafts == {"setback": "6"}


async def test_esc_drops_what_was_refused_before_it_leads_anywhere(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        pane = await at(pilot, "setback")
        await type_in(pilot, "13")
        await pilot.press("enter", "escape")
        assert pane.drafts == {}
        assert screen_of(pilot).pane == "steps"
        await pilot.press("escape")
        assert screen_of(pilot).pane == "anchors"


async def test_a_draft_left_on_a_row_is_typed_anew_too(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        pane = await at(pilot, "setback")
        await type_in(pilot, "1")
        await pilot.press("down", "up")
        await type_in(pilot, "156")
        assert pane.drafts["setback"] == "156"


async def test_what_is_taken_back_is_typed_onto_its_own_row(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        pane = await at(pilot, "setback")
        await type_in(pilot, "157")
        await pilot.press("enter")
        assert pane.cursor_key == "drop"
        await pilot.press("u")
        assert pane.cursor_key == "setback"
        await type_in(pilot, "156")
        await pilot.press("enter")
        now = app.day.state.anchors["N1"]
        assert (now.value("setback_in"), now.value("drop_in")) == (156, None)


async def test_a_step_of_another_anchor_that_is_taken_back_is_shown_there(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        pane = await at(pilot, "setback")
        await type_in(pilot, "156")
        await pilot.press("enter", "n", "a", "u")
        assert screen_of(pilot).anchor_id == "N1"
        assert (screen_of(pilot).pane, pane.cursor_key) == ("steps", "setback")
        said = " ".join(words for _, words in screen_of(pilot).query_one(SayingView).saying.lines)
        assert "Undone: N1: Set-back" in said


async def test_after_a_step_out_of_order_the_next_one_below_comes_up(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        pane = await at(pilot, "drop")
        await type_in(pilot, "6")
        await pilot.press("enter")
        assert pane.cursor_key == "marks"


async def test_what_is_entered_already_is_replaced_only_after_a_question(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        pane = await at(pilot, "setback")
        await type_in(pilot, "156")
        await pilot.press("enter")
        pane.go_to("setback")
        await type_in(pilot, "157")
        await pilot.press("enter")
        assert isinstance(app.screen, AskChoice)
        assert app.screen.query_one(RowList).cursor_key == GO_BACK
        await pilot.press("enter")
        assert app.day.state.anchors["N1"].value("setback_in") == 156
        await pilot.press("enter", "down", "enter")
        assert app.day.state.anchors["N1"].value("setback_in") == 157


async def test_what_is_far_from_the_plan_is_asked_back(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        pane = await at(pilot, "setback")
        await type_in(pilot, "136")
        await pilot.press("enter", "enter")
        assert app.day.state.anchors["N1"].value("setback_in") is None
        assert pane.drafts == {"setback": "136"}
        await pilot.press("enter", "down", "enter")
        assert app.day.state.anchors["N1"].value("setback_in") == 136
        assert app.day.state.deviations == ()


@pytest.mark.parametrize("result", ["mark", "aim"])
async def test_a_figure_is_in_the_record_only_once_somebody_says_it_was_measured(
    app: CrewApp, result: str
) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("f")
        pane = screen_of(pilot).figures_pane
        key = next(
            row.key for row in pane.rows if pane._results.get(row.key) is not None and result in row.key
        )
        pane.go_to(key)
        before = len(app.day.journal.entries)
        await pilot.press("enter")
        assert isinstance(app.screen, AskChoice)
        await pilot.press("enter")
        assert app.screen is screen_of(pilot)
        assert len(app.day.journal.entries) == before
        await pilot.press("enter", "down", "enter")
        if isinstance(app.screen, AskChoice):
            await pilot.press("down", "enter")
        if isinstance(app.screen, AskText):
            await type_in(pilot, "held, as the lead says")
            await pilot.press("enter")
        assert len(app.day.journal.entries) == before + 1


async def test_while_typing_the_foot_names_the_keys_that_work_then(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await at(pilot, "setback")
        bar = screen_of(pilot).query_one(KeyBar)
        assert bar.fixed != FIXED_TYPING
        await type_in(pilot, "1")
        assert bar.fixed == FIXED_TYPING
        await pilot.press("escape")
        assert bar.fixed != FIXED_TYPING


async def test_a_rod_outside_its_window_leads_to_the_ways_on_with_its_depth(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        for step, value in (("setback", "156"), ("drop", "6")):
            await at(pilot, step)
            await type_in(pilot, value)
            await pilot.press("enter")
        pane = await at(pilot, "depth-found")
        await type_in(pilot, "33")
        await pilot.press("enter")
        assert isinstance(app.screen, AskChoice)
        await pilot.press("enter")
        assert isinstance(app.screen, WhatNow)
        assert app.screen.query_one(RowList).drafts["depth"] == "33"
        assert pane.drafts == {}


async def test_a_reading_of_the_morning_is_typed_and_never_said_to_be_entered_before(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("d")
        pane = screen_of(pilot).in_front
        pane.go_to("step watch-base")  # type: ignore[union-attr]
        before = len(app.day.journal.entries)
        await pilot.press("enter")
        await pilot.pause()
        assert "Type the reading" in screen_of(pilot).wrong
        assert ("0-9", "type it") in screen_of(pilot).query_one(KeyBar).items
        assert len(app.day.journal.entries) == before
        await pilot.press(*"3 1", "slash", "4", "enter")
        await pilot.pause()
        assert app.day.state.shared.as_built["watch_base_in"].value == 3.25


@pytest.mark.parametrize(
    ("pane", "row"),
    [("steps", "plate-on"), ("steps", "core"), ("day", "step ticket")],
)
async def test_a_number_typed_where_none_is_taken_does_not_let_enter_tick_the_line(
    app: CrewApp, pane: PaneName, row: str
) -> None:
    async with app.run_test(size=SMALL) as pilot:
        screen = screen_of(pilot)
        screen.go(pane=pane)
        front = screen.in_front
        assert isinstance(front, Pane)
        front.go_to(row)
        await pilot.pause()
        before = len(app.day.journal.entries)
        await pilot.press("5", "4", "enter")
        await pilot.pause()
        assert len(app.day.journal.entries) == before
        assert pilot.app.screen is screen, "and no question is opened by it either"
        assert "No number was typed" in screen.wrong
        await pilot.press("enter")
        await pilot.pause()
        assert "No number was typed" not in screen.wrong, "the next Enter is meant"
