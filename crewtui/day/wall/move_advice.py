"""Which anchor to move along the wall, and how far, so that a finding ends: advice that can be taken."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from msgspec.structs import replace

from crewtui.day.state.site_fields import changed
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.day.steps.advice import Advice
from crewtui.day.wall.standing_findings import StandingFinding
from crewtui.day.wall.wall_rows import wall_view
from crewtui.units import MM_PER_IN, show_length

ALONG: Final = "along_in"
FARTHEST_MOVE_IN: Final = 36.0
"""No move farther than this is looked for: past it another layout is wanted, which is the engineer's."""


def move_advice(state: DayState, finding: StandingFinding) -> tuple[Advice, ...]:
    """Return, for each anchor that the finding names, the least move along the wall that ends it.

    A move that brings another finding is none, and an anchor whose hole is drilled stays where it is.
    """
    named = [now for now in state.live() if now.wall == finding.wall and _is_named(now, finding)]
    return tuple(advice for now in named if not now.drilled for advice in _least_move(state, now, finding))


def _is_named(now: AnchorNow, finding: StandingFinding) -> bool:
    return now.id == finding.anchor or now.id in finding.id.removeprefix(f"{finding.wall}: ").split(" ")


def _least_move(state: DayState, now: AnchorNow, finding: StandingFinding) -> Iterator[Advice]:
    system = state.job.job.units
    step_in = 10.0 / MM_PER_IN if system == "metric" else 1.0
    wall = state.job.wall(now.wall)
    stood, had = now.plan.along_in, _wrong(state, now.wall)
    key = finding.id.removeprefix(f"{finding.wall}: ")
    for number in range(1, int(FARTHEST_MOVE_IN / step_in) + 1):
        for way in (-1, 1):
            along_in = (round(stood / step_in) + way * number) * step_in
            if not 0 < along_in < wall.length_in:
                continue
            has = _wrong(_moved(state, now, {ALONG: along_in}), now.wall)
            if key not in has and has <= had:
                words = f"Move {now.id} to {show_length(along_in, system)} along the wall"
                yield Advice(
                    key=f"move {now.id}", anchor=now.id, words=words, values={}, moves={ALONG: along_in}
                )
                return


def brought_to_wall(state: DayState, anchor: str, values: Mapping[str, float]) -> tuple[str, ...]:
    """Return what is wrong with the wall once an anchor is moved so, and is not before, in words."""
    now = state.anchors[anchor]
    had = _wrong(state, now.wall)
    return tuple(
        f"{one.label}: {one.words}"
        for one in wall_view(_moved(state, now, values), now.wall).found
        if one.verdict == "wrong" and one.key not in had
    )


def _moved(state: DayState, now: AnchorNow, values: Mapping[str, float]) -> DayState:
    moved = replace(now, plan=changed(now.plan, values))
    return replace(state, anchors={**state.anchors, now.id: moved})


def _wrong(state: DayState, wall: str) -> set[str]:
    return {one.key for one in wall_view(state, wall).found if one.verdict == "wrong"}


__all__ = ["brought_to_wall", "move_advice"]
