"""Ground that is not as hoped, and a call about it, by keys alone: kept, with what was read out."""

from __future__ import annotations

from textual.pilot import Pilot

from crewtui.day.journal import beside_entries as b
from crewtui.tui.app.application import CrewApp
from crewtui.tui.widgets.dialogs import AskChoice, AskText

SIGNS = {" ": "space", ",": "comma", "?": "question_mark"}


async def type_line(pilot: Pilot[int], text: str) -> None:
    await pilot.press(*[SIGNS.get(sign, sign) for sign in text], "enter")
    await pilot.pause()


async def test_rock_on_the_drive_is_met_and_a_call_keeps_what_was_read_out(app: CrewApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("s", "colon")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        await type_line(pilot, "31")
        ways = app.screen
        assert isinstance(ways, AskChoice)
        await pilot.press("end", "enter")
        await pilot.pause()
        assert isinstance(app.screen, AskText)
        await type_line(pilot, "may it move")
        await type_line(pilot, "engineer")
        await type_line(pilot, "yes, 12 in")
        found, call = app.day.journal.entries[-2:]
        assert isinstance(found, b.GroundFound)
        assert (found.anchor, found.what, found.at, found.depth_in) == ("N1", "rock", "drive", 31)
        assert isinstance(call, b.CallMade)
        assert call.who == "engineer"
        assert "Angle to hold" in call.about
        assert "may it move" in call.about
        assert call.said == "yes, 12 in"


async def test_a_way_that_is_chosen_stands_with_what_was_met(app: CrewApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("s", "colon")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("down", "enter")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        found = app.day.journal.entries[-1]
        assert isinstance(found, b.GroundFound)
        assert found.at == "pit"
        assert found.depth_in is None
        assert "rod point" in found.note


async def test_esc_at_any_question_enters_nothing(app: CrewApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("s")
        for answers in range(3):
            before = len(app.day.journal.entries)
            await pilot.press("colon")
            await pilot.pause()
            for _ in range(answers):
                await pilot.press("enter")
                await pilot.pause()
            await pilot.press("escape")
            await pilot.pause()
            assert len(app.day.journal.entries) == before
