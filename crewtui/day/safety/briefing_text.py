"""The briefing: what this job asks of everybody, on one page, in the order it is met."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Final

from crewtui.day.safety.hazard_details import detail, loosened_words
from crewtui.day.safety.locates import left_words, ticket_holds
from crewtui.day.state.conditions import applies, counted_soil
from crewtui.day.state.exposures import respirator_needed, shift_exposure
from crewtui.day.state.state import DayState, Exposure
from crewtui.job.tables.hazards import Hazard
from crewtui.units import show_length

_FIRST: Final = (
    "The engineer's plan, the maker's sheet, local code and the competent person govern.",
    'Anybody says STOP and everything stops. The stop word is "STOP"; say it back now.',
    "While the hammer runs nobody looks or reaches into a pit. Past the stop mark nobody drives on.",
    "Nobody stands in a pit or in line with the rod while it is tightened.",
    "A line is struck: stop, touch no switch, out of the house, phone from outside (key e or !).",
)
_WORN: Final = (
    "Everywhere: hard hat, boots, eyes, gloves; whole, and fitting each person.",
    "Drill, hammer, saw, auger: plugs or muffs besides; plain cotton is none.",
    "Drilling and chipping: shroud and dust collector run before the bit turns.",
    "Cutting rod: face shield over the glasses, no loose sleeve.",
)
"""What is worn at which work: 29 CFR 1926.28, .95(c), .96, .100, .101, .102; 1926.1153 Table 1."""
RULES: Final = (
    "The words are ours and the rules are only cited, mostly from reprints: check the current edition and the"
    " local rule."
)


def briefing(state: DayState, hazards: tuple[Hazard, ...], now: datetime | None = None) -> str:
    """Return the page as plain text; with the time also what is left of the ticket."""
    card = state.job.job
    lines = [f"{card.site} - {card.date.isoformat()} - lead {card.lead}", ""]
    lines += [f"- {text}" for text in _FIRST]
    lines += ["", "TODAY", *_today(state, now)]
    loosened = loosened_words(state)
    if loosened:
        lines += ["", "LIMITS THAT THE COMPANY HAS LOOSENED", *(f"- {text}." for text in loosened)]
    lines += ["", "WORN", *(f"- {text}" for text in _worn(state))]
    group = ""
    for hazard in hazards:
        if not applies(hazard.conditions, state, None):
            continue
        if hazard.group != group:
            group = hazard.group
            lines += ["", group.upper()]
        here = detail(state, hazard.id, None)
        by = f" (asked for by {hazard.said_by})" if hazard.said_by else ""
        lines.append(f"- {hazard.text}{f' [{here}]' if here else ''}. {hazard.why}".rstrip() + by)
    lines += ["", "WHOM TO CALL"]
    lines += [f"- {c.role}: {c.phone} {c.name}".rstrip() for c in state.job.contacts] or [
        "- no contacts in the job file"
    ]
    lines += ["", f"Address to read out: {card.address or 'not in the job file'}"]
    crew = ", ".join(card.everybody)
    lines += ["", f"Crew, initials of each onto the step of the day: {crew}", "", RULES]
    return "\n".join(lines)


def _today(state: DayState, now: datetime | None) -> Iterator[str]:
    job, system = state.job, state.job.job.units
    named = state.shared.answers.get("competent-person")
    person = named.answer if named is not None else job.job.competent_person
    yield f"- Competent person: {person or 'NOT NAMED YET'}. Soil counts as type {counted_soil(state)}."
    for wall in job.walls:
        ids = [one.id for one in state.live() if one.wall == wall.name]
        yield f"- {wall.name}, {wall.type}: anchors {', '.join(ids) or 'none'}. {wall.stands_behind}".rstrip()
    ticket = job.ticket
    if ticket is None:
        yield "- NO LOCATE TICKET in the job: nobody digs or drives."
    else:
        said = ", ".join(f"{item.name} {item.response}" for item in ticket.utilities) or "no responses listed"
        until = left_words(ticket, now) if now is not None else f"to {ticket.valid_to:%Y-%m-%d %H:%M}"
        yield f"- Ticket {ticket.number} {until}: {said}."
        if now is not None:
            yield from (f"- {hold.text} {hold.way_on}" for hold in ticket_holds(ticket, now))
    for line in job.lines:
        found = [one for one in state.shared.exposed if one.line == line.name]
        bare = "; ".join(
            f"laid bare {_where(one)}, {show_length(one.depth_in, system)} deep" for one in found
        )
        plan = "" if line.depth_in is None else f"{show_length(line.depth_in, system)} deep by the plan"
        deep = bare or plan or "depth not known"
        yield f"- In the ground at {line.wall}: {line.name} ({line.kind}), {deep}."


def _where(one: Exposure) -> str:
    if not one.n:
        return "before the day"
    return f"at {one.anchor or 'a place not entered'}"


def _worn(state: DayState) -> Iterator[str]:
    yield from _WORN
    if respirator_needed(state):
        factor = shift_exposure(state).dust.factor
        yield f"Respirator of APF {factor} or more by the hours entered this shift (1926.1153 Table 1)."
