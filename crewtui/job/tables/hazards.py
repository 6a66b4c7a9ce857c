"""The hazards of a day, from their data file: what must be true, what it holds until it is, what releases it.

``scope`` says how often a hazard is answered: once for the job or at every anchor. ``when`` is judged for the
anchor whose step is asked about, also for a hazard that is answered once; where ``holds_when`` is not true
besides, it only warns. Nothing holds what makes safe.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Final, Literal

import tomli
from msgspec import Struct, convert

from crewtui.job.tables import condition_names
from crewtui.job.tables.steps import PHASES, StepDef
from crewtui.job.tables.steps import load as load_steps
from crewtui.trade.vocabulary import Mark

HazardGroup = Literal[
    "locates",
    "the wall",
    "ppe",
    "owner's side",
    "pit and trench",
    "power and engines",
    "dust",
    "noise",
    "line of fire",
    "lifting",
]
HazardMoment = Literal["start", "dig", "drill and drive", "tighten"]
MOMENTS: Final[tuple[HazardMoment, ...]] = ("start", "dig", "drill and drive", "tighten")
"""The moments at which hazards are read out and signed, each with one set of initials."""
_MOMENT_OF: Final[Mapping[str, HazardMoment]] = {
    "mark": "dig",
    "pit": "dig",
    "drill": "drill and drive",
    "drive": "drill and drive",
    "plate": "dig",
    "wall plate": "tighten",
    "first tightening": "tighten",
    "backfill": "tighten",
    "second tightening": "tighten",
    "finish": "tighten",
}
"""By phase held: the moment at which a hazard without one of its own is signed."""
HazardScope = Literal["job", "anchor"]
HazardRelease = Literal["check", "name"]
HazardOverride = Literal["never", "with a name and reason"]
"""Whether a hold may be set aside, and how."""


class Hazard(Struct, frozen=True, kw_only=True):
    """One hazard: what to have true, and what it holds until somebody says that it is."""

    id: str
    group: HazardGroup
    text: str
    why: str
    when: str = ""
    """Name of the condition under which it applies; empty for always."""
    holds_when: str = ""
    """Name of the condition under which it holds and does not only warn; empty for always."""
    scope: HazardScope
    moment: HazardMoment | Literal[""] = ""
    """When it is read out and signed; empty for the moment of the first phase that it holds."""
    of_the_pit: bool = False
    """It is seen in the pit itself: nobody says that it is in place before the pit is begun."""
    holds: tuple[str, ...] = ()
    """Phases or step ids; empty for a warning only."""
    release: HazardRelease = "check"
    override: HazardOverride = "never"
    source: str
    mark: Mark
    edition: str
    stricter: str = ""
    said_by: str = ""
    """Who in the company added it or made it stricter."""

    @property
    def conditions(self) -> tuple[str, ...]:
        """Return the names that must all be true, where ``when`` joins several with "and"."""
        return condition_names.split(self.when)

    @property
    def holding_conditions(self) -> tuple[str, ...]:
        """Return the names that must be true besides, for it to hold and not only to warn."""
        return condition_names.split(self.holds_when)

    @property
    def signed_at(self) -> HazardMoment:
        """Return the moment at which it is read out and signed."""
        if self.moment:
            return self.moment
        phases = {step.phase for step in load_steps() if self.protects(step)}
        return next((_MOMENT_OF[phase] for phase in PHASES if phase in phases), "start")

    def protects(self, step: StepDef) -> bool:
        """Return whether this hazard, while open, holds the step; nothing holds what makes safe."""
        return not step.makes_safe and (step.phase in self.holds or step.id in self.holds)


@cache
def load() -> tuple[Hazard, ...]:
    """Return every hazard in the order in which it is met."""
    text = files("crewtui.job.tables").joinpath("hazards.toml").read_text(encoding="utf-8")
    return convert(tomli.loads(text)["hazards"], tuple[Hazard, ...])


def by_id(ident: str) -> Hazard:
    """Return the hazard of that id; KeyError if there is none."""
    for hazard in load():
        if hazard.id == ident:
            return hazard
    raise KeyError(ident)


def holding(step: StepDef) -> tuple[Hazard, ...]:
    """Return the hazards that hold this step while they are open."""
    return tuple(hazard for hazard in load() if hazard.protects(step))


__all__ = [
    "MOMENTS",
    "Hazard",
    "HazardGroup",
    "HazardMoment",
    "HazardOverride",
    "HazardRelease",
    "HazardScope",
    "by_id",
    "holding",
    "load",
]
