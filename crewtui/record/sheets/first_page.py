"""The first page of the owner's sheet, for a person who knows nothing of anchors: what is so."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from markupsafe import Markup
from msgspec import Struct

from crewtui.day.state.wall_reading import Between, Visit, last_of, measured_words
from crewtui.day.steps.hand_over import COVERS_STEP
from crewtui.day.steps.step_rows import CLOSED_STEP, TAGGED
from crewtui.day.wall.anchor_account import AnchorAccount, account_words
from crewtui.foreign import prose
from crewtui.job.file.model import LaterTightening
from crewtui.record.house import record_look
from crewtui.record.house.record_days import DayOf, days_in_words, days_worked, long_day
from crewtui.record.sheets.yard_tapes import tape_rows, tapes, yard_svg
from crewtui.record.signed.form import AnchorDone, FindingStood, Record
from crewtui.units import count_of

AS_PLANNED: Final = "Everything is as planned."
_FALLS: Final = "Keep children and animals away; step on no cover."
_NO_DATE: Final = "No date is set: ask whoever set the anchors for one."
# Common practice, no source: advice to whoever lives behind the wall; plan and maker's sheet govern.
DO: Final = (
    "Keep this sheet with the papers of the house, and hand it on with it.",
    "Look at wall and plates twice a year, and after a very wet spring or a hard frost.",
    "Call when a crack opens, a plate sinks in or stands loose, or the wall moves.",
    "If the wall moves suddenly or a rod lets go: everybody out of the basement, then call.",
)
NEVER: Final = (
    "Turn no nut but on an anchor marked as yours to adjust, as plan and maker's sheet say.",
    "Hang or lean nothing on rods and plates; paint or cut no thread.",
    "Dig nothing, drive no stake and plant no tree between wall and plates without asking.",
    "Put no heavy load, vehicle or pool above the plates or on the strip behind the wall.",
)


class YardPlan(Struct, frozen=True, kw_only=True):
    """Where the buried plates of one wall lie."""

    wall: str
    drawing: Markup
    rows: tuple[tuple[str, ...], ...]
    """Anchor, tape from the left corner, tape from the right corner, depth."""


class FirstPage(Struct, frozen=True, kw_only=True):
    """What the owner reads first."""

    pits: tuple[str, ...]
    wall: tuple[str, ...]
    done: str
    amiss: tuple[str, ...]
    """What is not as planned."""
    next_visit: str
    yards: tuple[YardPlan, ...]


class Told(Struct, frozen=True, kw_only=True):
    """A record, and what was made of it."""

    record: Record
    day: DayOf
    accounts: Mapping[str, AnchorAccount]
    visits: Mapping[str, Mapping[str, Visit]]
    since: Sequence[Between] = ()
    """What the wall did since an earlier visit."""
    since_day: str = ""
    years: str = ""
    """What all days of the house say of the bow, in a sentence."""
    later: LaterTightening | None = None


def first_page(told: Told) -> FirstPage:
    """Return the first page of a record."""
    return FirstPage(
        pits=tuple(pit_words(told.record)),
        wall=tuple(_wall_words(told)),
        done=_done_words(told),
        amiss=tuple(_amiss(told)),
        next_visit=next_visit_words(told.record, told.later),
        yards=tuple(_yards(told.record)),
    )


# Open pits.


def pit_words(record: Record) -> Iterator[str]:
    """Yield a sentence for every pit that stands open, and who looks after the covers."""
    still = [anchor for anchor in record.anchor if pit_open(anchor)]
    for anchor in still:
        closed = record_look.answered(anchor, CLOSED_STEP)
        said = "it is covered" if closed and closed != TAGGED else "nobody has said that it is covered"
        yield f"The pit of {prose(anchor.id)} stands open; {said}."
    if still:
        named = next((one.answer for one in record.answer if one.step == COVERS_STEP), "")
        who = f"{prose(named)} looks after the covers." if named else "Nobody is named who looks after them."
        yield f"{_FALLS} {who}"


def pit_open(anchor: AnchorDone) -> bool:
    """Return whether an anchor's pit was begun and is not filled."""
    begun = (
        anchor.attempt
        or record_look.answered(anchor, "sod")
        or record_look.built(anchor, "pit_depth_in") is not None
    )
    return bool(begun) and record_look.built(anchor, "lifts") is None


# The wall, in a sentence or two.


def _wall_words(told: Told) -> Iterator[str]:
    yield _state_words(told)
    moved = since_words(told.since, told.since_day)
    if moved:
        yield moved
    if told.years:
        yield told.years
    found = [one for one in (last_of(read) for read in told.visits.values()) if one is not None]
    if found:
        most = max(found, key=lambda one: one.reading.largest_inward_in.value)
        words = measured_words(most.reading.largest_inward_in, told.record.job.units)
        yield f"It is bowed in most at {prose(most.reading.anchor)}: {words}."


def _state_words(told: Told) -> str:
    walls = _walls_of(told.record)
    if told.day == "readings":
        count = count_of(sum(bool(anchor.reading) for anchor in told.record.anchor), "anchor")
        return f"The {walls} was read at {count}; nothing was dug, driven or tightened."
    live = [one for one in told.accounts.values() if not one.dropped]
    if not live:
        return f"No anchor is set at the {walls}."
    rest = ", ".join(prose(one.anchor) for one in live if not one.sound)
    done = "left" if told.day == "visit" else "set and tightened"
    if not rest and len(live) == 1:
        return f"The one anchor of the {walls} is {done} as planned."
    if not rest:
        return f"All {count_of(len(live), 'anchor')} of the {walls} are {done} as planned."
    sound = sum(one.sound for one in live)
    verb = "is" if sound == 1 else "are"
    return (
        f"{sound} of {count_of(len(live), 'anchor')} of the {walls} {verb} {done} as planned. Not so: {rest}."
    )


def _walls_of(record: Record) -> str:
    names = list(dict.fromkeys(prose(anchor.wall) for anchor in record.anchor if anchor.wall))
    if not names:
        return "wall"
    return f"{names[0]} wall" if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]} wall"


def since_words(since: Sequence[Between], since_day: str) -> str:
    """Return in one sentence whether the wall is better; nothing where there is no earlier visit."""
    if not since:
        return ""
    known = [one for one in since if one.comparison is not None]
    if not known:
        return f"Whether it has moved since {since_day} cannot be said: no place was read both times."
    for word, said in (("worse", "has moved in further"), ("better", "stands straighter")):
        found = [one for one in known if one.word == word]
        if found:
            names = ", ".join(prose(one.anchor) for one in found)
            return f"Since {since_day} it {said} at {names}: {prose(found[0].moved)}."
    return f"Since {since_day} no movement is seen, as finely as it was read."


# What was done, by whom, and what is not as planned.


def _done_words(told: Told) -> str:
    record = told.record
    lead = f"crew lead {record.job.lead}" if record.job.lead else ""
    when = days_in_words(days_worked(record))
    who = ", ".join(prose(one) for one in (record.job.company, lead) if one) or "the crew"
    if told.day != "install":
        what = "read the wall" if told.day == "readings" else "looked over the wall and its anchors"
        return f"On {when}, {who} {what}."
    begun = [anchor for anchor in record.anchor if anchor.value or anchor.answer or anchor.attempt]
    names = ", ".join(prose(anchor.id) for anchor in begun if not told.accounts[anchor.id].dropped)
    return f"On {when}, {who} worked on {names or 'the wall'}."


def _amiss(told: Told) -> Iterator[str]:
    record = told.record
    worse = (prose(one.anchor) for one in told.since if one.word == "worse")
    yield from (
        f"{name}: the wall has moved in further there. Call whoever set the anchors." for name in worse
    )
    still = (prose(anchor.id) for anchor in record.anchor if pit_open(anchor))
    yield from (f"{name}: its pit stands open." for name in still)
    if told.day != "readings":
        for account in told.accounts.values():
            if account.word != "finished":
                yield f"{prose(account.anchor)}: {account_words(account, record.job.units)}."
    for found in record.finding:
        if not found.anchor:
            yield finding_words(found)
    of_job = [row for row in record.deviation if not row.anchor]
    if of_job:
        accepted = sum(bool(row.accepted) for row in of_job)
        words = f"{count_of(len(of_job), 'thing')} about the job as a whole, {accepted} of them accepted"
        yield f"{words}: the office's report lists them."


def finding_words(found: FindingStood) -> str:
    """Return a finding about a wall, and who says that it may stay."""
    who = f"Accepted by {prose(found.accepted)}." if found.accepted else "Nobody has accepted it."
    return f"{prose(found.wall)} wall: {prose(found.text).rstrip('.')}. {who}"


def next_visit_words(record: Record, later: LaterTightening | None) -> str:
    """Return when the next visit is; a day that is past by the time of the work is none."""
    first = later.first_visit if later is not None else None
    if first is None:
        return _NO_DATE
    days = days_worked(record)
    if days and first <= days[-1]:
        return f"The plan's first visit was on {long_day(first)}; no later date is set: ask for one."
    return f"{long_day(first)}."


# The yard.


def _yards(record: Record) -> Iterator[YardPlan]:
    pits = [anchor.id for anchor in record.anchor if pit_open(anchor)]
    for wall in record.wall:
        own = [anchor for anchor in record.anchor if anchor.wall == wall.name]
        found = tapes(wall, own)
        if found:
            yield YardPlan(
                wall=prose(wall.name),
                drawing=yard_svg(wall, found, pits),
                rows=tuple(tape_rows(found, own, record.job.units)),
            )


__all__ = [
    "AS_PLANNED", "DO", "NEVER", "FirstPage", "Told", "YardPlan", "finding_words", "first_page",
    "next_visit_words", "pit_open", "pit_words", "since_words",
]  # fmt: skip
