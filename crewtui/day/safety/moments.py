"""The four moments at which hazards are read out and signed: start, dig, drill and drive, tighten.

One page is read aloud and one set of initials signs every line of it. What is released with a name of its own
keeps that, and what is seen in a pit waits until the pit is begun.
"""

from __future__ import annotations

from msgspec import Struct

from crewtui.day.safety.hazard_details import detail
from crewtui.day.safety.holds import answer_to
from crewtui.day.state.conditions import applies, pit_is_there
from crewtui.day.state.state import DayState
from crewtui.job.tables.hazards import MOMENTS, Hazard, HazardMoment
from crewtui.job.tables.steps import StepDef

TITLES: dict[HazardMoment, str] = {
    "start": "Before the work",
    "dig": "Before the pits",
    "drill and drive": "Before drill and hammer",
    "tighten": "Before tightening",
}


class MomentPage(Struct, frozen=True, kw_only=True):
    """What is read aloud at one moment, and what of it is still to be signed."""

    moment: HazardMoment
    title: str
    anchor: str | None
    job_hazards: tuple[str, ...]
    """Open lines that one set of initials signs for the whole job."""
    anchor_hazards: tuple[str, ...]
    """Open lines that the same initials sign at this anchor."""
    by_name: tuple[str, ...]
    """Open lines that need a name of their own."""
    lines: tuple[str, ...]
    """The open lines that the initials sign, as they are read aloud."""

    @property
    def count(self) -> int:
        """Return how many lines the initials sign."""
        return len(self.job_hazards) + len(self.anchor_hazards)


def moment_page(
    state: DayState, hazards: tuple[Hazard, ...], moment: HazardMoment, anchor: str | None
) -> MomentPage:
    """Return the page of one moment as it stands, for the job and for an anchor."""
    job: list[str] = []
    here: list[str] = []
    named: list[str] = []
    lines: list[str] = []
    for hazard in hazards:
        if hazard.signed_at != moment or not _is_open(state, hazard, anchor):
            continue
        if hazard.release == "name":
            named.append(hazard.text)
            continue
        (job if hazard.scope == "job" else here).append(hazard.id)
        more = detail(state, hazard.id, anchor)
        lines.append(f"{hazard.text} ({more})" if more else hazard.text)
    return MomentPage(
        moment=moment,
        title=TITLES[moment],
        anchor=anchor if here else None,
        job_hazards=tuple(job),
        anchor_hazards=tuple(here),
        by_name=tuple(named),
        lines=tuple(lines),
    )


def _is_open(state: DayState, hazard: Hazard, anchor: str | None) -> bool:
    if hazard.scope == "anchor" and (anchor is None or state.anchors[anchor].dropped):
        return False
    if not applies(hazard.conditions, state, anchor):
        return False
    if hazard.of_the_pit and not pit_is_there(state, anchor):
        return False
    where = anchor if hazard.scope == "anchor" else None
    holding = state.shared.holding if where is None else state.anchors[where].holding
    if hazard.override != "never" and hazard.id in holding.overridden:
        return False
    signed = answer_to(state, hazard, anchor)
    return signed is None


def moment_of(step: StepDef, hazards: tuple[Hazard, ...]) -> HazardMoment | None:
    """Return the latest moment whose hazards hold this step; None where none does."""
    found = {hazard.signed_at for hazard in hazards if hazard.protects(step)}
    return next((moment for moment in reversed(MOMENTS) if moment in found), None)


__all__ = ["TITLES", "MomentPage", "moment_of", "moment_page"]
