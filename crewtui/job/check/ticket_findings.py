"""What is wrong with the locate ticket: dates, answers, pits outside its area or past the property line."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from crewtui.job.check.finding import Finding
from crewtui.job.file.model import Anchor, Job, Ticket
from crewtui.job.file.placing import property_runs
from crewtui.job.file.planned import planned_number
from crewtui.job.tables.rules import Rules
from crewtui.trade.ground.area import PAST_LINE, judge_area, past_property
from crewtui.trade.ground.lines import PitPlan


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
        pit = planned_pit(job, rules, anchor)
        if any(past_property(pit, line) for line in property_runs(job, anchor.wall)):
            yield Finding("stop", "property", PAST_LINE, anchor=anchor.id)


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
        if not utility.settled:
            state = "has not answered" if utility.response == "not answered" else "is still at work"
            words = f"{utility.name} {state}: digging and driving are held until it has."
            yield Finding("stop", "ticket", words)


def _area_findings(job: Job, rules: Rules, ticket: Ticket) -> Iterator[Finding]:
    if not ticket.area:
        yield Finding("remark", "ticket", "The ticket's area is not given: hold it against the yard on site.")
        return
    for anchor in job.anchors:
        area = ticket.area.get(anchor.wall)
        if area is None:
            words = f"The ticket's area has no part along the wall {anchor.wall}."
            yield Finding("stop", "ticket", words, anchor=anchor.id)
        else:
            for words in judge_area(planned_pit(job, rules, anchor), area).warnings:
                yield Finding("stop", "ticket", words, anchor=anchor.id)


def planned_pit(job: Job, rules: Rules, anchor: Anchor) -> PitPlan:
    """Return the pit as planned, seen from above."""
    return PitPlan(
        along_in=anchor.along_in,
        setback_in=planned_number(job, rules, anchor, "setback_in"),
        along_rod_in=planned_number(job, rules, anchor, "pit_along_rod_in"),
        across_in=planned_number(job, rules, anchor, "pit_across_in"),
        round=job.tools.pit == "auger",
    )
