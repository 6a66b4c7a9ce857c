"""The wall's drift as an advice, where the next rod is aimed."""

from __future__ import annotations

from crewtui.day.figures.anchor_figures import AnchorFigures
from crewtui.day.figures.figure_limits import drift_offer
from crewtui.day.state.facts import FigureFacts
from crewtui.day.state.state import DayState
from crewtui.day.steps.advice import Advice


def drift_advice(state: DayState, figures: FigureFacts) -> tuple[Advice, ...]:
    """Return the drift that the wall's rods have shown, to be used in the aim; nothing where it is in use."""
    words = drift_offer(figures, state.job.job.units) if isinstance(figures, AnchorFigures) else ""
    if not isinstance(figures, AnchorFigures) or not words:
        return ()
    return (
        Advice(
            key="drift of the wall",
            anchor=figures.anchor,
            words=words,
            values={},
            drift=(figures.drift.wall, figures.drift.mean_deg),
        ),
    )


__all__ = ["drift_advice"]
