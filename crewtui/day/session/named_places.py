"""Everything in a day that can be gone to by its name: steps, anchors, hazards, figures, lines, people."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, Literal

from msgspec import Struct

from crewtui.day.session.day import Day
from crewtui.day.steps.calculators import calculate
from crewtui.day.steps.listing import LISTINGS
from crewtui.job.tables.steps import Scope

PlaceKind = Literal["anchor", "step", "day step", "hazard", "result", "input", "line", "person", "page"]
_SCOPES: Final[tuple[Scope, ...]] = ("before", "after", "hand-over")


class NamedPlace(Struct, frozen=True, kw_only=True):
    """One thing that has a name, and where it stands."""

    kind: PlaceKind
    name: str
    words: str
    """What it is, in a few words."""
    key: str
    """Its id: of a step, a hazard, an anchor, a line; of a figure its part and its own."""


def places(day: Day, anchor: str) -> Iterator[NamedPlace]:
    """Yield all that can be gone to, as seen from an anchor."""
    yield from _steps(day, anchor)
    yield from _ground_and_people(day)
    yield from _figures(day, anchor)


def _steps(day: Day, anchor: str) -> Iterator[NamedPlace]:
    for now in day.state.live():
        yield NamedPlace(kind="anchor", name=now.id, words=f"anchor on {now.wall}", key=now.id)
    for row in day.rows(anchor):
        if row.mark != "not needed":
            yield NamedPlace(kind="step", name=row.label, words=f"step of {anchor}, {row.phase}", key=row.id)
    for scope in _SCOPES:
        for row in day.rows(None, scope=scope):
            yield NamedPlace(kind="day step", name=row.label, words="the day's own", key=row.id)


def _ground_and_people(day: Day) -> Iterator[NamedPlace]:
    for hazard in day.hazards:
        yield NamedPlace(kind="hazard", name=hazard.text, words=f"hazard, {hazard.group}", key=hazard.id)
    for line in day.job.lines:
        yield NamedPlace(kind="line", name=line.name, words=f"line in the ground, {line.kind}", key=line.name)
    for listing in LISTINGS:
        words = "add what the job file does not list"
        yield NamedPlace(kind="page", name=listing.label, words=words, key=listing.table)
    yield NamedPlace(
        kind="page", name="The job's values: fill in or correct", words="ticket, wall, rod, truck", key=""
    )
    for person in day.job.job.everybody:
        yield NamedPlace(kind="person", name=person, words="on the crew", key="competent-person")


def _figures(day: Day, anchor: str) -> Iterator[NamedPlace]:
    for part in calculate(day.state, anchor, {}).parts:
        for figure in part.rows:
            key = f"{part.key} {figure.key}"
            yield NamedPlace(kind="result", name=figure.label, words=f"figure, {figure.text}", key=key)
        for one in part.inputs:
            yield NamedPlace(kind="input", name=one.label, words=f"measure, {one.text}", key=one.key)
