"""What hands in gloves do: one step at every anchor in turn, and keys that are leaned on."""

from __future__ import annotations

import asyncio

import pytest
from gloves import lean
from textual.events import Key
from textual.pilot import Pilot

from crewtui.tui.app import key_gate
from crewtui.tui.app.application import CrewApp
from crewtui.tui.app.day_screen import DayScreen
from crewtui.tui.pages.emergency_page import EmergencyPage
from crewtui.tui.panes.steps_pane import StepsPane
from crewtui.tui.widgets.chrome import SayingView
from crewtui.tui.widgets.dialogs import AskChoice
from crewtui.tui.widgets.rows import RowList

SMALL = (80, 24)
HANDS_S = key_gate.FIRST_REPEAT_S


@pytest.fixture(autouse=True)
def heavy_hands(quick_hands: None, monkeypatch: pytest.MonkeyPatch) -> None:  # noqa: ARG001 - it comes first
    monkeypatch.setattr(key_gate, "FIRST_REPEAT_S", HANDS_S)


def screen_of(app: CrewApp) -> DayScreen:
    return next(screen for screen in app.screen_stack if isinstance(screen, DayScreen))


def said(app: CrewApp) -> str:
    return " ".join(words for _, words in screen_of(app).query_one(SayingView).lines)


async def measure(pilot: Pilot[int], text: str) -> None:
    await pilot.press(*text, "enter")
    await pilot.pause()


async def test_next_anchor_goes_on_with_the_step_just_done(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s")
        for anchor in ("N1", "N2", "N3"):
            screen = screen_of(app)
            assert (screen.anchor_id, screen.steps_pane.cursor_key) == (anchor, "setback")
            await measure(pilot, "156")
            assert screen.steps_pane.cursor_key == "drop"
            await pilot.press("n")
        done = {ident: now.value("setback_in") for ident, now in app.day.state.anchors.items()}
        assert done == {"N1": 156, "N2": 156, "N3": 156, "N4": None, "N5": None}


async def test_next_anchor_follows_a_cursor_that_was_moved(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s")
        await measure(pilot, "156")
        await pilot.press("down", "up", "n")
        assert screen_of(app).steps_pane.cursor_key == "drop"


async def test_leaning_on_take_back_takes_back_one(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s")
        await measure(pilot, "156")
        await measure(pilot, "6")
        before = len(app.day.journal.entries)
        await lean(pilot, "u", 20)
        assert len(app.day.journal.entries) == before + 1
        assert "let go of u" in said(app)
        assert app.day.state.anchors["N1"].value("setback_in") == 156


async def test_take_back_pressed_again_takes_back_the_one_before(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s")
        await measure(pilot, "156")
        await measure(pilot, "6")
        await lean(pilot, "u", 1)
        await pilot.pause(HANDS_S)
        await lean(pilot, "u", 1)
        assert app.day.state.anchors["N1"].value("drop_in") is None
        assert app.day.state.anchors["N1"].value("setback_in") is None


async def test_a_key_pressed_again_at_a_hands_pace_counts_again(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s")
        for value in ("156", "6", "1/4"):
            await measure(pilot, value)
        before = len(app.day.journal.entries)
        await lean(pilot, "u", 2)
        assert len(app.day.journal.entries) == before + 2


@pytest.mark.parametrize("key", ["enter", "space"])
async def test_leaning_on_a_check_checks_one_step(app: CrewApp, key: str) -> None:
    async with app.run_test(size=SMALL) as pilot:
        screen = screen_of(app)
        await pilot.press("d")
        screen.in_front.go_to("step wall-look")  # type: ignore[union-attr]
        before = len(app.day.journal.entries)
        await lean(pilot, key, 50)
        assert len(app.day.journal.entries) == before + 1
        assert "One at a time" in said(app)


async def test_what_a_glove_is_told_stays_until_the_next_key_whatever_arrives_meanwhile(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        screen = screen_of(app)
        await pilot.press("d")
        screen.in_front.go_to("step wall-look")  # type: ignore[union-attr]
        await lean(pilot, "enter", 5)
        screen.rebuild()  # as when the truck has been worked out
        screen._repaint()
        assert "One at a time" in said(app)
        await pilot.press("down")
        assert "One at a time" not in said(app)


async def test_a_part_that_hangs_does_not_lock_the_emergency_key(
    app: CrewApp, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(key_gate, "GIVES_UP_S", 0.1)
    goes_on = asyncio.Event()

    async def hangs(_pane: StepsPane, _key: Key) -> None:
        await goes_on.wait()

    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s")
        monkeypatch.setattr(StepsPane, "_on_key", hangs)
        for key in ("1", "2", "3"):
            app.post_message(Key(key, key))
        app.post_message(Key("exclamation_mark", "!"))
        async with asyncio.timeout(10):
            while not isinstance(app.screen, EmergencyPage):  # noqa: ASYNC110 - the pilot would wait for the pane
                await asyncio.sleep(0.01)
        goes_on.set()


async def test_leaning_on_enter_signs_one_hazard_once(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("h")
        pane = screen_of(app).in_front
        assert isinstance(pane, RowList)
        pane.go_to("marks-on-ground")
        await pilot.press("enter", "J", "D", "enter")
        await pilot.pause()
        before = len(app.day.journal.entries)
        await lean(pilot, "enter", 20)
        assert len(app.day.journal.entries) == before


async def test_leaning_on_enter_at_the_pit_never_says_that_nobody_goes_in(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("h")
        pane = screen_of(app).in_front
        assert isinstance(pane, RowList)
        pane.go_to("pit entry")
        await lean(pilot, "enter", 9)
        assert app.day.state.anchors["N1"].pit_entry in {None, True}


async def test_a_question_about_a_step_names_anchor_and_step(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s")
        screen_of(app).steps_pane.go_to("core")
        await pilot.press("x")
        await pilot.pause()
        assert isinstance(app.screen, AskChoice)
        assert app.screen._title == "N1: The hole meets"


async def test_enter_on_a_value_that_is_not_typed_says_what_to_type(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s", "enter")
        await pilot.pause()
        assert "write a length" in screen_of(app).wrong
