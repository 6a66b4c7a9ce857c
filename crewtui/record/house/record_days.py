"""On which days the work of a record was done, and what kind of day it was: by its entries, not the plan."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Final, Literal

from crewtui.record.signed.form import NO_TIME, AnchorDone, Made, Record

DayOf = Literal["install", "visit", "readings"]
"""Anchors are set; or looked at again; or a wall was read and nothing else is told of it."""
_READ: Final = frozenset({"bow_in", "bow_after_in"})
_MONTHS: Final = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
    "November", "December",
)  # fmt: skip


def days_worked(record: Record) -> tuple[date, ...]:
    """Return each day on which something was done, in order, by the clock on site.

    Where no entry says when, it is the day of signing.
    """
    found = {row.done_at.date() for row in _entries(record) if row.done_at != NO_TIME}
    signed = record.signer.signed_at
    if not found and signed != NO_TIME:
        found = {signed.date()}
    return tuple(sorted(found))


def _entries(record: Record) -> Iterator[Made]:
    yield from (*record.value, *record.answer, *record.hold, *record.deviation)
    for anchor in record.anchor:
        yield from (*anchor.value, *anchor.answer, *anchor.attempt, *anchor.torque, *anchor.reading)


def day_of(record: Record) -> DayOf:
    """Return what kind of day a record tells of; one of an older format is judged by what was entered."""
    if record.day == "visit":
        return "visit"
    if any(anchor.reading for anchor in record.anchor) and all(map(_only_read, record.anchor)):
        return "readings"
    return "install"


def _only_read(anchor: AnchorDone) -> bool:
    built = {value.quantity for value in anchor.value} - _READ
    return anchor.state != "dropped" and not (built or anchor.answer or anchor.attempt or anchor.piece)


def long_day(day: date) -> str:
    """Return a day as a person says it: May 4, 2026."""
    return f"{_MONTHS[day.month - 1]} {day.day}, {day.year}"


def days_in_words(days: Sequence[date]) -> str:
    """Return one day, two, or the first and the last of several."""
    if not days:
        return "a day that the record does not name"
    if len(days) > 2:  # noqa: PLR2004 - one, two, many
        return f"{len(days)} days from {long_day(days[0])} to {long_day(days[-1])}"
    return " and ".join(long_day(day) for day in days)


__all__ = ["DayOf", "day_of", "days_in_words", "days_worked", "long_day"]
