"""What happens to a day that stays open: midnight, a full disk, an edited job file, an anchor that goes."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from fixed_clock import MORNING, Watch

from crewtui.day.session.day import Day
from crewtui.tui.app.application import CrewApp
from crewtui.tui.app.day_screen import DayScreen
from crewtui.tui.widgets.chrome import SayingView
from crewtui.tui.widgets.dialogs import AskChoice, AskText
from crewtui.tui.widgets.header import HeaderView
from crewtui.tui.widgets.pages import WordsPage

SMALL = (80, 24)


def screen_of(app: CrewApp) -> DayScreen:
    return next(screen for screen in app.screen_stack if isinstance(screen, DayScreen))


def said(app: CrewApp) -> str:
    return " ".join(words for _, words in screen_of(app).query_one(SayingView).saying.lines)


@pytest.fixture
def watch(app: CrewApp) -> Watch:
    app.day.clock = watch = Watch()
    return watch


async def test_the_next_morning_the_first_key_finds_a_new_day(app: CrewApp, watch: Watch) -> None:
    async with app.run_test(size=SMALL) as pilot:
        watch.now = MORNING + timedelta(days=1)
        await pilot.press("v")
        await pilot.pause()
        assert app.day.state.shared.day_began_at == watch.now
        await pilot.press("s")
        await pilot.pause()
        assert [type(entry).__name__ for entry in app.day.journal.entries].count("DayOpened") == 2


async def test_without_any_key_the_day_turns_by_itself_and_says_so(app: CrewApp, watch: Watch) -> None:
    async with app.run_test(size=SMALL) as pilot:
        watch.now = MORNING + timedelta(days=1)
        app._turn_day()  # as its timer does
        await pilot.pause()
        assert "A new day has begun: Tuesday 2026-12-01" in said(app)


async def test_a_morning_that_cannot_be_saved_is_said(
    app: CrewApp, watch: Watch, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with app.run_test(size=SMALL) as pilot:
        watch.now = MORNING + timedelta(days=1)
        monkeypatch.setattr("os.write", _full)
        app._turn_day()
        await pilot.pause()
        assert "is full" in said(app)
        assert screen_of(app).query_one(HeaderView).header.alarm


def _full(*_: object) -> int:
    raise OSError(28, "No space left on device")


async def test_with_the_disk_full_what_an_emergency_was_is_said_not_to_be_saved_after_its_page(
    app: CrewApp, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with app.run_test(size=SMALL) as pilot:
        with monkeypatch.context() as patch:
            patch.setattr("os.write", _full)
            await pilot.press("e", "escape", "g")
            await pilot.pause()
        assert isinstance(app.screen, DayScreen)
        assert "Not saved: the disk" in said(app)
        assert screen_of(app).query_one(HeaderView).header.alarm
        assert app.day.state.shared.emergencies == ()


@pytest.fixture
def edited(open_day: Callable[[str], Day], tmp_path: Path) -> CrewApp:
    open_day("block-wall").close()
    job = tmp_path / "block-wall.toml"
    text = job.read_text(encoding="utf-8")
    one = text.index("[[anchors]]")
    text = text[:one] + text[text.index("[[anchors]]", one + 1) :]
    job.write_text(text.replace("frost_depth = 30", "frost_depth = 42"), encoding="utf-8")
    return CrewApp(open_day("block-wall"))


async def test_an_edited_job_file_is_shown_and_asked_about_at_opening(edited: CrewApp) -> None:
    async with edited.run_test(size=SMALL) as pilot:
        await pilot.pause()
        assert isinstance(edited.screen, AskChoice)
        assert "ground, frost depth: 42 in, was 30 in" in edited.screen._words
        await pilot.press("escape")
        await pilot.pause()
        assert edited.day.plan_changes(), "Esc leaves it open"
        assert edited.day.job.ground.frost_depth_in == 30


async def test_the_opened_plan_can_be_stayed_with(edited: CrewApp) -> None:
    async with edited.run_test(size=SMALL) as pilot:
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(edited.screen, AskText)
        await pilot.press("P", "S", "enter")
        await pilot.pause()
        assert isinstance(edited.screen, DayScreen)
        assert edited.day.plan_changes() == ()
        assert edited.day.job.ground.frost_depth_in == 30


async def test_the_edited_plan_can_be_taken_and_taken_back_though_the_anchor_in_front_is_not_in_it(
    edited: CrewApp,
) -> None:
    async with edited.run_test(size=SMALL) as pilot:
        await pilot.pause()
        gone = screen_of(edited).anchor_id
        await pilot.press("down", "enter", "P", "S", "enter", *"moved", "enter")
        await pilot.pause()
        assert edited.day.job.ground.frost_depth_in == 42
        assert gone not in edited.day.state.anchors
        assert screen_of(edited).anchor_id in edited.day.state.anchors
        await pilot.press("u")
        await pilot.pause()
        assert edited.day.job.ground.frost_depth_in == 30
        assert gone in edited.day.state.anchors


async def test_taking_back_an_added_anchor_while_standing_at_it(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        wall = app.day.job.walls[0].name
        app.day.site.add_anchor("X-1", wall=wall, values={"along_in": 10.0}, reason="a crack")
        screen_of(app).go(anchor="X-1", pane="steps")
        await pilot.press("u")
        await pilot.pause()
        assert screen_of(app).anchor_id in app.day.state.anchors
        await pilot.press("s", "r", "h", "w", "e")
        await pilot.pause()


async def test_a_page_leaves_once_and_never_takes_the_day_with_it(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("k")
        await pilot.pause()
        page = app.screen
        assert isinstance(page, WordsPage)
        page.dismiss()
        page.dismiss()
        await pilot.pause()
        assert isinstance(app.screen, DayScreen)
        assert len([screen for screen in app.screen_stack if isinstance(screen, DayScreen)]) == 1


async def test_a_question_behind_the_emergency_page_takes_neither_away(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("q")
        await pilot.pause()
        question = app.screen
        assert isinstance(question, AskChoice)
        await pilot.press("exclamation_mark")
        await pilot.pause()
        front = app.screen
        question.dismiss("leave")
        await pilot.pause()
        assert app.screen is front
        assert app.return_code is None
        assert question in app.screen_stack
