"""The hazards as rows: what applies here, what is in place and who said so, what it holds until then."""

from __future__ import annotations

from datetime import datetime
from typing import Final, Literal

from msgspec import Struct

from crewtui.day.safety.hazard_details import detail
from crewtui.day.safety.holds import answer_to
from crewtui.day.state.conditions import FACTS, UNANSWERED_IS_NO, applies, pit_is_there
from crewtui.day.state.state import DayState, Signature
from crewtui.job.tables.hazards import Hazard

ASKED_AS_A_STEP: Final = frozenset({"private lines"})
"""Questions whose answer is a step of the morning."""

HazardMark = Literal["in place", "not in place", "open", "warning", "set aside", "later", "does not apply"]


class HazardRow(Struct, frozen=True, kw_only=True):
    """One hazard as the screen shows it."""

    id: str
    group: str
    text: str
    why: str
    mark: HazardMark
    holds: tuple[str, ...]
    """Phases or steps that it holds while it is open."""
    anchor: str | None
    """Where it is answered; None for the whole job."""
    who: str = ""
    at: datetime | None = None
    release: str
    override: str
    source: str
    rule_mark: str
    """How sure the source is: published, a reprint, common practice, from memory."""
    edition: str
    stricter: str
    detail: str = ""
    """What it comes to here, in figures."""
    said_by: str = ""
    """Who in the company added it or made it stricter."""


class HazardQuestion(Struct, frozen=True, kw_only=True):
    """Something asked for the whole job; unanswered counts as the safe answer, or as not seen."""

    fact: str
    short: str
    text: str
    answer: bool | None
    seen: bool
    """It is not known beforehand: somebody sees it, and says so at once."""


def hazard_rows(state: DayState, hazards: tuple[Hazard, ...], anchor: str | None) -> tuple[HazardRow, ...]:
    """Return a row for every hazard of the job, and with an anchor also for that anchor's own."""
    return tuple(
        _row(state, hazard, anchor) for hazard in hazards if anchor is not None or hazard.scope == "job"
    )


def _row(state: DayState, hazard: Hazard, anchor: str | None) -> HazardRow:
    where = anchor if hazard.scope == "anchor" else None
    signed = answer_to(state, hazard, anchor)
    return HazardRow(
        id=hazard.id,
        group=hazard.group,
        text=hazard.text,
        why=hazard.why,
        mark=_mark(state, hazard, anchor, signed),
        holds=hazard.holds if _may_hold(state, hazard, anchor) else (),
        anchor=where,
        who=signed.initials if signed is not None else "",
        at=signed.done_at if signed is not None else None,
        release=hazard.release,
        override=hazard.override,
        source=hazard.source,
        rule_mark=hazard.mark,
        edition=hazard.edition,
        stricter=hazard.stricter,
        detail=detail(state, hazard.id, anchor),
        said_by=hazard.said_by,
    )


def _mark(state: DayState, hazard: Hazard, anchor: str | None, signed: Signature | None) -> HazardMark:
    if not applies(hazard.conditions, state, anchor):
        return "does not apply"
    if signed is not None:
        return "in place" if signed.in_place else "not in place"
    where = anchor if hazard.scope == "anchor" else None
    holding = state.shared.holding if where is None else state.anchors[where].holding
    if hazard.override != "never" and hazard.id in holding.overridden:
        return "set aside"
    if hazard.of_the_pit and not pit_is_there(state, anchor):
        return "later"
    return "open" if _may_hold(state, hazard, anchor) else "warning"


def _may_hold(state: DayState, hazard: Hazard, anchor: str | None) -> bool:
    return bool(hazard.holds) and applies(hazard.holding_conditions, state, anchor)


def questions(state: DayState) -> tuple[HazardQuestion, ...]:
    """Return what is asked once a job, with what was answered."""
    return tuple(
        HazardQuestion(
            fact=fact,
            short=short,
            text=text,
            answer=state.shared.facts.get(fact),
            seen=fact in UNANSWERED_IS_NO,
        )
        for fact, (short, text) in FACTS.items()
        if fact not in ASKED_AS_A_STEP
    )
