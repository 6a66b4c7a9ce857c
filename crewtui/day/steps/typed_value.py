"""Reading a value that the lead typed for a step, and judging it: its unit, what can be, the limits."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, Final

from msgspec import Struct

from crewtui import units
from crewtui.day.state.facts import FigureFacts, Limit
from crewtui.day.state.inputs import expected, number_now
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.day.steps.outcomes import refuse
from crewtui.job.tables import quantities
from crewtui.job.tables.quantities import ImpossibleError, Quantity
from crewtui.job.tables.steps import StepDef

_BETWEEN_TWO: Final = re.compile(r"\band\b|[;+&]")
"""Between two measures on one line; the sign is for the number pad."""
_OTHER_LENGTHS: Final[tuple[units.LengthUnit, ...]] = ("in", "ft", "mm", "cm", "m")
_OTHER_TORQUES: Final[tuple[units.TorqueUnit, ...]] = ("lbf·ft", "N·m")


class Judged(Struct, frozen=True, kw_only=True):
    """Whether a value lies within its step's limits, and what they are."""

    outside: bool
    limit: str
    sentence: str = ""
    """What is wrong, where it is outside."""


def read_value(step: StepDef, text: str, state: DayState, anchor: AnchorNow | None) -> float:
    """Return a step's value in its quantity's unit; AskBackError where it cannot be read or cannot be."""
    try:
        pair = read_pair(step, text, state)
    except units.UnreadableError as error:
        raise refuse(str(error)) from error
    if pair is None:
        return read_quantity(step.quantity, text, state, anchor)
    return abs(pair[1] - pair[0])


def read_quantity(key: str, text: str, state: DayState, anchor: AnchorNow | None) -> float:
    """Return what was typed for a quantity, in its unit; AskBackError where it cannot be read or cannot be.

    A bare number that only another unit would make likely is asked back.
    """
    quantity = quantities.by_key(key)
    try:
        value = quantity.read(text, state.job.job.units)
    except units.UnreadableError as error:
        raise refuse(str(error)) from error
    _ask_back_units(quantity, text, value, state)
    refuse_impossible(key, value, state, anchor)
    return value


def read_pair(step: StepDef, text: str, state: DayState) -> tuple[float, float] | None:
    """Return both measures, inside first, where two were typed; UnreadableError where one is unreadable."""
    parts = [part.strip() for part in _BETWEEN_TWO.split(text)] if step.pair else []
    if len(parts) != 2 or not all(parts):  # noqa: PLR2004 - a pair
        return None
    quantity, system = quantities.by_key(step.quantity), state.job.job.units
    return quantity.read(parts[0], system), quantity.read(parts[1], system)


def _has_unit(text: str) -> bool:
    return any(char.isalpha() or char in "'\"′″’”°%" for char in text)


def _ask_back_units(quantity: Quantity, text: str, value: float, state: DayState) -> None:
    likely, measure = quantity.likely, quantity.measure
    if likely is None or _has_unit(text) or likely[0] <= value <= likely[1]:
        return
    own = quantities.unit_of(measure, state.job.job.units)
    number = units.read_number(text)
    convert: Callable[[float, Any], float] = units.length_from if measure == "length" else units.torque_from
    for other in _OTHER_LENGTHS if measure == "length" else _OTHER_TORQUES:
        meant = convert(number, other)
        if other != own and likely[0] <= meant <= likely[1]:
            typed = text.strip()
            raise refuse(
                f"{typed} {own} is not likely here. If you mean {typed} {other}, type it so; "
                f"if it is {typed} {own}, type the unit with it."
            )


def refuse_impossible(quantity: str, value: float, state: DayState, anchor: AnchorNow | None) -> None:
    """Refuse what no such quantity can be, or cannot be at this anchor."""
    try:
        quantities.by_key(quantity).refuse_impossible(value)
    except ImpossibleError as error:
        raise refuse(str(error)) from error
    if anchor is not None:
        _refuse_where_it_cannot_be(quantity, value, state, anchor)


def _refuse_where_it_cannot_be(quantity: str, value: float, state: DayState, anchor: AnchorNow) -> None:
    """Refuse a rod below its pit, or beyond the wall's ends, or a mark below the slab."""
    wall = state.job.wall(anchor.wall)
    system = state.job.job.units
    if quantity == "depth_found_in":
        pit_in = number_now(state, anchor, "pit_depth_in")
        if not units.at_most(value, pit_in):
            found, pit = units.show_length(value, system), units.show_length(pit_in, system)
            raise refuse(
                f"The pit is {pit} deep: a rod at {found} does not show in it. Measure again from the sod "
                "or enter the pit's depth first."
            )
    if quantity == "side_offset_in" and not 0 <= anchor.plan.along_in + value <= wall.length_in:
        raise refuse(f"That is beyond the wall's end ({units.show_length(wall.length_in, system)} long).")
    slab_in = wall.slab_to_top_in - wall.grade_to_top_in
    if quantity == "mark_depth_in" and not units.at_most(value, slab_in):
        raise refuse(f"The slab is {units.show_length(slab_in, system)} below grade: no mark is lower.")


def asked_once(step: StepDef, value: float, state: DayState, now: AnchorNow | None) -> str:
    """Return what about a value that can be is far from the plan or unlikely in itself; else nothing."""
    return (_far_from_plan(step, value, state, now) if now is not None else "") or _unlikely(
        step, value, state
    )


def _unlikely(step: StepDef, value: float, state: DayState) -> str:
    likely = quantities.by_key(step.quantity).likely
    if likely is None or likely[0] <= value <= likely[1]:
        return ""
    shown, low, high = (show(step, one, state.job.job.units) for one in (value, *likely))
    return f"{shown} is unlikely here: {low} to {high} is usual."


def _far_from_plan(step: StepDef, value: float, state: DayState, now: AnchorNow) -> str:
    far = quantities.by_key(step.quantity).far
    plan = expected(state, now, step.quantity)
    if far is None or plan.value is None or units.at_most(abs(value - plan.value), far):
        return ""
    shown, off, asked = (
        show(step, one, state.job.job.units) for one in (value, abs(value - plan.value), plan.value)
    )
    word = "more" if value > plan.value else "less"
    by = f"the company's {asked}" if plan.source == "company rule" else f"planned ({asked})"
    return f"{shown} is {off} {word} than {by}."


def limit_of(name: str, facts: FigureFacts, state: DayState) -> Limit | None:
    """Return the limit of that name from the figures, else the shop's rule of that name, else None."""
    if not name:
        return None
    if name in facts.limits:
        return facts.limits[name]
    rule = state.rules.get(name)
    if rule is None or not isinstance(rule.value, int | float):
        return None
    return Limit(value=float(rule.value), source=rule.said_by or "company rule")


def judge(step: StepDef, value: float, facts: FigureFacts, state: DayState) -> Judged:
    """Judge a value by its step's limits, both inclusive."""
    least, greatest = limit_of(step.least, facts, state), limit_of(step.greatest, facts, state)
    limit = limit_text(step, facts, state)
    for bound, holds, word in ((least, units.at_least, "under"), (greatest, units.at_most, "over")):
        if bound is not None and bound.value is not None and not holds(value, bound.value):
            shown = show_fine(step, value, bound.value, state)
            source = f" ({bound.source})" if bound.source else ""
            edge = show(step, bound.value, state.job.job.units)
            return Judged(outside=True, limit=limit, sentence=f"{shown} is {word} {edge}{source}.")
    return Judged(outside=False, limit=limit)


def limit_text(step: StepDef, facts: FigureFacts, state: DayState) -> str:
    """Return the step's limits in words and the job's units."""
    least, greatest = limit_of(step.least, facts, state), limit_of(step.greatest, facts, state)
    system = state.job.job.units
    low = show(step, least.value, system) if least is not None and least.value is not None else ""
    high = show(step, greatest.value, system) if greatest is not None and greatest.value is not None else ""
    if low and high:
        return low if low == high else _from_to(low, high)
    return f"at least {low}" if low else f"at most {high}" if high else ""


def _from_to(low: str, high: str) -> str:
    """Join two values, their unit said once: 36 to 48 in; feet and inches stay whole."""
    low, high = (text.partition(" (")[0] for text in (low, high))
    number, _, unit = low.rpartition(" ")
    said_once = bool(number) and high.endswith(f" {unit}") and "ft" not in low.split()
    return f"{number} to {high}" if said_once else f"{low} to {high}"


def show(step: StepDef, value: float, system: units.UnitSystem) -> str:
    """Return a value in words, in the job's units."""
    return quantities.show(step.measure, value, system)


def show_fine(step: StepDef, value: float, limit: float, state: DayState) -> str:
    """Return a refused value as finely as the verdict needs."""
    if step.measure == "length":
        return units.show_length_fine(value, limit, state.job.job.units)
    system = state.job.job.units
    shown = show(step, value, system)
    if shown != show(step, limit, system):
        return shown
    return f"{value:.4f}".rstrip("0") + ("°" if step.measure == "angle" else "")
