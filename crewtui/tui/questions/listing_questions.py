"""The questions about something that the job file does not list, one after the other; Esc lists nothing."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from textual.app import App

from crewtui.day.session.day import Day
from crewtui.day.steps.listing import Listing, ListingQuestion, asked_of, values_of, wrong_with
from crewtui.tui.widgets.dialogs import AskChoice, AskText


def ask_listing(app: App[Any], day: Day, listing: Listing, then: Callable[[dict[str, Any]], None]) -> None:
    """Ask everything about one more of something, then hand on what the day keeps of it."""
    questions = asked_of(listing, day.state)
    texts: dict[str, str] = {}

    def ask(at: int) -> None:
        if at == len(questions):
            then(values_of(listing, texts, day.state))
            return
        _ask(app, day, questions[at], lambda text: answered(at, text))

    def answered(at: int, text: str) -> None:
        texts[questions[at].key] = text
        ask(at + 1)

    ask(0)


def _ask(app: App[Any], day: Day, question: ListingQuestion, then: Callable[[str], None]) -> None:
    def taken(text: str | None) -> None:
        if text is not None:
            then(text)

    if question.choices:
        choices = [(one, one[:1].upper() + one[1:], "") for one in question.choices]
        app.push_screen(AskChoice(question.title, question.words, choices), taken)
        return

    def wrong(text: str) -> str | None:
        return wrong_with(question, text, day.job.job.units) or None

    app.push_screen(
        AskText(question.title, question.words, check=wrong, may_be_empty=not question.needed), taken
    )


__all__ = ["ask_listing"]
