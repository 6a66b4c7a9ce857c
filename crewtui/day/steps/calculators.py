"""Four live calculators of one anchor, headless: mark, aim, rod, torque.

They start from the anchor's figures as they stand; what is typed over an input counts for all four at once,
and for nothing else until it is entered.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from crewtui import units
from crewtui.day.figures.of_anchor import AnchorFigures, Subject, figures_for
from crewtui.day.state.inputs import LABELS, Kind, Sourced
from crewtui.day.state.state import DayState
from crewtui.day.steps import typed_value
from crewtui.day.steps.calculator_rows import aim_rows, mark_rows, rod_rows, torque_rows
from crewtui.day.steps.calculator_sheet import CalcInput, CalcPart, CalcRow, PartKey, Sheet
from crewtui.day.steps.outcomes import AskBackError
from crewtui.job.tables import steps
from crewtui.units import UnitSystem, show_angle, show_length

_INPUTS: Final[Mapping[PartKey, tuple[str, ...]]] = {
    "mark": ("mark_depth_in", "grade_to_top_in", "slab_to_top_in", "thickness_in", "bow_in"),
    "aim": (
        "setback_in", "drop_in", "pit_along_rod_in", "pit_depth_in", "plan_least_depth_in", "frost_depth_in",
        "aim_depth_in", "plate_height_in", "wrench_room_in", "drift_deg", "tail_length_in",
        "joist_clearance_in",
    ),
    "rod": ("free_room_in", "hammer_length_in", "hole_diameter_in"),
    "torque": (
        "torque_lbf_ft", "yield_ksi", "wrench_length_in", "extension_in", "extension_angle_deg",
        "wrench_least_lbf_ft", "wrench_greatest_lbf_ft",
    ),
}  # fmt: skip
"""The inputs of each part, in the order shown; one that serves another part too stands once."""
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
    "rod": rod_rows,
    "torque": torque_rows,
}
_ANY_SIGN: Final = frozenset(
    {"drop_in", "bow_in", "drift_deg", "extension_angle_deg", "joist_clearance_in", "grade_to_top_in"}
)
_HALF_TURN_DEG: Final = 180.0
UNKNOWN: Final = "?"
"""What the readout shows for a figure that lacks an input."""


def calculate(state: DayState, anchor_id: str, texts: Mapping[str, str]) -> Sheet:
    """Return the four calculators; KeyError if there is no such anchor.

    ``texts`` is what is typed, by input key. Where a text cannot be read, as half-way through typing it, the
    longest beginning of it that can be read counts, else the value that was there; what cannot be meant
    counts for nothing.
    """
    system = state.job.job.units
    typed: dict[str, float] = {}
    faults: dict[str, str] = {}
    for key, text in texts.items():
        if key in LABELS and text.strip():
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
    parts = tuple(
        CalcPart(
            key=key,
            title=_TITLES[key],
            inputs=tuple(
                _input(figures.inputs[name], texts.get(name, ""), faults.get(name, ""), system)
                for name in names
            ),
            rows=_ROWS[key](figures, system),
            warnings=tuple(words for subject in _SUBJECTS[key] for words in figures.said.get(subject, ())),
        )
        for key, names in _INPUTS.items()
    )
    return Sheet(anchor=anchor_id, parts=parts, typed=typed)


class _RefusedError(units.UnreadableError):
    """What is typed can be read whole, and cannot be meant."""


def _read(state: DayState, anchor_id: str, key: str, text: str) -> float:
    """Return what is typed; what its step would refuse or ask back is refused here too."""
    value = _plain(key, text, state.job.job.units)
    step = next((one for one in steps.load() if one.quantity == key), None)
    if step is not None:
        try:
            return typed_value.read_value(step, text, state, state.anchors[anchor_id])
        except AskBackError as error:
            raise _RefusedError(str(error)) from error
    if value < 0 and key not in _ANY_SIGN:
        raise _RefusedError(f"{LABELS[key][0]} is not negative: write it without the sign.")
    return value


def _plain(key: str, text: str, system: UnitSystem) -> float:
    measure, metric = LABELS[key][1], system == "metric"
    if measure == "length":
        return units.read_length(text, bare="mm" if metric else "in")
    if measure == "torque":
        return units.read_torque(text, bare="N·m" if metric else "lbf·ft")
    if key == "extension_angle_deg":
        return _turned(text)
    return units.read_angle(text) if measure == "angle" else units.read_number(text)


def _turned(text: str) -> float:
    """Return an extension's angle to the handle, which unlike one from level may be square to it or more."""
    value = units.read_number(text.replace("°", " "))
    if abs(value) > _HALF_TURN_DEG:
        raise _RefusedError("An extension stands between -180° and 180° from the handle: write 90.")
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
    source = item.said_by or item.source
    if fault:
        source = f"{in_use or 'nothing'} in use"
    elif item.source == "typed":
        source = f"typed, {in_use}"
    return CalcInput(
        key=item.key,
        label=item.label,
        measure=item.measure,
        unit_text=unit_text(item.measure, system),
        text=text if text.strip() else in_use,
        source=source,
        fault=fault,
    )


def unit_text(measure: Kind, system: UnitSystem) -> str:
    """Return the unit of a bare number."""
    if measure == "length":
        return "mm" if system == "metric" else "in"
    if measure == "torque":
        return "N·m" if system == "metric" else "lbf·ft"
    return "°" if measure == "angle" else ""


def show(measure: Kind, value: float | None, system: UnitSystem) -> str:
    """Return an input's value as it is typed: a tape length, an angle, a torque in the job's unit."""
    if value is None:
        return ""
    if measure == "length":
        return show_length(value, system)
    if measure == "torque":
        return units.show_torque(value, system).partition(" (")[0]
    return show_angle(value) if measure == "angle" else f"{value:g}"


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
    )


__all__ = ["CalcInput", "CalcPart", "CalcRow", "Sheet", "calculate", "readout", "show", "unit_text"]
