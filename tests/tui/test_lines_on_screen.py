"""A line in the ground on the screen: its depth is typed where it holds, an advice is taken there."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from textual.pilot import Pilot

from crewtui.day.session.day import Day
from crewtui.tui.app.application import CrewApp
from crewtui.tui.app.day_screen import DayScreen
from crewtui.tui.panes.anchors_pane import AnchorsPane
from crewtui.tui.panes.figures_pane import FiguresPane
from crewtui.tui.panes.hazards_pane import HazardsPane
from crewtui.tui.widgets.dialogs import AskChoice
from crewtui.tui.widgets.rows import RowList

GAS = "line gas service"


def screen_of(app: CrewApp) -> DayScreen:
    return next(screen for screen in app.screen_stack if isinstance(screen, DayScreen))


async def press(pilot: Pilot[int], *keys: str) -> None:
    for key in keys:
        await pilot.press(key)
    await pilot.pause()


async def to_n4(app: CrewApp, pilot: Pilot[int], pane: str) -> None:
    """Go to the fourth anchor, whose rod the gas service crosses."""
    await press(pilot, "a")
    await go_to(screen_of(app).query_one(AnchorsPane), pilot, "N4")
    await press(pilot, "enter", pane)
    assert screen_of(app).anchor_id == "N4"


async def go_to(rows: RowList, pilot: Pilot[int], key: str) -> None:
    await press(pilot, "home")
    for _ in range(90):
        if rows.cursor_key == key:
            return
        await press(pilot, "down")
    raise AssertionError(f"{key} is not there; {[row.key for row in rows.rows]}")


def by_lines(day: Day) -> list[str]:
    return [hold.id.split()[0] for hold in day.standing_holds("N4") if hold.line]


@pytest.mark.parametrize("on_the_hold", [True, False])
async def test_a_depth_is_typed_on_the_hold_or_on_the_row_that_enter_leads_to(
    app: CrewApp, *, on_the_hold: bool
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await to_n4(app, pilot, "h")
        day, pane = screen_of(app).day, screen_of(app).pane_at(HazardsPane)
        await go_to(pane, pilot, "line at N4: gas service")
        if not on_the_hold:
            await press(pilot, "enter")
            assert pane.cursor_key == GAS
        await press(pilot, "1", "4", "enter")
        (found,) = day.state.shared.exposed
        assert (found.line, found.depth_in, found.anchor) == ("gas service", 14, "N4")
        assert by_lines(day) == ["watch"]
        watch = next(hold for hold in day.standing_holds("N4") if hold.line)
        await go_to(pane, pilot, watch.id)
        await press(pilot, "enter", "s", "s", "enter")
        assert by_lines(day) == []
        assert day.state.deviations == ()


async def test_a_line_too_near_leads_to_an_aim_that_clears_it_and_taking_it_is_no_deviation(
    app: CrewApp,
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await to_n4(app, pilot, "h")
        day, pane = screen_of(app).day, screen_of(app).pane_at(HazardsPane)
        await go_to(pane, pilot, GAS)
        await press(pilot, "2", "2", "enter")
        assert by_lines(day) == ["line"]
        await go_to(pane, pilot, "line at N4: gas service")
        await press(pilot, "enter")
        assert isinstance(app.screen, AskChoice)
        labels = [row.label for row in app.screen.query_one(RowList).rows]
        assert labels[0] == "gas service: type its depth"
        assert labels[1].startswith("Steeper: hold ")
        await press(pilot, "down", "enter")
        assert isinstance(app.screen, AskChoice)
        words = app.screen._words  # whole, beyond what a small screen shows
        for part in ("Angle to hold: ", "Ends: gas service", "Brings: The rod passes under", "Leaves Office"):
            assert part in words, words
        await press(pilot, "down", "enter")
        assert isinstance(app.screen, AskChoice)  # who agreed that the company's aim is left
        await press(pilot, "down", "enter")
        assert by_lines(day) == ["watch"]
        assert day.state.anchors["N4"].aim["aim_depth_in"] > 41
        assert day.state.deviations == ()


async def test_in_the_figures_an_advice_is_a_row_and_a_depth_typed_to_aim_for_is_taken(
    open_day: Callable[[str], Day],
) -> None:
    day = open_day("block-wall")
    day.ground.expose_line("gas service", "22", anchor="N4")
    app = CrewApp(day)
    async with app.run_test(size=(80, 24)) as pilot:
        await to_n4(app, pilot, "f")
        pane = screen_of(app).pane_at(FiguresPane)
        await go_to(pane, pilot, "advice clear of lines: steeper")
        await press(pilot, "enter")
        assert isinstance(app.screen, AskChoice)
        await press(pilot, "escape")
        assert "aim_depth_in" not in day.state.anchors["N4"].aim
        await go_to(pane, pilot, "input aim_depth_in")
        await press(pilot, "4", "6", "enter", "down", "enter", "down", "enter")
        assert day.state.anchors["N4"].aim == {"aim_depth_in": 46.0}
        assert day.state.deviations == ()
        assert pane.drafts == {}
