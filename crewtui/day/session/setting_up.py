"""What the lead fills in or changes on site, read and checked before it is entered."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel, TypeAdapter, ValidationError

from crewtui.day.state.site_fields import TABLES, UnfitError, changed, planned_values
from crewtui.day.state.state import DayState
from crewtui.day.steps.outcomes import refuse
from crewtui.job.file.fields import UNITS_CONTEXT
from crewtui.job.file.model import Anchor, Job, Wall


def moved_values(
    plan: Anchor | None, values: Mapping[str, float], job: Job, *, ident: str = "", wall: str = ""
) -> Anchor:
    """Return the anchor as it would then be planned; AskBackError where it cannot be."""
    try:
        if plan is not None:
            moved = changed(plan, values)
        else:
            moved = Anchor.model_validate({"id": ident, "wall": wall, **planned_values(values)})
    except UnfitError as error:
        raise refuse(f"That cannot be changed: {error}.") from error
    except ValidationError as error:
        raise refuse(said(error)) from error
    length_in = job.wall(moved.wall).length_in
    if not 0 <= moved.along_in <= length_in:
        raise refuse(f"Its place along the wall lies between 0 and {length_in:g} in from the start corner.")
    return moved


def filled_in(state: DayState, table: str, name: str, values: Mapping[str, Any]) -> dict[str, Any]:
    """Return the values as they are kept: canonical, strings read; AskBackError where they do not fit."""
    before, model = _table(state, table, name)
    known = [key for key in values if key not in model.model_fields]
    if known:
        raise refuse(f"{table} has no {', '.join(known)}.")
    context = {UNITS_CONTEXT: state.job.job.units}
    try:
        read = {key: _one(model, key, value, context) for key, value in values.items()}
        after = model.model_validate({**before, **read})
    except ValidationError as error:
        raise refuse(said(error)) from error
    dumped = after.model_dump(mode="json")
    return {key: dumped[key] for key in values}


def _one(model: type[BaseModel], key: str, value: Any, context: Mapping[str, str]) -> Any:
    """Return a string read in the job's own units; anything else is taken as canonical."""
    if not isinstance(value, str):
        return value
    adapter: TypeAdapter[Any] = TypeAdapter(model.model_fields[key].rebuild_annotation())
    return adapter.validate_python(value, context=dict(context))


def _table(state: DayState, table: str, name: str) -> tuple[dict[str, Any], type[BaseModel]]:
    """Return a table's values now, and its model."""
    if table == "anchor":
        now = state.anchors.get(name)
        if now is None:
            raise refuse(f"There is no anchor {name}.")
        return now.plan.model_dump(), Anchor
    if table == "wall":
        wall = next((item for item in state.job.walls if item.name == name), None)
        if wall is None:
            raise refuse(f"There is no wall {name}.")
        return wall.model_dump(), Wall
    if table not in TABLES:
        raise refuse(f"The job has no table {table}.")
    had = getattr(state.job, table)
    return (had.model_dump() if had is not None else {}), TABLES[table]


def said(error: ValidationError) -> str:
    """Return the first thing wrong as one sentence."""
    first = error.errors(include_url=False)[0]
    place = ".".join(str(part) for part in first["loc"])
    return f"{place or 'That'}: {first['msg']}."
