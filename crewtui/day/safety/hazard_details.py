"""What a hazard means on this job and at this anchor, in figures: distances, weights, limits, doses."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from crewtui.day.state.conditions import footing_checks
from crewtui.day.state.exposures import minutes, share, shift_exposure
from crewtui.day.state.inputs import number_now
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.job.file.model import PlateSize
from crewtui.job.tables.rules import in_words
from crewtui.trade.safety.lifting import Lift, lift, plate_lb, rod_lb
from crewtui.units import show_length


def detail(state: DayState, hazard: str, anchor: str | None) -> str:
    """Return what the hazard comes to here, in a few words; empty where there is nothing to add."""
    found = _DETAILS.get(hazard)
    return found(state, state.anchors.get(anchor or "")) if found is not None else ""


def lifts(state: DayState, now: AnchorNow | None) -> tuple[Lift, ...]:
    """Return what is lifted: the plates of an anchor, or the heaviest of the job, and the longest rod."""
    job = state.job
    found: dict[str, Lift] = {}
    for own in [now] if now is not None else state.live():
        for name, size in (("plate", own.plan.plate), ("wall plate", own.plan.wall_plate)):
            one = _plate(state, own, name, size)
            if name not in found or one.weight_lb > found[name].weight_lb:
                found[name] = one
    longest = max((stock.length_in for stock in job.stock.rods), default=None)
    if longest is not None:
        system = job.job.units
        found["rod"] = _lift(
            state,
            f"rod of {show_length(longest, system)}",
            rod_lb(diameter_in=job.rod.diameter_in, length_in=longest),
            from_size=True,
        )
    return tuple(found.values())


def _plate(state: DayState, now: AnchorNow, name: str, size: PlateSize | None) -> Lift:
    if size is not None and size.weight_lb is not None:
        return _lift(state, name, size.weight_lb, from_size=False)
    prefix = name.replace(" ", "_")
    width_in, height_in, thickness_in = (
        number_now(state, now, f"{prefix}_{side}_in") for side in ("width", "height", "thickness")
    )
    weight_lb = plate_lb(width_in=width_in, height_in=height_in, thickness_in=thickness_in)
    return _lift(state, name, weight_lb, from_size=True)


def _lift(state: DayState, name: str, weight_lb: float, *, from_size: bool) -> Lift:
    limit_lb = state.rules.number("lift_alone_greatest_lb")
    return lift(name, weight_lb, alone_greatest_lb=limit_lb, from_size=from_size)


def loosened_words(state: DayState) -> tuple[str, ...]:
    """Return each limit that the company set less strict than its default, and who said so."""
    system = state.job.job.units
    return tuple(
        f"{rule.label}: {in_words(rule, rule.value, system)}, looser than"
        f" {in_words(rule, rule.default, system)}, says {rule.said_by}"
        for rule in state.rules.loosened
        if rule.value is not None and rule.default is not None
    )


def _lifting(state: DayState, now: AnchorNow | None) -> str:
    limit = state.rules.rule("lift_alone_greatest_lb")
    words = "; ".join(one.words for one in lifts(state, now))
    return f"{words}. Two lift past {limit.value:g} lb ({limit.said_by or 'company setting'})"


def _strip(state: DayState, now: AnchorNow | None) -> str:
    walls = [state.job.wall(now.wall)] if now is not None else state.job.walls
    system = state.job.job.units
    return "; ".join(f"{wall.name} {show_length(wall.slab_to_top_in, system)}" for wall in walls)


def _shoring(state: DayState, now: AnchorNow | None) -> str:
    limit = state.rules.rule("shore_bow_in")
    if now is None or not isinstance(limit.value, float):
        return ""
    system = state.job.job.units
    bow = show_length(number_now(state, now, "bow_in"), system)
    return f"bow {bow}, limit {show_length(limit.value, system)} by {limit.said_by}"


def _respirator(state: DayState, _: AnchorNow | None) -> str:
    dust = shift_exposure(state).dust
    return f"APF {dust.factor} or more at {minutes(dust.total_hours)} in all" if dust.factor else ""


def _noise(state: DayState, _: AnchorNow | None) -> str:
    noise = shift_exposure(state).noise
    return f"dose {share(noise)} of a shift by {noise.method}" if noise.exposures else ""


def _footing(state: DayState, now: AnchorNow | None) -> str:
    if now is None:
        return ""
    system = state.job.job.units
    return "; ".join(
        f"{name}: {show_length(check.distance_in, system)} away, its slope line asks for"
        f" {show_length(check.least_distance_in, system)}"
        for name, check in footing_checks(state, now)
        if not check.clear
    )


def _reopened(state: DayState, _: AnchorNow | None) -> str:
    shared = state.shared
    return f"asked for again: {shared.reopened_because}" if shared.reopened_n > shared.day_began_n else ""


_DETAILS: Final[Mapping[str, Callable[[DayState, AnchorNow | None], str]]] = {
    "lifting": _lifting,
    "strip-behind-wall": _strip,
    "shoring": _shoring,
    "respirator": _respirator,
    "noise-dose": _noise,
    "near-footing": _footing,
    "inspection": _reopened,
}


__all__ = ["detail", "lifts", "loosened_words"]
