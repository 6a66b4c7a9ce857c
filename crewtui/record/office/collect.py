"""Many records as tables for the office's own tools: one flat table, or tables that belong together.

Each record is read and verified once, and ten thousand take no more memory than ten. Of several revisions of
a job the newest stands, since it holds what the ones before it held.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final, Literal, Self

from msgspec import Struct

from crewtui.disk.own_files import flush_folder
from crewtui.record.office.judging import JudgedRecord, judge_all
from crewtui.record.office.packed_rows import FLAT, columns_of, unpack
from crewtui.record.office.related_tables import TABLES
from crewtui.record.office.sqlite_file import SqliteFile
from crewtui.record.office.table_files import Cell, CollectError, Columns, TableFile, table_file
from crewtui.record.signed.chain import Report, report_of, standing
from crewtui.record.signed.known_keys import KnownKeys
from crewtui.record.signed.verify import Verdict

Form = Literal["csv", "parquet"]
_KEPT_IN_MEMORY: Final = 16_000_000
SQLITE: Final = frozenset({".sqlite", ".sqlite3", ".db"})


class Collected(Struct, frozen=True):
    """What the tables were made of."""

    report: Report
    """Every file's verdict, without its tables, and what does not chain."""
    records: int
    replaced: int
    """Records left out because a newer revision stands."""
    tables: dict[str, int]
    """How many rows each table has."""

    @property
    def rows(self) -> int:
        """How many rows were written in all."""
        return sum(self.tables.values())


def collect(
    files: Sequence[Path],
    out: Path,
    known: KnownKeys,
    *,
    form: Form | None = None,
    bom: bool = False,
    unjudged: Sequence[Verdict] = (),
    cache: Path | None = None,
    workers: int | None = 1,
    done: Callable[[], None] = lambda: None,
) -> Collected:
    """Write these records to ``out``, whole or not at all: what it is its ending says.

    ``.csv`` and ``.parquet`` are one flat table, ``.sqlite`` all tables in one file; with a ``form`` it is
    a folder of all tables. Records that are altered, strange or none give no row; one signed with an
    unknown key says so in its ``standing``. ``bom`` begins a CSV as some spreadsheets want it for UTF-8.
    ``done`` is called after each file. CollectError where they cannot be written.
    """
    write = _writer(out, form, bom=bom)
    with _Waiting() as waiting:
        verdicts = []
        for one in judge_all(files, known, cache=cache, workers=workers, done=done):
            waiting.put(one)
            verdicts.append(one.verdict)
        report = report_of([*verdicts, *unjudged])
        found = standing(report.verdicts)
        good = sum(verdict.state in {"valid", "unknown key"} for verdict in report.verdicts)
        tables = write(lambda table: (row for verdict in found for row in waiting.rows_of(verdict, table)))
    return Collected(report=report, records=len(found), replaced=good - len(found), tables=tables)


RowsOf = Callable[[str], Iterator[Sequence[Cell]]]
_Writer = Callable[[RowsOf], dict[str, int]]


def _writer(out: Path, form: Form | None, *, bom: bool) -> _Writer:
    """Return what writes the tables to that place; CollectError where nothing can."""
    ending = out.suffix.casefold()
    if ending in {".csv", ".parquet"}:
        one_table = table_file(ending.removeprefix("."), bom=bom)

        def flat(rows_of: RowsOf) -> dict[str, int]:
            with _beside(out) as part, one_table(part, columns_of(FLAT)) as table:
                return {FLAT: _fill(table, rows_of(FLAT))}

        return flat
    if ending in SQLITE:
        return lambda rows_of: _sqlite(out, rows_of)
    if form is None:
        raise CollectError(
            f"{out.name} ends in none of .csv, .parquet, .sqlite, which say what is written; for a folder of"
            " tables say --as csv or --as parquet"
        )
    tables = table_file(form, bom=bom)
    return lambda rows_of: _folder(out, form, tables, rows_of)


def _sqlite(out: Path, rows_of: RowsOf) -> dict[str, int]:
    with _beside(out) as part:
        part.unlink()
        with SqliteFile(part) as file:
            return {table.name: file.write(table, rows_of(table.name)) for table in TABLES}


def _fill(file: TableFile, rows: Iterator[Sequence[Cell]]) -> int:
    count = 0
    for row in rows:
        file.write(row)
        count += 1
    return count


def _folder(
    out: Path, form: Form, tables: Callable[[Path, Columns], TableFile], rows_of: RowsOf
) -> dict[str, int]:
    """Write a file a table into the folder; each takes the place of the one before it, whole."""
    counts = {}
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise CollectError(f"{out} cannot be made ({error.strerror or error})") from error
    for table in TABLES:
        with _beside(out / f"{table.name}.{form}") as part, tables(part, columns_of(table.name)) as file:
            counts[table.name] = _fill(file, rows_of(table.name))
    return counts


@contextmanager
def _beside(out: Path) -> Iterator[Path]:
    """Give a place beside ``out`` to write to, and move it there once all of it was written."""
    try:
        handle, name = tempfile.mkstemp(prefix=f".{out.name}.", suffix=".part", dir=out.parent)
        os.close(handle)
        part = Path(name)
        try:
            yield part
            with part.open("rb+") as file:
                os.fsync(file.fileno())
            if os.name == "posix":
                part.chmod(0o644)
            part.replace(out)
            flush_folder(out.parent)
        finally:
            with suppress(OSError):
                part.unlink(missing_ok=True)
    except OSError as error:
        raise CollectError(f"{out} cannot be written ({error.strerror or error})") from error


class _Waiting:
    """Rows of records that were verified, kept until it is known which stand: on disk if they are many."""

    def __enter__(self) -> Self:
        self._file = tempfile.SpooledTemporaryFile(max_size=_KEPT_IN_MEMORY)
        self._places: dict[str, tuple[int, int]] = {}
        return self

    def __exit__(self, *_: object) -> None:
        self._file.close()

    def put(self, one: JudgedRecord) -> None:
        """Keep the rows of a record whose signature holds; a copy's are those of the first."""
        if one.rows and one.verdict.record_hash not in self._places:
            self._places[one.verdict.record_hash] = (self._file.tell(), len(one.rows))
            self._file.write(one.rows)

    def rows_of(self, verdict: Verdict, table: str) -> Iterator[Sequence[Cell]]:
        """Return the rows of a record again."""
        start, length = self._places[verdict.record_hash]
        self._file.seek(start)
        return unpack(self._file.read(length), table, verdict.path.name if verdict.path is not None else "")


__all__ = ["SQLITE", "Collected", "Form", "collect"]
