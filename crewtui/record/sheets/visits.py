"""Two visits compared from their records: every anchor better, worse or within the reading error.

What a record holds is looked at piece by piece: a well-signed one may still hold anything.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Any, Final

from msgspec import Struct

from crewtui.day.state.state import DayState
from crewtui.day.state.wall_reading import Between, Visit, Visits, between, between_visits, overall, visits_in
from crewtui.record.sheets import record_look
from crewtui.record.signed.known_keys import KnownKeys
from crewtui.record.signed.verify import Verdict, verify
from crewtui.trade.wall.survey import Reading, read_wall
from crewtui.units import UnitSystem

_WHEN: Final = ("before", "after")
_LINES: Final = ("plumb line", "laser line")


class EarlierError(Exception):
    """Why an earlier record gives nothing to compare with, in one sentence."""


class Earlier(Struct, frozen=True, kw_only=True):
    """A visit as its record has it."""

    path: Path | None
    date: date | None
    verdict: Verdict
    visits: Visits
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
    if verdict.data is None:
        raise EarlierError(f"{verdict.path}: {verdict.words}")
    job = verdict.data.get("job")
    day = job.get("date") if isinstance(job, dict) else None
    strange: list[str] = []
    visits = {ident: found for ident, found in _all_visits(verdict.data, strange) if found}
    return Earlier(
        path=verdict.path,
        date=day if isinstance(day, date) else None,
        verdict=verdict,
        visits=visits,
        strange=tuple(strange),
    )


def visits_of_record(data: Mapping[str, Any]) -> Visits:
    """Return the readings that a record holds; what is no reading is left out."""
    return {ident: found for ident, found in _all_visits(data, []) if found}


def _all_visits(data: Mapping[str, Any], strange: list[str]) -> Iterator[tuple[str, dict[str, Visit]]]:
    anchors = data.get("anchor")
    for anchor in anchors if isinstance(anchors, list) else ():
        if not isinstance(anchor, dict) or not isinstance(anchor.get("id"), str):
            continue
        rows = anchor.get("reading")
        found: dict[str, Visit] = {}
        for row in rows if isinstance(rows, list) else ():
            try:
                visit = _visit(anchor, row)
            except (TypeError, ValueError, AttributeError) as error:
                strange.append(f"{anchor['id']}: a reading cannot be used ({error})")
                continue
            found[visit.when] = visit
        yield anchor["id"], found


def _visit(anchor: Mapping[str, Any], row: Mapping[str, Any]) -> Visit:
    when, line = row.get("when"), row.get("line")
    if when not in _WHEN or line not in _LINES:
        raise ValueError("it does not say when, or from which line")
    heights, offsets = row.get("heights_in"), row.get("offsets_in")
    if not isinstance(heights, list) or not isinstance(offsets, list) or len(heights) != len(offsets):
        raise ValueError("its heights and distances do not pair")
    reading = read_wall(
        anchor["id"],
        [
            Reading(height_in=_number(high), offset_in=_number(off))
            for high, off in zip(heights, offsets, strict=True)
        ],
        along_in=record_look.along_in(anchor) or 0.0,
        resolution_in=_number(row.get("resolution_in")),
        base_from_string_in=_number_or_none(row.get("base_from_string_in")),
        string_to_wall_line_in=_number_or_none(row.get("string_at_corners_in")),
    )
    fixed_to = row.get("fixed_to", "")
    return Visit(
        when=when,
        reading=reading,
        line=line,
        fixed_to=fixed_to if isinstance(fixed_to, str) else "",
        line_offset_in=_number_or_none(row.get("line_offset_in")),
    )


def _number(value: object) -> float:
    if not isinstance(value, int | float) or isinstance(value, bool):
        raise TypeError("a number is missing")
    return float(value)


def _number_or_none(value: object) -> float | None:
    return None if value is None else _number(value)


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


def compare_day(state: DayState, earlier: Earlier) -> Compared:
    """Compare the day as it stands with an earlier visit."""
    return compared(earlier.visits, visits_in(state), state.job.job.units)


def earlier_path(job_path: Path, named: str) -> Path:
    """Return where the earlier record named in a job file lies: beside the job file unless it says more."""
    path = Path(named)
    return path if path.is_absolute() else job_path.parent / path


__all__ = [
    "Compared", "Earlier", "EarlierError", "compare_day", "compared", "earlier_of", "earlier_path",
    "load_earlier", "visits_of_record",
]  # fmt: skip
