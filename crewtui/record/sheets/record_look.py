"""Looking into a record's tables: a well-signed one may still hold anything, so every type is looked at."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from datetime import date, datetime
from typing import Any, Final

from crewtui import units
from crewtui.record.signed.plain_files import shown
from crewtui.units import UnitSystem

Table = Mapping[str, Any]

_LARGEST: Final = 1e6
"""No length, angle or torque of a record is larger; what is, is left out."""


def table(data: Table, name: str) -> Table:
    """Return the table of that name, empty where it is none."""
    part = data.get(name)
    return part if isinstance(part, dict) else {}


def items(data: Table, name: str) -> list[Any]:
    """Return the array of that name, empty where it is none."""
    part = data.get(name)
    return part if isinstance(part, list) else []


def rows(data: Table, name: str) -> Iterator[Table]:
    """Yield the tables of an array of tables."""
    return (row for row in items(data, name) if isinstance(row, dict))


def number(value: object) -> float | None:
    """Return a plain number within reason, or None."""
    if not isinstance(value, int | float) or isinstance(value, bool):
        return None
    found = float(value)
    return found if math.isfinite(found) and abs(found) <= _LARGEST else None


def text(value: object) -> str:
    """Return a string of the record; nothing for anything that is none."""
    return value if isinstance(value, str) else ""


def prose(value: object) -> str:
    """Return any text as it may stand on a page, however long: no control characters, nothing reversed."""
    return " ".join(shown(word) for word in str(value).split())


def built(anchor: Table, quantity: str) -> float | None:
    """Return a value as built, or None."""
    for row in rows(anchor, "value"):
        if row.get("quantity") == quantity:
            return number(row.get("value"))
    return None


def then(anchor: Table, quantity: str) -> str:
    """Return the answer asked after a value, such as clicked."""
    return next(
        (text(row.get("then")) for row in rows(anchor, "value") if row.get("quantity") == quantity), ""
    )


def answered(anchor: Table, step: str) -> str:
    """Return the answer to a step, or nothing."""
    found = (text(row.get("answer")) for row in rows(anchor, "answer") if row.get("step") == step)
    return next(found, "")


def inputs(anchor: Table) -> dict[str, float]:
    """Return what the figures of an anchor rest on, by quantity."""
    found: dict[str, float] = {}
    for row in rows(anchor, "input"):
        value, quantity = number(row.get("value")), row.get("quantity")
        if value is not None and isinstance(quantity, str):
            found[quantity] = value
    return found


def planned(anchor: Table) -> Table:
    """Return the plan's values with what the site changed."""
    return {**table(anchor, "planned"), **table(anchor, "changed_on_site")}


def along_in(anchor: Table) -> float | None:
    """Return the anchor's place along the wall."""
    found = inputs(anchor).get("along_in")
    return found if found is not None else number(planned(anchor).get("along_in"))


def system_of(data: Table) -> UnitSystem:
    """Return the units of the record's job."""
    return "metric" if table(data, "job").get("units") == "metric" else "imperial"


def length(value: object, system: UnitSystem) -> str:
    """Return a length in words, nothing where it is none."""
    found = number(value)
    return units.show_length(found, system) if found is not None else ""


def angle(value: object) -> str:
    """Return an angle in words, nothing where it is none."""
    found = number(value)
    return units.show_angle(found) if found is not None else ""


def torque(value: object, system: UnitSystem) -> str:
    """Return a torque in words, nothing where it is none."""
    found = number(value)
    return units.show_torque(found, system) if found is not None else ""


def moment(value: object) -> str:
    """Return a time as a sheet shows it, nothing where it is none."""
    return f"{value:%Y-%m-%d %H:%M}" if isinstance(value, datetime) else ""


def day(value: object) -> str:
    """Return a day, nothing where it is none."""
    if isinstance(value, datetime):
        return f"{value:%Y-%m-%d}"
    return f"{value:%Y-%m-%d}" if isinstance(value, date) else ""
