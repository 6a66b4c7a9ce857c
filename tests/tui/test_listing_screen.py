"""A line found in the yard is listed by keys alone, from anywhere, and by find."""

from __future__ import annotations

from textual.pilot import Pilot

from crewtui.tui.app.application import CrewApp
from crewtui.tui.pages.fill_in_page import FillIn
from crewtui.tui.widgets.dialogs import AskChoice, AskText

SIGNS = {" ": "space", ",": "comma", ";": "semicolon", "'": "apostrophe"}


async def type_line(pilot: Pilot[int], text: str) -> None:
    await pilot.press(*[SIGNS.get(sign, sign) for sign in text], "enter")
    await pilot.pause()


async def test_a_line_is_listed_with_the_keyboard_alone(app: CrewApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("less_than_sign", "home", "enter")
        await pilot.pause()
        await type_line(pilot, "lamp feed")
        assert isinstance(app.screen, AskChoice)
        await pilot.press("enter")
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, AskText)
        await type_line(pilot, "100")
        assert isinstance(app.screen, AskText), "one number is no point: it is said, and asked again"
        await pilot.press(*["backspace"] * 3)
        await type_line(pilot, "100, 0; 100, 300")
        assert isinstance(app.screen, FillIn)
        assert app.day.job.lines[-1].name == "lamp feed"
        await pilot.press("escape")
        await pilot.press("slash", *"lamp")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert "lamp feed" in app.screen.in_front.cursor_key  # type: ignore[attr-defined]


async def test_what_is_not_listed_says_what_that_costs(app: CrewApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("less_than_sign", "home")
        await pilot.pause()
        said = " ".join(words for _, words in app.screen.query_one("SayingView").saying.lines)  # type: ignore[attr-defined]
        assert "no rod or pit is judged" in said
