"""The locate ticket against the clock and against the ground: dates, answers, area, property line."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Final

from crewtui.day.figures.line_figures import pit_plan
from crewtui.day.state.hold import Hold
from crewtui.day.state.inputs import inputs_for
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.job.file.model import Ticket
from crewtui.job.file.placing import property_runs
from crewtui.trade.ground.area import PAST_LINE, PIT_OUTSIDE, WAY_OUTSIDE, judge_area, past_property
from crewtui.trade.safety.one_call import counted_back, counted_on, remaining
from crewtui.units import show_length


def starts(ticket: Ticket) -> datetime:
    """Return when digging may begin: as the ticket says, or after the state's notice if that is later."""
    if ticket.called_at is None or ticket.notice is None:
        return ticket.valid_from
    counted = ticket.notice_counted_in or "working days"
    waited = counted_on(ticket.called_at, ticket.notice, counted, holidays=ticket.holidays)
    return max(ticket.valid_from, waited)


def ends(ticket: Ticket) -> datetime:
    """Return when the ticket is over: as it says, or when its life is up if that is earlier."""
    if ticket.life is None:
        return ticket.valid_to
    counted = ticket.counted_in or "calendar days"
    return min(ticket.valid_to, counted_on(ticket.valid_from, ticket.life, counted, holidays=ticket.holidays))


def renew_by(ticket: Ticket) -> datetime | None:
    """Return when to call at the latest so that the next ticket begins before this one ends; None unknown."""
    if ticket.notice is None:
        return None
    counted = ticket.notice_counted_in or "working days"
    return counted_back(ends(ticket), ticket.notice, counted, holidays=ticket.holidays)


def left_words(ticket: Ticket, now: datetime) -> str:
    """Return what is left of the ticket, counted as the job's state counts, and when it ends."""
    last = ends(ticket)
    found = remaining(now, last, ticket.counted_in or "calendar days", holidays=ticket.holidays)
    if found.over:
        return f"EXPIRED on {_when(last, last)}"
    if now < starts(ticket):
        return f"not yet valid: from {_when(starts(ticket), last)}"
    call = renew_by(ticket)
    renew = "" if call is None else f"; to stay in date call by {_when(call, last)}"
    return f"{found.words}, to {_when(last, last)}{renew}"


DIGS_AND_DRIVES: Final = ("pit", "drive")
"""Phases that an invalid ticket holds."""
_LOCATED: Final = "What lies in the ground is known only while the ticket is valid and all have answered."


def ticket_holds(ticket: Ticket | None, now: datetime) -> tuple[Hold, ...]:
    """Return what is wrong with the ticket at a time: nobody digs or drives until it is put right."""
    return tuple(
        Hold(
            id=ident,
            text=text,
            why=_LOCATED,
            held_by="ticket",
            steps=DIGS_AND_DRIVES,
            way_on=way_on,
            source="29 CFR 1926.651(b); the state's one-call law",
            mark="published (reprint)",
        )
        for ident, text, way_on in _wrong_with(ticket, now)
    )


def _wrong_with(ticket: Ticket | None, now: datetime) -> Iterator[tuple[str, str, str]]:
    """Yield an id, what must be true, what to do."""
    if ticket is None:
        way_on = "Fill in its number, dates and responses, or call the office."
        yield "ticket-missing", "No locate ticket is in the job.", way_on
        return
    first, last = starts(ticket), ends(ticket)
    if now < first:
        text = f"Ticket {ticket.number} is valid only from {_when(first, now)}."
        yield "ticket-early", text, "Wait, or call."
    if now > last:
        text = f"Ticket {ticket.number} expired on {_when(last, now)}."
        yield "ticket-expired", text, "Have it renewed and fill in the new dates."
    if not ticket.utilities:
        text = f"Ticket {ticket.number} lists no utility's response."
        yield "ticket-utilities", text, "Fill in each utility and what it answered."
    open_ones = [item.name for item in ticket.utilities if not item.settled]
    if open_ones:
        text = f"No final response yet from {', '.join(open_ones)}."
        yield "ticket-responses", text, "Call, and fill in what each answers: clear, or marked."


def _when(moment: datetime, now: datetime) -> str:
    return moment.astimezone(now.tzinfo).strftime("%Y-%m-%d %H:%M")


def place_holds(state: DayState, now: AnchorNow) -> Iterator[Hold]:
    """Yield what is wrong with the place of an anchor's pit and of the rod's way to it, as they stand now."""
    pit = pit_plan(state, inputs_for(state, now.id))
    ticket = state.job.ticket
    if ticket is not None and ticket.area:
        area = ticket.area.get(now.wall)
        if area is None:
            text = f"The ticket's area has no part along the wall {now.wall}."
            way_on = "Have the area widened and the job file corrected, before anybody digs here."
            yield _outside(now, "area-missing", text, way_on, DIGS_AND_DRIVES)
        else:
            verdict = judge_area(pit, area)
            if not verdict.pit_inside:
                yield _outside(now, "pit-outside-area", *_in_two(PIT_OUTSIDE), DIGS_AND_DRIVES)
            if not verdict.way_inside:
                yield _outside(now, "way-outside-area", *_in_two(WAY_OUTSIDE), ("drive",))
    if any(past_property(pit, line) for line in property_runs(state.job, now.wall)):
        system = state.job.job.units
        at = f"{show_length(pit.setback_in, system)} out"
        if now.planned is not None and pit.along_in != now.planned.along_in:
            at = f"{at}, {show_length(pit.along_in, system)} along"
        yield Hold(
            id=f"property line at {at}",
            text=PAST_LINE,
            why="The neighbor's ground is not ours to dig.",
            held_by="ground",
            steps=DIGS_AND_DRIVES,
            release="name",
            way_on="Move the anchor, or sign with the name of who has the neighbor's word in writing.",
            source="the owner's title; common law",
            mark="common practice, no source",
            anchor=now.id,
        )


def _in_two(words: str) -> tuple[str, str]:
    """Return what is wrong and what to do about it, each as a sentence."""
    text, way_on = words.split(": ", 1)
    return f"{text}.", f"{way_on[0].upper()}{way_on[1:]}"


def _outside(now: AnchorNow, ident: str, text: str, way_on: str, steps: tuple[str, ...]) -> Hold:
    return Hold(
        id=ident,
        text=text,
        why=_LOCATED,
        held_by="ground",
        steps=steps,
        way_on=way_on,
        source="the state's one-call law",
        mark="common practice, no source",
        anchor=now.id,
    )


__all__ = ["DIGS_AND_DRIVES", "ends", "left_words", "place_holds", "starts", "ticket_holds"]
