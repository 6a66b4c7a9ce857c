"""How an intent of the day comes back: saved, or what is asked back, in words."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import wraps
from typing import Concatenate, Final, ParamSpec, TypeVar

from pydantic import ValidationError

from crewtui.day.journal.entry_parts import plain_text
from crewtui.day.session.views import ViewedDay
from crewtui.day.state.hold import Hold, said
from crewtui.day.steps.outcomes import AskBackError, NeedsReason, Outcome, Refused, refuse
from crewtui.job.file.error_words import first_sentence

P = ParamSpec("P")
D = TypeVar("D", bound="ViewedDay | Part")


def asking(intent: Callable[Concatenate[D, P], Outcome]) -> Callable[Concatenate[D, P], Outcome]:
    """Return the intent with what it asks back as its outcome; a day that is over is turned before it."""

    @wraps(intent)
    def run(self: D, /, *args: P.args, **kwargs: P.kwargs) -> Outcome:
        day = self.day if isinstance(self, Part) else self
        try:
            day.turn_day()
            return intent(self, *args, **kwargs)
        except AskBackError as asked:
            return asked.outcome
        except ValidationError as error:
            return Refused(
                sentence=f"That cannot be entered. {first_sentence(error, 'entry', day.job.job.units)}"
            )

    return run


class Part:
    """The intents of one subject, on the day that they are put into."""

    def __init__(self, day: ViewedDay) -> None:
        self.day = day


def need(text: str, sentence: str) -> None:
    """Ask back where nothing was typed."""
    if not plain_text(text):
        raise refuse(sentence)


def ask_reason(
    reason: str,
    sentences: tuple[str, ...],
    holds: tuple[Hold, ...],
    *,
    limit: str = "",
    better: str = "",
) -> None:
    """Ask for a reason where something deviates or is held and none was given; initials are none."""
    given = plain_text(reason)
    if not (sentences or holds) or says_why(given):
        return
    again = (_no_reason(given),) if given else ()
    held = (f"Held: {said(holds)}",) if holds else ()
    ask = "Enter it all the same with a reason; it is then a deviation."
    sentence = " ".join((*again, *held, *sentences, ask))
    raise AskBackError(NeedsReason(sentence=sentence, limit=limit, holds=holds, better=better))


WHY: Final = "say why in words, such as: rock in the way."
_LONG_WORD: Final = 4
_LEAST_LETTERS: Final = 5


def says_why(text: str) -> bool:
    """Return whether a text may be a reason: a word of four letters or a few short ones, no initials."""
    words = [re.sub(r"[\W\d_]", "", word) for word in text.split()]
    longest = max((len(word) for word in words), default=0)
    if longest >= _LONG_WORD:
        return True
    short = longest == _LONG_WORD - 1 and len(words) > 1 and sum(map(len, words)) >= _LEAST_LETTERS
    return short and not all(word.isupper() for word in words if word)


def _no_reason(given: str) -> str:
    initials = all(len(word) < _LONG_WORD for word in given.split()) and len(given.split()) > 1
    what = "Initials are no reason" if initials or given.isupper() else f'"{given[:20]}" is no reason'
    return f"{what}: {WHY}"


def need_reason(text: str, sentence: str) -> str:
    """Return the reason as it is kept; ask back where nothing was typed, or no reason."""
    given = plain_text(text)
    if not says_why(given):
        raise refuse(_no_reason(given) if given else sentence)
    return given
