"""Readings of the wall in words: bow, lean, largest inward place, each beside how far it may be off."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Final, Literal

from msgspec import Struct

from crewtui.day.journal.entries import WallRead
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.trade.wall.survey import (
    PLUMB_WORDS,
    Change,
    ChangeWord,
    Comparison,
    Reading,
    WallProfile,
    WallReading,
    WithDoubt,
    compare,
    needs_engineer,
    new_masonry_plumb_in,
    profile,
    read_wall,
)
from crewtui.units import MM_PER_IN, TOLERANCE_IN, UnitSystem, show_length

When = Literal["before", "after"]
VisitWord = ChangeWord | Literal["not comparable"]

STEP: Final = 16
"""Readings are shown to 1/16 in."""
BEFORE: Final = "before"
AFTER: Final = "after"


class Visit(Struct, frozen=True, kw_only=True):
    """One reading at one anchor, and the line that it was taken from."""

    when: When
    reading: WallReading
    line: str
    fixed_to: str = ""
    line_offset_in: float | None = None

    def same_line(self, other: Visit) -> bool:
        """Return whether both were read from the same fixed line, so that single distances compare."""
        mine, theirs = self.line_offset_in, other.line_offset_in
        if not self.fixed_to or mine is None or theirs is None:
            return False
        return self.fixed_to == other.fixed_to and abs(mine - theirs) <= TOLERANCE_IN


Visits = Mapping[str, Mapping[str, Visit]]
"""By anchor, then before or after tightening."""


def station(entry: WallRead, *, along_in: float = 0.0) -> WallReading:
    """Return bow, lean and largest inward place of a reading; ValueError for one that is none."""
    return read_wall(
        entry.anchor,
        [Reading(height_in=one.height_in, offset_in=one.offset_in) for one in entry.heights],
        along_in=along_in,
        resolution_in=entry.resolution_in,
        repeat_sd_in=entry.repeat_sd_in,
        base_from_string_in=entry.base_from_string_in,
        string_to_wall_line_in=entry.string_at_corners_in,
    )


def visit(entry: WallRead, *, along_in: float) -> Visit:
    """Return a reading of the day as a visit."""
    return Visit(
        when=entry.when,
        reading=station(entry, along_in=along_in),
        line=entry.line,
        fixed_to=entry.fixed_to,
        line_offset_in=entry.line_offset_in,
    )


def visits_of(now: AnchorNow) -> dict[str, Visit]:
    """Return the readings of an anchor as they stand."""
    return {when: visit(entry, along_in=now.plan.along_in) for when, entry in now.readings.items()}


def visits_in(state: DayState) -> dict[str, dict[str, Visit]]:
    """Return the readings of every anchor that has one."""
    return {now.id: visits_of(now) for now in state.anchors.values() if now.readings}


def wall_profile(state: DayState, wall: str, when: When) -> WallProfile | None:
    """Return the readings of a wall along it; None while there is none."""
    found = [visits_of(now) for now in state.live() if now.wall == wall]
    stations = [visits[when].reading for visits in found if when in visits]
    return profile(stations) if stations else None


def profile_words(found: WallProfile, system: UnitSystem) -> tuple[str, ...]:
    """Return where the wall as a whole is worst, and what new masonry is allowed, as what it is."""
    by_name = {one.anchor: one for one in found.stations}
    bow, lean = by_name[found.largest_bow_at], by_name[found.largest_lean_at]
    said = [
        f"most bowed in at {bow.anchor}, {measured_words(bow.largest_inward_in, system)}",
        f"top farthest in at {lean.anchor}, {measured_words(lean.lean_in, system)}",
    ]
    if found.largest_base_at is not None:
        base = by_name[found.largest_base_at]
        assert base.base_in is not None  # noqa: S101 - the profile names only a station that has one
        said.append(f"base farthest in at {base.anchor}, {measured_words(base.base_in, system)}")
    heights = [reading.height_in for one in found.stations for reading in one.readings]
    allowed_in = new_masonry_plumb_in(max(heights) - min(heights))
    tolerance = f"{PLUMB_WORDS} It allows {show_length(allowed_in, system)} over this height."
    return ("; ".join(said), tolerance, *found.warnings)


# Words.


def uncertainty(value_in: float, system: UnitSystem) -> str:
    """Return an uncertainty, rounded up to what a tape shows, never down."""
    if system == "metric":
        return f"±{max(1, math.ceil(value_in * MM_PER_IN - 1e-9))} mm"
    parts = max(1, math.ceil(value_in * STEP - 1e-9))
    return f"±{show_length(parts / STEP, system, step=STEP)}"


def company_spread_in(state: DayState) -> float:
    """Return the company's spread of one place read again; 0 where it has set none."""
    return state.rules.number_or_none("wall_repeat_in") or 0.0


TAPE_ALONE: Final = "The error holds the tape alone: line, block face and season are not in it."


def error_words(reading: WallReading, system: UnitSystem) -> str:
    """Return what the size of a reading's error holds, in a sentence."""
    if reading.repeat_sd_in <= 0:
        return f"{TAPE_ALONE} Read one place three times, the line set up anew, to know the rest."
    spread = uncertainty(2 * reading.repeat_sd_in, system)
    return (
        f"The error holds tape, line and block face ({spread} by readings repeated); the season is not in it."
    )


def measured_words(measured: WithDoubt, system: UnitSystem) -> str:
    """Return a length and how far it may be off."""
    value = show_length(measured.value, system, step=STEP)
    return f"{value} ({uncertainty(measured.uncertainty, system)})"


def reading_words(reading: WallReading, system: UnitSystem) -> str:
    """Return a reading in one line."""
    lean_in = reading.lean_in
    way = "inward" if lean_in.value >= 0 else "outward"
    size = WithDoubt(value=abs(lean_in.value), uncertainty=lean_in.uncertainty)
    words = f"bow {measured_words(reading.bow_in, system)}, top {measured_words(size, system)} {way}"
    if reading.largest_inward_in.value > reading.bow_in.value + TOLERANCE_IN:
        largest = show_length(reading.largest_inward_in.value, system, step=STEP)
        words += f", most inward {largest} at {show_length(reading.largest_inward_height_in, system)} up"
    if reading.base_in is not None:
        words += f", base in by {measured_words(reading.base_in, system)}"
    return words


def change_words(change: Change, system: UnitSystem, height_in: float = 0.0) -> str:
    """Return what one quantity did between two readings; a lean is said over the height read.

    The difference is that of the two values as shown, so that whoever adds it up finds it right; the word is
    judged on the values themselves.
    """
    before, after, doubt = _both(change, system, height_in)
    inward = before - after if change.quantity == "offset" else after - before
    by = show_length(abs(inward), system, step=STEP)
    said = _from_to(change, before, after, system)
    return f"{said}, {'+' if inward >= 0 else '-'}{by} ({doubt}): {change.word}"


def moved_words(change: Change, system: UnitSystem, height_in: float = 0.0) -> str:
    """Return the same in words for a person who reads no tables."""
    before, after, doubt = _both(change, system, height_in)
    return f"{_from_to(change, before, after, system)}, give or take {doubt.removeprefix('±')}"


def _both(change: Change, system: UnitSystem, height_in: float) -> tuple[float, float, str]:
    """Return both values as they are shown, and how far their difference may be off."""
    over_in = height_in if change.quantity == "lean" and height_in else 1.0
    before, after = (_to_step(one.value * over_in, system) for one in (change.before, change.after))
    return before, after, uncertainty(change.change.uncertainty * over_in, system)


def _from_to(change: Change, before: float, after: float, system: UnitSystem) -> str:
    where = f" at {show_length(change.height_in, system)} up" if change.height_in is not None else ""
    shown = [show_length(value, system, step=STEP) for value in (before, after)]
    return f"{change.quantity}{where} {shown[0]} to {shown[1]}"


def _to_step(value_in: float, system: UnitSystem) -> float:
    """Return a length as it is shown: to 1/16 in, or to a millimeter."""
    step_in = 1.0 / MM_PER_IN if system == "metric" else 1.0 / STEP
    return round(value_in / step_in) * step_in


# Limits.


def engineer_words(state: DayState, reading: WallReading) -> str:
    """Return whom to call where the bow reaches the company's limit; nothing where it has set none."""
    limit_in = state.rules.number_or_none("engineer_bow_in")
    if not needs_engineer(reading.largest_inward_in, limit_in=limit_in) or limit_in is None:
        return ""
    said_by = state.rules.rule("engineer_bow_in").said_by
    who = f", set by {said_by}" if said_by else ""
    system = state.job.job.units
    return (
        f"{reading.anchor}: {measured_words(reading.largest_inward_in, system)} inward reaches"
        f" {show_length(limit_in, system)}{who}. Call the engineer before anybody tightens here."
    )


# Comparing.


class Between(Struct, frozen=True, kw_only=True):
    """One anchor between two readings, in words."""

    anchor: str
    word: VisitWord
    comparison: Comparison | None
    height_in: float
    """Over which its lean was read."""
    words: tuple[str, ...]
    """Those that decide its word first."""
    moved: str = ""
    """By how much that one moved which decides its word."""
    notes: tuple[str, ...] = ()


def between(before: Visit, after: Visit, system: UnitSystem) -> Between:
    """Compare two readings at one anchor."""
    found = compare(before.reading, after.reading, same_fixed_line=before.same_line(after))
    heights = [one.height_in for one in after.reading.readings]
    height_in = max(heights) - min(heights)
    telling = sorted(found.changes, key=lambda change: change.word != found.word)
    return Between(
        anchor=found.anchor,
        word=found.word,
        comparison=found,
        height_in=height_in,
        words=tuple(change_words(change, system, height_in) for change in telling),
        moved=moved_words(telling[0], system, height_in) if telling else "",
        notes=found.warnings,
    )


def last_of(visits: Mapping[str, Visit]) -> Visit | None:
    """Return the reading as the crew left the wall: after tightening, else before."""
    return visits.get(AFTER) or visits.get(BEFORE)


def first_of(visits: Mapping[str, Visit]) -> Visit | None:
    """Return the reading as the crew found the wall: before tightening, else after."""
    return visits.get(BEFORE) or visits.get(AFTER)


def between_visits(old: Visits, new: Visits, system: UnitSystem) -> Iterator[Between]:
    """Yield every anchor between two visits: as it was left then, and as it was found now.

    One that was read only once is not comparable, and says so.
    """
    for ident in dict.fromkeys([*old, *new]):
        left, found = last_of(old.get(ident, {})), first_of(new.get(ident, {}))
        if left is not None and found is not None:
            yield between(left, found, system)
            continue
        visit_word = "earlier" if left is None else "later"
        yield Between(
            anchor=ident,
            word="not comparable",
            comparison=None,
            height_in=0.0,
            words=(f"no reading at the {visit_word} visit",),
        )


def overall(found: Sequence[Between]) -> str:
    """Return how many anchors are worse, better or within the reading error, in one sentence."""
    words: tuple[VisitWord, ...] = ("worse", "better", "within the reading error", "not comparable")
    counts = [(word, [one.anchor for one in found if one.word == word]) for word in words]
    return (
        "; ".join(f"{word}: {', '.join(idents)}" for word, idents in counts if idents) or "nothing was read"
    )


__all__ = [
    "AFTER", "BEFORE", "Between", "Visit", "Visits", "When", "between", "between_visits", "change_words",
    "engineer_words", "first_of", "last_of", "measured_words", "moved_words", "overall", "profile_words",
    "reading_words", "station", "uncertainty", "visit", "visits_in", "visits_of", "wall_profile",
]  # fmt: skip
