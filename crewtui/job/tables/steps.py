"""The steps of a day, from their data file: what is checked or measured, when, within which limits."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Final, Literal

import tomli
from msgspec import Struct, convert

from crewtui.job.tables import quantities
from crewtui.job.tables.quantities import Measure, Quantity
from crewtui.trade.vocabulary import DayKind

Scope = Literal["before", "anchor", "after", "hand-over"]
Kind = Literal["check", "value", "choice", "text"]
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
    "read",
    "look",
    "turn",
    "word",
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
"""The phases of an anchor on the day it is set, in the order in which they are met."""


class StepDef(Struct, frozen=True, kw_only=True):
    """One step: asked once a day, or once at every anchor."""

    id: str
    scope: Scope
    day: DayKind | Literal["both"] = "install"
    """The kind of day that it belongs to."""
    phase: Phase
    kind: Kind
    quantity: str = ""
    """Key of the as-built value, unit included; it gives a step that measures its label and measure."""
    label: str = ""
    least: str = ""
    """Name of the limit below which the value needs a reason; empty for none."""
    greatest: str = ""
    choices: tuple[str, ...] = ()
    """The first is the good one; another needs a reason and is a deviation."""
    either: bool = False
    """Every choice is as good an answer as the first."""
    then: tuple[str, ...] = ()
    """Asked after the value; the first is the good one."""
    pair: bool = False
    """Two measures may be typed, "72 1/2 and 72 1/4": the value kept is how far they differ."""
    makes_safe: bool = False
    """Covers, backfills, caps, leaves, or looks whether the wall moves: nothing ever holds it."""
    one_each: bool = False
    """A text with the initials of everybody on the crew."""
    picture: bool = False
    """A picture of it is wanted."""
    when: str = ""
    """Name of the condition under which it is asked; empty for always."""
    where_asked: bool = False
    """Listed only where it is asked: most jobs never have it."""
    first: str = ""
    """What must be done before it, in one short sentence."""
    why: str
    how: str

    def of_day(self, day: DayKind) -> bool:
        """Return whether it belongs to such a day."""
        return self.day in {day, "both"}

    @property
    def measure(self) -> Measure:
        """Return how its value is read and shown."""
        return quantities.by_key(self.quantity).measure if self.quantity else ""

    @property
    def conditions(self) -> tuple[str, ...]:
        """Return the names that must all be true, where ``when`` joins several with "and"."""
        return tuple(self.when.split(" and ")) if self.when else ()


@cache
def load() -> tuple[StepDef, ...]:
    """Return every step in the order in which it is met."""
    text = files("crewtui.job.tables").joinpath("steps.toml").read_text(encoding="utf-8")
    rows = tomli.loads(text)["steps"]
    for row in rows:
        if "quantity" in row:
            row["label"] = quantities.by_key(row["quantity"]).label
    return convert(rows, tuple[StepDef, ...])


def label(ident: str) -> str:
    """Return what a step is called, or its id where there is none of that id."""
    return next((step.label for step in load() if step.id == ident), ident)


def phase_or_step(name: str) -> str:
    """Return the name of a phase or a step of an anchor; ValueError for any other."""
    if name in PHASES or any(step.id == name for step in of_scope("anchor")):
        return name
    raise ValueError(f"There is no phase or step {name[:40]}; the phases are {', '.join(PHASES)}.")


@cache
def measured() -> tuple[Quantity, ...]:
    """Return every quantity that the site finds out at an anchor, in the order in which it is met."""
    asked = [step.quantity for step in load() if step.scope == "anchor" and step.quantity]
    others = [one.key for one in quantities.load().values() if one.measured]
    return tuple(quantities.by_key(key) for key in dict.fromkeys((*asked, *others)))


def of_scope(scope: Scope, day: DayKind = "install") -> tuple[StepDef, ...]:
    """Return the steps of one scope on such a day, in order."""
    return tuple(step for step in load() if step.scope == scope and step.of_day(day))


def by_id(ident: str) -> StepDef:
    """Return the step of that id; KeyError if there is none."""
    for step in load():
        if step.id == ident:
            return step
    raise KeyError(ident)
