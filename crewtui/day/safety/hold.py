"""A hold in words: what must be true, why, what it stops and what releases it."""

from __future__ import annotations

from datetime import datetime
from typing import Literal

from msgspec import Struct, field

from crewtui.day.state.facts import FigureFacts, PlainFacts
from crewtui.day.state.state import DayState
from crewtui.job.tables.hazards import Hazard, HazardOverride
from crewtui.job.tables.steps import StepDef

HeldBy = Literal["hazard", "ticket", "figures", "ground", "wall", "inspection"]
Release = Literal["check", "name", "fact"]


class Hold(Struct, frozen=True, kw_only=True):
    """One thing that holds steps."""

    id: str
    text: str
    """What must be true."""
    why: str
    held_by: HeldBy
    steps: tuple[str, ...]
    """Phases or step ids that it holds."""
    release: Release
    """A check with initials, a check with a name, or a fact that changes by itself."""
    way_on: str
    """What to do about it, in words."""
    override: HazardOverride
    source: str
    mark: str
    anchor: str | None = None
    """The anchor at which it is answered; None where it is answered for the whole job."""
    line: str = ""
    """Name of the line in the ground that it is about: its depth is typed onto the hold itself."""

    @property
    def sentence(self) -> str:
        """Return what must be true and what to do, as sentences."""
        stop = "" if self.text.endswith((".", "!", "?")) else "."
        return f"{self.text}{stop} {self.way_on}"

    def holds(self, step: StepDef) -> bool:
        """Return whether it holds this step.

        Nothing holds what makes safe, but that a pit that is still to be seen is not filled unseen without
        a reason: a cover keeps it safe meanwhile.
        """
        named = step.phase in self.steps or step.id in self.steps
        return named and (not step.makes_safe or self.held_by == "inspection")


class HoldFacts(Struct, frozen=True, kw_only=True):
    """What holds are judged on."""

    state: DayState
    hazards: tuple[Hazard, ...]
    now: datetime
    done_at: datetime | None = None
    """When a step entered late was done: it is judged as things were then."""
    figures: FigureFacts = field(default_factory=PlainFacts)


def said(holds: tuple[Hold, ...]) -> str:
    """Return the first hold as a sentence, and how many more there are; empty where nothing holds."""
    if not holds:
        return ""
    more = len(holds) - 1
    return holds[0].sentence + (f" And {more} more {'hold' if more == 1 else 'holds'}." if more else "")
