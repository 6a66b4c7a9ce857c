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


def figures_for(
    state: DayState, anchor_id: str, *, typed: Mapping[str, float] | None = None
) -> AnchorFigures:
    """Return every figure of an anchor; KeyError if there is no such anchor."""
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
