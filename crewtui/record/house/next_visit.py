"""The job of the next visit, from the records of a house: as built carried over, nothing dug or driven."""

from __future__ import annotations

import os
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any, Final

import tomli_w
from msgspec import Struct
from pydantic import BaseModel

from crewtui.foreign import shown
from crewtui.job.file.file_keys import part_of, unit_of_field
from crewtui.job.file.load import JobFileError, read_job
from crewtui.job.file.model import (
    Anchor,
    AsBuilt,
    CompanyHazard,
    Contact,
    Ground,
    LaterTightening,
    Rod,
    Tools,
    Wall,
)
from crewtui.job.tables.rules import defaults
from crewtui.record.house.as_left import AsLeft, as_left
from crewtui.record.house.house import House, HouseError, Kept
from crewtui.units import MM_PER_IN, NM_PER_LBF_FT, UnitSystem

_LONGEST_ID: Final = 24
_METRIC_DECIMALS: Final = 2
"""A record keeps a ten-thousandth of an inch, from which a whole millimeter comes back to two decimals."""
_HEAD: Final = """\
# The job of a visit to a wall that is tied back, written from the records of its house: what was built is
# carried over. Nothing is dug on a visit, so there is no ticket here; to dig is an install day.
"""
_CARD: Final = ("site", "lead", "crew", "units", "address", "engineer", "plan", "schedule", "company")
_TABLES: Final[Mapping[str, type[BaseModel]]] = {
    "ground": Ground, "rod": Rod, "tools": Tools, "tightening": LaterTightening,
}  # fmt: skip
_LISTS: Final[Mapping[str, type[BaseModel]]] = {"contacts": Contact, "hazards": CompanyHazard}


class NextVisit(Struct, frozen=True, kw_only=True):
    """The job file of a visit, and what has to be said of it."""

    text: str
    said: tuple[str, ...]


def next_visit(house: House, path: Path, *, on: date | None = None, today: date) -> NextVisit:
    """Return the job of the next visit, to be written at ``path``; HouseError where none can be made."""
    last = house.days[-1]
    system = house.units
    left = as_left(house)
    standing = [one for one in left if one.is_set]
    if not standing:
        raise HouseError(
            "no anchor of this house has a rod in the ground by these records: there is nothing to visit"
        )
    tables: dict[str, Any] = {
        "format": 1,
        "job": _card(house, path, on=on or _next_day(last, today)),
        "walls": _walls(last, system),
        "anchors": [_anchor(one, system) for one in standing],
    }
    data = last.verdict.data or {}
    for name, model in _TABLES.items():
        if isinstance(data.get(name), Mapping):
            tables[name] = as_file(model, data[name], system)
    for name, model in _LISTS.items():
        rows = data.get(name)
        if isinstance(rows, list) and rows:
            tables[name] = [as_file(model, row, system) for row in rows if isinstance(row, Mapping)]
    rules = _rules(last, system)
    if rules:
        tables["rules"] = rules
    text = _HEAD + tomli_w.dumps(tables)
    try:
        read_job(text.encode("utf-8"), file=path.name)
    except JobFileError as error:
        first = str(error).partition("\n")[0]
        raise HouseError(
            f"the records of this house give no job that can be read ({shown(first)})"
        ) from error
    return NextVisit(text=text, said=tuple(_said(left)))


def _said(left: tuple[AsLeft, ...]) -> list[str]:
    said = []
    missing = [one.id for one in left if not one.is_set]
    if missing:
        said.append(f"Left out, with no rod in the ground by the records: {', '.join(missing)}.")
    said += [
        f"{one.id}: its record leaves open {', '.join(one.open[:3])}; finish that on an install day."
        for one in left
        if one.is_set and one.open
    ]
    return said


def _next_day(last: Kept, today: date) -> date:
    """Return the plan's day of the next visit where that is still to come, else today."""
    later = (last.verdict.data or {}).get("tightening")
    planned = later.get("first_visit") if isinstance(later, Mapping) else None
    return planned if isinstance(planned, date) and planned > max(today, last.done_on) else today


def _card(house: House, path: Path, *, on: date) -> dict[str, Any]:
    last = house.days[-1]
    data = (last.verdict.data or {}).get("job", {})
    card = {key: data[key] for key in _CARD if data.get(key)}
    first_id = house.days[0].verdict.job_id
    number = f"-V{len(house.days)}"
    names = [os.path.relpath(day.verdict.path, path.parent) for day in house.days if day.verdict.path]
    return {
        "id": first_id[: _LONGEST_ID - len(number)] + number,
        **card,
        "date": on,
        "house": house.id or first_id,
        "day": "visit",
        "follows": last.verdict.record_hash,
        **({"earlier_record": names[-1], "earlier_records": names} if names else {}),
    }


def _walls(last: Kept, system: UnitSystem) -> list[dict[str, Any]]:
    rows = (last.verdict.data or {}).get("wall", [])
    found = []
    for row in rows:
        table = as_file(Wall, row, system)
        if row.get("opening"):
            opening = part_of(Wall.model_fields["openings"].annotation)[0] or Wall
            table["openings"] = [as_file(opening, one, system) for one in row["opening"]]
        found.append(table)
    return found


def _anchor(one: AsLeft, system: UnitSystem) -> dict[str, Any]:
    plan = as_file(Anchor, {**one.plan, "id": one.id, "wall": one.wall}, system)
    return {**plan, "built": as_file(AsBuilt, one.built, system)}


def _rules(last: Kept, system: UnitSystem) -> dict[str, dict[str, Any]]:
    found = {}
    for row in last.record.rule:
        rule = defaults().get(row.key)
        if rule is None or row.value is None:
            continue
        unit = {"in": "length", "lbf·ft": "torque"}.get(rule.unit, "")
        note = {"note": row.note} if row.note else {}
        said_by = row.said_by or "the record before"
        found[rule.file_key] = {"value": _in_file(row.value, unit, system), "said_by": said_by, **note}
    return found


def as_file(model: type[BaseModel], values: Mapping[str, Any], system: UnitSystem) -> dict[str, Any]:
    """Return a table of the job file from a model's fields: its own keys, numbers in the file's units.

    What the model does not know, and what is empty, is left out.
    """
    found: dict[str, Any] = {}
    for field, info in model.model_fields.items():
        value = values.get(field)
        if value is None or value in ("", [], ()):
            continue
        inner, several = part_of(info.annotation)
        if inner is not None and several:
            value = [as_file(inner, row, system) for row in value]
        elif inner is not None:
            value = as_file(inner, value, system)
        else:
            value = _in_file(value, unit_of_field(field), system)
        found[info.alias or field] = value
    return found


def _in_file(value: Any, unit: str, system: UnitSystem) -> Any:
    if isinstance(value, list | tuple):
        return [_in_file(one, unit, system) for one in value]
    if isinstance(value, bool) or not isinstance(value, int | float):
        return value
    scale = {"length": MM_PER_IN, "torque": NM_PER_LBF_FT}.get(unit, 1.0) if system == "metric" else 1.0
    number = round(float(value) * scale, _METRIC_DECIMALS if scale != 1.0 else 6)
    return int(number) if number.is_integer() else number


__all__ = ["NextVisit", "as_file", "next_visit"]
