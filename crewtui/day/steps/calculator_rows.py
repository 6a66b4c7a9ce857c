"""The results of the four calculators as rows: what is shown of an anchor's figures, and in which words."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from msgspec.structs import replace

from crewtui.day.figures.figure_table import worded
from crewtui.day.figures.figures_shown import couplings, of_calculator
from crewtui.day.figures.of_anchor import AnchorFigures
from crewtui.day.steps.calculator_sheet import CalcRow
from crewtui.job.tables.quantities import Calculator
from crewtui.trade.aim.rod_line import Aim
from crewtui.trade.aim.window import DeeperPit, Window
from crewtui.trade.rod.rod_plan import RodPlan
from crewtui.trade.tightening.torque import GOVERNS
from crewtui.units import (
    UnitSystem,
    show_length,
    show_share,
)

ENOUGH_SHARE: Final = 0.95
"""Past so large a share of rods inside a deeper pit is no longer worth a row (from memory)."""
DEEPER_ROWS: Final = 3


def mark_rows(figures: AnchorFigures, system: UnitSystem) -> tuple[CalcRow, ...]:
    """Return where the mark is, as a tape shows it."""
    depth_in = figures.inputs.known("mark_depth_in")
    rows = []
    if depth_in is not None:
        rows.append(
            CalcRow(
                key="depth",
                label="Mark below grade",
                text=show_length(depth_in, system),
                value=depth_in,
                quantity="mark_depth_in",
                step="mark-depth",
            )
        )
    return (*rows, *_table_rows(figures, "mark", system))


def aim_rows(figures: AnchorFigures, system: UnitSystem) -> tuple[CalcRow, ...]:
    """Return the angle to hold and what comes with it, or why there is none and what mends it."""
    window, aim, held_deg = figures.window, figures.aim, figures.held_angle_deg
    if window is None or aim is None or held_deg is None:
        said = figures.said.get("aim", ())
        return (CalcRow(key="hold", label=worded("hold"), text=said[0] if said else "not known", big=True),)
    rows = [*_refusals(window, aim), *_table_rows(figures, "aim", system)]
    if window.open and aim.possible:
        rows += _deeper_rows(figures, system)
    return tuple(rows)


def _table_rows(figures: AnchorFigures, calculator: Calculator, system: UnitSystem) -> Iterator[CalcRow]:
    """Yield the figures of the table that stand on a calculator."""
    for found in of_calculator(figures, calculator, system):
        figure = found.figure
        yield CalcRow(
            key=figure.key,
            label=found.label,
            text=found.text,
            value=found.value,
            quantity=figure.quantity,
            step=figure.step,
            big=figure.big,
        )


def _refusals(window: Window, aim: Aim) -> Iterator[CalcRow]:
    if not window.open:
        yield CalcRow(key="window", label="No window", text=window.refused, big=True)
        for number, mend in enumerate(window.mends, start=1):
            yield CalcRow(key=f"mend-{number}", label="Would mend it", text=mend)
    elif not aim.possible:
        yield CalcRow(key="window", label="No aim", text=aim.refused, big=True)


def _deeper_rows(figures: AnchorFigures, system: UnitSystem) -> Iterator[CalcRow]:
    """Yield what a deeper pit would add, until it adds little."""
    for number, pit in enumerate(deeper_shown(figures), start=1):
        rules = f"; it switches on: {' '.join(pit.switched_on)}" if pit.switched_on else ""
        aimed = f", aimed at {show_length(pit.best.depth_in, system)}" if pit.best is not None else ""
        yield CalcRow(
            key=f"deeper-{number}",
            label=f"In a pit {show_length(pit.pit_depth_in, system)} deep",
            text=f"{show_share(pit.share)} inside{aimed}{rules}",
            value=pit.share,
        )


def deeper_shown(figures: AnchorFigures) -> Iterator[DeeperPit]:
    """Yield the deeper pits that are worth a row: each adds rods inside to the one before."""
    share = figures.share or 0.0
    shown = 0
    for pit in figures.deeper:
        if share >= ENOUGH_SHARE or shown == DEEPER_ROWS:
            return
        if pit.best is not None and pit.share > share:
            yield pit
            share, shown = pit.share, shown + 1


def rod_rows(figures: AnchorFigures, system: UnitSystem, *, rod: RodPlan | str | None) -> tuple[CalcRow, ...]:
    """Return the pieces of the rod in order, where the couplings end up, and what is cut off.

    ``rod`` is as it is to be made; words in its place say why its pieces are not known yet.
    """
    if isinstance(rod, str):
        needed = figures.rod.needed_in if figures.rod is not None else None
        text = "" if needed is None else show_length(needed, system)
        return (
            CalcRow(key="length", label=worded("length"), text=text, value=needed),
            CalcRow(key="pieces", label=worded("pieces"), text=rod),
        )
    if rod is None:
        return (CalcRow(key="length", label="Length of rod", text="not known before the aim is"),)
    of_table = tuple(_table_rows(replace(figures, rod=rod), "rod", system))
    rows = [of_table[0]]
    if rod.refused:
        rows.append(CalcRow(key="refused", label="Cannot be done so", text=rod.refused))
        rows += [
            CalcRow(key=f"mend-{number}", label="Would mend it", text=mend)
            for number, mend in enumerate(rod.mends, start=1)
        ]
    return (*rows, *of_table[1:], *_coupling_rows(rod, system))


def _coupling_rows(rod: RodPlan, system: UnitSystem) -> Iterator[CalcRow]:
    for one in couplings(rod, system):
        yield CalcRow(key=f"coupling-{one.number}", label=one.label, text=one.text, value=one.place_in)


def torque_rows(figures: AnchorFigures, system: UnitSystem) -> tuple[CalcRow, ...]:
    """Return the torque, the wrench's setting and the tension that it may mean, beside the yield."""
    if figures.torque is None:
        return (CalcRow(key="target", label=worded("target"), text="not known: take it from the plan"),)
    governs = CalcRow(key="governs", label="What governs", text=GOVERNS)
    return (*_table_rows(figures, "torque", system), governs)
