"""The table of figures read for one anchor: in words on calculators and paper, as values in the record."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from typing import Final

from msgspec import Struct

from crewtui.day.figures.anchor_figures import AnchorFigures
from crewtui.day.figures.figure_table import FIGURES, Figure, Paper, Shown
from crewtui.job.tables.quantities import Calculator
from crewtui.trade.rod.rod_plan import Joint, RodPlan
from crewtui.units import UnitSystem, show_angle, show_fall, show_length, show_share, show_slope, show_torque

_SHOW: Final[Mapping[Shown, Callable[[float, UnitSystem], str]]] = {
    "length": show_length,
    "angle": lambda value, _: show_angle(value),
    "fall": show_fall,
    "slope": lambda value, _: show_slope(value),
    "share": lambda value, _: show_share(value),
    "torque": show_torque,
}


class FigureShown(Struct, frozen=True, kw_only=True):
    """A figure of one anchor, in words."""

    figure: Figure
    label: str
    text: str
    value: float


def shown(figure: Figure, figures: AnchorFigures, system: UnitSystem) -> FigureShown | None:
    """Return a figure of an anchor in words; None where it is not known."""
    value = figure.value(figures)
    if value is None:
        return None
    text = figure.words(figures, system) if figure.words is not None else _SHOW[figure.shown](value, system)
    beside = figure.beside(figures, system) if figure.beside is not None else ""
    return FigureShown(figure=figure, label=f"{figure.label}{beside}", text=text, value=value)


def of_calculator(
    figures: AnchorFigures, calculator: Calculator, system: UnitSystem
) -> Iterator[FigureShown]:
    """Yield what is known of a calculator's figures, in the table's order."""
    for figure in FIGURES:
        found = shown(figure, figures, system) if figure.calculator == calculator else None
        if found is not None:
            yield found


def of_paper(figures: AnchorFigures, paper: Paper, system: UnitSystem) -> Iterator[FigureShown]:
    """Yield what is known of a part of the plan sheet, in the table's order."""
    for figure in FIGURES:
        found = shown(figure, figures, system) if figure.paper == paper else None
        if found is not None:
            yield found


def worked_to(figures: AnchorFigures) -> dict[str, float]:
    """Return the figures that an anchor was worked to, as the record names them, without what is unknown."""
    found = {figure.record: figure.value(figures) for figure in FIGURES if figure.record}
    return {name: value for name, value in found.items() if value is not None and math.isfinite(value)}


class CouplingShown(Struct, frozen=True, kw_only=True):
    """Where one coupling ends up, in words."""

    number: int
    label: str
    text: str
    place_in: float


def couplings(rod: RodPlan, system: UnitSystem) -> Iterator[CouplingShown]:
    """Yield where each coupling of a rod ends up, and what it is too near to."""
    for joint in rod.joints if rod.pieces else ():
        yield CouplingShown(
            number=joint.number,
            label=f"Coupling {joint.number}",
            text=_joint_in_words(joint, system),
            place_in=joint.place_in,
        )


def _joint_in_words(joint: Joint, system: UnitSystem) -> str:
    where = "out from" if joint.place_in >= 0 else "inside of"
    state = "" if joint.clear else f", too near {joint.near}"
    return f"{show_length(abs(joint.place_in), system)} {where} the outer face{state}"
