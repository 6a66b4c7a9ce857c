"""A deeper pit, where the window is shut or narrow: as advice that can be taken on the row that says so."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from crewtui.day.figures.anchor_figures import AnchorFigures
from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.state.facts import FigureFacts
from crewtui.day.state.state import DayState
from crewtui.day.steps.advice import AIM, Advice
from crewtui.day.steps.calculator_rows import ENOUGH_SHARE, deeper_shown
from crewtui.units import MM_PER_IN, show_length, show_share

_STEPS: Final = 12


def window_advice(state: DayState, figures: FigureFacts) -> tuple[Advice, ...]:
    """Return the pits to dig instead, each with the depth to aim for in it; keys are those of their rows."""
    if not isinstance(figures, AnchorFigures) or figures.window is None:
        return ()
    return tuple(_wider(state, figures) if figures.window.open else _opened(state, figures))


def _wider(state: DayState, figures: AnchorFigures) -> Iterator[Advice]:
    for number, pit in enumerate(deeper_shown(figures), start=1):
        if pit.best is not None:
            yield _advice(
                state, figures, f"deeper-{number}", (pit.pit_depth_in, pit.best.depth_in), pit.share
            )


def _opened(state: DayState, figures: AnchorFigures) -> Iterator[Advice]:
    """Yield the first deeper pit whose window enough rods land in, else the first that any rod does."""
    depth_in = figures.inputs.known("pit_depth_in")
    if depth_in is None:
        return
    step_in = 50.0 / MM_PER_IN if state.job.job.units == "metric" else 2.0
    best: Advice | None = None
    for number in range(1, _STEPS + 1):
        deep_in = (int(depth_in / step_in) + number) * step_in
        there = figures_for(state, figures.anchor, typed={"pit_depth_in": deep_in})
        if there.window is None or not there.window.open or there.window.single or there.aim_depth_in is None:
            continue
        share = there.share or 0.0
        if best is None or share >= ENOUGH_SHARE:
            best = _advice(state, figures, "mend-1", (deep_in, there.aim_depth_in), share)
        if share >= ENOUGH_SHARE:
            break
    if best is not None:
        yield best


def _advice(
    state: DayState, figures: AnchorFigures, key: str, pit_and_aim_in: tuple[float, float], share: float
) -> Advice:
    system = state.job.job.units
    step_in = 10.0 / MM_PER_IN if system == "metric" else 0.5
    pit_in, aim_in = pit_and_aim_in[0], round(pit_and_aim_in[1] / step_in) * step_in
    dug, aimed = show_length(pit_in, system), show_length(aim_in, system)
    return Advice(
        key=key,
        anchor=figures.anchor,
        words=f"Dig {dug} deep and aim at {aimed}: {show_share(share)} inside, depth only",
        values={"pit_depth_in": pit_in, AIM: aim_in},
    )


__all__ = ["window_advice"]
