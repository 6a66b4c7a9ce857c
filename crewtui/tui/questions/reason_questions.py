"""The questions that a command of the day asks before it does anything."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Final

from textual.app import App

from crewtui.day.session.day import Day
from crewtui.tui.questions.earlier_time import read_run
from crewtui.tui.widgets.dialogs import DO_IT, GO_BACK, AskChoice, AskText
from crewtui.tui.widgets.pane import Intent

_MARKS_FADED: Final = "marks faded"
_AGAIN: Final = (
    ("rain", "Rain", ""),
    ("thaw", "Thaw", ""),
    ("frost", "Frost, or a cold wind", "a warm place, the pits' sides again"),
    ("heat", "Heat", "water, shade and rest, the pits' sides again"),
    ("vibration", "Vibration, a truck or a machine close by", ""),
    ("a burst hose", "A burst hose or other water", ""),
    (_MARKS_FADED, "Marks on the ground have faded or gone", "digging and driving wait for new ones"),
)


def ask_when_done(
    app: App[object], clock: Callable[[], datetime], then: Callable[[datetime, bool], None]
) -> None:
    """Ask when the next entry, or a run of them, was really done, in words as people say them."""

    def wrong(text: str) -> str | None:
        result = read_run(text, clock())
        return result if isinstance(result, str) else None

    def answered(text: str | None) -> None:
        result = read_run(text, clock()) if text is not None else None
        if result is not None and not isinstance(result, str):
            then(*result)

    words = (
        "For the next entry only: 11:30, 45 min ago, yesterday 16:00. For all that comes,"
        " until this key again: all 11:30."
    )
    app.push_screen(AskText("When was it really done?", words, check=wrong), answered)


def ask_what_happened(app: App[object], day: Day, carry_out: Callable[[Intent], None]) -> None:
    """Ask what happened to the open pits or the marks, and enter that they are looked over again."""

    def answered(choice: str | None) -> None:
        if choice == _MARKS_FADED:
            carry_out(Intent(method=day.safety.marks_faded))
        elif choice is not None:
            carry_out(Intent(method=day.safety.reopen_inspection, args=(choice,)))

    words = "Open pits are looked over again by the competent person before anybody works on."
    app.push_screen(AskChoice("What happened?", words, _AGAIN), answered)


class LeaveQuestion(AskChoice):
    """Whether to close the program; asked once, however often."""


def ask_to_leave(app: App[object], drafts: int) -> None:
    """Ask whether to close the program, saying what was typed and not entered."""
    if any(isinstance(screen, LeaveQuestion) for screen in app.screen_stack):
        return

    def answered(choice: str | None) -> None:
        if choice == DO_IT:
            app.exit(0)

    words = "All that shows as saved is on the disk."
    if drafts:
        words = f"{drafts} typed and NOT saved: go back and press Enter on each. {words}"
    choices = ((GO_BACK, "Go back", ""), (DO_IT, "Close the program", ""))
    app.push_screen(LeaveQuestion("Leave?", words, choices), answered)
