"""Who is on site and for how long, and how long each phase took, from the entries' own times."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from typing import Final

from msgspec import Struct

from crewtui.day.journal.beside_entries import PeopleSeen
from crewtui.day.journal.entries import Entry
from crewtui.day.state.state import DayState
from crewtui.job.tables import steps

WORDS_OF_EVENTS: Final[Mapping[str, str]] = {
    "in": "on site",
    "out": "gone",
    "break": "on a break",
    "back": "back from the break",
}
_CAN: Final[Mapping[str, tuple[str, ...]]] = {
    "": ("in",),
    "out": ("in",),
    "in": ("break", "out"),
    "back": ("break", "out"),
    "break": ("back", "out"),
}
"""By what was said last of somebody: what can be said next."""
_AT_WORK: Final = frozenset({"in", "back"})
_HOUR_S: Final = 3_600
LONGEST_GAP: Final = timedelta(hours=2)
"""Between two entries at anchors; what is longer is a break or a wait, and no phase's (from memory)."""


class PersonHours(Struct, frozen=True, kw_only=True):
    """One person's time on one day."""

    who: str
    began: datetime
    ended: datetime
    """The last that was said of them, or the time until which it is counted."""
    hours: float
    """At work, without breaks."""
    still_here: bool
    n: int
    """Number of the last entry about them."""


class PhaseHours(Struct, frozen=True, kw_only=True):
    """How long a phase took over all anchors: the time before each of its entries, back to the one before."""

    phase: str
    hours: float
    n: int


def _said_of(state: DayState, name: str) -> str:
    """Return what was said last of somebody today; nothing where nothing was."""
    began = state.shared.day_began_n
    found = [one for one in state.shared.beside.people if name in one.people and one.n > began]
    return max(found, key=lambda one: (one.done_at, one.n)).what if found else ""


def can_be_said(state: DayState, name: str) -> tuple[str, ...]:
    """Return what can be said of somebody next."""
    return _CAN[_said_of(state, name)]


def people_known(state: DayState) -> tuple[str, ...]:
    """Return everybody on the job's list, then those who were seen besides."""
    seen = (name for one in state.shared.beside.people for name in one.people)
    return tuple(dict.fromkeys((*state.job.job.everybody, *seen)))


def people_here(state: DayState) -> tuple[str, ...]:
    """Return who is on site now, those on a break among them."""
    return tuple(name for name in people_known(state) if "out" in can_be_said(state, name))


def person_hours(people: Iterable[PeopleSeen], until: datetime) -> tuple[PersonHours, ...]:
    """Return everybody's time, day by day; somebody who did not leave is counted until then, or midnight."""
    by_day: dict[tuple[str, object], list[PeopleSeen]] = {}
    for one in people:
        for name in one.people:
            by_day.setdefault((name, one.done_at.date()), []).append(one)
    return tuple(_of_day(name, said, until) for (name, _), said in by_day.items())


def _of_day(name: str, said: list[PeopleSeen], until: datetime) -> PersonHours:
    ordered = sorted(said, key=lambda one: (one.done_at, one.n))
    last = ordered[-1]
    stays = last.what != "out"
    begins = last.done_at.replace(hour=0, minute=0, second=0, microsecond=0)
    # To midnight at most, without naming a midnight that the calendar does not have: a journal may say 9999.
    stayed = min(until - last.done_at, begins - last.done_at + timedelta(days=1))
    end = last.done_at + max(timedelta(), stayed) if last.what in _AT_WORK else last.done_at
    ends = [*(one.done_at for one in ordered[1:]), end]
    worked = sum(
        ((after - one.done_at) for one, after in zip(ordered, ends, strict=True) if one.what in _AT_WORK),
        timedelta(),
    )
    return PersonHours(
        who=name,
        began=ordered[0].done_at,
        ended=end,
        hours=worked.total_seconds() / _HOUR_S,
        still_here=stays,
        n=max(one.n for one in ordered),
    )


def phase_hours(entries: Iterable[Entry]) -> tuple[PhaseHours, ...]:
    """Return how long each phase took, in the order of the work, from the entries' own times."""
    phases = {step.id: step.phase for step in steps.of_scope("anchor")}
    found: dict[str, tuple[timedelta, int]] = {}
    before: datetime | None = None
    for entry in sorted(_at_steps(entries), key=lambda one: (one.done_at, one.n)):
        gap = timedelta() if before is None else entry.done_at - before
        before = entry.done_at
        phase = phases.get(getattr(entry, "step", ""))
        if phase is not None and gap <= LONGEST_GAP:
            had, _ = found.get(phase, (timedelta(), 0))
            found[phase] = (had + gap, entry.n)
    return tuple(
        PhaseHours(phase=phase, hours=found[phase][0].total_seconds() / _HOUR_S, n=found[phase][1])
        for phase in steps.PHASES
        if phase in found and found[phase][0]
    )


def _at_steps(entries: Iterable[Entry]) -> Iterable[Entry]:
    return (entry for entry in entries if getattr(entry, "anchor", None) is not None)


__all__ = [
    "LONGEST_GAP", "WORDS_OF_EVENTS", "PersonHours", "PhaseHours",
    "can_be_said", "people_here", "people_known", "person_hours", "phase_hours",
]  # fmt: skip
