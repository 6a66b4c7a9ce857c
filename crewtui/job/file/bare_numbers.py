"""Bare numbers of one file taken into another whose bare numbers are in other units."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from crewtui.job.file.file_keys import by_path
from crewtui.job.tables.rules import defaults
from crewtui.units import UnitSystem

UNIT_OF: Final[Mapping[tuple[str, UnitSystem], str]] = {
    ("length", "imperial"): "in",
    ("length", "metric"): "mm",
    ("torque", "imperial"): "lbf·ft",
    ("torque", "metric"): "N·m",
}
"""The unit of a bare number, by measure and the file's system."""
_OF_RULES: Final = {"in": "length", "lbf·ft": "torque"}


def with_units(table: Mapping[str, Any], system: UnitSystem) -> dict[str, Any]:
    """Return a file's tables with the unit written behind every bare length and torque."""
    return {name: _with_units(part, name, system) for name, part in table.items()}


def measure_of(path: str) -> str:
    """Return what a key measures: length, torque, another word of its unit, or nothing."""
    parts = path.split(".")
    if parts[0] == "rules":
        rule = next((one for one in defaults().values() if parts[1:] == [one.file_key, "value"]), None)
        return _OF_RULES.get(rule.unit, "") if rule else ""
    key = by_path().get(path)
    return key.unit if key else ""


def _with_units(value: Any, path: str, system: UnitSystem) -> Any:
    if isinstance(value, dict):
        return {name: _with_units(part, f"{path}.{name}", system) for name, part in value.items()}
    if isinstance(value, list):
        return [_with_units(part, path, system) for part in value]
    if isinstance(value, bool) or not isinstance(value, int | float):
        return value
    unit = UNIT_OF.get((measure_of(path), system))
    return f"{value} {unit}" if unit else value
