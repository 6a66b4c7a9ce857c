"""What is advised about lines and things in the ground and other rods, to be taken where it stands."""

from __future__ import annotations

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
    held = tuple(line_hold_id(figures.anchor, one.line.name) for one in figures.lines.lines if one.too_near)
    return tuple(_advice(figures, way, "clear of lines", held) for way in figures.lines.clearings)


def yard_advice(figures: FigureFacts) -> tuple[Advice, ...]:
    """Return every way that clears what stands in the yard, and the rods of other anchors, as an advice."""
    if not isinstance(figures, AnchorFigures) or figures.yard is None:
        return ()
    held = tuple(hold.id for hold in figures.holds if hold.yard)
    return tuple(_advice(figures, way, "clear of the yard", held) for way in figures.yard.clearings)


def _advice(figures: AnchorFigures, way: Clearing, clear_of: str, held: tuple[str, ...]) -> Advice:
    moved = way.kind == "along"
    return Advice(
        key=f"{clear_of}: {way.kind}",
        anchor=figures.anchor,
        words=f"{way.words[0].upper()}{way.words[1:]}",
        values={} if moved else _values(figures, way),
        moves={"along_in": way.along_in} if moved else {},
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


__all__ = ["line_advice", "yard_advice"]
