"""The site's changes to the plan: fields of an anchor, and tables of the job file filled in on site."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from pydantic import BaseModel, ValidationError

from crewtui.job.file.model import (
    Anchor,
    BuriedLine,
    Contact,
    Ground,
    Job,
    JobCard,
    Opening,
    Permit,
    Rod,
    Stock,
    ThingInGround,
    Ticket,
    Tools,
    UtilityResponse,
    Wall,
)

TABLES: Final[Mapping[str, type[BaseModel]]] = {
    "job": JobCard,
    "ground": Ground,
    "rod": Rod,
    "stock": Stock,
    "tools": Tools,
    "ticket": Ticket,
    "permit": Permit,
}
LISTED: Final[Mapping[str, type[BaseModel]]] = {
    "lines": BuriedLine,
    "openings": Opening,
    "in_ground": ThingInGround,
    "contacts": Contact,
    "utilities": UtilityResponse,
}
"""Lists of the job that the site adds to."""
_PLATES: Final = {
    "plate_width_in": ("plate", "width_in"),
    "plate_height_in": ("plate", "height_in"),
    "wall_plate_width_in": ("wall_plate", "width_in"),
    "wall_plate_height_in": ("wall_plate", "height_in"),
}


class UnfitError(ValueError):
    """An entry fits no anchor, wall or table of this job."""


def planned_values(values: Mapping[str, float]) -> dict[str, Any]:
    """Return job-file fields from an entry's values; UnfitError for one that no anchor has."""
    fields: dict[str, Any] = {}
    for name, value in values.items():
        if name in _PLATES:
            table, field = _PLATES[name]
            fields.setdefault(table, {})[field] = value
        elif name in Anchor.model_fields and name not in {"id", "wall"}:
            fields[name] = value
        else:
            raise UnfitError(f"an anchor has no {name}")
    return fields


def instead(values: Mapping[str, Any]) -> dict[str, None]:
    """Return what these values take the place of: a drop shot at the pit that of a plane yard, and back."""
    return {
        other: None
        for one, other in (("drop_in", "yard_slope"), ("yard_slope", "drop_in"))
        if values.get(one) is not None and other not in values
    }


def changed(plan: Anchor, values: Mapping[str, float]) -> Anchor:
    """Return the planned anchor with what the site changed."""
    fields = {**plan.model_dump(), **instead(values)}
    for name, value in planned_values(values).items():
        if name in {"plate", "wall_plate"}:
            fields[name] = {**(fields[name] or {}), **value}
        else:
            fields[name] = value
    return Anchor.model_validate(fields)


def job_with(job: Job, table: str, name: str, values: Mapping[str, Any]) -> Job:
    """Return the job with values filled in; UnfitError or pydantic's own error where they do not fit."""
    if table == "wall":
        if name not in {wall.name for wall in job.walls}:
            raise UnfitError(f"there is no wall {name}")
        walls = tuple(
            Wall.model_validate({**wall.model_dump(), **values, "name": name}) if wall.name == name else wall
            for wall in job.walls
        )
        return job.model_copy(update={"walls": walls})
    had = getattr(job, table)
    filled = {**(had.model_dump() if had is not None else {}), **values}
    return job.model_copy(update={table: TABLES[table].model_validate(filled)})


def listed_model(table: str) -> type[BaseModel]:
    """Return what one of these lists holds; UnfitError for a list that the site does not add to."""
    if table not in LISTED:
        raise UnfitError(f"nothing is added to {table} on site")
    return LISTED[table]


def job_with_listed(job: Job, table: str, values: Mapping[str, Any]) -> Job:
    """Return the job with one more of something; one of the same name there is replaced.

    UnfitError or pydantic's own error where it does not fit.
    """
    model = listed_model(table)
    wall = values.get("wall")
    if table not in {"contacts", "utilities"} and wall not in {one.name for one in job.walls}:
        raise UnfitError(f"there is no wall {wall}")
    if table == "utilities":
        if job.ticket is None:
            raise UnfitError("there is no ticket yet: fill in its number and its dates first")
        found = model.model_validate(dict(values))
        ticket = job.ticket.model_copy(update={"utilities": _with(job.ticket.utilities, found)})
        return job.model_copy(update={"ticket": ticket})
    if table == "openings":
        found = model.model_validate({key: value for key, value in values.items() if key != "wall"})
        walls = tuple(
            one.model_copy(update={"openings": _with(one.openings, found)}) if one.name == wall else one
            for one in job.walls
        )
        return job.model_copy(update={"walls": walls})
    found = model.model_validate(dict(values))
    return job.model_copy(update={table: _with(getattr(job, table), found)})


def _with(had: tuple[Any, ...], found: Any) -> tuple[Any, ...]:
    """Return a list with one more; what has the same name, at the same wall, goes."""

    def told(one: Any) -> tuple[Any, ...]:
        return tuple(getattr(one, key, None) for key in ("role", "name", "wall"))

    return (*(one for one in had if told(one) != told(found)), found)


def only_missing(error: ValidationError) -> bool:
    """Return whether nothing is wrong but that more is needed."""
    return all(detail["type"] == "missing" for detail in error.errors(include_url=False))
