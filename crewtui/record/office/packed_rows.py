"""The rows of one record in every table, packed as bytes: they travel between processes, and are kept."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from datetime import date, datetime
from typing import Any, Final

from msgspec import Raw, msgpack

from crewtui.foreign import prose
from crewtui.record.house import record_look
from crewtui.record.office.flat_table import COLUMNS as FLAT_COLUMNS
from crewtui.record.office.flat_table import flat_rows
from crewtui.record.office.related_tables import RECORD, TABLES
from crewtui.record.office.table_files import Cell, Column, Columns, Kind
from crewtui.record.signed.form import Record
from crewtui.record.signed.verify import Verdict

FLAT: Final = "a row an anchor"
FILE: Final = "file"
"""The one column that is not packed: a file may be renamed, and what it holds stays the same."""


def columns_of(table: str) -> Columns:
    """Return the columns of a table; KeyError where there is none of that name."""
    return _COLUMNS[table]


def pack(verdict: Verdict, record: Record) -> bytes:
    """Return the rows of a record in every table, without the name of its file."""
    found = {FLAT: flat_rows(verdict, record), **{one.name: one.rows(verdict, record) for one in TABLES}}
    of_record = {RECORD: verdict.record_hash}
    return msgpack.encode(
        {
            name: Raw(msgpack.encode([_cells({**row, **of_record}, name) for row in rows]))
            for name, rows in found.items()
        }
    )


def _cells(row: dict[str, object], table: str) -> list[Cell]:
    return [cell(row.get(column.name), column.kind) for column in _COLUMNS[table]]


def unpack(rows: bytes, table: str, file: str) -> Iterator[Sequence[Cell]]:
    """Yield the rows of one table again, with the name that the record's file has now."""
    columns = _COLUMNS[table]
    days = [at for at, (_, kind, _) in enumerate(columns) if kind == "day"]
    named = next((at for at, (name, _, _) in enumerate(columns) if name == FILE), None)
    for packed in _ROWS.decode(_TABLES.decode(rows)[table]):
        row: list[Cell] = list(packed)
        for at in days:
            row[at] = None if row[at] is None else date.fromisoformat(str(row[at]))
        if named is not None:
            row[named] = prose(file)
        yield row


def tables_id() -> str:
    """Return what tells these tables from another program's."""
    return hashlib.sha256(repr(sorted(_COLUMNS.items())).encode()).hexdigest()


def cell(value: object, kind: Kind) -> Cell:
    """Return a value as its column holds it; what is of another type is left empty."""
    match kind:
        case "number":
            return record_look.number(value)
        case "count":
            found = record_look.number(value)
            return None if found is None else int(found)
        case "yes or no":
            return value if isinstance(value, bool) else None
        case "time":
            return value if isinstance(value, datetime) and value.tzinfo is not None else None
        case "day":
            return value if isinstance(value, date) and not isinstance(value, datetime) else None
        case "text":
            return prose(record_look.text(value)) or None


_COLUMNS: Final[dict[str, Columns]] = {
    FLAT: tuple(Column(*column) for column in FLAT_COLUMNS),
    **{one.name: one.columns for one in TABLES},
}
_TABLES: Final = msgpack.Decoder(dict[str, Raw])
"""A table is read only when it is written."""
_ROWS: Final = msgpack.Decoder(list[list[Any]])
"""A time comes back as one; a day is packed as its text."""
