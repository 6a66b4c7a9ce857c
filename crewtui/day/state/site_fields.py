"""The site's changes to the plan: fields of an anchor, and tables of the job file filled in on site."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from pydantic import BaseModel, ValidationError

from crewtui.job.file.model import Anchor, Ground, Job, JobCard, Permit, Rod, Stock, Ticket, Tools, Wall

TABLES: Final[Mapping[str, type[BaseModel]]] = {
    "job": JobCard,
    "ground": Ground,
    "rod": Rod,
    "stock": Stock,
    "tools": Tools,
    "ticket": Ticket,
    "permit": Permit,
}
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


def only_missing(error: ValidationError) -> bool:
    """Return whether nothing is wrong but that more is needed."""
    return all(detail["type"] == "missing" for detail in error.errors(include_url=False))
