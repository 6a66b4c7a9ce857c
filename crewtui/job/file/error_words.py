"""The checks of a job file's fields, put into sentences: the key, its meaning, and what would be right."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from msgspec.structs import replace
from pydantic import ValidationError
from pydantic_core import ErrorDetails

from crewtui.job.file.fields import UNITS_CONTEXT
from crewtui.job.file.file_keys import Key, by_path, tables
from crewtui.job.file.model import Anchor
from crewtui.job.file.problems import Problem, listed, named, nearest, path_of, shown
from crewtui.units import UnitSystem, show_length, show_torque

Parts = tuple[str | int, ...]
_TOP: Final = (
    "format", "job", "walls", "anchors", "ground", "rod", "stock", "tools", "ticket", "permit",
    "property_line", "lines", "footings", "in_ground", "contacts", "tightening", "rules",
)  # fmt: skip
_BOUNDS: Final[Mapping[str, tuple[str, str]]] = {
    "greater_than": ("gt", "over"),
    "greater_than_equal": ("ge", "at least"),
    "less_than": ("lt", "under"),
    "less_than_equal": ("le", "at most"),
}


def shared_problems(shared: Mapping[str, Any], at: str, file: str, system: UnitSystem) -> list[Problem]:
    """Return what is wrong with what anchors share, whether or not one of them takes it."""
    whole = {**shared, "id": "shared", "wall": "shared", "along": 0}
    try:
        Anchor.model_validate(whole, context={UNITS_CONTEXT: system}, by_alias=True, by_name=False)
    except ValidationError as error:
        details = error.errors(include_url=False, include_context=True)
        return [
            replace(
                _problem({**detail, "loc": ("anchors", *detail["loc"])}, {}, file, system),
                key=f"{at}.{path_of(detail['loc'])}" if detail["loc"] else at,
            )
            for detail in details
        ]
    return []


def field_problems(
    error: ValidationError, table: Mapping[str, Any], file: str, system: UnitSystem
) -> list[Problem]:
    """Return what the models found; a misspelt key and the missing one that it stands for are one."""
    details = [d for d in error.errors(include_url=False, include_context=True) if not _follows(d, table)]
    problems = [_problem(detail, table, file, system) for detail in details]
    meant = {
        (*detail["loc"][:-1], problem.nearest)
        for detail, problem in zip(details, problems, strict=True)
        if detail["type"] == "extra_forbidden" and problem.nearest
    }
    return [
        problem
        for detail, problem in zip(details, problems, strict=True)
        if not (detail["type"] == "missing" and tuple(detail["loc"]) in meant)
    ]


def first_sentence(error: ValidationError, path: str, system: UnitSystem) -> str:
    """Return the first thing wrong with a table's values as a sentence; ``path`` names it in the file."""
    detail = error.errors(include_url=False, include_context=True)[0]
    parts: Parts = (path, *detail["loc"])
    moved: ErrorDetails = {**detail, "loc": parts}
    return _problem(moved, {}, "", system).message


def _follows(detail: ErrorDetails, table: Mapping[str, Any]) -> bool:
    """Return whether this only follows from another fault: a list is too short since its items are wrong."""
    if detail["type"] != "too_short":
        return False
    raw = _at(table, detail["loc"])
    return isinstance(raw, list) and len(raw) >= detail.get("ctx", {}).get("min_length", 1)


def _at(table: Any, parts: Parts) -> Any:
    for part in parts:
        try:
            table = table[part]
        except (LookupError, TypeError):
            return None
    return table


def _key_of(parts: Parts) -> Key | None:
    names = [part for part in parts if isinstance(part, str)]
    while names:
        found = by_path().get(".".join(names))
        if found is not None:
            return found
        names.pop()
    return None


def _problem(detail: ErrorDetails, table: Mapping[str, Any], file: str, system: UnitSystem) -> Problem:
    parts: Parts = tuple(detail["loc"])
    key = _key_of(parts)
    near: str | None = None
    if detail["type"] == "missing":
        message = _missing(parts, key)
    elif detail["type"] == "extra_forbidden":
        message, near = _unknown_key(parts)
    elif detail["type"] in {"literal_error", "enum"}:
        message, near = _not_a_word(detail)
    else:
        message = _sentence(detail, key, system)
    has_value = detail["type"] not in {"missing", "extra_forbidden"}
    return Problem(
        file=file,
        key=path_of(parts),
        value=shown(detail["input"]) if has_value else "",
        message=message,
        nearest=near,
        where=named(table, parts),
    )


def _missing(parts: Parts, key: Key | None) -> str:
    name = str(parts[-1])
    if isinstance(parts[-1], int):
        return "A point is a pair of lengths: [along the wall, out from it]."
    if key is None or len(parts) == 1:
        table = next((t for t in tables() if t.path == name), None)
        if table is None:
            return f"{name} is missing."
        needed = ", ".join(k.name for k in table.keys if k.required)
        return f"The table {table.header} is missing; it needs {needed}."
    return f"{name} is missing (such as: {name} = {key.example}). {key.meaning}"


def _unknown_key(parts: Parts) -> tuple[str, str | None]:
    name = str(parts[-1])
    path = ".".join(part for part in parts[:-1] if isinstance(part, str))
    table = next((t for t in tables() if t.path == path), None)
    names = _TOP if not path else tuple(key.name for key in table.keys) if table else ()
    by_field = {key.field: key.name for key in table.keys} if table else {}
    near = by_field.get(name) or nearest(name, names)
    place = f"[{path}]" if path else "the file's top level"
    if near:
        return f"There is no key {shown(name)} in {place}; did you mean {near}?", near
    return f"There is no key {shown(name)} in {place}; it has {', '.join(names)}.", None


def _not_a_word(detail: ErrorDetails) -> tuple[str, str | None]:
    expected = str(detail.get("ctx", {}).get("expected", ""))
    words = [word.strip(" '") for word in expected.replace(" or ", ", ").split(",")]
    given = detail["input"]
    near = nearest(given, words) if isinstance(given, str) else None
    hint = f'did you mean "{near}"?' if near else f"write {listed(words)}."
    return f"{shown(given)} is none of its words; {hint}", near


def _quantity(value: float, key: Key | None, system: UnitSystem) -> str:
    unit = key.unit if key else ""
    if value == 0:
        return "zero"
    if unit == "length":
        return show_length(value, system)
    if unit == "torque":
        return show_torque(value, system)
    return f"{value:g}" + {"angle": "°", "ksi": " ksi", "lb": " lb"}.get(unit, "")


_WORDS: Final[Mapping[str, Callable[[Mapping[str, Any]], str]]] = {
    "string_type": lambda _: "is text, and stands in quotes",
    "string_too_short": lambda _: "may not be empty",
    "string_too_long": lambda ctx: f"is longer than {ctx.get('max_length')} characters; shorten it",
    "string_pattern_mismatch": lambda _: "may not begin with a blank nor hold / or \\",
    "timezone_aware": lambda _: "lacks its offset from UTC; write it as 2026-11-02T07:00:00-05:00",
    "bool_type": lambda _: "is true or false, without quotes",
    "bool_parsing": lambda _: "is true or false, without quotes",
    "tuple_type": lambda _: "is a list in square brackets",
    "model_type": lambda _: "is a table of keys",
    "dict_type": lambda _: "is a table of keys",
    "finite_number": lambda _: "must be a finite number",
    "too_short": lambda ctx: f"needs at least {ctx.get('min_length')}",
    "too_long": lambda ctx: f"has more than {ctx.get('max_length')}",
    "float_type": lambda _: "is a number, or text such as '12 ft' where it has a unit",
    "float_parsing": lambda _: "is a number, without quotes",
}


def _sentence(detail: ErrorDetails, key: Key | None, system: UnitSystem) -> str:
    kind, ctx, given = detail["type"], detail.get("ctx", {}), detail["input"]
    if kind == "value_error":
        words = str(ctx.get("error", ""))
        return words[:1].upper() + words[1:].rstrip(".") + "."
    if kind in _BOUNDS:
        name, word = _BOUNDS[kind]
        bound = _quantity(float(ctx[name]), key, system)
        meaning = f" {key.meaning}" if key else ""
        return f"{shown(given)} cannot be: it must be {word} {bound}.{meaning}"
    subject = str(detail["loc"][-1]) if isinstance(detail["loc"][-1], str) else f"item {detail['loc'][-1]}"
    if kind in _WORDS:
        return f"{subject} {_WORDS[kind](ctx)}; it is {shown(given)} here."
    if kind.startswith(("date", "datetime")):
        return f"{shown(given)} is no such day or time; write it as 2026-11-02, or 2026-11-02T07:00:00-05:00."
    said = detail["msg"]
    return f"{shown(given)} does not fit: {said[:1].lower()}{said[1:].rstrip('.')}."
