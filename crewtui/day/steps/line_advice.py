"""What is advised about the lines in the ground, so that it can be taken where it stands."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from crewtui.day.figures.aim_figures import drift_in_use_deg
from crewtui.day.figures.anchor_figures import AnchorFigures
from crewtui.day.figures.figure_holds import line_hold_id
from crewtui.day.state.facts import FigureFacts
from crewtui.day.state.state import HOLD
from crewtui.day.steps.advice import Advice
from crewtui.trade.ground.clearing import Clearing

_SAME_DEG: Final = 1e-9


def line_advice(figures: FigureFacts) -> tuple[Advice, ...]:
    """Return every way that clears the lines of an anchor as an advice; none where no line holds."""
    if not isinstance(figures, AnchorFigures) or figures.lines is None:
        return ()
    return tuple(_advices(figures, figures.lines.clearings))


def _advices(figures: AnchorFigures, clearings: tuple[Clearing, ...]) -> Iterator[Advice]:
    verdicts = figures.lines.lines if figures.lines is not None else ()
    held = tuple(line_hold_id(figures.anchor, one.line.name) for one in verdicts if one.too_near)
    for way in clearings:
        yield Advice(
            key=f"clear of lines: {way.kind}",
            anchor=figures.anchor,
            words=f"{way.words[0].upper()}{way.words[1:]}",
            values=_values(figures, way),
            ends=held,
        )


def _values(figures: AnchorFigures, way: Clearing) -> dict[str, float]:
    """Return what a way sets: a drift that is known and not used in the aim is met by the angle itself."""
    values = {"aim_depth_in": way.depth_in}
    if way.kind in {"lower mark", "higher mark"}:
        values["mark_depth_in"] = way.section.mark_depth_in
    elif way.kind == "farther":
        values["setback_in"] = way.setback_in
    unused_deg = figures.drift.mean_deg - drift_in_use_deg(figures.inputs, figures.drift)
    if abs(unused_deg) > _SAME_DEG:
        values[HOLD] = way.held_deg
    return values


__all__ = ["line_advice"]
