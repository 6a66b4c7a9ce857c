"""Inspections that the permit or the engineer wants before a step: asked for, come, passed, or still open."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Final

from msgspec import Struct

from crewtui.day.journal.beside_entries import InspectionAsked, InspectionMade
from crewtui.day.state.hold import Hold
from crewtui.day.state.state import AnchorNow, DayState

_LONGEST_ID: Final = 64
_WAY_ON: Final = "Ask for it and enter who came and the result; or sign with the name of who lets work go on."
_COVER: Final = " Cover the pit meanwhile; one that cannot be left open is backfilled, with that reason."


class Inspection(Struct, frozen=True, kw_only=True):
    """One thing that somebody wants to see, and how far it has come."""

    what: str
    before: str
    """The phase or the step that waits for it."""
    wanted_by: str
    asked: tuple[InspectionAsked, ...]
    made: tuple[InspectionMade, ...]

    @property
    def words(self) -> str:
        """Return how far it has come, in a few words."""
        both: tuple[InspectionAsked | InspectionMade, ...] = (*self.asked, *self.made)
        latest = max(both, key=lambda entry: entry.n, default=None)
        match latest:
            case None:
                return "not asked for yet"
            case InspectionAsked():
                of = f" of {latest.of}" if latest.of else ""
                when = f", expected {latest.expected}" if latest.expected else ""
                return f"asked for{of}{when}"
            case InspectionMade(came=False):
                return "asked for, and nobody came"
            case InspectionMade(passed=False):
                return f"not passed, says {latest.name}: {latest.found}"
        where = f" at {', '.join(latest.anchors)}" if latest.anchors else ""
        return f"passed{where}, says {latest.name}"

    def result_at(self, anchor: str, at: datetime | None = None) -> InspectionMade | None:
        """Return the latest result that counts for an anchor, at a time or now; None where nobody came."""
        found = [
            one
            for one in self.made
            if one.came and (not one.anchors or anchor in one.anchors) and (at is None or one.done_at <= at)
        ]
        return found[-1] if found else None


def inspections(state: DayState) -> tuple[Inspection, ...]:
    """Return all that is to be seen: what the job's permit names, then what was entered on site."""
    permit, beside = state.job.permit, state.shared.beside
    named: list[tuple[str, str, str]] = []
    if permit is not None:
        named += [(one.what, one.before, f"permit {permit.number}") for one in permit.inspections]
    named += [(one.what, one.before, one.wanted_by) for one in beside.wanted]
    return tuple(
        Inspection(
            what=what,
            before=before,
            wanted_by=wanted_by,
            asked=tuple(one for one in beside.asked if one.what == what),
            made=tuple(one for one in beside.made if one.what == what),
        )
        for what, before, wanted_by in named
    )


def inspection_holds(state: DayState, now: AnchorNow, *, at: datetime | None = None) -> Iterator[Hold]:
    """Yield what is still to be seen at an anchor, for something done at a time, else for now."""
    if now.dropped:
        return
    for one in inspections(state):
        result = one.result_at(now.id, at)
        if result is not None and result.passed:
            continue
        # Another id after a result that did not pass, so that an earlier release counts no more.
        ident = f"see {one.what}" if result is None else f"see again {result.n} {one.what}"
        yield Hold(
            id=ident[:_LONGEST_ID],
            text=f"To be seen before {one.before.replace('-', ' ')}: {one.what}; {one.words}.",
            why="What is covered up cannot be looked at, and is dug up again where somebody wants to see it.",
            held_by="inspection",
            steps=(one.before,),
            release="name",
            way_on=_WAY_ON + (_COVER if one.before == "backfill" else ""),
            source="the permit, the engineer's plan or whoever wants to see it",
            mark="job data",
            anchor=now.id,
        )


__all__ = ["Inspection", "inspection_holds", "inspections"]
