"""The steps as rows: what is done, what is next, what is held and why. Screens only show them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, Literal

from msgspec import Struct

from crewtui.day.state.conditions import applies
from crewtui.day.state.facts import FigureFacts
from crewtui.day.state.hold import Hold, said
from crewtui.day.state.state import AnchorNow, Answered, DayState, Measured
from crewtui.day.steps import typed_value
from crewtui.job.tables.steps import StepDef, by_id
from crewtui.trade.vocabulary import AnchorWord

Mark = Literal["done", "value", "deviation", "held", "open", "not needed"]

EACH_DAY: Final = frozenset({"competent-person", "briefing", "ticket", "wall-look", "watch-base"})
AFTER_RAIN: Final = frozenset({"wall-look", "watch-base"})
"""Steps that a further day on the same job asks again; the record lists every answer."""
VISIT_WORD: Final = "visit-word"
"""The step that closes an anchor on a visit, in one word."""
CLOSED_STEP, TAGGED = "closed", "tag fixed"
"""The step whose first choice closes an anchor; another leaves it covered for tomorrow."""


class StepRow(Struct, frozen=True, kw_only=True):
    """One step as the screen shows it."""

    id: str
    phase: str
    label: str
    kind: str
    measure: str
    mark: Mark
    value: str = ""
    """What was answered or measured, in words."""
    limit: str = ""
    reason: str = ""
    holds: tuple[Hold, ...] = ()
    """What holds it now; also where it was done all the same."""
    is_next: bool = False
    makes_safe: bool = False
    choices: tuple[str, ...] = ()
    then: tuple[str, ...] = ()
    why: str = ""
    how: str = ""

    @property
    def hold(self) -> str:
        """Return what holds it, in words, and what to do."""
        return said(self.holds)

    @property
    def answered(self) -> bool:
        """Return whether anything was entered for it."""
        return self.mark in {"done", "value", "deviation"}


class AnchorRow(Struct, frozen=True, kw_only=True):
    """One anchor in the overview."""

    id: str
    wall: str
    word: AnchorWord
    done: int
    total: int
    next_step: str = ""
    """Id of the next step; empty when there is none."""
    next_label: str = ""
    held_by: str = ""
    """What holds the next step, in words."""
    deviations: int = 0
    drives: int = 0


class RowFacts(Struct, frozen=True, kw_only=True):
    """What the rows of one anchor, or of the job, are made from."""

    state: DayState
    figures: FigureFacts
    holds: tuple[Hold, ...] = ()
    """Every hold that stands there."""


def asked_again(state: DayState) -> frozenset[str]:
    """Return the day's own steps that are answered anew: of an earlier day, or looked at before it rained."""
    shared = state.shared
    found: set[str] = set()
    for step in EACH_DAY:
        definition = by_id(step)
        stands = entered(state, definition, None)
        since_n = max(shared.day_began_n, shared.reopened_n if step in AFTER_RAIN else 0)
        if stands is not None and stands.n < since_n:
            found.add(step)
    return frozenset(found)


def entered(state: DayState, step: StepDef, anchor: str | None) -> Answered | Measured | None:
    """Return what was entered for a step, or None."""
    source: AnchorNow | None = state.anchors[anchor] if anchor is not None else None
    if step.kind == "value":
        values = source.as_built if source is not None else state.shared.as_built
        return values.get(step.quantity)
    answers = source.answers if source is not None else state.shared.answers
    return answers.get(step.id)


def is_needed(state: DayState, step: StepDef, anchor: str | None) -> bool:
    """Return whether the step is asked here at all."""
    return step.of_day(state.job.job.day) and applies(step.conditions, state, anchor)


def step_rows(facts: RowFacts, steps: Iterable[StepDef], anchor: str | None) -> tuple[StepRow, ...]:
    """Return a row for every step, the first open one marked as next."""
    rows: list[StepRow] = []
    found_next = False
    again = asked_again(facts.state) if anchor is None else frozenset()
    for step in steps:
        row = _row(facts, step, anchor, may_be_next=not found_next, again=step.id in again)
        found_next = found_next or row.is_next
        if row.mark != "not needed" or not step.where_asked:
            rows.append(row)
    return tuple(rows)


def _row(facts: RowFacts, step: StepDef, anchor: str | None, *, may_be_next: bool, again: bool) -> StepRow:
    state = facts.state
    found = entered(state, step, anchor)
    needed = found is not None or is_needed(state, step, anchor)
    holds = tuple(hold for hold in facts.holds if hold.holds(step)) if needed else ()
    return StepRow(
        id=step.id,
        phase=step.phase,
        label=step.label,
        kind=step.kind,
        measure=step.measure,
        mark=_mark(state, step, anchor, found=found, needed=needed, held=bool(holds)),
        value=_value(state, step, found),
        limit=typed_value.limit_text(step, facts.figures, state) if step.kind == "value" else "",
        reason=found.reason if found is not None else "",
        holds=holds,
        is_next=may_be_next and needed and (found is None or again),
        makes_safe=step.makes_safe,
        choices=step.choices,
        then=step.then,
        why=step.why,
        how=_how(facts, step),
    )


def _how(facts: RowFacts, step: StepDef) -> str:
    """Return how it is done, with what the figures say to it; where everybody answers, how many that is."""
    if not step.one_each:
        return f"{facts.figures.hints.get(step.id, '')} {step.how}".strip()
    crew = facts.state.job.job.everybody
    return f"{step.how} {len(crew)} people, a blank between: {', '.join(crew)}."


def _mark(
    state: DayState,
    step: StepDef,
    anchor: str | None,
    *,
    found: Answered | Measured | None,
    needed: bool,
    held: bool,
) -> Mark:
    if found is not None:
        deviations = state.anchors[anchor].deviations if anchor is not None else state.shared.deviations
        if any(item.n == found.n or item.step == step.id for item in deviations):
            return "deviation"
        return "value" if step.kind == "value" else "done"
    if not needed:
        return "not needed"
    return "held" if held else "open"


def _value(state: DayState, step: StepDef, found: Answered | Measured | None) -> str:
    if found is None:
        return ""
    if isinstance(found, Answered):
        return found.answer
    shown = typed_value.show(step, found.value, state.job.job.units)
    return f"{shown}, {found.then}" if found.then else shown


def next_row(rows: Iterable[StepRow]) -> StepRow | None:
    """Return the next step's row, or None where all is entered."""
    return next((row for row in rows if row.is_next), None)


def anchor_row(now: AnchorNow, rows: tuple[StepRow, ...]) -> AnchorRow:
    """Return an anchor's line in the overview from its rows."""
    asked = [row for row in rows if row.mark != "not needed"]
    upcoming = next_row(rows)
    return AnchorRow(
        id=now.id,
        wall=now.wall,
        word=anchor_word(now),
        done=sum(row.answered for row in asked),
        total=len(asked),
        next_step=upcoming.id if upcoming is not None and not now.dropped else "",
        next_label=upcoming.label if upcoming is not None and not now.dropped else "",
        held_by=upcoming.hold if upcoming is not None and not now.dropped else "",
        deviations=len(now.deviations),
        drives=len(now.drives),
    )


def anchor_word(now: AnchorNow) -> AnchorWord:
    """Return how far an anchor is, in a word."""
    if now.dropped:
        return "dropped"
    if VISIT_WORD in now.answers:
        return "closed"
    closed = now.answers.get(CLOSED_STEP)
    if closed is not None:
        return "closed" if closed.answer == TAGGED else "covered"
    return "under way" if now.as_built or now.answers or now.drives else "not begun"
