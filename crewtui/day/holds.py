"""What holds a step, why, and what releases it.

A hold stops the step that it protects from counting as done in order. It never stops what makes safe, and
never a true entry. Nothing is released by default.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final, Literal

from crewtui.day.conditions import applies, drop_known
from crewtui.day.facts import FigureFacts, Override, PlainFacts
from crewtui.day.state import AnchorNow, DayState, Signature, drives_of
from crewtui.job.hazards import Hazard
from crewtui.job.model import Ticket
from crewtui.job.steps import StepDef

HeldBy = Literal["hazard", "ticket", "figures", "ground"]
Release = Literal["check", "name", "fact"]

DIGS_AND_DRIVES: Final = ("pit", "drive")
"""Phases that an invalid ticket holds."""
RENEWED_DAILY: Final = frozenset(
    {"inspection", "no-cave-in-sign", "air", "water", "watch-marks", "power", "ppe", "owners-side"}
)
"""Hazards that are answered anew each day; pits by 29 CFR 1926.651(k)(1), the others by common practice."""
RENEWED_AFTER_RAIN: Final = frozenset({"inspection", "no-cave-in-sign", "water"})
"""Hazards that are answered anew for open pits after rain, thaw, vibration or a burst hose; the same rule."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """One thing that holds steps."""

    id: str
    text: str
    """What must be true."""
    why: str
    held_by: HeldBy
    steps: tuple[str, ...]
    """Phases or step ids that it holds."""
    release: Release
    """A check with initials, a check with a name, or a fact that changes by itself."""
    way_on: str
    """What to do about it, in words."""
    override: Override
    source: str
    mark: str
    anchor: str | None = None
    """The anchor at which it is answered; None where it is answered for the whole job."""

    @property
    def sentence(self) -> str:
        """Return what must be true and what to do, as sentences."""
        stop = "" if self.text.endswith((".", "!", "?")) else "."
        return f"{self.text}{stop} {self.way_on}"

    def holds(self, step: StepDef) -> bool:
        """Return whether it holds this step; nothing holds what makes safe."""
        return not step.makes_safe and (step.phase in self.steps or step.id in self.steps)


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldFacts:
    """What holds are judged on."""

    state: DayState
    hazards: tuple[Hazard, ...]
    now: datetime
    done_at: datetime | None = None
    """When a step entered late was done: it is judged as things were then."""
    figures: FigureFacts = field(default_factory=PlainFacts)


def holds_for(facts: HoldFacts, step: StepDef, anchor: str | None) -> tuple[Hold, ...]:
    """Return what holds this step at this anchor, in the order in which it is met."""
    if step.makes_safe:
        return ()
    return tuple(hold for hold in standing(facts, anchor) if hold.holds(step))


def standing(facts: HoldFacts, anchor: str | None) -> tuple[Hold, ...]:
    """Return every hold that stands for an anchor's steps, or with None for the job's own."""
    found = [*_ticket(facts), *_hazards(facts, anchor)]
    if anchor is not None and anchor in facts.state.anchors:
        found += [*_ground(facts, anchor), *_figures(facts, anchor)]
    return tuple(hold for hold in found if not _is_set_aside(facts.state, hold))


def _is_set_aside(state: DayState, hold: Hold) -> bool:
    """Return whether it was released or overridden, as far as its rule lets it be."""
    holding = state.shared.holding if hold.anchor is None else state.anchors[hold.anchor].holding
    if hold.override != "never" and hold.id in holding.overridden:
        return True
    return hold.release != "fact" and hold.held_by != "hazard" and hold.id in holding.released


# Hazards.


def _hazards(facts: HoldFacts, anchor: str | None) -> Iterator[Hold]:
    for hazard in facts.hazards:
        if not hazard.holds or (anchor is None and hazard.scope == "anchor"):
            continue
        here = applies(hazard.conditions, facts.state, anchor)
        if here and not in_place(facts.state, hazard, anchor, at=facts.done_at):
            yield _of_hazard(hazard, anchor)


def _of_hazard(hazard: Hazard, anchor: str | None) -> Hold:
    who = "your initials" if hazard.release == "check" else "a name"
    return Hold(
        id=hazard.id,
        text=hazard.text,
        why=hazard.why,
        held_by="hazard",
        steps=hazard.holds,
        release=hazard.release,
        way_on=f"See that it is in place, then sign it off with {who}.",
        override=hazard.override,
        source=hazard.source,
        mark=hazard.mark,
        anchor=anchor if hazard.scope == "anchor" else None,
    )


def in_place(state: DayState, hazard: Hazard, anchor: str | None, *, at: datetime | None = None) -> bool:
    """Return whether a hazard's answer says that it is in place, and the answer still counts."""
    signed = answer_to(state, hazard, anchor, at=at)
    return signed is not None and signed.in_place


def answer_to(
    state: DayState, hazard: Hazard, anchor: str | None, *, at: datetime | None = None
) -> Signature | None:
    """Return the answer to a hazard that still counts, for something done at a time, else for now.

    A daily inspection of another day does not, nor, where a pit is open, one from before rain and the like,
    nor one signed only after the step was done.
    """
    where = anchor if hazard.scope == "anchor" else None
    holding = state.shared.holding if where is None else state.anchors[where].holding
    signed = max(
        (
            item
            for item in (holding.hazards.get(hazard.id), holding.released.get(hazard.id))
            if item is not None
        ),
        key=lambda item: item.n,
        default=None,
    )
    if signed is None or (at is not None and signed.done_at > at):
        return None
    return signed if signed.n > _counts_after(state, hazard, anchor, at) else None


def _counts_after(state: DayState, hazard: Hazard, anchor: str | None, at: datetime | None) -> int:
    """Return the number of the entry before which an answer to this hazard is out of date."""
    began = state.shared.day_began_at
    is_of_today = at is None or began is None or at >= began
    daily_n = state.shared.day_began_n if hazard.id in RENEWED_DAILY and is_of_today else 0
    if hazard.id not in RENEWED_AFTER_RAIN:
        return daily_n
    where = tuple(state.live()) if anchor is None else (state.anchors[anchor],)
    return max(daily_n, state.shared.reopened_n if any(pit_is_open(now) for now in where) else 0)


def pit_is_open(now: AnchorNow) -> bool:
    """Return whether the anchor's pit was begun and is not yet filled."""
    begun = "sod" in now.answers or "pit_depth_in" in now.as_built or bool(drives_of(now))
    return begun and "lifts" not in now.as_built


# The locate ticket.


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
    if now < ticket.valid_from:
        day = _when(ticket.valid_from, now)
        found.append(("ticket-early", f"Ticket {ticket.number} is valid only from {day}.", "Wait, or call."))
    if now > ticket.valid_to:
        day = _when(ticket.valid_to, now)
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


def _ticket(facts: HoldFacts) -> Iterator[Hold]:
    for ident, text, way_on in ticket_trouble(facts.state.job.ticket, facts.done_at or facts.now):
        yield Hold(
            id=ident,
            text=text,
            why="What lies in the ground is known only while the ticket is valid and all have answered.",
            held_by="ticket",
            steps=DIGS_AND_DRIVES,
            release="fact",
            way_on=way_on,
            override="never",
            source="29 CFR 1926.651(b); the state's one-call law",
            mark="published (reprint)",
        )


# The ground's drop and the figures.


def _ground(facts: HoldFacts, anchor: str) -> Iterator[Hold]:
    if not drop_known(facts.state, facts.state.anchors[anchor]):
        yield Hold(
            id="drop-unknown",
            text="The drop of the ground at the pit is not known.",
            why="A rod aimed as if the yard were level comes up shallow where it falls.",
            held_by="ground",
            steps=("drill", "drive"),
            release="fact",
            way_on="Shoot or tape the drop from grade at the wall to the ground at the pit.",
            override="never",
            source="the geometry of the aim",
            mark="common practice, no source",
            anchor=anchor,
        )


def _figures(facts: HoldFacts, anchor: str) -> Iterator[Hold]:
    for item in facts.figures.holds:
        yield Hold(
            id=item.id,
            text=item.text,
            why=item.why,
            held_by="figures",
            steps=item.steps,
            release="fact",
            way_on=item.release,
            override=item.override,
            source=item.source,
            mark=item.mark,
            anchor=anchor,
        )


def said(holds: tuple[Hold, ...]) -> str:
    """Return the first hold as a sentence, and how many more there are; empty where nothing holds."""
    if not holds:
        return ""
    more = len(holds) - 1
    return holds[0].sentence + (f" And {more} more {'hold' if more == 1 else 'holds'}." if more else "")


def warnings_of(facts: HoldFacts, anchor: str | None) -> tuple[str, ...]:
    """Return the hazards that only warn, where they apply and nobody has said that they are in place."""
    return tuple(
        hazard.text
        for hazard in facts.hazards
        if not hazard.holds
        and (anchor is not None or hazard.scope == "job")
        and applies(hazard.conditions, facts.state, anchor)
        and not in_place(facts.state, hazard, anchor)
    )
