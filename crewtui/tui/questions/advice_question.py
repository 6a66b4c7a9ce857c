"""What is advised, before and after, whether to do it, and who agreed where the plan is left."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from textual.app import App

from crewtui.day.session.aim_intents import WHO_AGREED
from crewtui.day.steps.advice import Advice
from crewtui.tui.questions.who import ask_name
from crewtui.tui.widgets.dialogs import DO_IT, confirm
from crewtui.tui.widgets.pane import Here


def ask_advice(
    app: App[Any], here: Here, advice: Advice, wants: Callable[..., None], *, row: str = ""
) -> None:
    """Show what would come of an advice; take it once that is chosen, with a name where one is needed."""
    weighed = here.day.aim.weigh(advice)

    def take(agreed_by: str) -> None:
        wants(here.day.aim.take_advice, advice, given={"agreed_by": agreed_by}, row=row)

    def answered(choice: str | None) -> None:
        if choice != DO_IT:
            return
        if weighed.leaves:
            ask_name(app, WHO_AGREED, f"This leaves {' and '.join(weighed.leaves)}.", here, take)
        else:
            take("")

    words = "\n".join(weighed.lines) or "Nothing changes by it."
    app.push_screen(confirm(f"{advice.anchor}: {advice.words}", words, do_it="Do it"), answered)


__all__ = ["ask_advice"]
