"""Reading a value that the lead typed for a step, and judging it: its unit, what can be, the limits."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Final

from msgspec import Struct

from crewtui import units
from crewtui.day.state.conditions import pit_depth_in
from crewtui.day.state.facts import FigureFacts, Limit
from crewtui.day.state.inputs import planned_drop_in, setback_in
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.day.steps.outcomes import refuse
from crewtui.job.tables.steps import StepDef

LIKELY: Final[Mapping[str, tuple[float, float]]] = {
    "setback_in": (48, 480),
    "drop_in": (-36, 72),
    "marks_differ_in": (0, 12),
    "pit_depth_in": (24, 96),
    "pit_along_rod_in": (8, 48),
    "mark_depth_in": (12, 72),
    "thickness_in": (4, 24),
    "bow_in": (-6, 12),
    "depth_found_in": (12, 96),
    "side_offset_in": (-24, 24),
    "pull_in_in": (0, 4),
    "second_pull_in_in": (0, 4),
    "free_room_in": (24, 480),
    "bow_after_in": (-6, 12),
    "watch_moved_in": (0, 2),
    "first_torque_lbf_ft": (25, 250),
    "second_torque_lbf_ft": (25, 250),
}
"""From memory: what each value is likely to be, used only to ask back a slip of the unit."""
_NEVER_NEGATIVE: Final = frozenset(
    {
        "setback_in", "pit_depth_in", "pit_along_rod_in", "mark_depth_in", "thickness_in", "depth_found_in",
        "free_room_in", "marks_differ_in", "watch_moved_in",
    }
)  # fmt: skip
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
    """Return the value in the quantity's own unit; AskBackError where it cannot be read or cannot be."""
    try:
        pair = read_pair(step, text, state)
        value = _read(step, text, state) if pair is None else abs(pair[1] - pair[0])
    except units.UnreadableError as error:
        raise refuse(str(error)) from error
    if pair is None:
        _ask_back_units(step, text, value, state)
    _refuse_impossible(step, value, state, anchor)
    return value


def read_pair(step: StepDef, text: str, state: DayState) -> tuple[float, float] | None:
    """Return both measures, inside first, where two were typed; UnreadableError where one is unreadable."""
    parts = [part.strip() for part in _BETWEEN_TWO.split(text)] if step.pair else []
    if len(parts) != 2 or not all(parts):  # noqa: PLR2004 - a pair
        return None
    return _read(step, parts[0], state), _read(step, parts[1], state)


def _read(step: StepDef, text: str, state: DayState) -> float:
    metric = state.job.job.units == "metric"
    readers: Mapping[str, Callable[[], float]] = {
        "length": lambda: units.read_length(text, bare="mm" if metric else "in"),
        "torque": lambda: units.read_torque(text, bare="N·m" if metric else "lbf·ft"),
        "angle": lambda: units.read_angle(text),
        "count": lambda: float(units.read_count(text)),
        "": lambda: units.read_number(text),
    }
    return readers[step.measure]()


def _has_unit(text: str) -> bool:
    return any(char.isalpha() or char in "'\"′″’”°%" for char in text)


def _ask_back_units(step: StepDef, text: str, value: float, state: DayState) -> None:
    """Ask back a bare number that only another unit would make likely."""
    likely = LIKELY.get(step.quantity)
    if likely is None or _has_unit(text) or likely[0] <= value <= likely[1]:
        return
    metric = state.job.job.units == "metric"
    own = {"length": "mm" if metric else "in", "torque": "N·m" if metric else "lbf·ft"}[step.measure]
    number = units.read_number(text)
    for other in _OTHER_LENGTHS if step.measure == "length" else _OTHER_TORQUES:
        if step.measure == "length":
            meant = units.length_from(number, other)  # type: ignore[arg-type]
        else:
            meant = units.torque_from(number, other)  # type: ignore[arg-type]
        if other != own and likely[0] <= meant <= likely[1]:
            typed = text.strip()
            raise refuse(
                f"{typed} {own} is not likely here. If you mean {typed} {other}, type it so; "
                f"if it is {typed} {own}, type the unit with it."
            )


def _refuse_impossible(step: StepDef, value: float, state: DayState, anchor: AnchorNow | None) -> None:
    if step.quantity in _NEVER_NEGATIVE and value < 0:
        raise refuse(f"{step.label}: a distance is not negative.")
    if step.measure == "angle":
        refuse_no_angle(value)
    if step.measure == "torque" and value <= 0:
        raise refuse("A torque is more than zero.")
    if anchor is not None:
        refuse_where_it_cannot_be(step.quantity, value, state, anchor)


def refuse_no_angle(angle_deg: float) -> None:
    """Refuse what is no angle from level."""
    if abs(angle_deg) >= 90:  # noqa: PLR2004 - a right angle
        raise refuse("An angle from level lies between -90° and 90°, positive downward going out.")


def refuse_where_it_cannot_be(quantity: str, value: float, state: DayState, anchor: AnchorNow) -> None:
    """Refuse a rod below its pit, or beyond the wall's ends, or a mark below the slab."""
    wall = state.job.wall(anchor.wall)
    system = state.job.job.units
    if quantity == "depth_found_in":
        pit_in = pit_depth_in(state, anchor)
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


FAR: Final[Mapping[str, float]] = {
    "setback_in": 12.0,
    "drop_in": 8.0,
    "thickness_in": 2.5,
    "pit_along_rod_in": 8.0,
    "pit_depth_in": 14.0,
}
"""How far off the plan a value is asked back once: common practice, no source."""


def far_from_plan(step: StepDef, value: float, state: DayState, now: AnchorNow) -> str:
    """Return what is far from the plan about a value that can be, in a sentence; else nothing."""
    planned = _planned(step.quantity, state, now)
    if planned is None or abs(value - planned) <= FAR[step.quantity]:
        return ""
    system = state.job.job.units
    off = units.show_length(abs(value - planned), system)
    word = "more" if value > planned else "less"
    shown, plan = units.show_length(value, system), units.show_length(planned, system)
    return f"{shown} is {off} {word} than planned ({plan})."


def _planned(quantity: str, state: DayState, now: AnchorNow) -> float | None:
    """Return what the plan, a new aim or the shop's rule says a value will be; None where nothing does."""
    tools, rules = state.job.tools, state.rules
    if quantity == "drop_in":
        return planned_drop_in(state, now, setback_in(state, now))
    planned: Mapping[str, float | None] = {
        "setback_in": now.plan.setback_in,
        "thickness_in": state.job.wall(now.wall).thickness_in,
        "pit_along_rod_in": tools.pit_along_rod_in,
        "pit_depth_in": tools.pit_depth_in or rules.number("pit_depth_in"),
    }
    return now.aim.get(quantity, planned.get(quantity)) if quantity in planned else None


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
        return low if low == high else f"{low} to {high}"
    return f"at least {low}" if low else f"at most {high}" if high else ""


def show(step: StepDef, value: float, system: units.UnitSystem) -> str:
    """Return a value in words, in the job's units."""
    if step.measure == "length":
        return units.show_length(value, system)
    if step.measure == "torque":
        return units.show_torque(value, system)
    return units.show_angle(value) if step.measure == "angle" else f"{value:g}"


def show_fine(step: StepDef, value: float, limit: float, state: DayState) -> str:
    """Return a refused value as finely as the verdict needs."""
    if step.measure == "length":
        return units.show_length_fine(value, limit, state.job.job.units)
    system = state.job.job.units
    shown = show(step, value, system)
    if shown != show(step, limit, system):
        return shown
    return f"{value:.4f}".rstrip("0") + ("°" if step.measure == "angle" else "")
