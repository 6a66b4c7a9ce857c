"""The files that a table is written to: CSV for a spreadsheet, Parquet for larger tools."""

from __future__ import annotations

import csv
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime
from functools import partial
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Final, Literal, NamedTuple, Protocol, Self

if TYPE_CHECKING:
    from pyarrow import Schema
    from pyarrow.parquet import ParquetWriter

Kind = Literal["text", "number", "count", "yes or no", "time", "day"]
Cell = str | float | int | bool | datetime | date | None


class Column(NamedTuple):
    """One column: its name, what its cells are, and what they say."""

    name: str
    kind: Kind
    words: str = ""


Columns = Sequence[Column]

BATCH_ROWS: Final = 2_000
"""Rows of a Parquet file written at once."""


class CollectError(ValueError):
    """The table cannot be written; str() is one sentence."""


class TableFile(Protocol):
    """Something that rows are written to, one after the other."""

    def __enter__(self) -> Self: ...
    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None: ...

    def write(self, row: Sequence[Cell]) -> None:
        """Write one row, a cell for each column."""


def table_file(form: str, *, bom: bool = False) -> Callable[[Path, Columns], TableFile]:
    """Return what writes a table as "csv" or "parquet"; CollectError where that needs what is not there."""
    if form == "parquet":
        _need_arrow()
        return ParquetTable
    return partial(CsvTable, bom=bom)


class CsvTable:
    """A CSV file in UTF-8, with text that a spreadsheet would run made plain."""

    def __init__(self, path: Path, columns: Columns, *, bom: bool = False) -> None:
        """Begin with the mark by which some spreadsheets know UTF-8, where that is wanted."""
        self._path, self._columns = path, columns
        self._encoding = "utf-8-sig" if bom else "utf-8"

    def __enter__(self) -> Self:
        self._file = self._path.open("w", encoding=self._encoding, newline="")
        self._writer = csv.writer(self._file, lineterminator="\r\n")
        self._writer.writerow([column.name for column in self._columns])
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._file.close()

    def write(self, row: Sequence[Cell]) -> None:
        """Write one row."""
        self._writer.writerow([_as_csv(cell) for cell in row])


def _as_csv(cell: Cell) -> str:
    match cell:
        case None:
            return ""
        case bool():
            return "true" if cell else "false"
        case datetime():
            return as_utc(cell).isoformat()
        case date():
            return cell.isoformat()
        case str():
            return harmless(cell)
    return repr(cell)


def as_utc(at: datetime) -> datetime:
    """Return the same moment in UTC."""
    return at.astimezone(UTC)


def harmless(text: str) -> str:
    """Return text that no spreadsheet takes for a formula: one that begins like one gets an apostrophe."""
    return f"'{text}" if text.lstrip()[:1] in _BEGINS_A_FORMULA else text


_BEGINS_A_FORMULA: Final = frozenset("=+-@\t\r|%")


def _need_arrow() -> None:
    try:
        import pyarrow.parquet  # noqa: F401, PLC0415 - an extra that only this needs
    except ImportError as error:
        raise CollectError(
            "a Parquet table needs pyarrow, which is not installed; add it where crewtui is installed"
            " (pip install pyarrow, or pipx inject crewtui pyarrow), or write a .csv"
        ) from error


def _schema(columns: Columns) -> Schema:
    import pyarrow as pa  # noqa: PLC0415 - an extra that only this needs

    kinds: dict[Kind, Any] = {
        "text": pa.string(),
        "number": pa.float64(),
        "count": pa.int64(),
        "yes or no": pa.bool_(),
        "time": pa.timestamp("us", tz="UTC"),
        "day": pa.date32(),
    }
    fields = [
        pa.field(name, kinds[kind], metadata={"description": words} if words else None)
        for name, kind, words in columns
    ]
    return pa.schema(fields)


class ParquetTable:
    """A Parquet file, written a batch of rows at a time."""

    def __init__(self, path: Path, columns: Columns) -> None:
        self._path, self._columns = path, columns
        self._waiting: list[Sequence[Cell]] = []

    def __enter__(self) -> Self:
        from pyarrow.parquet import ParquetWriter  # noqa: PLC0415 - an extra that only this needs

        self._schema = _schema(self._columns)
        self._writer: ParquetWriter = ParquetWriter(self._path, self._schema)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if error is None:
            self._flush()
        self._writer.close()

    def write(self, row: Sequence[Cell]) -> None:
        """Write one row."""
        self._waiting.append(row)
        if len(self._waiting) >= BATCH_ROWS:
            self._flush()

    def _flush(self) -> None:
        import pyarrow as pa  # noqa: PLC0415 - an extra that only this needs

        if self._waiting:
            columns = [list(column) for column in zip(*self._waiting, strict=True)]
            arrays = [
                pa.array(column, type=field.type) for column, field in zip(columns, self._schema, strict=True)
            ]
            self._writer.write_table(pa.Table.from_arrays(arrays, schema=self._schema))
            self._waiting = []
