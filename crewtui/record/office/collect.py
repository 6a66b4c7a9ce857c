"""Many records as one flat table for the office's own tools: a row an anchor, the unit in each column's name.

Records are read one at a time, so that ten thousand take no more memory than ten. Of several revisions of a
job the newest stands, since it holds what the ones before it held.
"""

from __future__ import annotations

import csv
import os
import tempfile
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from datetime import date, datetime
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Final, Literal, Protocol, Self

from msgspec import Struct
from msgspec.structs import replace

from crewtui.disk.own_files import flush_folder
from crewtui.job.tables.steps import measured
from crewtui.record.sheets import record_look
from crewtui.record.signed.chain import Report, chain_problems
from crewtui.record.signed.known_keys import KnownKeys
from crewtui.record.signed.verify import Verdict, verify

if TYPE_CHECKING:
    from pyarrow import Schema
    from pyarrow.parquet import ParquetWriter

Kind = Literal["text", "number", "count", "yes or no", "time", "day"]
Cell = str | float | int | bool | datetime | date | None

BATCH_ROWS: Final = 2_000
"""Rows of a Parquet file written at once."""
_MEASURED: Final = tuple(quantity.key for quantity in measured())
_PLANNED: Final = ("setback_in", "mark_depth_in", "least_depth_in", "aim_depth_in")
_FIGURED: Final = ("least_depth_in", "aim_depth_in", "stop_mark_in", "rod_needed_in", "torque_lbf_ft")
COLUMNS: Final[tuple[tuple[str, Kind], ...]] = (
    ("file", "text"),
    ("standing", "text"),
    ("job_id", "text"),
    ("site", "text"),
    ("job_date", "day"),
    ("lead", "text"),
    ("revision", "count"),
    ("record_complete", "yes or no"),
    ("signer", "text"),
    ("signed_at_utc", "time"),
    ("key_id", "text"),
    ("record_sha256", "text"),
    ("wall", "text"),
    ("wall_type", "text"),
    ("anchor", "text"),
    ("state", "text"),
    ("dropped_because", "text"),
    ("added_on_site", "yes or no"),
    ("owner_adjustable", "yes or no"),
    ("along_in", "number"),
    *((f"planned_{name}", "number") for name in _PLANNED),
    *((f"figured_{name}", "number") for name in _FIGURED),
    *((name, "number") for name in _MEASURED),
    ("attempts", "count"),
    ("deviations", "count"),
)  # fmt: skip
"""Every column, and what its cells are; one that a record does not have is empty."""


class CollectError(ValueError):
    """The table cannot be written; str() is one sentence."""


class Collected(Struct, frozen=True):
    """What a table was made of."""

    report: Report
    """Every file's verdict, without its tables, and what does not chain."""
    records: int
    replaced: int
    """Records left out because a newer revision stands."""
    rows: int


class Table(Protocol):
    """Something that rows are written to, one after the other."""

    def __enter__(self) -> Self: ...
    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None: ...

    def write(self, row: Sequence[Cell]) -> None:
        """Write one row, a cell for each of COLUMNS."""


def collect(
    files: Sequence[Path], out: Path, known: KnownKeys, *, done: Callable[[], None] = lambda: None
) -> Collected:
    """Write the table of these records to ``out``, CSV or Parquet by its ending, whole or not at all.

    Records that are altered or no records give no row; one signed with an unknown key says so in its
    ``standing``. ``done`` is called after each file. CollectError where the table cannot be written.
    """
    table_of = _kind_of(out)
    verdicts: list[Verdict] = []
    for file in files:
        verdicts.append(replace(verify(file, known), data=None))
        done()
    report = Report(tuple(verdicts), tuple(chain_problems(verdicts)))
    good = [verdict for verdict in verdicts if verdict.state in {"valid", "unknown key"}]
    standing = _newest(good)
    rows = 0
    try:
        handle, name = tempfile.mkstemp(prefix=f".{out.name}.", suffix=".part", dir=out.parent)
        os.close(handle)
        part = Path(name)
        try:
            with table_of(part) as table:
                for verdict in standing:
                    for row in _rows(verdict, known):
                        table.write(row)
                        rows += 1
            _put_in_place(part, out)
        finally:
            with suppress(OSError):
                part.unlink(missing_ok=True)
    except OSError as error:
        raise CollectError(f"{out} cannot be written ({error.strerror or error})") from error
    return Collected(report=report, records=len(standing), replaced=len(good) - len(standing), rows=rows)


def _put_in_place(part: Path, out: Path) -> None:
    with part.open("rb+") as file:
        os.fsync(file.fileno())
    if os.name == "posix":
        part.chmod(0o644)
    part.replace(out)
    flush_folder(out.parent)


def _newest(verdicts: Sequence[Verdict]) -> list[Verdict]:
    """Return the records that no other replaces, one for each that was copied, in the order given."""
    by_job: dict[str, set[str]] = defaultdict(set)
    for verdict in verdicts:
        by_job[verdict.job_id].add(verdict.before)
    seen: set[str] = set()
    found = []
    for verdict in verdicts:
        if verdict.record_hash not in by_job[verdict.job_id] and verdict.record_hash not in seen:
            seen.add(verdict.record_hash)
            found.append(verdict)
    return found


# A record's rows.


def _rows(light: Verdict, known: KnownKeys) -> Iterator[list[Cell]]:
    """Yield a row for each anchor of a record that was verified before; it is verified again now."""
    assert light.path is not None  # noqa: S101 - these verdicts are of files
    verdict = verify(light.path, known)
    if verdict.data is None or verdict.record_hash != light.record_hash:
        raise CollectError(f"{light.path} changed while it was read; collect again")
    data = verdict.data
    job = record_look.table(data, "job")
    walls = {record_look.text(wall.get("name")): wall for wall in record_look.rows(data, "wall")}
    deviations = [record_look.text(row.get("anchor")) for row in record_look.rows(data, "deviation")]
    of_record: dict[str, Any] = {
        "file": light.path.name,
        "standing": verdict.state,
        "job_id": verdict.job_id,
        "site": verdict.site,
        "job_date": job.get("date"),
        "lead": job.get("lead"),
        "revision": verdict.revision,
        "record_complete": verdict.complete,
        "signer": verdict.signer,
        "signed_at_utc": verdict.signed_at,
        "key_id": verdict.key_id,
        "record_sha256": verdict.record_hash,
    }
    for anchor in record_look.rows(data, "anchor"):
        cells = of_record | _of_anchor(anchor)
        wall = walls.get(record_look.text(anchor.get("wall")), {})
        cells["wall_type"] = wall.get("type")
        cells["deviations"] = deviations.count(record_look.text(anchor.get("id")))
        yield [_cell(cells.get(name), kind) for name, kind in COLUMNS]


def _of_anchor(anchor: record_look.Table) -> dict[str, Any]:
    planned, figure = record_look.table(anchor, "planned"), record_look.table(anchor, "figure")
    inputs = {
        record_look.text(row.get("quantity")): row.get("value") for row in record_look.rows(anchor, "input")
    }
    return {
        "wall": anchor.get("wall"),
        "anchor": anchor.get("id"),
        "state": anchor.get("state"),
        "dropped_because": anchor.get("dropped_because"),
        "added_on_site": anchor.get("added_on_site") is True,
        "owner_adjustable": planned.get("owner_adjustable") is True,
        "along_in": inputs.get("along_in", planned.get("along_in")),
        **{f"planned_{name}": value for name, value in planned.items()},
        **{f"figured_{name}": value for name, value in figure.items()},
        **{name: record_look.built(anchor, name) for name in _MEASURED},
        "attempts": len(record_look.items(anchor, "attempt")),
    }


def _cell(value: object, kind: Kind) -> Cell:
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
            return record_look.prose(record_look.text(value)) or None


# The two kinds of table.


def _kind_of(out: Path) -> Callable[[Path], Table]:
    match out.suffix.casefold():
        case ".csv":
            return CsvTable
        case ".parquet":
            _need_arrow()
            return ParquetTable
    raise CollectError(f"{out.name} ends in neither .csv nor .parquet, which says what is written")


class CsvTable:
    """A CSV file in UTF-8, with text that a spreadsheet would run made plain."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def __enter__(self) -> Self:
        self._file = self._path.open("w", encoding="utf-8", newline="")
        self._writer = csv.writer(self._file, lineterminator="\r\n")
        self._writer.writerow([name for name, _ in COLUMNS])
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
    from datetime import UTC  # noqa: PLC0415 - beside its one use

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
            "a Parquet table needs the extra package; install it with: pip install 'crewtui[parquet]',"
            " or write a .csv"
        ) from error


def _schema() -> Schema:
    import pyarrow as pa  # noqa: PLC0415 - an extra that only this needs

    kinds: dict[Kind, Any] = {
        "text": pa.string(),
        "number": pa.float64(),
        "count": pa.int64(),
        "yes or no": pa.bool_(),
        "time": pa.timestamp("us", tz="UTC"),
        "day": pa.date32(),
    }
    return pa.schema([(name, kinds[kind]) for name, kind in COLUMNS])


class ParquetTable:
    """A Parquet file, written a batch of rows at a time."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._waiting: list[Sequence[Cell]] = []

    def __enter__(self) -> Self:
        from pyarrow.parquet import ParquetWriter  # noqa: PLC0415 - an extra that only this needs

        self._schema = _schema()
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
