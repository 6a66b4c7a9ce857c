"""Carrying out an intent: try it, ask what is asked back, say what came of it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Final

from msgspec.structs import replace
from textual.app import App

from crewtui.day.journal.chained import JournalError
from crewtui.day.state.hold import Hold
from crewtui.day.steps.outcomes import NeedsChoice, NeedsReason, NeedsSure, Outcome, Refused, Saved
from crewtui.tui.widgets.dialogs import DO_IT, GO_BACK, AskChoice, AskText, confirm
from crewtui.tui.widgets.pane import NOT_ENTERED, Intent, Pane
from crewtui.units import count_of

_REASON: Final = "reason"
_GO: Final = "go"

Told = Callable[[Outcome | JournalError, Intent, Pane | None], None]


class Carrier:
    """Carries intents out one at a time; ``told`` hears of each what came of it."""

    def __init__(self, app: App[object], told: Told, *, to_hold: Callable[[Hold], None]) -> None:
        """Take who hears of what came of it, and who goes to what holds a step."""
        self._app, self._told, self._to_hold = app, told, to_hold
        self.done_at: datetime | None = None
        """When the next dated entry was really done; None for now."""
        self.run = False
        """Whether that time is for a run of entries, until it is ended."""

    def carry_out(self, intent: Intent, pane: Pane | None = None) -> None:
        """Try the intent; ask for a choice or a reason where the day asks for one, and try again."""
        given = dict(intent.given)
        if intent.dated and self.done_at is not None:
            given["done_at"] = self.done_at
        try:
            outcome = intent.method(*intent.args, **given)
        except JournalError as error:
            self._told(error, intent, pane)
            return
        if isinstance(outcome, NeedsChoice) and intent.choice_as:
            self._ask_choice(outcome, intent, pane)
        elif isinstance(outcome, NeedsSure):
            self._ask_sure(outcome, intent, pane)
        elif isinstance(outcome, NeedsReason) and intent.takes_reason:
            if outcome.better and intent.again is not None and "reason" not in given:
                self._ask_better(outcome, intent, pane)
            elif outcome.holds and "reason" not in given:
                self._ask_held(outcome, intent, pane)
            else:
                self._ask_reason(outcome, intent, pane)
        else:
            if isinstance(outcome, Saved) and intent.dated and not self.run:
                self.done_at = None
            self._told(outcome, intent, pane)

    def _ask_choice(self, asked: NeedsChoice, intent: Intent, pane: Pane | None) -> None:
        def answered(choice: str | None) -> None:
            if choice is not None:
                given = {**intent.given, intent.choice_as: choice}
                self.carry_out(replace(intent, given=given), pane)

        choices = [(choice, choice, "") for choice in asked.choices]
        head, words = (intent.about, asked.sentence) if intent.about else (asked.sentence, "")
        self._app.push_screen(AskChoice(head, words, choices), answered)

    def _ask_sure(self, asked: NeedsSure, intent: Intent, pane: Pane | None) -> None:
        def answered(choice: str | None) -> None:
            if choice == DO_IT:
                self.carry_out(replace(intent, given={**intent.given, "sure": True}), pane)
            else:
                self._told(Refused(sentence=NOT_ENTERED), intent, pane)

        title = f"{intent.about} - is it so?" if intent.about else "Is it so?"
        self._app.push_screen(confirm(title, asked.sentence, do_it="It was measured so: enter it"), answered)

    def _ask_held(self, asked: NeedsReason, intent: Intent, pane: Pane | None) -> None:
        """Ask first whether to go to what holds it, or whether it was done all the same."""

        def answered(choice: str | None) -> None:
            if choice == _GO:
                self._to_hold(asked.holds[0])
            elif choice == _REASON:
                self._ask_reason(asked, intent, pane)
            else:
                self._told(Refused(sentence=NOT_ENTERED), intent, pane)

        more = len(asked.holds) - 1
        words = asked.holds[0].sentence + (f" And {count_of(more, 'more hold')}." if more else "")
        choices = (
            (_GO, "Go to what holds it", ""),
            (_REASON, "It was done all the same: say why", "a deviation in the record"),
            (GO_BACK, "Go back, nothing is entered", ""),
        )
        title = f"{intent.about} - held" if intent.about else "Held"
        self._app.push_screen(AskChoice(title, words, choices), answered)

    def _ask_better(self, asked: NeedsReason, intent: Intent, pane: Pane | None) -> None:
        """Ask whether to type the rest of it, before a reason is asked for."""

        def answered(choice: str | None) -> None:
            if choice == _REASON:
                self._ask_reason(asked, intent, pane)
            elif choice is None and not intent.typed:
                self._told(Refused(sentence=NOT_ENTERED), intent, pane)
            elif intent.again is not None:
                intent.again(intent.typed)

        choices = (("again", asked.better, ""), (_REASON, "Leave it so, with a reason: a deviation", ""))
        self._app.push_screen(
            AskChoice(f"{intent.about} - not as it should be", asked.sentence, choices), answered
        )

    def _ask_reason(self, asked: NeedsReason, intent: Intent, pane: Pane | None) -> None:
        def answered(reason: str | None) -> None:
            if reason is not None:
                self.carry_out(replace(intent, given={**intent.given, "reason": reason}), pane)
            elif intent.again is not None and intent.typed:
                intent.again(intent.typed)
            else:
                self._told(Refused(sentence=NOT_ENTERED), intent, pane)

        title = "held, enter it all the same?" if asked.holds else "not as it should be"
        title = f"{intent.about} - {title}" if intent.about else title.capitalize()
        question = AskText(
            title, asked.sentence, label="The reason, in words:", needed="A reason is needed; Esc goes back."
        )
        self._app.push_screen(question, answered)
