"""What holds a step, why, and what releases it.

A hold stops the step that it protects from counting as done in order. It never stops what makes safe, and
never a true entry. Nothing is released by default.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Final

from msgspec import Struct, field

from crewtui.day.safety.inspections import inspection_holds
from crewtui.day.safety.locates import place_holds, ticket_holds
from crewtui.day.state.conditions import IN_THE_PIT, applies, drop_known, pit_is_open, pit_is_there
from crewtui.day.state.facts import FigureFacts, PlainFacts
from crewtui.day.state.hold import Hold, Release
from crewtui.day.state.state import (
    CLICKED,
    TIGHTENINGS,
    WATCH_MARK,
    AnchorNow,
    DayState,
    Measured,
    Signature,
    Tightening,
)
from crewtui.job.tables.hazards import Hazard
from crewtui.job.tables.steps import PHASES, StepDef
from crewtui.units import at_most, show_length

RENEWED_DAILY: Final = frozenset(
    {
        "marks-on-ground", "inspection", "no-cave-in-sign", "air", "water", "left-overnight", "power", "ppe",
        "owners-side", "respirator", "noise-dose",
    }
)  # fmt: skip
"""Hazards that are answered anew each day; pits by 29 CFR 1926.651(k)(1), the others by common practice."""
MARKS: Final = "marks-on-ground"
"""Answered anew when the marks on the ground have faded."""
FILL: Final = "loose-fill"
"""Answered anew at each find."""
_ALL_BUT_SAFE: Final[tuple[str, ...]] = PHASES
"""Every phase; what makes safe among its steps is never held."""
_LONGEST_ID: Final = 64
WEATHER_HAZARD: Final = "weather-and-light"
"""Answered anew when the weather turns: heat and cold ask for other means."""
RENEWED_AFTER_RAIN: Final = frozenset({"inspection", "no-cave-in-sign", "water"})
"""Hazards that are answered anew for open pits after rain, thaw, vibration or a burst hose; the same rule."""


class HoldFacts(Struct, frozen=True, kw_only=True):
    """What holds are judged on."""

    state: DayState
    hazards: tuple[Hazard, ...]
    now: datetime
    done_at: datetime | None = None
    """When a step entered late was done: it is judged as things were then."""
    figures: FigureFacts = field(default_factory=PlainFacts)


def holds_for(facts: HoldFacts, step: StepDef, anchor: str | None) -> tuple[Hold, ...]:
    """Return what holds this step at this anchor, in the order in which it is met."""
    return tuple(hold for hold in standing(facts, anchor) if hold.holds(step))


def standing(facts: HoldFacts, anchor: str | None) -> tuple[Hold, ...]:
    """Return every hold that stands for an anchor's steps, or with None for the job's own."""
    at = facts.done_at or facts.now
    found = [*ticket_holds(facts.state.job.ticket, at), *_hazards(facts, anchor)]
    if anchor is not None and anchor in facts.state.anchors:
        now = facts.state.anchors[anchor]
        found += [*place_holds(facts.state, now), *_ground(facts, anchor), *_wall(facts, anchor)]
        found += [*facts.figures.holds, *inspection_holds(facts.state, now, at=facts.done_at)]
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
        here = applies((*hazard.conditions, *hazard.holding_conditions), facts.state, anchor)
        if here and not in_place(facts.state, hazard, anchor, at=facts.done_at):
            yield _of_hazard(facts.state, hazard, anchor)


def _of_hazard(state: DayState, hazard: Hazard, anchor: str | None) -> Hold:
    who = "your initials" if hazard.release == "check" else "a name"
    too_early = hazard.of_the_pit and not pit_is_there(state, anchor)
    see = "Once the pit is begun, see" if too_early else "See"
    return Hold(
        id=hazard.id,
        text=hazard.text,
        why=hazard.why,
        held_by="hazard",
        steps=hazard.holds,
        release=hazard.release,
        way_on=f"{see} that it is in place, then sign it off with {who}.",
        override=hazard.override,
        source=hazard.source,
        mark=hazard.mark,
        anchor=anchor if hazard.scope == "anchor" else None,
        asks_entry=_asks_entry(state, hazard, anchor),
    )


def _asks_entry(state: DayState, hazard: Hazard, anchor: str | None) -> bool:
    depends = IN_THE_PIT in {*hazard.conditions, *hazard.holding_conditions}
    return depends and anchor is not None and state.anchors[anchor].pit_entry is None


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
    if hazard.id == MARKS:
        return max(daily_n, state.shared.faded_n)
    if hazard.id == WEATHER_HAZARD:
        return max(daily_n, state.shared.weather_n)
    if hazard.id == FILL:
        return state.shared.fill_n
    if hazard.id not in RENEWED_AFTER_RAIN:
        return daily_n
    where = tuple(state.live()) if anchor is None else (state.anchors[anchor],)
    return max(daily_n, state.shared.reopened_n if any(pit_is_open(now) for now in where) else 0)


# The wall itself.


def _wall(facts: HoldFacts, anchor: str) -> Iterator[Hold]:
    state, now = facts.state, facts.state.anchors[anchor]
    read = now.as_built.get(WATCH_MARK)
    if "depth_found_in" not in now.as_built and not _is_of_its_day(facts, read):
        yield _watch_hold(
            "watch-mark",
            "The watch mark has not been read before this drive.",
            way_on="Read it and type how far it has moved onto its own step; 0 if it has not.",
            steps=("drive",),
            release="fact",
        )
    yield from _stopped_nut(facts, now)
    yield from _as_it_stands(facts, now)
    moved_in = max(state.shared.moved.get(now.wall, {}).values(), default=0.0)
    stop_in = state.rules.number("movement_stop_in")
    if not at_most(moved_in, stop_in):
        system = state.job.job.units
        how_far = show_length(moved_in, system, step=64)
        yield _watch_hold(
            f"{now.wall} moved {how_far}"[:_LONGEST_ID],
            f"The wall {now.wall} has moved {how_far} at a watch mark; work stops past"
            f" {show_length(stop_in, system)}.",
            way_on="Everybody out of its way; call the engineer; sign with the name of who lets work go on.",
            steps=_ALL_BUT_SAFE,
            release="name",
        )


def _as_it_stands(facts: HoldFacts, now: AnchorNow) -> Iterator[Hold]:
    """Yield a hold, once a wall, where no limit of bow is set: somebody named lets it be drilled as it is."""
    state = facts.state
    if any(state.rules.number_or_none(key) is not None for key in ("shore_bow_in", "engineer_bow_in")):
        return
    ident = f"{now.wall} as it stands"[:_LONGEST_ID]
    if ident in state.shared.holding.released:
        return
    yield Hold(
        id=ident,
        text=f"Nobody has said yet that the wall {now.wall} may be drilled as it stands.",
        why="The company sets no bow past which a wall is shored, so a person answers for this one.",
        held_by="wall",
        steps=("drill", "drive"),
        release="name",
        way_on="Look the wall over; sign with the name of who says that it may be drilled.",
        override="never",
        source="company setting; the engineer's plan governs",
        mark="common practice, no source",
    )


def _stopped_nut(facts: HoldFacts, now: AnchorNow) -> Iterator[Hold]:
    """Yield a hold where a nut came in past its limit and the wrench did not click."""
    greatest_in = facts.state.rules.number("pull_in_greatest_in")
    rounds: list[tuple[Tightening, float | None]] = [
        (which, one.came_in_in) for (which, _), one in now.rounds.items() if not one.clicked
    ]
    for at in TIGHTENINGS.values():
        value = now.as_built.get(at.torque)
        if value is not None and value.then not in {"", CLICKED}:
            rounds.append((at.which, now.value(at.came_in)))
    for which, came_in_in in rounds:
        if came_in_in is None or at_most(came_in_in, greatest_in):
            continue
        system = facts.state.job.job.units
        yield Hold(
            id=f"nut stopped, {which}",
            text=f"The nut came in {show_length(came_in_in, system)} and the wrench did not click.",
            why="A rod that keeps coming in is drawing its plate through soft ground.",
            held_by="wall",
            steps=("first tightening", "second tightening") if which == "first" else ("second tightening",),
            release="name",
            way_on="Leave it, note it, call the office; sign with the name of who lets work go on here.",
            override="never",
            source="company setting; the plan and the maker's sheet govern",
            mark="from memory",
            anchor=now.id,
        )
        return


def _is_of_its_day(facts: HoldFacts, read: Measured | None) -> bool:
    if read is None:
        return False
    began = facts.state.shared.day_began_at
    is_of_today = facts.done_at is None or began is None or facts.done_at >= began
    return not is_of_today or read.n > facts.state.shared.day_began_n


def _watch_hold(ident: str, text: str, *, way_on: str, steps: tuple[str, ...], release: Release) -> Hold:
    return Hold(
        id=ident,
        text=text,
        why="Hammering shakes a bowed wall, and a mark tells it before the eye does.",
        held_by="wall",
        steps=steps,
        release=release,
        way_on=way_on,
        override="never",
        source="practice round bowed walls; the engineer's figure governs",
        mark="common practice, no source",
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


def warnings_of(facts: HoldFacts, anchor: str | None) -> tuple[str, ...]:
    """Return the hazards that only warn, where they apply and nobody has said that they are in place."""
    return tuple(
        hazard.text
        for hazard in facts.hazards
        if not (hazard.holds and applies(hazard.holding_conditions, facts.state, anchor))
        and (anchor is not None or hazard.scope == "job")
        and applies(hazard.conditions, facts.state, anchor)
        and not in_place(facts.state, hazard, anchor)
    )
