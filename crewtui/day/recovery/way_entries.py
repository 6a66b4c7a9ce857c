"""The entries that taking a way on makes: how the rod was found, as values of their steps, then the way."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from msgspec import Struct

from crewtui.day.journal import entries as e
from crewtui.day.state.facts import FigureFacts
from crewtui.day.state.state import ACCEPT, DayState
from crewtui.day.steps import typed_value
from crewtui.day.steps.typed_value import Judged
from crewtui.job.tables import steps

HELD_ANGLE: Final = "held-angle"
DEPTH_FOUND: Final = "depth-found"
"""The step at which a rod outside its window is found."""
_FOUND_BY: Final[Mapping[str, str]] = {
    "held_angle_deg": HELD_ANGLE,
    "depth_found_in": DEPTH_FOUND,
    "side_offset_in": "side-offset",
}
"""How a rod was held and where it came up: the quantity, and the step that measures it."""


class RodFound(Struct, frozen=True, kw_only=True):
    """How a rod was held and where it came up, as it is told with the way on; no depth: it did not show."""

    held_angle_deg: float
    depth_found_in: float | None
    side_offset_in: float | None = None


def untold(state: DayState, anchor: str, rod: RodFound) -> dict[str, float]:
    """Return what of this does not stand yet as measured on this drive, by quantity."""
    now = state.anchors[anchor]
    fresh = bool(now.settled) and not (now.drives and now.drives[-1].open)
    told = {key: getattr(rod, key) for key in _FOUND_BY}
    return {
        key: value for key, value in told.items() if value is not None and (fresh or now.value(key) != value)
    }


def judged_found(state: DayState, rod: RodFound, facts: FigureFacts, way: e.Way) -> Mapping[str, Judged]:
    """Return how it stands against its limits, by quantity; the angle held only of a rod that stays."""
    keys = (
        _FOUND_BY
        if way.kind == ACCEPT
        else {key: _FOUND_BY[key] for key in ("depth_found_in", "side_offset_in")}
    )
    told = {key: getattr(rod, key) for key in keys}
    return {
        key: typed_value.judge(steps.by_id(keys[key]), value, facts, state)
        for key, value in told.items()
        if value is not None
    }


def way_entries(
    state: DayState,
    anchor: str,
    rod: RodFound,
    way: e.Way,
    *,
    times: Mapping[str, Any],
    judged: Mapping[str, Judged] | None = None,
    holds: tuple[str, ...] = (),
    reason: str = "",
    **of_the_way: Any,
) -> Iterator[e.ValueMeasured | e.WayTaken]:
    """Yield what is entered, in order; the holds go with the depth, or the way where that stands already.

    ``of_the_way`` are the way's own: the angle seen in the pit, whether it ran straight, why it is left out.
    """
    verdicts = judged or {}
    for key, value in untold(state, anchor, rod).items():
        step, verdict = steps.by_id(_FOUND_BY[key]), verdicts.get(key)
        outside = verdict is not None and verdict.outside
        is_depth = key == "depth_found_in"
        yield e.ValueMeasured(
            **times,
            anchor=anchor,
            step=step.id,
            quantity=key,
            value=value,
            text=typed_value.show(step, value, state.job.job.units),
            outside=outside,
            limit=verdict.limit if verdict is not None else "",
            reason=(reason or way.words) if outside else reason if is_depth and holds else "",
            while_held=holds if is_depth else (),
        )
        holds = () if is_depth else holds
    depth = verdicts.get("depth_found_in")
    yield e.WayTaken(
        **times,
        anchor=anchor,
        way=way,
        found=rod.depth_found_in is not None,
        reason=reason,
        deviates=way.kind == ACCEPT and depth is not None and depth.outside,
        while_held=holds,
        **of_the_way,
    )
