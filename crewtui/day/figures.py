"""Every figure of one anchor, from the plan, what was measured, and the company's rules.

A figure that lacks an input is None, and its subject's warnings say which is missing and ask for it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Final

from crewtui.day.aim_figures import with_aim, with_mark, with_window
from crewtui.day.anchor_figures import SUBJECTS, AnchorFigures, Subject, Work
from crewtui.day.drift_of_wall import drift_of
from crewtui.day.figure_holds import holds_of
from crewtui.day.figure_limits import limits_of
from crewtui.day.ground_figures import with_lines, with_pit, with_rod, with_torque, with_wedges
from crewtui.day.inputs import inputs_for
from crewtui.day.state import AnchorNow, DayState, Shared
from crewtui.trade.drift import Drift

Part = Callable[[Work, AnchorFigures], AnchorFigures]
_PARTS: Final[tuple[Part, ...]] = (
    with_mark,
    with_window,
    with_aim,
    with_rod,
    with_torque,
    with_pit,
    with_wedges,
    with_lines,
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
    figures = replace(figures, limits=limits_of(figures, state))
    return replace(figures, holds=holds_of(figures, state, now))


class FigureCache:
    """The figures of every anchor, each worked out anew only when something that they rest on changed.

    They rest on the anchor, on what is true of the whole job, and on the drift of the anchor's wall.
    """

    def __init__(self) -> None:
        self._kept: dict[str, tuple[AnchorNow, Shared, Drift, AnchorFigures]] = {}

    def __call__(self, state: DayState, anchor_id: str) -> AnchorFigures:
        """Return the figures of an anchor; KeyError if there is no such anchor."""
        now = state.anchors[anchor_id]
        drift = drift_of(state, now.wall)
        kept = self._kept.get(anchor_id)
        if kept is not None and kept[0] is now and kept[1] is state.shared and kept[2] == drift:
            return kept[3]
        figures = figures_for(state, anchor_id)
        self._kept[anchor_id] = (now, state.shared, drift, figures)
        return figures


__all__ = ["SUBJECTS", "AnchorFigures", "FigureCache", "Subject", "figures_for"]
