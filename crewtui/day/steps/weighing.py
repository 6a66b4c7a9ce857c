"""What would come of an entry at an anchor, worked out as if it stood: before and after, holds and rules."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from msgspec import Struct

from crewtui.day.figures.figure_table import worded
from crewtui.day.figures.of_anchor import AnchorFigures, Subject, figures_for
from crewtui.day.journal import entries as e
from crewtui.day.safety.holds import HoldFacts, standing
from crewtui.day.state.fold import apply
from crewtui.day.state.hold import Hold
from crewtui.day.state.state import HOLD, AnchorNow, DayState
from crewtui.day.steps.advice import Advice, AdvisedChange, Weighed
from crewtui.day.steps.calculators import show
from crewtui.job.tables.quantities import Measure
from crewtui.job.tables.steps import StepDef
from crewtui.trade.ground.excavation import switched_on
from crewtui.units import UnitSystem, show_share

_RESULTS: Final[tuple[tuple[str, str, Measure], ...]] = (
    ("aim_depth_in", "Aimed for, at the pit", "length"),
    ("held_angle_deg", worded("hold"), "angle"),
    ("held_rise_in", worded("tail"), "length"),
)
"""Figures that follow from what is set, and are called out."""
_AGREED_WITH: Final = {HOLD: "aim_depth_in"}
"""An angle that is set leaves the depth that was aimed for."""


class Seen(Struct, frozen=True, kw_only=True):
    """An anchor as it stands in one state: its figures and what holds."""

    now: AnchorNow
    figures: AnchorFigures
    holds: tuple[Hold, ...]


def seen(facts: HoldFacts, anchor: str) -> Seen:
    """Return the anchor in the state of these facts, its figures worked out anew."""
    figures = figures_for(facts.state, anchor)
    there = HoldFacts(state=facts.state, hazards=facts.hazards, now=facts.now, figures=figures)
    return Seen(now=facts.state.anchors[anchor], figures=figures, holds=standing(there, anchor))


def weigh(facts: HoldFacts, advice: Advice, entry: e.Entry, steps: tuple[StepDef, ...]) -> Weighed:
    """Return what comes of an advice that this entry would take."""
    state = facts.state
    after_state = apply(state, entry)
    after_facts = HoldFacts(state=after_state, hazards=facts.hazards, now=facts.now)
    before, after = seen(facts, advice.anchor), seen(after_facts, advice.anchor)
    return Weighed(
        advice=advice,
        changes=tuple(_changes(advice, before.figures, after.figures, state.job.job.units)),
        brings=brought(before, after),
        ends=tuple(_ended(before, after)),
        asks_again=tuple(_asked_again(before.now, after.now, steps)),
        leaves=tuple(_left(state, advice, before.figures)),
    )


def brought(
    before: Seen, after: Seen, subjects: tuple[Subject, ...] = ("aim", "rod", "wedges")
) -> tuple[str, ...]:
    """Return the holds, rules and warnings that stand after and not before, in words."""
    return (*_new_holds(before, after), *_new_rules(before, after), *_new_words(before, after, subjects))


def _changes(
    advice: Advice, before: AnchorFigures, after: AnchorFigures, system: UnitSystem
) -> Iterator[AdvisedChange]:
    for key in (*advice.moves, *advice.values):
        if key in {HOLD, "aim_depth_in"}:
            continue
        item = before.inputs[key]
        had = show(item.measure, item.value, system)
        yield AdvisedChange(
            label=item.label, before=had, after=show(item.measure, after.inputs.known(key), system)
        )
    for name, label, measure in _RESULTS:
        had, has = (show(measure, getattr(one, name), system) for one in (before, after))
        if had != has:
            yield AdvisedChange(label=label, before=had, after=has)
    shares = [show_share(one.share) if one.share is not None else "" for one in (before, after)]
    if shares[0] != shares[1]:
        yield AdvisedChange(label="Rods expected inside the window", before=shares[0], after=shares[1])


def _new_holds(before: Seen, after: Seen) -> Iterator[str]:
    had = {hold.id for hold in before.holds}
    return (hold.text for hold in after.holds if hold.id not in had)


def _ended(before: Seen, after: Seen) -> Iterator[str]:
    """Yield what holds no more; what merely cannot be judged any more, for want of a figure, is not ended."""
    unknown = before.figures.held_angle_deg is not None and after.figures.held_angle_deg is None
    has = {hold.id for hold in after.holds}
    return (
        hold.text
        for hold in before.holds
        if hold.id not in has and not (unknown and hold.held_by == "figures")
    )


def _new_rules(before: Seen, after: Seen) -> Iterator[str]:
    return (rule.words for rule in switched_on(before.figures.pit_rules, after.figures.pit_rules))


def _new_words(before: Seen, after: Seen, subjects: tuple[Subject, ...]) -> Iterator[str]:
    """Yield warnings that are new, where no hold says the same."""
    held = " ".join(hold.text for hold in after.holds)
    return (
        words
        for subject in subjects
        for words in after.figures.said.get(subject, ())
        if words not in before.figures.said.get(subject, ()) and words not in held
    )


def _asked_again(before: AnchorNow, after: AnchorNow, steps: tuple[StepDef, ...]) -> Iterator[str]:
    gone = (before.as_built.keys() - after.as_built.keys()) | (before.answers.keys() - after.answers.keys())
    return (step.label for step in steps if step.quantity in gone or step.id in gone)


def _left(state: DayState, advice: Advice, before: AnchorFigures) -> Iterator[str]:
    """Yield what of the plan's, or of the company's own, is left: a default that nobody set is none."""
    keys = dict.fromkeys((*(_AGREED_WITH.get(key, key) for key in advice.values), *advice.moves))
    for key in keys:
        item = before.inputs[key]
        said_by = "the plan's" if item.source == "plan" else f"{item.said_by}'s" if item.said_by else ""
        if said_by and item.value != {**advice.values, **advice.moves}.get(key):
            shown = show(item.measure, item.value, state.job.job.units)
            yield f"{said_by} {item.label[0].lower()}{item.label[1:]}, {shown}"


__all__ = ["Seen", "brought", "seen", "weigh"]
