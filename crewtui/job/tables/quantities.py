"""Every quantity of an anchor, from its data file: what it is called, where it is kept, what it can be."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Final, Literal

import tomli
from msgspec import Struct, convert

from crewtui import units
from crewtui.units import UnitSystem

Measure = Literal["length", "angle", "torque", "count", "slope", ""]
Calculator = Literal["mark", "aim", "rod", "torque"]
PaperPart = Literal["mark", "pit"]

RIGHT_ANGLE_DEG: Final = 90.0
HALF_TURN_DEG: Final = 180.0


class ImpossibleError(ValueError):
    """A value that no such quantity can have; str() is one sentence."""


class _Row(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    label: str
    measure: Measure = ""
    input: bool = False
    plan: tuple[str, ...] = ()
    rule: str | tuple[str, ...] | dict[str, str] = ""
    same: dict[str, str] = {}
    otherwise: float | None = None
    likely: tuple[float, float] | None = None
    far: float | None = None
    sign: str = ""
    turn: bool = False
    untrue: tuple[str, ...] = ()
    calculator: Calculator | None = None
    paper: PaperPart | None = None
    measured: str = ""


class Quantity(Struct, frozen=True, kw_only=True):
    """One quantity: its key ends in its unit."""

    key: str
    label: str
    measure: Measure
    input: bool
    """The figures rest on it; the record lists these in the table's order."""
    plan: tuple[tuple[str, ...], ...]
    """Where the job file keeps it: table and key, the first that is given."""
    rules: tuple[str, ...]
    """The company's rule where the plan is silent; of two, the middle between them."""
    rules_by_pit: Mapping[str, str]
    """The rule by the kind of pit, where they differ."""
    same_by_pit: Mapping[str, str]
    """The quantity that it is the same as where the plan is silent, by the kind of pit."""
    otherwise: float | None
    """What a silent plan means."""
    likely: tuple[float, float] | None
    """From memory: used only to ask back a slip of the unit."""
    far: float | None
    """How far off the plan it is asked back once: common practice, no source."""
    sign: str
    """Which way is plus; empty for what is never negative."""
    turn: bool
    untrue: tuple[str, ...]
    """What it makes untrue when it changes: quantities and steps, with all that follows from those."""
    calculator: Calculator | None
    paper: PaperPart | None
    measured: str
    """How the site finds it out, where no step asks for it."""

    def refuse_impossible(self, value: float) -> None:
        """Raise ImpossibleError with a sentence where nothing of this kind has such a value."""
        if self.measure == "torque" and value <= 0:
            raise ImpossibleError("A torque is more than zero.")
        if self.turn and abs(value) > HALF_TURN_DEG:
            raise ImpossibleError("An extension stands between -180° and 180° from the handle: write 90.")
        if self.measure == "angle" and not self.turn and abs(value) >= RIGHT_ANGLE_DEG:
            raise ImpossibleError(
                "An angle from level lies between -90° and 90°, positive downward going out."
            )
        if value < 0 and not self.sign:
            raise ImpossibleError(f"{self.label} is not negative: write it without the sign.")

    def read(self, text: str, system: UnitSystem) -> float:
        """Return what was typed in the quantity's own unit; UnreadableError where it cannot be read."""
        if self.turn:
            return units.read_number(text.replace("°", " "))
        return read(self.measure, text, system)

    def show(self, value: float, system: UnitSystem) -> str:
        """Return a value in words, in the job's units."""
        return show(self.measure, value, system)


def read(measure: Measure, text: str, system: UnitSystem) -> float:
    """Return what was typed, a bare number in the job's own unit; UnreadableError where it cannot be read."""
    metric = system == "metric"
    match measure:
        case "length":
            return units.read_length(text, bare="mm" if metric else "in")
        case "torque":
            return units.read_torque(text, bare="N·m" if metric else "lbf·ft")
        case "angle":
            return units.read_angle(text)
        case "slope":
            return units.read_slope(text)
        case "count":
            return float(units.read_count(text))
        case "":
            return units.read_number(text)


def show(measure: Measure, value: float, system: UnitSystem) -> str:
    """Return a value in words, in the job's units."""
    match measure:
        case "length":
            return units.show_length(value, system)
        case "torque":
            return units.show_torque(value, system)
        case "angle":
            return units.show_angle(value)
        case "slope":
            return units.show_slope(value)
        case "count" | "":
            return f"{value:g}"


def unit_of(measure: Measure, system: UnitSystem) -> str:
    """Return the unit of a bare number."""
    metric = system == "metric"
    match measure:
        case "length":
            return "mm" if metric else "in"
        case "torque":
            return "N·m" if metric else "lbf·ft"
        case "angle":
            return "°"
        case "slope":
            return "%"
        case "count" | "":
            return ""


@cache
def load() -> Mapping[str, Quantity]:
    """Return every quantity by key, in the order of the data file."""
    text = files("crewtui.job.tables").joinpath("quantities.toml").read_text(encoding="utf-8")
    rows = convert(tomli.loads(text), dict[str, _Row])
    return MappingProxyType({key: _quantity(key, row, rows) for key, row in rows.items()})


def _quantity(key: str, row: _Row, rows: Mapping[str, _Row]) -> Quantity:
    by_pit = row.rule if isinstance(row.rule, dict) else {}
    rules = () if isinstance(row.rule, dict) else (row.rule,) if isinstance(row.rule, str) else row.rule
    return Quantity(
        key=key,
        label=row.label,
        measure=row.measure,
        input=row.input,
        plan=tuple(tuple(place.split(".")) for place in row.plan),
        rules=tuple(filter(None, rules)),
        rules_by_pit=MappingProxyType(by_pit),
        same_by_pit=MappingProxyType(row.same),
        otherwise=row.otherwise,
        likely=row.likely,
        far=row.far,
        sign=row.sign,
        turn=row.turn,
        untrue=tuple(dict.fromkeys(_untrue(row.untrue, rows, set()))),
        calculator=row.calculator,
        paper=row.paper,
        measured=row.measured,
    )


def _untrue(names: tuple[str, ...], rows: Mapping[str, _Row], seen: set[str]) -> Iterator[str]:
    """Yield these names and all that they make untrue in turn."""
    for name in names:
        yield name
        if name in rows and name not in seen:
            seen.add(name)
            yield from _untrue(rows[name].untrue, rows, seen)


def by_key(key: str) -> Quantity:
    """Return the quantity of that key; KeyError if there is none."""
    return load()[key]


def inputs() -> tuple[Quantity, ...]:
    """Return what the figures rest on, in the order in which the record lists it."""
    return tuple(one for one in load().values() if one.input)


def of_calculator(calculator: Calculator) -> tuple[Quantity, ...]:
    """Return the inputs of one calculator, in order."""
    return tuple(one for one in load().values() if one.calculator == calculator)


def of_paper(part: PaperPart) -> tuple[Quantity, ...]:
    """Return what one part of the plan sheet prints, in order."""
    return tuple(one for one in load().values() if one.paper == part)


@cache
def of_plan() -> Mapping[tuple[str, ...], Quantity]:
    """Return the quantities by each place where the job file keeps them."""
    return MappingProxyType({place: one for one in load().values() for place in one.plan})


def kept_in(table: str, key: str) -> Quantity | None:
    """Return the quantity that a table of the job file keeps under this key; None for what is none."""
    return of_plan().get((table, key))


def named(key: str) -> Quantity | None:
    """Return the quantity that an entry names by its key, or by that of an anchor in the job file."""
    return load().get(key) or kept_in("anchor", key)


def in_words(values: Mapping[str, float], system: UnitSystem) -> str:
    """Return values by key as they are called and shown: "Place along the wall 54 1/4 in, ..."."""
    found = []
    for key, value in values.items():
        quantity = named(key)
        found.append(
            f"{quantity.label} {quantity.show(value, system)}" if quantity is not None else f"{key} {value:g}"
        )
    return ", ".join(found)


def untrue_by(*keys: str) -> tuple[str, ...]:
    """Return what is no longer true once these change; what is no quantity makes nothing untrue."""
    known = load()
    return tuple(dict.fromkeys(name for key in keys if key in known for name in known[key].untrue))
