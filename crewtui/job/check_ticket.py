"""What is wrong with the locate ticket: dates, answers, pits outside its area or past the property line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from itertools import pairwise

from crewtui.job.finding import Finding
from crewtui.job.model import Anchor, Job, Ticket
from crewtui.job.rules import Rules
from crewtui.units import TOLERANCE_IN

PlanPoint = tuple[float, float]


def ticket_findings(job: Job, rules: Rules, *, now: datetime | None) -> Iterator[Finding]:
    """Return what is wrong with the ticket and the ground that it covers."""
    ticket = job.ticket
    if ticket is None:
        words = "There is no locate ticket: digging and driving are held until one is entered."
        yield Finding("stop", "ticket", words)
    else:
        yield from _date_findings(job, ticket, now)
        yield from _answer_findings(ticket)
        yield from _area_findings(job, rules, ticket)
    for anchor in job.anchors:
        line = job.property_line.get(anchor.wall, ())
        if any(not _house_side(point, line) for point in _rim(job, rules, anchor)):
            words = "The pit reaches past the property line: move it, or get the neighbour's word in writing."
            yield Finding("stop", "property", words, anchor=anchor.id)


def _date_findings(job: Job, ticket: Ticket, now: datetime | None) -> Iterator[Finding]:
    day = job.job.date
    first, last = ticket.valid_from, ticket.valid_to
    if day < first.date():
        words = f"The ticket begins on {first:%Y-%m-%d}, after the day planned for the work, {day}."
        yield Finding("stop", "ticket", words)
    elif day > last.date():
        words = f"The ticket ends on {last:%Y-%m-%d}, before the day planned for the work, {day}: renew it."
        yield Finding("stop", "ticket", words)
    if now is None:
        return
    if now > last:
        yield Finding("stop", "ticket", f"The ticket ran out on {last:%Y-%m-%d at %H:%M}: renew it.")
    elif now < first:
        words = f"The ticket is not yet valid: no digging before {first:%Y-%m-%d at %H:%M}."
        yield Finding("caution", "ticket", words)


def _answer_findings(ticket: Ticket) -> Iterator[Finding]:
    if not ticket.utilities:
        yield Finding("caution", "ticket", "The ticket lists no utilities: enter each one and its answer.")
    for utility in ticket.utilities:
        if utility.response in {"not answered", "ongoing"}:
            state = "has not answered" if utility.response == "not answered" else "is still at work"
            words = f"{utility.name} {state}: digging and driving are held until it has."
            yield Finding("stop", "ticket", words)


def _area_findings(job: Job, rules: Rules, ticket: Ticket) -> Iterator[Finding]:
    if not ticket.area:
        yield Finding("note", "ticket", "The ticket's area is not given: hold it against the yard on site.")
        return
    for anchor in job.anchors:
        area = ticket.area.get(anchor.wall)
        if area is None:
            words = f"The ticket's area has no part along the wall {anchor.wall}."
            yield Finding("stop", "ticket", words, anchor=anchor.id)
        elif not all(inside(point, area) for point in _rim(job, rules, anchor)):
            words = "The pit reaches past the area on the ticket: move it, or have the area widened."
            yield Finding("stop", "ticket", words, anchor=anchor.id)


def _rim(job: Job, rules: Rules, anchor: Anchor) -> tuple[PlanPoint, ...]:
    """Return the corners of the pit as planned, seen from above; an auger's hole by the square round it."""
    tools = job.tools
    hand = tools.pit == "hand"
    long_in = tools.pit_along_rod_in or rules.number("pit_hand_along_rod_in" if hand else "pit_auger_in")
    wide_in = tools.pit_across_in or (rules.number("pit_hand_across_in") if hand else long_in)
    out_in = anchor.setback_in or rules.number("setback_in")
    return tuple(
        (anchor.along_in + side * wide_in / 2, out_in + end * long_in / 2)
        for side in (-1, 1)
        for end in (-1, 1)
    )


def inside(point: PlanPoint, area: Sequence[PlanPoint]) -> bool:
    """Return whether a point lies in the area or on its edge."""
    x, y = point
    crossings = 0
    for (x1, y1), (x2, y2) in zip(area, (*area[1:], *area[:1]), strict=True):
        if _on_edge(point, (x1, y1), (x2, y2)):
            return True
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) * (x2 - x1) / (y2 - y1):
            crossings += 1
    return crossings % 2 == 1


def _on_edge(point: PlanPoint, start: PlanPoint, end: PlanPoint) -> bool:
    (x, y), (x1, y1), (x2, y2) = point, start, end
    long2 = (x2 - x1) ** 2 + (y2 - y1) ** 2
    share = 0.0 if long2 == 0 else ((x - x1) * (x2 - x1) + (y - y1) * (y2 - y1)) / long2
    share = min(1.0, max(0.0, share))
    away2 = (x - x1 - share * (x2 - x1)) ** 2 + (y - y1 - share * (y2 - y1)) ** 2
    return away2 <= TOLERANCE_IN**2


def _house_side(point: PlanPoint, line: Sequence[PlanPoint]) -> bool:
    """Return whether the point lies on the house's side of the property line, as far as that is known."""
    along_in, out_in = point
    for (x1, y1), (x2, y2) in pairwise(line):
        if min(x1, x2) <= along_in <= max(x1, x2):
            share = 0.0 if x1 == x2 else (along_in - x1) / (x2 - x1)
            if out_in > y1 + share * (y2 - y1) + TOLERANCE_IN:
                return False
    return True
