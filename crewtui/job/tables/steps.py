"""The steps of a day, from their data file: what is checked or measured, when, within which limits."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Final, Literal

from msgspec import Struct, convert

Scope = Literal["before", "anchor", "after", "hand-over"]
Kind = Literal["check", "value", "choice", "text"]
Measure = Literal["length", "angle", "torque", "count", ""]
Phase = Literal[
    "before",
    "mark",
    "pit",
    "drill",
    "drive",
    "plate",
    "wall plate",
    "first tightening",
    "backfill",
    "second tightening",
    "finish",
    "after",
    "hand-over",
]

PHASES: Final[tuple[Phase, ...]] = (
    "mark",
    "pit",
    "drill",
    "drive",
    "plate",
    "wall plate",
    "first tightening",
    "backfill",
    "second tightening",
    "finish",
)
"""The phases of an anchor, in the order in which they are met."""


class StepDef(Struct, frozen=True, kw_only=True):
    """One step: asked once a day, or once at every anchor."""

    id: str
    scope: Scope
    phase: Phase
    label: str
    kind: Kind
    quantity: str = ""
    """Name of the as-built value, unit included."""
    measure: Measure = ""
    least: str = ""
    """Name of the limit below which the value needs a reason; empty for none."""
    greatest: str = ""
    choices: tuple[str, ...] = ()
    """The first is the good one; another needs a reason and is a deviation."""
    then: tuple[str, ...] = ()
    """Asked after the value; the first is the good one."""
    pair: bool = False
    """Two measures may be typed, "72 1/2 and 72 1/4": the value kept is how far they differ."""
    makes_safe: bool = False
    """Covers, backfills, caps, leaves, or looks whether the wall moves: nothing ever holds it."""
    one_each: bool = False
    """A text with the initials of everybody on the crew."""
    when: str = ""
    """Name of the condition under which it is asked; empty for always."""
    why: str
    how: str

    @property
    def conditions(self) -> tuple[str, ...]:
        """Return the names that must all be true, where ``when`` joins several with "and"."""
        return tuple(self.when.split(" and ")) if self.when else ()


@cache
def load() -> tuple[StepDef, ...]:
    """Return every step in the order in which it is met."""
    text = files("crewtui.job.tables").joinpath("steps.toml").read_text(encoding="utf-8")
    return convert(tomllib.loads(text)["steps"], tuple[StepDef, ...])


def of_scope(scope: Scope) -> tuple[StepDef, ...]:
    """Return the steps of one scope, in order."""
    return tuple(step for step in load() if step.scope == scope)


def by_id(ident: str) -> StepDef:
    """Return the step of that id; KeyError if there is none."""
    for step in load():
        if step.id == ident:
            return step
    raise KeyError(ident)
