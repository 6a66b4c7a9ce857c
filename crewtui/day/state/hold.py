"""A hold, whoever makes it: hazards, ticket, place, wall, inspections or figures."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from crewtui.job.tables.hazards import HazardOverride
from crewtui.job.tables.steps import StepDef

HeldBy = Literal["hazard", "ticket", "figures", "ground", "wall", "inspection"]
Release = Literal["check", "name", "fact"]


class Hold(Struct, frozen=True, kw_only=True):
    """One thing that holds steps."""

    id: str
    text: str
    """What must be true."""
    why: str = ""
    held_by: HeldBy
    steps: tuple[str, ...]
    """Phases or step ids that it holds."""
    release: Release = "fact"
    """A check with initials, a check with a name, or a fact that changes by itself."""
    way_on: str
    """What to do about it, in words."""
    override: HazardOverride = "never"
    source: str = ""
    mark: str = ""
    anchor: str | None = None
    """The anchor at which it is answered; None where it is answered for the whole job."""
    line: str = ""
    """Name of the line in the ground that it is about: its depth is typed onto the hold itself."""
    yard: bool = False
    """About what stands in the yard or another rod: it ends with another aim, mark or place."""

    asks_entry: bool = False
    """It falls away where nobody goes into the anchor's pit, and nobody has said yet who does."""

    @property
    def of_ground(self) -> bool:
        """Whether it is about what lies in the rod's way."""
        return self.yard or bool(self.line)

    @property
    def until(self) -> str:
        """Return what the lead waits for, or answers, first."""
        return "it is said who goes into this pit" if self.asks_entry else self.text

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


def said(holds: tuple[Hold, ...]) -> str:
    """Return the first hold as a sentence, and how many more there are; empty where nothing holds."""
    if not holds:
        return ""
    more = len(holds) - 1
    return holds[0].sentence + (f" And {more} more {'hold' if more == 1 else 'holds'}." if more else "")
