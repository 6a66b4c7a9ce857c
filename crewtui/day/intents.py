"""How an intent of the day comes back: saved, or what is asked back, in words."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec, TypeVar

from pydantic import ValidationError

from crewtui.day import entries as e
from crewtui.day.holds import Hold, said
from crewtui.day.outcomes import AskBackError, NeedsReason, Outcome, Refused, Saved, refuse
from crewtui.day.setting_up import said as said_of
from crewtui.day.views import ViewedDay

P = ParamSpec("P")
D = TypeVar("D", bound="Intents")


def asking(intent: Callable[Concatenate[D, P], Outcome]) -> Callable[Concatenate[D, P], Outcome]:
    """Return the intent with what it asks back as its outcome."""

    @wraps(intent)
    def run(self: D, /, *args: P.args, **kwargs: P.kwargs) -> Outcome:
        try:
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


def ask_reason(reason: str, sentences: tuple[str, ...], holds: tuple[Hold, ...], *, limit: str = "") -> None:
    """Ask for a reason where something deviates or is held and none was given."""
    if e.plain_text(reason) or not (sentences or holds):
        return
    held = (f"Held: {said(holds)}",) if holds else ()
    ask = "Enter it all the same with a reason; it is then a deviation."
    raise AskBackError(NeedsReason(sentence=" ".join((*held, *sentences, ask)), limit=limit, holds=holds))
