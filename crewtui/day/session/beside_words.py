"""Entries beside the anchors in words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from crewtui.day.journal import beside_entries as b
from crewtui.day.journal.entries import Note
from crewtui.day.state.crew_hours import WORDS_OF_EVENTS
from crewtui.job.tables import walks


def note_words(_: object, entry: Note) -> str:
    """Say a note: the wall that it is about, and whether the owner reads it too."""
    wall = f"{entry.wall}: " if entry.wall else ""
    return f"{wall}{entry.text}{' (for the owner too)' if entry.for_owner else ''}"


def _call(_: object, entry: b.CallMade) -> str:
    about = f" about {entry.about}" if entry.about else ""
    said = f": {entry.said}" if entry.said else ""
    return f"called {entry.who}{about}{said}"


def _ground(wording: Any, entry: b.GroundFound) -> str:
    deep = f", {wording.length(entry.depth_in)}" if entry.depth_in is not None else ""
    note = f": {entry.note}" if entry.note else ""
    return f"{entry.what} met {'in the pit' if entry.at == 'pit' else 'on the drive'}{deep}{note}"


def _change(_: object, entry: b.ChangeAgreed) -> str:
    figures = f": {entry.before or 'nothing'} before, {entry.after or 'nothing'} after"
    figures = figures if entry.before or entry.after else ""
    return f"change, {entry.because}: {entry.what}{figures}; yes by {entry.name}"


def _asked(_: object, entry: b.InspectionAsked) -> str:
    of = f" of {entry.of}" if entry.of else ""
    when = f", expected {entry.expected}" if entry.expected else ""
    return f"inspection asked for{of}: {entry.what}{when}"


def _made(_: object, entry: b.InspectionMade) -> str:
    if not entry.came:
        return f"inspection, nobody came: {entry.what}"
    where = f" at {', '.join(entry.anchors)}" if entry.anchors else ""
    found = f"; {entry.found}" if entry.found else ""
    return (
        f"inspection {'passed' if entry.passed else 'NOT passed'}{where}, {entry.name}: {entry.what}{found}"
    )


def _seen(_: object, entry: b.WalkSeen) -> str:
    label = next((thing.label for thing in walks.load() if thing.id == entry.thing), entry.thing)
    place = f"{entry.place}, " if entry.place else ""
    return f"{_WALKS[entry.walk]}, {label}: {place}{entry.words}"


def _agreed(_: object, entry: b.WalkAgreed) -> str:
    asked = f"; asked: {entry.questions}" if entry.questions else ""
    return f"{_WALKS[entry.walk]}: {entry.name} says that it is so{asked}"


_WALKS: Final[Mapping[str, str]] = {"before": "before the work", "leaving": "on leaving"}

BESIDE_SAID: Final[Mapping[type, Callable[[Any, Any], str]]] = {
    b.PeopleSeen: lambda _, entry: f"{', '.join(entry.people)}: {WORDS_OF_EVENTS[entry.what]}",
    b.ToolStarted: lambda _, entry: f"{entry.tool} started{', ' + entry.who if entry.who else ''}",
    b.CallMade: _call,
    b.GroundFound: _ground,
    b.ChangeAgreed: _change,
    b.InspectionWanted: lambda _, entry: f"to be seen before {entry.before}: {entry.what}",
    b.InspectionAsked: _asked,
    b.InspectionMade: _made,
    b.PictureKept: lambda _, entry: f"picture {entry.file}: {entry.of}",
    b.WalkSeen: _seen,
    b.WalkAgreed: _agreed,
}
