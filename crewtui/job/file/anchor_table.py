"""Anchors from a small table, as a spreadsheet writes it: a line an anchor, a column a key of the job file.

Commas, semicolons or tabs part the columns; a spreadsheet's decimal comma and its mark at the file's
beginning are taken. Lengths stand as in a job file: a bare number, or as people write them.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping
from typing import Any, Final

from pydantic import TypeAdapter, ValidationError

from crewtui.job.file.fields import UNITS_CONTEXT
from crewtui.job.file.model import Anchor, PlateSize
from crewtui.units import UnitSystem

NEEDED: Final = ("id", "wall", "along")
PLATES: Final[Mapping[str, tuple[str, str]]] = {
    "plate_width": ("plate", "width"), "plate_height": ("plate", "height"),
    "wall_plate_width": ("wall_plate", "width"), "wall_plate_height": ("wall_plate", "height"),
}  # fmt: skip
"""Columns of a plate's two sizes."""
_NOT_TYPED: Final = frozenset({"built", "plate", "wall_plate"})
LARGEST: Final = 1_000_000
"""Characters of a table; five hundred anchors are far under it."""
MOST_ROWS: Final = 500
_NUMBER: Final = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
_YES: Final[Mapping[str, bool]] = {"yes": True, "true": True, "x": True, "no": False, "false": False}


class AnchorTableError(ValueError):
    """What is wrong with a table: every fault a line, each with its row."""


def columns() -> tuple[str, ...]:
    """Return every column that a table of anchors may have."""
    names = {name: info.alias or name for name, info in Anchor.model_fields.items()}
    return (*(key for name, key in names.items() if name not in _NOT_TYPED), *PLATES)


def read_anchors(text: str, *, units: UnitSystem) -> list[dict[str, Any]]:
    """Return the anchors of a table by the job file's keys; AnchorTableError names each bad row."""
    if len(text) > LARGEST:
        raise AnchorTableError("the table is larger than any job's anchors make it")
    text = text.removeprefix("\ufeff")
    first = next((line for line in text.splitlines() if line.strip()), "")
    if not first:
        raise AnchorTableError("the table is empty; its first line names the columns, as id, wall, along")
    delimiter = max(";\t,", key=first.count)
    lines = list(csv.reader(io.StringIO(text), delimiter=delimiter))
    heads = [head.strip().lower().replace(" ", "_") for head in next(line for line in lines if any(line))]
    _check_heads(heads)
    at = next(number for number, line in enumerate(lines) if any(line))
    found, faults = [], []
    for number, cells in enumerate(lines[at + 1 :], start=at + 2):
        if not any(cell.strip() for cell in cells):
            continue
        row = dict(zip(heads, (cell.strip() for cell in cells), strict=False))
        read, wrong = _row(row, extra=cells[len(heads) :], comma=delimiter != ",", units=units)
        found.append(read)
        faults += [f"row {number}: {words}" for words in wrong]
    ids = [row.get("id") for row in found]
    faults += [f"{one} stands twice as id" for one in dict.fromkeys(ids) if ids.count(one) > 1]
    if not found:
        faults.append("there is no anchor under its first line")
    if len(found) > MOST_ROWS:
        faults.append(f"there are {len(found)} anchors; a job has at most {MOST_ROWS}")
    if faults:
        raise AnchorTableError("\n".join(faults))
    return found


def _check_heads(heads: list[str]) -> None:
    known = columns()
    missing = [name for name in NEEDED if name not in heads]
    strange = [head for head in heads if head not in known]
    twice = [head for head in dict.fromkeys(heads) if heads.count(head) > 1]
    faults = [f"its first line lacks {name}" for name in missing]
    faults += [f'"{head}" is no column of it; the columns are {", ".join(known)}' for head in strange]
    faults += [f"{head} stands twice in its first line" for head in twice]
    if faults:
        raise AnchorTableError("\n".join(faults))


def _row(
    row: Mapping[str, str], *, extra: list[str], comma: bool, units: UnitSystem
) -> tuple[dict[str, Any], list[str]]:
    read: dict[str, Any] = {}
    wrong = ["it has more cells than the first line"] if any(cell.strip() for cell in extra) else []
    wrong += [f"{name} is empty" for name in NEEDED if not row.get(name)]
    for head, text in row.items():
        if not text:
            continue
        value = _value(head, text, comma=comma)
        try:
            _adapter(head).validate_python(value, context={UNITS_CONTEXT: units})
        except ValidationError as error:
            said = str(error.errors()[0]["msg"]).removeprefix("Value error, ").rstrip(".")
            wrong.append(f'{head} = "{text}": {said}')
            continue
        if head in PLATES:
            table, key = PLATES[head]
            read.setdefault(table, {})[key] = value
        else:
            read[head] = value
    for table in ("plate", "wall_plate"):
        if len(read.get(table, {"width": 0, "height": 0})) == 1:
            wrong.append(f"{table} needs its width and its height")
    return read, wrong


def _value(head: str, text: str, *, comma: bool) -> str | float | bool:
    if head in {"id", "wall"}:
        return text
    if head == "owner_adjustable":
        return _YES.get(text.lower(), text)
    if _NUMBER.fullmatch(text) and (comma or "," not in text):
        number = float(text.replace(",", "."))
        return int(number) if number.is_integer() else number
    return text


def _adapter(head: str) -> TypeAdapter[Any]:
    return _adapters()[head]


def _adapters() -> Mapping[str, TypeAdapter[Any]]:
    if not _MADE:
        _MADE.update(dict(_made()))
    return _MADE


_MADE: dict[str, TypeAdapter[Any]] = {}


def _made() -> Iterator[tuple[str, TypeAdapter[Any]]]:
    for name, info in Anchor.model_fields.items():
        yield info.alias or name, TypeAdapter(info.rebuild_annotation())
    sizes = {info.alias or name: info.rebuild_annotation() for name, info in PlateSize.model_fields.items()}
    for head, (_, key) in PLATES.items():
        yield head, TypeAdapter(sizes[key])


__all__ = ["AnchorTableError", "columns", "read_anchors"]
