"""The questions with which the competent person's judgment of the soil is entered."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from textual.app import App

from crewtui.tui.questions.who import ask_name
from crewtui.tui.widgets.dialogs import AskChoice
from crewtui.tui.widgets.pane import Here

_SOILS: Final = (
    ("C", "C: weak, sand or gravel, wet, or not sure", ""),
    ("B", "B: firm, or dug before and firm", ""),
    ("A", "A: hard clay that was never dug", ""),
    ("rock", "Stable rock that was never dug", ""),
)
_DUG: Final = (
    ("dug", "It was, or nobody knows: it counts as B", ""),
    ("never", "Never: the competent person says so", ""),
)

Judged = Callable[[str, bool, str], None]
"""Takes the type, whether the ground was never dug, and the name."""


class SoilQuestions:
    """Asks type, then for A and rock whether the ground was ever dug, then the name."""

    def __init__(self, app: App[Any], here: Here, *, judged: Judged) -> None:
        self._app, self._here, self._judged = app, here, judged
        self._soil, self._undisturbed = "C", False

    def ask(self) -> None:
        """Ask for the type; the weakest stands first."""
        words = "As the competent person judges it, by test and look at this ground."
        self._app.push_screen(AskChoice("The soil of the pits", words, _SOILS), self._typed)

    def _typed(self, soil: str | None) -> None:
        if soil is None:
            return
        self._soil = soil
        if soil in {"A", "rock"}:
            self._app.push_screen(AskChoice("Was this ground ever dug?", "", _DUG), self._dug)
        else:
            self._ask_name()

    def _dug(self, choice: str | None) -> None:
        if choice is not None:
            self._undisturbed = choice == "never"
            self._ask_name()

    def _ask_name(self) -> None:
        words = "Fill beside a house is B at best, and C until somebody competent has judged it."
        title = "Who judged it? A competent person's name"
        ask_name(
            self._app,
            title,
            words,
            self._here,
            lambda name: self._judged(self._soil, self._undisturbed, name),
        )


__all__ = ["SoilQuestions"]
