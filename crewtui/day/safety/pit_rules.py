"""One pit in words: depth, soil, slope-back, footings, and the rules that its depth switches on."""

from __future__ import annotations

from typing import Final, Literal

from msgspec import Struct

from crewtui.day.state.conditions import CONDITIONS, counted_soil, footing_checks
from crewtui.day.state.inputs import Sourced, number_now, value_now
from crewtui.day.state.pit_here import rules_at, slope_at
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.trade.ground.excavation import PitRule, SlopeBack
from crewtui.units import at_least, at_most, show_length

_RATIO: Final = {0.0: "upright", 0.5: "1/2 : 1", 0.75: "3/4 : 1", 1.0: "1 : 1", 1.5: "1-1/2 : 1"}
_FROM_IN: Final = (
    (48.0, "from", "way out"),
    (48.0, "over", "air"),
    (60.0, "from", "protection"),
    (72.0, "from", "edge guard"),
)
"""Depths at which a further rule comes in, for what is said of the next one."""

Key = Literal["depth", "soil", "slope", "footing", "rules", "overnight"]


class PitFact(Struct, frozen=True, kw_only=True):
    """One line about the pit."""

    key: Key
    label: str
    value: str
    note: str = ""
    warns: bool = False


class PitSeen(Struct, frozen=True, kw_only=True):
    """What there is to say of one pit."""

    anchor: str
    depth_in: float
    measured: bool
    along_rod_in: float
    slope: SlopeBack
    rules: tuple[PitRule, ...]
    facts: tuple[PitFact, ...]


def pit_seen(state: DayState, anchor: str) -> PitSeen:
    """Return the pit of an anchor as it stands: as built, else as aimed for, else as planned."""
    now = state.anchors[anchor]
    depth = value_now(state, now, "pit_depth_in")
    depth_in = depth.number
    slope, rules = slope_at(state, depth_in), rules_at(state, now, depth_in)
    facts = [_depth(state, depth), _soil(state), _slope(state, slope, rules), _rules(rules, depth_in)]
    facts += _footings(state, now)
    if CONDITIONS["pit left open overnight"](state, anchor):
        words = "looked at by the competent person before anybody goes in"
        facts.append(
            PitFact(key="overnight", label="Left open overnight", value="yes", note=words, warns=True)
        )
    return PitSeen(
        anchor=anchor,
        depth_in=depth_in,
        measured=depth.source == "as built",
        along_rod_in=number_now(state, now, "pit_along_rod_in"),
        slope=slope,
        rules=rules,
        facts=tuple(facts),
    )


def _depth(state: DayState, depth: Sourced) -> PitFact:
    return PitFact(
        key="depth",
        label=depth.label,
        value=show_length(depth.number, state.job.job.units),
        note=f"{depth.said}; no depth is safe, a shallow pit buries who bends down in it",
    )


def _soil(state: DayState) -> PitFact:
    judged = state.job.ground.soil_type
    counted = counted_soil(state)
    if judged is None:
        note = "nobody has judged it: Enter, by the competent person"
    elif judged != counted:
        note = f"judged {judged}; ground that was dug before is {counted} at best"
    else:
        note = "as judged; Enter judges it anew"
    return PitFact(
        key="soil", label="Soil counts as", value=f"type {counted}", note=note, warns=judged is None
    )


def _slope(state: DayState, slope: SlopeBack, rules: tuple[PitRule, ...]) -> PitFact:
    asked = any(rule.key == "protection" and rule.applies for rule in rules)
    ratio = _RATIO[slope.run_per_rise]
    need = "asked for here" if asked else "if it is to be sloped"
    return PitFact(
        key="slope",
        label="Each side sloped back by",
        value=show_length(slope.horizontal_in, state.job.job.units),
        note=f"{ratio}, {slope.angle_deg:g}°, Table B-1: {need}; Enter draws it",
        warns=asked,
    )


def _rules(rules: tuple[PitRule, ...], depth_in: float) -> PitFact:
    here = [rule.key for rule in rules if rule.applies or rule.hold]
    deeper = next(
        (
            f"{word} {limit_in / 12:g} ft: {key} as well"
            for limit_in, word, key in _FROM_IN
            if not (at_least(depth_in, limit_in) if word == "from" else not at_most(depth_in, limit_in))
        ),
        "",
    )
    return PitFact(
        key="rules",
        label="Rules for this pit",
        value=f"{len(here)} apply",
        note="; ".join(part for part in (", ".join(here), deeper) if part),
    )


def _footings(state: DayState, now: AnchorNow) -> list[PitFact]:
    system = state.job.job.units
    found = []
    for name, check in footing_checks(state, now):
        if not check.below:
            continue
        away = show_length(check.distance_in, system)
        least = show_length(check.least_distance_in, system)
        note = f"the pit goes below it; its slope line asks for {least}"
        found.append(
            PitFact(
                key="footing",
                label=f"Footing: {name}"[:40],
                value=f"{away} away",
                note=note,
                warns=not check.clear,
            )
        )
    return found


__all__ = ["PitFact", "PitSeen", "pit_seen"]
