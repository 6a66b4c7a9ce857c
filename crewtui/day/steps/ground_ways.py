"""Ground that is not as hoped: the ways on with the anchor's figures, and what to read out on the phone.

The ways are common practice, no source; the plan, the engineer and the competent person govern.
"""

from __future__ import annotations

from collections.abc import Iterator

from crewtui.day.figures.anchor_figures import AnchorFigures
from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.state.state import DayState
from crewtui.trade.vocabulary import GroundTrouble
from crewtui.units import show_angle, show_length

STOP_AND_ASK = "Call the engineer or the office with the figures, and keep who answered what."


def ground_ways(state: DayState, anchor: str, what: GroundTrouble) -> tuple[str, ...]:
    """Return the ways on where this was met at pit or drive, the least digging first; the call comes last."""
    return (*_ways(state, figures_for(state, anchor), what), STOP_AND_ASK)


def _ways(state: DayState, figures: AnchorFigures, what: GroundTrouble) -> Iterator[str]:
    if what == "water":
        yield (
            "Nobody goes into a pit that water stands in or gathers in, until the competent person has looked"
            " (29 CFR 1926.651(h)). Answer it with the job's questions, so that its rules come in."
        )
    if what == "old pit":
        yield "Ground that was dug before counts as type B at best: have the competent person judge it anew."
    if what == "fill":
        yield "The plate needs ground that was never dug: ask whether a farther or deeper plate is wanted."
    if what in {"rock", "roots"}:
        yield "Drive with a rod point, or pre-drill the way with a long bit, where the plan allows it."
    yield from _along(state, figures)
    if what == "rock":
        yield from _shallower(state, figures)


def _along(state: DayState, figures: AnchorFigures) -> Iterator[str]:
    """Yield between which places the anchor may move, its neighbors kept within the spacing limits."""
    system, rules = state.job.job.units, state.rules
    now = state.anchors[figures.anchor]
    here_in = figures.inputs.number("along_in")
    others = sorted(
        one.plan.along_in for one in state.live() if one.wall == now.wall and one.id != figures.anchor
    )
    before = max((one for one in others if one < here_in), default=None)
    after = min((one for one in others if one > here_in), default=None)
    most_in, least_in = rules.number("spacing_greatest_in"), rules.number("spacing_least_in")
    corner_in, length_in = rules.number("corner_greatest_in"), state.job.wall(now.wall).length_in
    first_in = max(0.0 if before is None else before + least_in, 0.0 if after is None else after - most_in)
    last_in = min(
        corner_in if before is None else before + most_in, length_in if after is None else after - least_in
    )
    if after is None:
        first_in = max(first_in, length_in - corner_in)
    if first_in < last_in:
        first, last = (show_length(one, system) for one in (first_in, last_in))
        yield f"Move the anchor along the wall: the spacing limits leave {first} to {last} from its corner."


def _shallower(state: DayState, figures: AnchorFigures) -> Iterator[str]:
    window = figures.window
    if window is not None and window.open:
        least = show_length(window.shallowest_in, state.job.job.units)
        yield f"Aim shallower where the plan allows it: not under {least}, the least depth of this window."


def call_text(state: DayState, anchor: str, *, met: str, asked: str) -> str:
    """Return what is read out over the phone: job and anchor, its figures, what was met and asked."""
    figures, card, system = figures_for(state, anchor), state.job.job, state.job.job.units
    now, at = state.anchors[anchor], figures.inputs
    said = [f"Job {card.id}, {card.address or card.site}. Anchor {anchor}, wall {now.wall}."]
    for key in ("along_in", "setback_in", "seat_in", "drop_in", "mark_depth_in", "pit_depth_in"):
        item = at[key]
        value = "not known" if item.value is None else f"{show_length(item.value, system)} ({item.said})"
        said.append(f"{item.label}: {value}.")
    if figures.held_angle_deg is not None:
        said.append(f"Angle to hold: {show_angle(figures.held_angle_deg)}.")
    if figures.window is not None and figures.window.open:
        depths = (figures.window.shallowest_in, figures.window.greatest_in)
        least, greatest = (show_length(one, system) for one in depths)
        said.append(f"Depths that serve: {least} to {greatest}.")
    found_in = now.value("depth_found_in")
    if found_in is not None:
        said.append(f"Rod found at: {show_length(found_in, system)}.")
    return " ".join((*said, f"Met: {met}.", f"Asked: {asked}"))


__all__ = ["STOP_AND_ASK", "call_text", "ground_ways"]
