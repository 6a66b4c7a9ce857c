"""Tables that belong together in one SQLite file: keys between them, times as ISO 8601 text in UTC."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from pathlib import Path
from types import TracebackType
from typing import Final, Self

from crewtui.record.office.related_tables import ANCHOR, ANCHORS, JOBS, RECORD, RelatedTable, dictionary
from crewtui.record.office.table_files import Cell, CollectError, Kind, as_utc

_KINDS: Final[dict[Kind, str]] = {
    "text": "text", "number": "real", "count": "integer", "yes or no": "boolean", "time": "timestamp",
    "day": "date",
}  # fmt: skip
_BATCH: Final = 2_000


class SqliteFile:
    """A SQLite file that tables are written into, one after the other; the last is their dictionary."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def __enter__(self) -> Self:
        self._db = sqlite3.connect(self._path)
        self._db.execute("pragma foreign_keys = on")
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if error is None:
            self._dictionary()
            self._db.commit()
        self._db.close()

    def write(self, table: RelatedTable, rows: Iterable[Sequence[Cell]]) -> int:
        """Write one table; return how many rows it has."""
        columns = ", ".join(f'"{column.name}" {_KINDS[column.kind]}' for column in table.columns)
        try:
            self._db.execute(f'create table "{table.name}" ({columns}{_keys(table)})')
            places = ", ".join("?" for _ in table.columns)
            before = self._db.total_changes
            self._db.executemany(
                f'insert into "{table.name}" values ({places})',  # noqa: S608 - our own names
                ([_as_sqlite(cell) for cell in row] for row in rows),
            )
        except sqlite3.Error as error:
            raise CollectError(f"{self._path.name} cannot be written ({error})") from error
        return self._db.total_changes - before

    def _dictionary(self) -> None:
        self._db.execute('create table "dictionary" ("table" text, "column" text, "kind" text, "words" text)')
        self._db.executemany('insert into "dictionary" values (?, ?, ?, ?)', dictionary())


def _keys(table: RelatedTable) -> str:
    if table.name == JOBS:
        return f', primary key ("{RECORD}")'
    to_jobs = f', foreign key ("{RECORD}") references "{JOBS}" ("{RECORD}")'
    if table.name == ANCHORS:
        return f', primary key ("{RECORD}", "{ANCHOR}"){to_jobs}'
    return to_jobs


def _as_sqlite(cell: Cell) -> str | float | int | None:
    if isinstance(cell, datetime):
        return as_utc(cell).strftime("%Y-%m-%d %H:%M:%S")
    return cell.isoformat() if isinstance(cell, date) else cell


__all__ = ["SqliteFile"]
