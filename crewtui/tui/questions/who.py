"""Who says so: initials are typed and a name is chosen, each time, so that no key alone signs for anybody."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from textual.app import App

from crewtui.tui.widgets.dialogs import GO_BACK, AskChoice, AskText
from crewtui.tui.widgets.pane import Here

_ANOTHER: Final = "another"


def competent_person(here: Here) -> tuple[str, str]:
    """Return the competent person's name, empty where nobody is named, and who says that it is so."""
    named = here.day.state.shared.answers.get("competent-person")
    if named is not None:
        return named.answer, "competent person today"
    return here.day.job.job.competent_person, "competent person by the job file"


def ask_initials(app: App[Any], words: str, done: Callable[[str], None]) -> None:
    """Ask for initials under what they sign; they are never filled in from before."""
    question = AskText(
        "Your initials", words, label="Initials:", needed="Type your initials first; Esc goes back."
    )
    app.push_screen(question, lambda text: done(text) if text is not None else None)


def ask_name(app: App[Any], title: str, words: str, here: Here, done: Callable[[str], None]) -> None:
    """Ask for a name: the competent person's is offered, never chosen beforehand."""

    def typed(text: str | None) -> None:
        if text is not None:
            done(text)

    def chosen(choice: str | None) -> None:
        if choice == _ANOTHER:
            app.push_screen(typing, typed)
        elif choice not in {None, GO_BACK}:
            done(person)

    typing = AskText(title, words, label="Name:", needed="Type the name first; Esc goes back.")
    person, said_by = competent_person(here)
    if not person:
        app.push_screen(typing, typed)
        return
    choices = (
        (GO_BACK, "Go back", ""),
        ("person", f"{person}, {said_by}", ""),
        (_ANOTHER, "Somebody else: type the name", ""),
    )
    app.push_screen(AskChoice(title, words, choices), chosen)


__all__ = ["ask_initials", "ask_name", "competent_person"]
