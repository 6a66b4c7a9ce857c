"""Four live calculators of one anchor, headless: mark, aim, rod, torque.

They start from the anchor's figures as they stand; what is typed over an input counts for all four at once,
and for nothing else until it is entered.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from crewtui import units
from crewtui.day.figures.of_anchor import AnchorFigures, Subject, figures_for
from crewtui.day.state.inputs import Sourced
from crewtui.day.state.state import DayState
from crewtui.day.steps import typed_value
from crewtui.day.steps.calculator_rows import aim_rows, mark_rows, rod_rows, torque_rows
from crewtui.day.steps.calculator_sheet import CalcInput, CalcPart, CalcRow, PartKey, Sheet
from crewtui.day.steps.outcomes import AskBackError
from crewtui.job.tables import quantities, steps
from crewtui.job.tables.quantities import ImpossibleError, Measure, unit_of
from crewtui.trade.rod.rod_plan import RodPlan
from crewtui.units import UnitSystem, show_angle, show_length

_TITLES: Final[Mapping[PartKey, str]] = {
    "mark": "Mark, inside",
    "aim": "Aim",
    "rod": "Rod",
    "torque": "Torque (no test of the anchor)",
}
_SUBJECTS: Final[Mapping[PartKey, tuple[Subject, ...]]] = {
    "mark": ("mark",),
    "aim": ("aim", "lines", "wedges"),
    "rod": ("rod",),
    "torque": ("torque",),
}
_ROWS: Final[Mapping[PartKey, Callable[[AnchorFigures, UnitSystem], tuple[CalcRow, ...]]]] = {
    "mark": mark_rows,
    "aim": aim_rows,
    "torque": torque_rows,
}
UNKNOWN: Final = "?"
"""What the readout shows for a figure that lacks an input."""


def calculate(
    state: DayState,
    anchor_id: str,
    texts: Mapping[str, str],
    *,
    made: Callable[[RodPlan], RodPlan | str] = lambda rod: rod,
) -> Sheet:
    """Return the four calculators; KeyError if there is no such anchor.

    ``made`` gives the rod in the pieces that the cut list has for it, or words where it has none yet.

    ``texts`` is what is typed, by input key. Where a text cannot be read, as half-way through typing it, the
    longest beginning of it that can be read counts, else the value that was there; what cannot be meant
    counts for nothing.
    """
    system = state.job.job.units
    known = {quantity.key for quantity in quantities.inputs()}
    typed: dict[str, float] = {}
    faults: dict[str, str] = {}
    for key, text in texts.items():
        if key in known and text.strip():
            try:
                typed[key] = _read(state, anchor_id, key, text)
            except _RefusedError as error:
                faults[key] = str(error)
            except units.UnreadableError as error:
                faults[key] = str(error)
                begun = _begun(state, anchor_id, key, text)
                if begun is not None:
                    typed[key] = begun
    figures = figures_for(state, anchor_id, typed=typed)
    rod = None if figures.rod is None else made(figures.rod)
    parts = tuple(
        CalcPart(
            key=key,
            title=_TITLES[key],
            inputs=tuple(
                _input(figures.inputs[one.key], texts.get(one.key, ""), faults.get(one.key, ""), system)
                for one in quantities.of_calculator(key)
            ),
            rows=rod_rows(figures, system, rod=rod) if key == "rod" else _ROWS[key](figures, system),
            warnings=tuple(words for subject in _SUBJECTS[key] for words in figures.said.get(subject, ())),
        )
        for key in _TITLES
    )
    return Sheet(anchor=anchor_id, parts=parts, typed=typed)


class _RefusedError(units.UnreadableError):
    """What is typed can be read whole, and cannot be meant."""


def _read(state: DayState, anchor_id: str, key: str, text: str) -> float:
    """Return what is typed; what its step would refuse or ask back is refused here too."""
    quantity = quantities.by_key(key)
    value = quantity.read(text, state.job.job.units)
    step = next((one for one in steps.load() if one.quantity == key), None)
    if step is not None:
        try:
            return typed_value.read_value(step, text, state, state.anchors[anchor_id])
        except AskBackError as error:
            raise _RefusedError(str(error)) from error
    try:
        quantity.refuse_impossible(value)
    except ImpossibleError as error:
        raise _RefusedError(str(error)) from error
    return value


def _begun(state: DayState, anchor_id: str, key: str, text: str) -> float | None:
    """Return the longest beginning of a text that can be read."""
    for end in range(len(text) - 1, 0, -1):
        try:
            return _read(state, anchor_id, key, text[:end])
        except _RefusedError:
            return None
        except units.UnreadableError:
            continue
    return None


def _input(item: Sourced, text: str, fault: str, system: UnitSystem) -> CalcInput:
    in_use = show(item.measure, item.value, system)
    source = item.said
    if fault:
        source = f"{in_use or 'nothing'} in use"
    elif item.source == "typed":
        source = f"typed, {in_use}"
    return CalcInput(
        key=item.key,
        label=item.label,
        measure=item.measure,
        unit_text=unit_of(item.measure, system),
        text=text if text.strip() else in_use,
        source=source,
        fault=fault,
    )


def show(measure: Measure, value: float | None, system: UnitSystem) -> str:
    """Return an input's value as it is typed: a tape length, an angle, a torque in the job's unit."""
    if value is None:
        return ""
    return quantities.show(measure, value, system).partition(" (")[0]


def readout(state: DayState, anchor_id: str) -> tuple[tuple[str, str], ...]:
    """Return what is called out from two steps away: labels and texts for big digits.

    No angle is called out where there is no window, or where the aim would not run downhill.
    """
    figures, system = figures_for(state, anchor_id), state.job.job.units
    window, aim, mark = figures.window, figures.aim, figures.mark
    stands = window is not None and window.open and aim is not None and aim.possible
    held_deg = figures.held_angle_deg if stands else None
    rise_in = figures.held_rise_in if stands else None
    tail_in = figures.inputs.known("tail_length_in")
    over = f", over {show_length(tail_in, system)}" if tail_in else ""
    why = "" if stands or window is None else ": no window" if not window.open else ": no aim"
    return (
        (f"Hold{why}", show_angle(held_deg) if held_deg is not None else UNKNOWN),
        (f"Tail above hole{over}", show_length(rise_in, system) if rise_in is not None else UNKNOWN),
        (
            "Mark, down from top of wall",
            show_length(mark.down_from_top_in, system) if mark is not None else UNKNOWN,
        ),
        (
            "Stop mark, from the rod's front end",
            show_length(figures.stop.from_end_in, system) if stands and figures.stop is not None else UNKNOWN,
        ),
        ("Set the wrench to", _setting(figures, system)),
    )


def _setting(figures: AnchorFigures, system: UnitSystem) -> str:
    if figures.torque is None:
        return UNKNOWN
    wrench = figures.wrench
    setting = wrench.setting_lbf_ft if wrench is not None else figures.torque.torque_lbf_ft
    return units.show_torque(setting, system).partition(" (")[0]


__all__ = ["CalcInput", "CalcPart", "CalcRow", "Sheet", "calculate", "readout", "show"]
