"""What many records leave to do, gathered: open work, visits due, walls that move, nuts, tickets, hours.

It is put together from the tables (``related_tables``) and, for houses with several days, from their series;
the page only lays it out.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from datetime import date
from pathlib import Path

from msgspec import Struct

from crewtui.record.house.house import HouseError, house_of
from crewtui.record.house.series import HouseSeries, series_of
from crewtui.record.office.judging import JudgedRecord, judge_all
from crewtui.record.office.overview_parts import PARTS, Office, OverviewPart
from crewtui.record.office.related_tables import RECORD
from crewtui.record.signed.chain import Report, report_of, standing
from crewtui.record.signed.known_keys import KnownKeys
from crewtui.record.signed.verify import Verdict, verify


class Overview(Struct, frozen=True, kw_only=True):
    """Everything on the page."""

    made_on: date
    records: int
    houses: int
    parts: tuple[OverviewPart, ...]
    left_out: tuple[str, ...]
    """Files that gave nothing, and what does not chain, a sentence each."""
    report: Report


def overview(
    files: Sequence[Path],
    known: KnownKeys,
    *,
    today: date,
    beside: Path,
    unjudged: Sequence[Verdict] = (),
    cache: Path | None = None,
    workers: int | None = 1,
    done: Callable[[], None] = lambda: None,
) -> Overview:
    """Return what these records leave to do on a day; links lead from the folder ``beside``."""
    judged: list[JudgedRecord] = list(judge_all(files, known, cache=cache, workers=workers, done=done))
    report = report_of([*(one.verdict for one in judged), *unjudged])
    rows = {one.verdict.record_hash: one.rows for one in judged if one.rows}
    found = standing(report.verdicts)
    office = Office(found, rows, beside)
    series = tuple(_series(found, known))
    left_out = [
        f"{one.path.name if one.path else ''}: {one.words}"
        for one in report.verdicts
        if one.state not in {"valid", "unknown key"}
    ]
    return Overview(
        made_on=today,
        records=len(found),
        houses=len({row["house"] or row[RECORD] for row in office.tables["jobs"]}),
        parts=tuple(part for make in PARTS for part in [make(office, series, today)]),
        left_out=(*left_out, *report.problems),
        report=report,
    )


def _series(found: Sequence[Verdict], known: KnownKeys) -> Iterator[HouseSeries]:
    """Yield the series of every house with more than one day; one that cannot be put in order has none."""
    houses: dict[str, list[Path]] = defaultdict(list)
    for verdict in found:
        if verdict.house and verdict.path is not None:
            houses[verdict.house].append(verdict.path)
    for paths in houses.values():
        if len(paths) > 1:
            try:
                yield series_of(house_of([verify(path, known) for path in paths]))
            except HouseError:
                continue


__all__ = ["Overview", "overview"]
