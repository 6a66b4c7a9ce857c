"""What the lead fills in or changes on site, read and checked before it is entered."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from pydantic import BaseModel, TypeAdapter, ValidationError

from crewtui import units
from crewtui.day.state.site_fields import (
    TABLES,
    UnfitError,
    changed,
    instead,
    job_with_listed,
    listed_model,
    only_missing,
    planned_values,
)
from crewtui.day.state.state import DayState
from crewtui.day.steps.outcomes import refuse
from crewtui.job.file.error_words import first_sentence
from crewtui.job.file.fields import UNITS_CONTEXT
from crewtui.job.file.model import Anchor, Job, Wall
from crewtui.job.tables.quantities import Quantity, kept_in

_PATHS: Final[Mapping[str, str]] = {"wall": "walls", "anchor": "anchors"}
"""By a table's name in an entry: its name in the job file."""
_OF_THE_PLAN: Final = frozenset({"wall", "anchor", "ground", "rod", "tools"})
"""Tables whose values are the plan's: another value is a change of the plan, and asks who and why."""


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
        raise refuse(first_sentence(error, "anchors", job.job.units)) from error
    length_in = job.wall(moved.wall).length_in
    if not 0 <= moved.along_in <= length_in:
        raise refuse(f"Its place along the wall lies between 0 and {length_in:g} in from the start corner.")
    return moved


def filled_in(state: DayState, table: str, name: str, values: Mapping[str, Any]) -> dict[str, Any]:
    """Return the values as they are kept: canonical, strings read; AskBackError where one cannot be.

    Values that fit and are not all that their table needs are kept as a draft until the others are there.
    """
    before, model = _table(state, table, name)
    known = [key for key in values if key not in model.model_fields]
    if known:
        raise refuse(f"{table} has no {', '.join(known)}.")
    if table == "anchor":
        values = {**values, **{key: None for key in instead(values) if before[key] is not None}}
    system = state.job.job.units
    context = {UNITS_CONTEXT: system}
    path = _PATHS.get(table, table)
    try:
        read = {key: _one(model, key, value, context) for key, value in values.items()}
    except ValidationError as error:
        raise refuse(first_sentence(error, path, system)) from error
    drafted = {**state.shared.drafts.get(table, {}), **read}
    try:
        dumped = model.model_validate({**before, **drafted}).model_dump(mode="json")
    except ValidationError as error:
        if not only_missing(error):
            raise refuse(first_sentence(error, path, system)) from error
        return {key: _dumped(model, key, value) for key, value in read.items()}
    return {key: dumped[key] for key in values}


def listed(state: DayState, table: str, values: Mapping[str, Any]) -> dict[str, Any]:
    """Return something for one of the job's lists as it is kept; AskBackError where it does not fit."""
    system = state.job.job.units
    try:
        model = listed_model(table)
        of_model = {
            key: value for key, value in values.items() if key != "wall" or "wall" in model.model_fields
        }
        dumped = model.model_validate(of_model, context={UNITS_CONTEXT: system}).model_dump(mode="json")
        dumped |= {key: value for key, value in values.items() if key not in of_model}
        job_with_listed(state.job, table, dumped)
    except UnfitError as error:
        raise refuse(f"{str(error).capitalize()}.") from error
    except ValidationError as error:
        raise refuse(first_sentence(error, table, system)) from error
    return dumped


def plan_changes(state: DayState, table: str, name: str, values: Mapping[str, Any]) -> tuple[str, ...]:
    """Return what of the plan these values replace, as label, before and after; a blank replaces nothing."""
    if table not in _OF_THE_PLAN:
        return ()
    before, _ = _table(state, table, name)
    system = state.job.job.units
    said: list[str] = []
    for key, after in values.items():
        had = before.get(key)
        if had is None or had in ("", (), [], {}) or had == after:
            continue
        quantity = kept_in(table, key)
        label = quantity.label if quantity is not None else key.replace("_", " ").capitalize()
        words = [_in_words(key, quantity, one, system) for one in (had, after)]
        said.append(f"{label}{f' of {name}' if name else ''}: {words[0]} to {words[1]}")
    return tuple(said)


def _in_words(key: str, quantity: Quantity | None, value: Any, system: units.UnitSystem) -> str:
    if value is None:
        return "none"
    if key == "yard_slope":
        return units.show_slope(value)
    return (
        quantity.show(value, system)
        if quantity is not None and isinstance(value, int | float)
        else str(value)
    )


def _dumped(model: type[BaseModel], key: str, value: Any) -> Any:
    adapter: TypeAdapter[Any] = TypeAdapter(model.model_fields[key].rebuild_annotation())
    return adapter.dump_python(value, mode="json")


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
