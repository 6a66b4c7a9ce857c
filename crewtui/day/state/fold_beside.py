"""Adding up what happens beside the anchors."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from msgspec.structs import replace

from crewtui.day.journal import beside_entries as b
from crewtui.day.journal.entries import ExposureEntered
from crewtui.day.state.fold_steps import with_shared
from crewtui.day.state.state import DayState


def _listed(name: str) -> Callable[[DayState, Any], DayState]:
    """Return a handler that puts the entry at the end of the list of that name."""

    def take(state: DayState, entry: Any) -> DayState:
        beside = state.shared.beside
        return with_shared(state, beside=replace(beside, **{name: (*getattr(beside, name), entry)}))

    return take


def _tool_started(state: DayState, entry: b.ToolStarted) -> DayState:
    beside = state.shared.beside
    return with_shared(state, beside=replace(beside, running={**beside.running, entry.tool: entry}))


def exposure(state: DayState, entry: ExposureEntered) -> DayState:
    """Take in time on a tool; one that ran by the clock stands still again."""
    state = with_shared(state, exposures=(*state.shared.exposures, entry))
    if entry.started is None:
        return state
    beside = state.shared.beside
    running = {tool: one for tool, one in beside.running.items() if one.n != entry.started}
    return with_shared(state, beside=replace(beside, running=running))


BESIDE_HANDLERS: Final[Mapping[type, Callable[[DayState, Any], DayState]]] = {
    b.PeopleSeen: _listed("people"),
    b.ToolStarted: _tool_started,
    b.InspectionWanted: _listed("wanted"),
    b.InspectionAsked: _listed("asked"),
    b.InspectionMade: _listed("made"),
    b.PictureKept: _listed("pictures"),
    b.WalkSeen: _listed("seen"),
    b.WalkAgreed: _listed("agreed"),
}
