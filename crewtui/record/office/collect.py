"""Many records as one flat table for the office's own tools: a row an anchor, the unit in each column's name.

Each record is read once, and ten thousand take no more memory than ten. Of several revisions of a
job the newest stands, since it holds what the ones before it held.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from datetime import date, datetime
from pathlib import Path
from typing import Any, Final, Self

from msgspec import Struct, msgpack

from crewtui.day.figures.figure_table import FIGURES
from crewtui.disk.own_files import flush_folder
from crewtui.foreign import prose
from crewtui.job.tables.steps import measured
from crewtui.record.house import record_look
from crewtui.record.house.account_of_record import account_of
from crewtui.record.office.table_files import Cell, CollectError, Columns, Kind, TableFile, table_file
from crewtui.record.signed.chain import Report, standing, verify_all
from crewtui.record.signed.form import AnchorDone, Record
from crewtui.record.signed.known_keys import KnownKeys
from crewtui.record.signed.verify import Verdict

_MEASURED: Final = tuple(quantity.key for quantity in measured())
_PLANNED: Final = ("setback_in", "mark_depth_in", "least_depth_in", "aim_depth_in")
_FIGURED: Final = tuple(figure.record for figure in FIGURES if figure.record)
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
    ("came_out", "text"),
    ("owner_may_adjust", "yes or no"),
)  # fmt: skip
"""Every column, and what its cells are; one that a record does not have is empty."""

_KEPT_IN_MEMORY: Final = 16_000_000
_TYPES: Final[Mapping[Kind, Any]] = {
    "text": str | None, "number": float | None, "count": int | None, "yes or no": bool | None,
    "time": datetime | None, "day": date | None,
}  # fmt: skip
_ROWS: Final[msgpack.Decoder[list[tuple[Cell, ...]]]] = msgpack.Decoder(
    list[tuple.__class_getitem__(tuple(_TYPES[kind] for _, kind in COLUMNS))]  # type: ignore[misc]
)


class Collected(Struct, frozen=True):
    """What a table was made of."""

    report: Report
    """Every file's verdict, without its tables, and what does not chain."""
    records: int
    replaced: int
    """Records left out because a newer revision stands."""
    rows: int


def collect(
    files: Sequence[Path],
    out: Path,
    known: KnownKeys,
    *,
    unjudged: Sequence[Verdict] = (),
    done: Callable[[], None] = lambda: None,
) -> Collected:
    """Write the table of these records to ``out``, CSV or Parquet by its ending, whole or not at all.

    Records that are altered, strange or no records give no row; one signed with an unknown key says so in its
    ``standing``. ``done`` is called after each file. CollectError where the table cannot be written.
    """
    table_of = table_file(out)
    with _Waiting() as waiting:

        def take(verdict: Verdict) -> None:
            waiting.put(verdict)
            done()

        report = verify_all(files, known, unjudged=unjudged, done=take)
        found = standing(report.verdicts)
        good = sum(verdict.state in {"valid", "unknown key"} for verdict in report.verdicts)
        rows = _write(out, table_of, (row for verdict in found for row in waiting.rows_of(verdict)))
    return Collected(report=report, records=len(found), replaced=good - len(found), rows=rows)


def _write(out: Path, table_of: Callable[[Path, Columns], TableFile], rows: Iterable[Sequence[Cell]]) -> int:
    """Write the rows beside the table's place, then move them into it; return how many."""
    count = 0
    try:
        handle, name = tempfile.mkstemp(prefix=f".{out.name}.", suffix=".part", dir=out.parent)
        os.close(handle)
        part = Path(name)
        try:
            with table_of(part, COLUMNS) as table:
                for row in rows:
                    table.write(row)
                    count += 1
            _put_in_place(part, out)
        finally:
            with suppress(OSError):
                part.unlink(missing_ok=True)
    except OSError as error:
        raise CollectError(f"{out} cannot be written ({error.strerror or error})") from error
    return count


class _Waiting:
    """Rows of records that were verified, kept until it is known which stand: on disk if they are many."""

    def __enter__(self) -> Self:
        self._file = tempfile.SpooledTemporaryFile(max_size=_KEPT_IN_MEMORY)
        self._places: dict[str, tuple[int, int]] = {}
        return self

    def __exit__(self, *_: object) -> None:
        self._file.close()

    def put(self, verdict: Verdict) -> None:
        """Keep the rows of a record whose signature holds; a copy's are those of the first."""
        if verdict.record is not None and verdict.record_hash not in self._places:
            rows = msgpack.encode(list(_rows(verdict, verdict.record)))
            self._places[verdict.record_hash] = (self._file.tell(), len(rows))
            self._file.write(rows)

    def rows_of(self, verdict: Verdict) -> Sequence[Sequence[Cell]]:
        """Return the rows of a record again."""
        start, length = self._places[verdict.record_hash]
        self._file.seek(start)
        return _ROWS.decode(self._file.read(length))


def _put_in_place(part: Path, out: Path) -> None:
    with part.open("rb+") as file:
        os.fsync(file.fileno())
    if os.name == "posix":
        part.chmod(0o644)
    part.replace(out)
    flush_folder(out.parent)


# A record's rows.


def _rows(verdict: Verdict, record: Record) -> Iterator[list[Cell]]:
    """Yield a row for each anchor of a record."""
    walls = {wall.name: wall.type for wall in record.wall}
    deviations = [row.anchor for row in record.deviation]
    of_record: dict[str, Any] = {
        "file": verdict.path.name if verdict.path else None,
        "standing": verdict.state,
        "job_id": record.job.id,
        "site": record.job.site,
        "job_date": record.job.date,
        "lead": record.job.lead,
        "revision": verdict.revision,
        "record_complete": verdict.complete,
        "signer": verdict.signer,
        "signed_at_utc": verdict.signed_at,
        "key_id": verdict.key_id,
        "record_sha256": verdict.record_hash,
    }
    for anchor in record.anchor:
        cells = of_record | _of_anchor(anchor)
        cells["wall_type"] = walls.get(anchor.wall)
        cells["deviations"] = deviations.count(anchor.id)
        account = account_of(record, anchor)
        cells |= {"came_out": account.word, "owner_may_adjust": account.yours}
        yield [_cell(cells.get(name), kind) for name, kind in COLUMNS]


def _of_anchor(anchor: AnchorDone) -> dict[str, Any]:
    return {
        "wall": anchor.wall,
        "anchor": anchor.id,
        "state": anchor.state,
        "dropped_because": anchor.dropped_because,
        "added_on_site": anchor.added_on_site is True,
        "owner_adjustable": anchor.planned.get("owner_adjustable") is True,
        "along_in": record_look.inputs(anchor).get("along_in", anchor.planned.get("along_in")),
        **{f"planned_{name}": value for name, value in anchor.planned.items()},
        **{f"figured_{name}": value for name, value in anchor.figure.items()},
        **{name: record_look.built(anchor, name) for name in _MEASURED},
        "attempts": len(anchor.attempt),
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
            return prose(record_look.text(value)) or None
