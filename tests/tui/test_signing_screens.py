"""Signing on the screen: the key on first use, a wrong passphrase, a mistake mended by a new revision."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.screen import Screen
from textual.widgets import Input, Static

from crewtui.day.journal import entries as e
from crewtui.day.journal.chained import JournalError
from crewtui.day.session.day import Day
from crewtui.record.signed.chain import verify_all
from crewtui.record.signed.known_keys import load_known
from crewtui.record.signed.sign import record_path
from crewtui.record.signed.signing_keys import own_key_path
from crewtui.tui.app.application import CrewApp
from crewtui.tui.app.day_screen import DayScreen
from crewtui.tui.panes.record_pane import DRAFT, SIGN, RecordPane
from crewtui.tui.widgets.dialogs import AskText
from crewtui.tui.widgets.pages import WordsPage

SMALL = (80, 24)
SECRET = "dry sand"  # noqa: S105 - of a key made in a test


async def shows(pilot: Pilot[int], kind: type[Screen[Any]]) -> None:
    """Wait for a screen of that kind: opening a key takes a while, on purpose."""
    for _ in range(500):
        await pilot.pause(0.02)
        if isinstance(pilot.app.screen, kind):
            return
    raise AssertionError(f"{kind.__name__} did not come, but {pilot.app.screen}")


async def answer(pilot: Pilot[int], text: str | None = None) -> None:
    """Type an answer over what stands in the question, and press Enter."""
    await pilot.pause()
    assert isinstance(pilot.app.screen, AskText), pilot.app.screen
    if text is None:
        await pilot.pause(0.3)  # Enter after Enter at once would count as leaned on.
    else:
        pilot.app.screen.query_one(Input).value = ""
        await pilot.press("x", "backspace", *("space" if sign == " " else sign for sign in text))
    await pilot.press("enter")
    await pilot.pause()


async def ask_to_sign(pilot: Pilot[int]) -> None:
    await pilot.press("c")
    await pilot.pause()
    pane = pilot.app.screen.query_one(RecordPane)
    pane.go_to(SIGN)
    pane.action_choose()
    await pilot.pause()
    await pilot.press("down", "enter")
    await pilot.pause()


async def signed(pilot: Pilot[int]) -> str:
    """Return the words of the page that says so, and go back."""
    await shows(pilot, WordsPage)
    words = str(pilot.app.screen.query_one(".words", Static).render())
    await pilot.press("escape")
    await pilot.pause()
    assert isinstance(pilot.app.screen, DayScreen)
    return words


def records(folder: Path) -> list[Path]:
    return sorted(folder.glob("*.record.toml"))


async def test_first_use_makes_the_key_and_a_mistake_is_mended_by_a_revision(
    open_day: Callable[[str], Day],
) -> None:
    day = open_day("block-wall")
    async with CrewApp(day).run_test(size=SMALL) as pilot:
        await ask_to_sign(pilot)
        await answer(pilot, "Sam Sample")
        assert not own_key_path().exists()
        await answer(pilot, SECRET)
        await answer(pilot, "wet sand")
        assert isinstance(pilot.app.screen, AskText), "the second does not agree with the first"
        await answer(pilot, SECRET)
        said = await signed(pilot)
        assert "partial record, revision 1" in said
        assert "The owner's sheet stands beside it" in said
        assert "block-wall.record.html" in said
        day.beside.note("The second window is 36 in wide.")
        await ask_to_sign(pilot)
        await answer(pilot, "")
        assert isinstance(pilot.app.screen, AskText), "a revision needs a reason"
        await answer(pilot, "a note was missing")
        await answer(pilot)
        await answer(pilot, "wet sand")
        await shows(pilot, AskText)
        await answer(pilot, SECRET)
        assert "revision 2" in await signed(pilot)
    paths = [record_path(day.job_path), record_path(day.job_path, 2)]
    report = verify_all(paths, load_known())
    assert [(verdict.state, verdict.revision) for verdict in report.verdicts] == [("valid", 1), ("valid", 2)]
    assert report.verdicts[1].reason == "a note was missing"
    for path in (*paths, day.journal.file):
        assert SECRET not in path.read_text(encoding="utf-8")


async def test_the_draft_of_the_sheet_is_written_before_anybody_signs(open_day: Callable[[str], Day]) -> None:
    day = open_day("block-wall")
    page = day.job_path.with_name("block-wall.draft.html")
    async with CrewApp(day).run_test(size=SMALL) as pilot:
        await pilot.press("c")
        await pilot.pause()
        pane = pilot.app.screen.query_one(RecordPane)
        pane.go_to(DRAFT)
        pane.action_choose()
        await pilot.pause()
        screen = pilot.app.screen
        assert isinstance(screen, DayScreen)
        assert screen.said == f"Written: {page}"
        page.unlink()
        page.mkdir()
        pane.action_choose()
        await pilot.pause()
        assert "cannot be written" in screen.wrong
    assert not records(day.job_path.parent)


async def test_esc_at_any_question_signs_nothing(app: CrewApp, tmp_path: Path) -> None:
    async with app.run_test(size=SMALL) as pilot:
        for answers in ((), ("Sam Sample",), ("Sam Sample", SECRET)):
            await ask_to_sign(pilot)
            for text in answers:
                await answer(pilot, text)
            await pilot.press("escape")
            await pilot.pause()
            assert isinstance(pilot.app.screen, DayScreen)
    assert not records(tmp_path)
    assert not own_key_path().exists()


async def test_a_journal_that_fails_after_signing_is_said_truly(
    app: CrewApp, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await ask_to_sign(pilot)
        await answer(pilot, "Sam Sample")
        await answer(pilot, SECRET)

        def full(_: e.Entry) -> e.Entry:
            raise JournalError("The disk is full.", "Make room.")

        with monkeypatch.context() as patch:
            patch.setattr(app.day, "put", full)
            await answer(pilot, SECRET)
            await shows(pilot, DayScreen)
        screen = app.screen
        assert isinstance(screen, DayScreen)
        assert "IS signed and on the disk" in screen.wrong
        assert "Nothing was signed" not in screen.wrong
        await ask_to_sign(pilot)
        await answer(pilot)
        await answer(pilot, SECRET)
        assert "revision 1" in await signed(pilot)
