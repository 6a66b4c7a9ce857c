"""What stands open for tomorrow: rods and pits, covers, the ticket, and who looks after them."""

from __future__ import annotations

from datetime import datetime, time, timedelta

from msgspec import Struct

from crewtui.day.safety.locates import ticket_holds
from crewtui.day.state.conditions import pit_is_open
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.day.steps.step_rows import anchor_word

COVERS_STEP = "covers-watched"
"""The hand-over step that names who looks after the covers."""
_MORNING = time(7, 0)


class OpenAnchor(Struct, frozen=True, kw_only=True):
    """One anchor that is not closed, and what of it stands open."""

    id: str
    wall: str
    word: str
    pit_open: bool
    rod_in: bool
    """A rod stands in the wall."""
    tightened: bool
    """At least once."""
    covered: bool
    pictures: tuple[str, ...]
    """Files of the pictures that show it, beside the job."""
    words: str


class HandOver(Struct, frozen=True, kw_only=True):
    """The page for tomorrow's crew."""

    anchors: tuple[OpenAnchor, ...]
    open_pits: tuple[str, ...]
    uncovered: tuple[str, ...]
    """Open pits that nobody has said are covered."""
    ticket_tomorrow: tuple[str, ...]
    """What is wrong with the ticket at seven tomorrow; empty if nothing."""
    covers_by: str
    """Who looks after the covers; empty while nobody is named."""
    deviations: int
    record_due: bool
    """The company keeps a record a day, and today's is not signed."""
    needed: bool
    """Anything stands open at all."""


def hand_over(state: DayState, now: datetime) -> HandOver:
    """Return what stands open now, for whoever goes on tomorrow."""
    standing = tuple(_open_anchor(state, anchor) for anchor in state.anchors.values() if _stands(anchor))
    begun = tuple(item for item in standing if item.word != "not begun")
    named = state.shared.answers.get(COVERS_STEP)
    tomorrow = datetime.combine(now.date() + timedelta(days=1), _MORNING, tzinfo=now.tzinfo)
    return HandOver(
        anchors=standing,
        open_pits=tuple(item.id for item in begun if item.pit_open),
        uncovered=tuple(item.id for item in begun if item.pit_open and not item.covered),
        ticket_tomorrow=tuple(hold.text for hold in ticket_holds(state.job.ticket, tomorrow))
        if standing
        else (),
        covers_by=named.answer if named is not None else "",
        deviations=len(state.deviations),
        record_due=record_due(state),
        needed=bool(standing),
    )


def record_due(state: DayState) -> bool:
    """Return whether the company keeps one record a day and that of the day last begun is not signed."""
    return state.rules.text("record_each") == "day" and state.shared.signed_n <= state.shared.day_began_n


def _stands(now: AnchorNow) -> bool:
    """Return whether anything of an anchor is left to do; of a dropped one, its open pit."""
    return pit_is_open(now) or (not now.dropped and anchor_word(now) != "closed")


def _open_anchor(state: DayState, now: AnchorNow) -> OpenAnchor:
    pit_open = pit_is_open(now)
    rod_in = bool(now.drives) or "held_angle_deg" in now.as_built
    plate_on = "plate-on" in now.answers
    tightened = "first_torque_lbf_ft" in now.as_built
    word = anchor_word(now)
    said = [
        "pit open, covered" if pit_open and word == "covered" else "pit open" if pit_open else "",
        "rod in the wall" if rod_in else "",
        "plate on" if plate_on else "rod without its plate" if rod_in else "",
        "tightened once" if tightened else "not tightened" if plate_on else "",
    ]
    return OpenAnchor(
        id=now.id,
        wall=now.wall,
        word=word,
        pit_open=pit_open,
        rod_in=rod_in,
        tightened=tightened,
        covered=word == "covered",
        pictures=tuple(one.file for one in state.shared.beside.pictures if one.anchor == now.id),
        words="; ".join(text for text in said if text) or "not begun",
    )
