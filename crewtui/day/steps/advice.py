"""What the program advises, as something that can be taken where it stands: one shape for every adviser.

An adviser says in words what it would do and which values that sets. ``Day.weigh`` says what would come of
it, ``Day.aim.take_advice`` takes it; nothing else has to know who advised.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from msgspec import Struct, field

AIM: Final = "aim_depth_in"
"""The depth to aim for."""


class Advice(Struct, frozen=True, kw_only=True):
    """One thing to do instead, not yet weighed."""

    key: str
    """Tells it from every other advice at its anchor."""
    anchor: str
    words: str
    values: Mapping[str, float]
    """Newly aimed for, by key of the anchor's inputs, each in the unit of its key."""
    moves: Mapping[str, float] = field(default_factory=dict)
    """Where the anchor then stands: fields of the job file, by key of the anchor's inputs."""
    drift: tuple[str, float] | None = None
    """A wall and the drift of its rods, to be used in the aim of every anchor on it."""
    ends: tuple[str, ...] = ()
    """Ids of the holds that it is meant to end."""
    by_program: bool = True
    """The program advised it; else somebody on site chose it."""


def own_aim(anchor: str, depth_in: float, text: str) -> Advice:
    """Return the depth that somebody on site aims for, as it was typed: weighed and taken like an advice."""
    words = f"Aim for {text.strip()}, as typed on site"
    return Advice(key="own aim", anchor=anchor, words=words, values={AIM: depth_in}, by_program=False)


class AdvisedChange(Struct, frozen=True, kw_only=True):
    """One figure before and after, as the tape or the level shows it."""

    label: str
    before: str
    after: str

    @property
    def words(self) -> str:
        """Return the change as one line."""
        return f"{self.label}: {self.before or 'not known'}, then {self.after or 'not known'}"


class Weighed(Struct, frozen=True, kw_only=True):
    """What comes of an advice, worked out as if it had been taken."""

    advice: Advice
    changes: tuple[AdvisedChange, ...]
    brings: tuple[str, ...]
    """Holds, rules and warnings that it brings, in words."""
    ends: tuple[str, ...]
    """Holds that it ends, in words."""
    asks_again: tuple[str, ...]
    """Labels of what was measured or answered and is asked anew."""
    leaves: tuple[str, ...]
    """What of the plan's or the company's it leaves, in words: somebody named agrees to that first."""

    @property
    def lines(self) -> tuple[str, ...]:
        """Return everything there is to say before it is taken, a line each."""
        again = f"Asked again: {', '.join(self.asks_again)}." if self.asks_again else ""
        return (
            *(f"{change.words}." for change in self.changes),
            *(f"Ends: {words}" for words in self.ends),
            *(f"Brings: {words}" for words in self.brings),
            *((again,) if again else ()),
            *(f"Leaves {words}." for words in self.leaves),
        )
