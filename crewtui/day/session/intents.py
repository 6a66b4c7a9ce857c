"""How an intent of the day comes back: saved, or what is asked back, in words."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import wraps
from typing import Concatenate, Final, ParamSpec, TypeVar

from pydantic import ValidationError

from crewtui.day.journal import entries as e
from crewtui.day.safety.holds import Hold, said
from crewtui.day.session.setting_up import said as said_of
from crewtui.day.session.views import ViewedDay
from crewtui.day.steps.outcomes import AskBackError, NeedsReason, Outcome, Refused, Saved, refuse

_INITIALS_MOST: Final = 3

P = ParamSpec("P")
D = TypeVar("D", bound="Intents")


def asking(intent: Callable[Concatenate[D, P], Outcome]) -> Callable[Concatenate[D, P], Outcome]:
    """Return the intent with what it asks back as its outcome; a day that is over is turned before it."""

    @wraps(intent)
    def run(self: D, /, *args: P.args, **kwargs: P.kwargs) -> Outcome:
        try:
            self.turn_day()
            return intent(self, *args, **kwargs)
        except AskBackError as asked:
            return asked.outcome
        except ValidationError as error:
            return Refused(sentence=f"That cannot be entered. {said_of(error)}")

    return run


class Intents(ViewedDay):
    """An open day that entries are put into."""

    def _save(self, entry: e.Entry) -> Saved:
        placed = self.put(entry)
        return Saved(entry=placed, words=self.wording.say(placed))


def need(text: str, sentence: str) -> None:
    """Ask back where nothing was typed."""
    if not e.plain_text(text):
        raise refuse(sentence)


def ask_reason(
    reason: str,
    sentences: tuple[str, ...],
    holds: tuple[Hold, ...],
    *,
    limit: str = "",
    better: str = "",
    among_initials: bool = False,
) -> None:
    """Ask for a reason where something deviates or is held and none was given; initials are none."""
    given = e.plain_text(reason)
    if not (sentences or holds) or (given and not _only_initials(given, any_case=among_initials)):
        return
    again = ("Initials are no reason: say why, in words.",) if given else ()
    held = (f"Held: {said(holds)}",) if holds else ()
    ask = "Enter it all the same with a reason; it is then a deviation."
    sentence = " ".join((*again, *held, *sentences, ask))
    raise AskBackError(NeedsReason(sentence=sentence, limit=limit, holds=holds, better=better))


def _only_initials(text: str, *, any_case: bool) -> bool:
    """Return whether every word is of three letters at most, and in capitals unless in any case."""
    words = [re.sub(r"[^\w]", "", word) for word in text.split()]
    return all(len(word) <= _INITIALS_MOST and (any_case or word == word.upper()) for word in words)
