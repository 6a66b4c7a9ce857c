"""The briefing: what this job asks of everybody, on one page, in the order it is met."""

from __future__ import annotations

from crewtui.day.conditions import applies
from crewtui.day.state import DayState
from crewtui.job.hazards import Hazard
from crewtui.units import show_length

_FIRST = (
    "The engineer's plan, the maker's sheet, local code and the competent person govern.",
    'Anybody says STOP and everything stops. The stop word is "STOP"; say it back now.',
    "While the hammer runs nobody looks or reaches into a pit. Past the stop mark nobody drives on.",
    "Nobody stands in a pit or in line with the rod while it is tightened.",
    "A line is struck: stop, touch no switch, out of the house, telephone from outside (key e or !).",
)


def briefing(state: DayState, hazards: tuple[Hazard, ...]) -> str:
    """Return the page as plain text."""
    job, card = state.job, state.job.job
    system = card.units
    lines = [f"{card.site} - {card.date.isoformat()} - lead {card.lead}", ""]
    lines += [f"- {text}" for text in _FIRST]
    lines += ["", "TODAY"]
    for wall in job.walls:
        ids = [now.id for now in state.live() if now.wall == wall.name]
        lines.append(
            f"- {wall.name}, {wall.type}: anchors {', '.join(ids) or 'none'}. {wall.stands_behind}".rstrip()
        )
    ticket = job.ticket
    if ticket is None:
        lines.append("- NO LOCATE TICKET in the job: nobody digs or drives.")
    else:
        said = ", ".join(f"{item.name} {item.response}" for item in ticket.utilities) or "no responses listed"
        lines.append(f"- Ticket {ticket.number} to {ticket.valid_to:%Y-%m-%d %H:%M}: {said}.")
    for line in job.lines:
        depth = state.shared.exposed.get(line.name, line.depth_in)
        said = "depth not known" if depth is None else f"{show_length(depth, system)} deep"
        lines.append(f"- In the ground at {line.wall}: {line.name} ({line.kind}), {said}.")
    group = ""
    for hazard in hazards:
        if not applies(hazard.conditions, state, None):
            continue
        if hazard.group != group:
            group = hazard.group
            lines += ["", group.upper()]
        lines.append(f"- {hazard.text}. {hazard.why}")
    lines += ["", "WHOM TO CALL"]
    lines += [f"- {c.role}: {c.phone} {c.name}".rstrip() for c in job.contacts] or [
        "- no contacts in the job file"
    ]
    lines += ["", f"Address to read out: {card.address or 'not in the job file'}"]
    lines += [
        "",
        f"Crew: {', '.join((card.lead, *card.crew))}",
        "",
        "Check the current rules and the local ones.",
    ]
    return "\n".join(lines)
