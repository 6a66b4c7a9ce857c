"""The job file was edited while the day is under way: what it has otherwise, and which plan counts."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from textual.app import App

from crewtui.day.session.day import Day
from crewtui.tui.widgets.dialogs import AskChoice, AskText
from crewtui.tui.widgets.pane import Intent

_STAY: Final = "stay"
_CHOICES: Final = (
    (_STAY, "Go on with the plan that the day opened", ""),
    ("take", "Take the edited plan from here on, with a reason", ""),
)
_ASKED: Final = (
    "What it has otherwise than the plan that the day works with (Tab reads on). Call the office if nobody"
    " told you of it."
)


class PlanQuestion:
    """One such question; Esc leaves it open, and it is asked again at the next opening and before signing."""

    def __init__(self, app: App[object], day: Day, carry_out: Callable[[Intent], None]) -> None:
        self._app, self._day, self._carry_out = app, day, carry_out

    def ask(self) -> bool:
        """Ask where there is something to ask; whether there is."""
        changes = self._day.plan_changes()
        if not changes:
            return False
        words = "\n".join((_ASKED, "", *changes))
        self._app.push_screen(AskChoice("The job file was edited", words, _CHOICES), self._chosen)
        return True

    def _chosen(self, choice: str | None) -> None:
        if choice is None:
            return
        title = "Who says so?" if choice == _STAY else "Who takes the edited plan?"
        question = AskText(title, label="Name:", needed="Type the name first; Esc goes back.")
        self._app.push_screen(question, lambda name: self._named(choice, name))

    def _named(self, choice: str, name: str | None) -> None:
        if name is None:
            return
        if choice == _STAY:
            self._carry_out(Intent(method=self._day.job_file.stay_with_opened_plan, given={"name": name}))
            return
        question = AskText(
            "Why does the plan change?",
            "Whose word it is, and what for. The record keeps it.",
            label="The reason, in words:",
            needed="A reason is needed; Esc goes back.",
        )
        self._app.push_screen(question, lambda reason: self._take(name, reason))

    def _take(self, name: str, reason: str | None) -> None:
        if reason is not None:
            given = {"name": name, "reason": reason}
            self._carry_out(Intent(method=self._day.job_file.take_edited_plan, given=given))
