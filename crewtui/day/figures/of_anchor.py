"""Every figure of one anchor, from the plan, what was measured, and the company's rules.

A figure that lacks an input is None, and its subject's warnings say which is missing and ask for it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from msgspec.structs import replace

from crewtui.day.figures.aim_figures import with_aim, with_mark, with_window
from crewtui.day.figures.anchor_figures import SUBJECTS, AnchorFigures, Subject, Work
from crewtui.day.figures.figure_holds import holds_of
from crewtui.day.figures.figure_limits import hints_of, limits_of
from crewtui.day.figures.ground_figures import with_lines, with_pit, with_rod, with_torque, with_wedges
from crewtui.day.figures.seat_figures import with_seat
from crewtui.day.figures.wall_drift import drift_of
from crewtui.day.figures.yard_figures import with_yard
from crewtui.day.state.inputs import inputs_for
from crewtui.day.state.state import DayState

Part = Callable[[Work, AnchorFigures], AnchorFigures]
_PARTS: Final[tuple[Part, ...]] = (
    with_mark,
    with_window,
    with_aim,
    with_rod,
    with_torque,
    with_pit,
    with_seat,
    with_wedges,
    with_lines,
    with_yard,
)


class _Kept:
    """The figures of the state that was asked last: one page asks for the same ones many times."""

    def __init__(self) -> None:
        self.state: DayState | None = None
        self.by_anchor: dict[str, AnchorFigures] = {}

    def of(self, state: DayState) -> dict[str, AnchorFigures]:
        """Return what is kept of this very state; states are never changed, so identity tells."""
        if state is not self.state:
            self.state, self.by_anchor = state, {}
        return self.by_anchor


_KEPT: Final = _Kept()


def figures_for(
    state: DayState, anchor_id: str, *, typed: Mapping[str, float] | None = None
) -> AnchorFigures:
    """Return every figure of an anchor; KeyError if there is no such anchor."""
    if typed:
        return _figured(state, anchor_id, typed)
    kept = _KEPT.of(state)
    if anchor_id not in kept:
        kept[anchor_id] = _figured(state, anchor_id, None)
    return kept[anchor_id]


def _figured(state: DayState, anchor_id: str, typed: Mapping[str, float] | None) -> AnchorFigures:
    now = state.anchors[anchor_id]
    work = Work(state, now, inputs_for(state, anchor_id, typed))
    figures = AnchorFigures(anchor=anchor_id, inputs=work.inputs, drift=drift_of(state, now.wall))
    for part in _PARTS:
        figures = part(work, figures)
    figures = replace(figures, said={subject: tuple(words) for subject, words in work.said.items()})
    hints = hints_of(figures, state)
    figures = replace(figures, limits=limits_of(figures, state), hints=hints)
    return replace(figures, holds=holds_of(figures, state, now))


__all__ = ["SUBJECTS", "AnchorFigures", "Subject", "figures_for"]
