"""The locate ticket against the clock and against the ground: dates, answers, area, property line."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from msgspec import Struct

from crewtui.day.figures.line_figures import pit_plan
from crewtui.day.state.inputs import inputs_for
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.job.file.model import Ticket
from crewtui.trade.ground.area import PAST_LINE, PIT_OUTSIDE, WAY_OUTSIDE, judge_area, past_property
from crewtui.trade.safety.one_call import counted_on, remaining
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


def left_words(ticket: Ticket, now: datetime) -> str:
    """Return what is left of the ticket, counted as the job's state counts, and when it ends."""
    last = ends(ticket)
    found = remaining(now, last, ticket.counted_in or "calendar days", holidays=ticket.holidays)
    if found.over:
        return f"EXPIRED on {_when(last, last)}"
    if now < starts(ticket):
        return f"not yet valid: from {_when(starts(ticket), last)}"
    return f"{found.words}, to {_when(last, last)}"


def ticket_trouble(ticket: Ticket | None, now: datetime) -> tuple[tuple[str, str, str], ...]:
    """Return what is wrong with the ticket now: an id, what must be true, what to do."""
    if ticket is None:
        return (
            (
                "ticket-missing",
                "No locate ticket is in the job.",
                "Fill in its number, dates and responses, or call the office.",
            ),
        )
    found: list[tuple[str, str, str]] = []
    first, last = starts(ticket), ends(ticket)
    if now < first:
        day = _when(first, now)
        found.append(("ticket-early", f"Ticket {ticket.number} is valid only from {day}.", "Wait, or call."))
    if now > last:
        day = _when(last, now)
        text = f"Ticket {ticket.number} expired on {day}."
        found.append(("ticket-expired", text, "Have it renewed and fill in the new dates."))
    if not ticket.utilities:
        text = f"Ticket {ticket.number} lists no utility's response."
        found.append(("ticket-utilities", text, "Fill in each utility and what it answered."))
    open_ones = [item.name for item in ticket.utilities if item.response in {"not answered", "ongoing"}]
    if open_ones:
        text = f"No final response yet from {', '.join(open_ones)}."
        found.append(("ticket-responses", text, "Call, and fill in what each answers: clear, or marked."))
    return tuple(found)


def _when(moment: datetime, now: datetime) -> str:
    return moment.astimezone(now.tzinfo).strftime("%Y-%m-%d %H:%M")


class PlaceTrouble(Struct, frozen=True, kw_only=True):
    """Something wrong with where an anchor's pit lies."""

    id: str
    text: str
    way_on: str
    steps: tuple[str, ...]
    by_name: bool
    """Somebody named may release it; else the place or the ticket has to change."""


def place_trouble(state: DayState, now: AnchorNow) -> Iterator[PlaceTrouble]:
    """Yield what is wrong with the place of an anchor's pit and of the rod's way to it, as they stand now."""
    pit = pit_plan(state, inputs_for(state, now.id))
    ticket = state.job.ticket
    if ticket is not None and ticket.area:
        area = ticket.area.get(now.wall)
        if area is None:
            yield PlaceTrouble(
                id="area-missing",
                text=f"The ticket's area has no part along the wall {now.wall}.",
                way_on="Have the area widened and the job file corrected, before anybody digs here.",
                steps=("pit", "drive"),
                by_name=False,
            )
        else:
            verdict = judge_area(pit, area)
            if not verdict.pit_inside:
                yield _outside("pit-outside-area", PIT_OUTSIDE, ("pit", "drive"))
            if not verdict.way_inside:
                yield _outside("way-outside-area", WAY_OUTSIDE, ("drive",))
    line = state.job.property_line.get(now.wall, ())
    if line and past_property(pit, line):
        system = state.job.job.units
        at = f"{show_length(pit.setback_in, system)} out"
        if now.planned is not None and pit.along_in != now.planned.along_in:
            at = f"{at}, {show_length(pit.along_in, system)} along"
        yield PlaceTrouble(
            id=f"property line at {at}",
            text=PAST_LINE,
            way_on="Move the anchor, or sign with the name of who has the neighbour's word in writing.",
            steps=("pit", "drive"),
            by_name=True,
        )


def _outside(ident: str, words: str, steps: tuple[str, ...]) -> PlaceTrouble:
    text, way_on = words.split(": ", 1)
    return PlaceTrouble(
        id=ident,
        text=f"{text}.",
        way_on=f"{way_on[0].upper()}{way_on[1:]}",
        steps=steps,
        by_name=False,
    )


__all__ = ["PlaceTrouble", "ends", "left_words", "place_trouble", "starts", "ticket_trouble"]
