"""Two visits compared from their records: every anchor better, worse or within the reading error.

A reading that is none is named and left out, the rest is compared.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any, Final

from msgspec import Struct

from crewtui.day.state.state import DayState
from crewtui.day.state.wall_reading import (
    Between,
    Visit,
    Visits,
    When,
    between,
    between_visits,
    overall,
    visits_in,
)
from crewtui.foreign import prose
from crewtui.record.house import record_look
from crewtui.record.signed.form import AnchorDone, Record, WallHeightsRead
from crewtui.record.signed.known_keys import KnownKeys
from crewtui.record.signed.verify import Verdict, verify
from crewtui.trade.wall.survey import Reading, read_wall
from crewtui.units import UnitSystem

_WHEN: Final[tuple[When, ...]] = ("before", "after")
_LINES: Final = ("plumb line", "laser line")


class EarlierError(Exception):
    """Why an earlier record gives nothing to compare with, in one sentence."""


class Earlier(Struct, frozen=True, kw_only=True):
    """A visit as its record has it."""

    path: Path | None
    date: date | None
    verdict: Verdict
    visits: Visits
    units: UnitSystem
    strange: tuple[str, ...]
    """Readings that are none, in words."""

    @property
    def trusted(self) -> str:
        """Return what must be said of the record beside every comparison; nothing where its key is known."""
        return "" if self.verdict.state == "valid" else self.verdict.words


class Compared(Struct, frozen=True, kw_only=True):
    """Two visits side by side."""

    anchors: tuple[Between, ...]
    """As the wall was left then, and as it was found now."""
    that_day: tuple[Between, ...]
    """Before and after tightening on the later visit."""
    notes: tuple[str, ...]

    @property
    def words(self) -> str:
        """Return how many are worse, better or within the reading error."""
        return overall(self.anchors)

    @property
    def worse(self) -> bool:
        """Return whether any anchor is worse."""
        return any(one.word == "worse" for one in self.anchors)


def load_earlier(path: Path, known: KnownKeys) -> Earlier:
    """Read the record of a visit; EarlierError where it does not hold."""
    return earlier_of(verify(path, known))


def earlier_of(verdict: Verdict) -> Earlier:
    """Return the visit of a record that was checked; EarlierError where its signature does not hold."""
    if verdict.record is None:
        raise EarlierError(f"{verdict.path}: {verdict.words}")
    strange: list[str] = []
    visits = {ident: found for ident, found in _all_visits(verdict.record, strange) if found}
    return Earlier(
        path=verdict.path,
        date=verdict.record.job.date,
        verdict=verdict,
        visits=visits,
        units=verdict.record.job.units,
        strange=tuple(strange),
    )


def visits_of_record(record: Record) -> Visits:
    """Return the readings that a record holds; what is no reading is left out."""
    return {ident: found for ident, found in _all_visits(record, []) if found}


def _all_visits(record: Record, strange: list[str]) -> Iterator[tuple[str, dict[str, Visit]]]:
    for anchor in record.anchor:
        yield anchor.id, readings_of(anchor, strange)


def readings_of(anchor: AnchorDone, strange: list[str]) -> dict[str, Visit]:
    """Return the readings of an anchor before and after tightening; what is none is added to ``strange``."""
    found: dict[str, Visit] = {}
    for row in anchor.reading:
        try:
            visit = _visit(anchor, row)
        except ValueError as error:
            strange.append(f"{prose(anchor.id)}: a reading cannot be used ({prose(error)})")
            continue
        found[visit.when] = visit
    return found


def _visit(anchor: AnchorDone, row: WallHeightsRead) -> Visit:
    when = next((moment for moment in _WHEN if moment == row.when), None)
    if when is None or row.line not in _LINES:
        raise ValueError("it does not say when, or from which line")
    if len(row.heights_in) != len(row.offsets_in):
        raise ValueError("its heights and distances do not pair")
    reading = read_wall(
        anchor.id,
        [
            Reading(height_in=high, offset_in=off)
            for high, off in zip(row.heights_in, row.offsets_in, strict=True)
        ],
        along_in=record_look.along_in(anchor) or 0.0,
        resolution_in=row.resolution_in,
        repeat_sd_in=row.repeat_sd_in or 0.0,
        base_from_string_in=row.base_from_string_in,
        string_to_wall_line_in=row.string_at_corners_in,
    )
    return Visit(
        when=when,
        reading=reading,
        line=row.line,
        fixed_to=row.fixed_to,
        line_offset_in=row.line_offset_in,
    )


def compared(old: Visits, new: Visits, system: UnitSystem) -> Compared:
    """Compare two visits; what both do not have is said once."""
    anchors = tuple(between_visits(old, new, system))
    that_day = tuple(
        between(found["before"], found["after"], system)
        for found in new.values()
        if "before" in found and "after" in found
    )
    notes = dict.fromkeys(note for one in (*anchors, *that_day) for note in one.notes)
    return Compared(anchors=anchors, that_day=that_day, notes=tuple(notes))


def compared_as_json(before: Earlier, after: Earlier, found: Compared) -> dict[str, Any]:
    """Return two visits and what the wall did between them as plain values, with the units in their names."""
    return {
        "earlier": _visit_as_json(before),
        "later": _visit_as_json(after),
        "words": found.words,
        "between": [_between_as_json(one) for one in found.anchors],
        "on_the_later_visit": [_between_as_json(one) for one in found.that_day],
        "notes": list(found.notes),
    }


def _visit_as_json(visit: Earlier) -> dict[str, Any]:
    return {
        "path": str(visit.path),
        "planned_date": visit.date.isoformat() if visit.date else None,
        "state": visit.verdict.state,
        "words": visit.verdict.words,
        "anchors_read": sorted(visit.visits),
        "strange": list(visit.strange),
    }


def _between_as_json(one: Between) -> dict[str, Any]:
    return {"anchor": one.anchor, "word": one.word, "words": list(one.words)}


def compare_day(state: DayState, earlier: Earlier) -> Compared:
    """Compare the day as it stands with an earlier visit."""
    return compared(earlier.visits, visits_in(state), state.job.job.units)


def earlier_path(job_path: Path, named: str) -> Path:
    """Return where the earlier record named in a job file lies: beside the job file unless it says more."""
    path = Path(named)
    return path if path.is_absolute() else job_path.parent / path


__all__ = [
    "Compared", "Earlier", "EarlierError", "compare_day", "compared", "compared_as_json", "earlier_of",
    "earlier_path", "load_earlier", "readings_of", "visits_of_record",
]  # fmt: skip
