"""What comes back when the lead wants something entered: saved, or what is asked back, in words."""

from __future__ import annotations

from msgspec import Struct

from crewtui.day.journal.entries import Entry
from crewtui.day.state.hold import Hold


class Saved(Struct, frozen=True, kw_only=True):
    """The entry is on the disk."""

    entry: Entry
    words: str
    """What was entered, for the line that says saved."""


class Refused(Struct, frozen=True, kw_only=True):
    """Nothing was written; the sentence says what is wrong and what would be right."""

    sentence: str


class NeedsReason(Struct, frozen=True, kw_only=True):
    """Nothing was written yet; it is kept once a reason is given, and is then a deviation."""

    sentence: str
    limit: str = ""
    holds: tuple[Hold, ...] = ()
    better: str = ""
    """What to type instead of a reason, where what was typed is only not all of it."""


class NeedsSure(Struct, frozen=True, kw_only=True):
    """Nothing was written yet; what was typed can be, but is far from the plan, and is asked back once."""

    sentence: str


class NeedsChoice(Struct, frozen=True, kw_only=True):
    """Nothing was written yet; one of the choices goes with the value."""

    sentence: str
    choices: tuple[str, ...]


Outcome = Saved | Refused | NeedsReason | NeedsSure | NeedsChoice


class AskBackError(Exception):
    """Carries what is asked back out of the depth of an intent."""

    def __init__(self, outcome: Refused | NeedsReason | NeedsSure | NeedsChoice) -> None:
        self.outcome = outcome
        super().__init__(outcome.sentence)


def refuse(sentence: str) -> AskBackError:
    """Return the error that refuses with a sentence."""
    return AskBackError(Refused(sentence=sentence))
