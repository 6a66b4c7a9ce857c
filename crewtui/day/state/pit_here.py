"""The rules and the slope of an anchor's pit at a depth, by the soil that counts: their one home."""

from __future__ import annotations

from crewtui.day.state.conditions import CONDITIONS, HAMMERED, fact
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.trade.ground.excavation import PitRule, SlopeBack, pit_rules, slope_back, switched_on


def rules_at(state: DayState, now: AnchorNow, depth_in: float) -> tuple[PitRule, ...]:
    """Return every rule of a pit of this depth, by what was answered and judged so far."""
    return _rules(state, now, depth_in, somebody_below_rim=now.pit_entry)


def entry_switches_on(state: DayState, now: AnchorNow, depth_in: float) -> tuple[PitRule, ...]:
    """Return the rules that come in where somebody goes into a pit of this depth."""
    before, after = (_rules(state, now, depth_in, somebody_below_rim=goes_in) for goes_in in (False, True))
    return switched_on(before, after)


def _rules(
    state: DayState, now: AnchorNow, depth_in: float, *, somebody_below_rim: bool | None
) -> tuple[PitRule, ...]:
    ground = state.job.ground
    return pit_rules(
        depth_in,
        somebody_below_rim=somebody_below_rim,
        soil_type=ground.soil_type,
        disturbed=not ground.undisturbed,
        shaken=HAMMERED,
        bad_air=fact(state, "bad air expected"),
        cave_in_sign=CONDITIONS["sign of cave-in"](state, now.id),
        water=fact(state, "water in the pit"),
        below_footing=CONDITIONS["pit below a footing"](state, now.id),
    )


def slope_at(state: DayState, depth_in: float) -> SlopeBack:
    """Return how far each side of a pit of this depth is cut back."""
    ground = state.job.ground
    return slope_back(depth_in, soil_type=ground.soil_type, disturbed=not ground.undisturbed, shaken=HAMMERED)


__all__ = ["entry_switches_on", "rules_at", "slope_at"]
