"""The job file's keys in words: meaning, unit and example of each, from one data file and the models."""

from __future__ import annotations

import types
from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from typing import Annotated, Any, Final, Union, get_args, get_origin

import tomli
from msgspec import Struct
from pydantic import BaseModel

from crewtui.job.file.fields import POINT_UNIT
from crewtui.job.file.model import Job, RuleOverride

UNIT_WORDS: Final[Mapping[str, str]] = {
    "length": "length",
    "angle": "degrees",
    "slope": "slope",
    "torque": "torque",
    "ksi": "ksi",
    "lb": "lb",
    "": "",
}
_ENDINGS: Final = (
    ("_lbf_ft", "torque"),
    ("_in", "length"),
    ("_deg", "angle"),
    ("_slope", "slope"),
    ("_ksi", "ksi"),
    ("_lb", "lb"),
)
_PLAIN: Final = frozenset({"threads_per_in", "counted_in"})
"""Fields whose name ends like a length's and that are none."""


class Key(Struct, frozen=True, kw_only=True):
    """One key of the job file."""

    table: str
    """The table's path, such as ``walls`` or ``ticket.utilities``; empty for the top of the file."""
    name: str
    field: str
    """The model's own name of it, unit included."""
    meaning: str
    example: str
    unit: str
    required: bool
    model: type[BaseModel]

    @property
    def path(self) -> str:
        """Return the key with its table."""
        return f"{self.table}.{self.name}" if self.table else self.name


class Table(Struct, frozen=True, kw_only=True):
    """One table of the job file with its keys."""

    path: str
    meaning: str
    header: str
    repeated: bool
    keys: tuple[Key, ...]


@cache
def _words() -> Mapping[str, Any]:
    text = files("crewtui.job.file").joinpath("file_keys.toml").read_text(encoding="utf-8")
    return tomli.loads(text)


def _entry(table: str, name: str) -> tuple[str, str]:
    meaning, example = _words()[table or "top"][name]
    return meaning, example


def part_of(annotation: Any) -> tuple[type[BaseModel] | None, bool]:
    """Return the model inside a field's type, if there is one, and whether the field holds several."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation, False
    origin = get_origin(annotation)
    if origin is Annotated:
        return part_of(get_args(annotation)[0])
    if origin in {Union, types.UnionType}:
        return next((found for arg in get_args(annotation) if (found := part_of(arg))[0]), (None, False))
    if origin is tuple:
        return part_of(get_args(annotation)[0])[0], True
    return None, False


def unit_of_field(field: str) -> str:
    """Return the kind of unit that a field of the models carries in its name; empty for none."""
    if field in _PLAIN:
        return ""
    if field in POINT_UNIT:
        return "length"
    return next((unit for ending, unit in _ENDINGS if field.endswith(ending)), "")


def keys_of(model: type[BaseModel], table: str) -> tuple[Key, ...]:
    """Return the keys of one table in the model's order."""
    found = []
    for field, info in model.model_fields.items():
        name = info.alias or field
        if model is Job and field not in {"format", "property_line"}:
            continue
        meaning, example = _entry(table, name)
        found.append(
            Key(
                table=table,
                name=name,
                field=field,
                meaning=meaning,
                example=example,
                unit=unit_of_field(field),
                required=info.is_required(),
                model=model,
            )
        )
    return tuple(found)


def _tables(model: type[BaseModel], path: str, *, repeated: bool) -> Iterator[Table]:
    meaning, header = _entry(path, "_")
    yield Table(path=path, meaning=meaning, header=header, repeated=repeated, keys=keys_of(model, path))
    for field, info in model.model_fields.items():
        inner, several = part_of(info.annotation)
        if inner is not None:
            name = info.alias or field
            yield from _tables(inner, f"{path}.{name}" if path else name, repeated=several)


@cache
def tables() -> tuple[Table, ...]:
    """Return every table of the job file, the top of the file first, the rules last."""
    meaning, header = _entry("rules", "_")
    rules = Table(
        path="rules", meaning=meaning, header=header, repeated=False, keys=keys_of(RuleOverride, "rules")
    )
    return (*_tables(Job, "", repeated=False), rules)


@cache
def by_path() -> Mapping[str, Key]:
    """Return every key by its path, such as ``walls.thickness``."""
    return {key.path: key for table in tables() for key in table.keys}
