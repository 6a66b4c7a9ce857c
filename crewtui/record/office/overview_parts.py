"""The parts of the overview: what is open, due, moving, not accepted, not come up, ending, used and worked.

Each is made from the rows of the records that stand, and for walls that move from the houses' series.
"""

from __future__ import annotations

import os
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any, Final
from urllib.parse import quote

from msgspec import Struct

from crewtui.foreign import shown
from crewtui.record.house.page_paths import sheet_path
from crewtui.record.house.series import HouseSeries
from crewtui.record.house.series_words import movement_words
from crewtui.record.office.packed_rows import columns_of, unpack
from crewtui.record.office.related_tables import ANCHOR, RECORD
from crewtui.record.signed.verify import Verdict
from crewtui.units import show_length

SOON: Final = timedelta(days=45)
"""A ticket that ends within so many days is shown."""
Row = Mapping[str, Any]


class OverviewCell(Struct, frozen=True):
    """What stands in a cell, and what it is sorted by."""

    text: str
    sort: str | float = ""
    href: str = ""


class OverviewPart(Struct, frozen=True, kw_only=True):
    """One table of the page."""

    id: str
    title: str
    words: str
    """What a line of it is, or what to do about it."""
    heads: tuple[str, ...]
    rows: tuple[tuple[OverviewCell, ...], ...]


class Office:
    """The rows of the records that stand, and where each one's page is."""

    def __init__(self, found: Sequence[Verdict], rows: Mapping[str, bytes], beside: Path) -> None:
        self.tables: dict[str, list[dict[str, Any]]] = defaultdict(list)
        self.paths: dict[str, Path] = {}
        self.known: set[str] = set()
        """Hashes of the records whose key is known: only they take a known record's work off the page."""
        self._beside = beside
        for verdict in found:
            assert verdict.path is not None  # noqa: S101 - every record here was read from a file
            self.paths[verdict.record_hash] = verdict.path
            if verdict.state == "valid":
                self.known.add(verdict.record_hash)
            for name in ("jobs", "anchors", "torques", "deviations", "materials", "hours"):
                names = [column.name for column in columns_of(name)]
                for row in unpack(rows[verdict.record_hash], name, verdict.path.name):
                    self.tables[name].append(dict(zip(names, row, strict=True)))
        self.jobs = {row[RECORD]: row for row in self.tables["jobs"]}
        self._anchors: dict[str, list[Row]] = defaultdict(list)
        for anchor in self.tables["anchors"]:
            self._anchors[anchor[RECORD]].append(anchor)

    def job(self, row: Row) -> Row:
        """Return the job that a row belongs to."""
        return self.jobs[row[RECORD]]

    def site(self, row: Row) -> OverviewCell:
        """Return what the job of a row calls its place."""
        return OverviewCell(self.job(row)["site"] or "")

    def lead(self, row: Row) -> OverviewCell:
        """Return the lead of a row's job."""
        return OverviewCell(self.job(row)["lead"] or "")

    def anchors_of(self, job: Row) -> Sequence[Row]:
        """Return the anchors of a job."""
        return self._anchors[job[RECORD]]

    def job_cell(self, row: Row) -> OverviewCell:
        """Return the job's id, leading to its sheet where that was written, else to the record."""
        record = self.paths[row[RECORD]]
        pages = (sheet_path(record, "office"), sheet_path(record))
        page = next((one for one in pages if one.exists()), record)
        to = Path(os.path.relpath(page.resolve(), self._beside.resolve()))
        job = self.job(row)
        return OverviewCell(
            str(job["job_id"] or shown(record.name)),
            str(job["job_id"] or ""),
            quote(os.fsencode(to.as_posix())),
        )


def _open_work(office: Office, _: Sequence[HouseSeries], __: date) -> OverviewPart:
    rows = []
    for job in office.tables["jobs"]:
        if job["complete"] or job["day"] != "install":
            continue
        anchors = [one for one in office.anchors_of(job) if one["state"] == "open"]
        what = "; ".join(
            [
                *([job["open"]] if job["open"] else []),
                *(f"{one[ANCHOR]}: {one['open_steps'] or 'open'}" for one in anchors),
            ]
        )
        rows.append(
            (
                office.job_cell(job),
                office.site(job),
                office.lead(job),
                _day(job["done_on"]),
                _number(len(anchors)),
                OverviewCell(what),
            )
        )
    return OverviewPart(
        id="open",
        title="Open work",
        words="Jobs that were not signed as complete.",
        heads=("Job", "Site", "Lead", "Last day", "Anchors open", "What is open"),
        rows=tuple(rows),
    )


def _pits(office: Office, _: Sequence[HouseSeries], __: date) -> OverviewPart:
    rows = [
        (
            office.job_cell(one),
            office.site(one),
            OverviewCell(one[ANCHOR]),
            _length(one["pit_depth_in"], office.job(one)),
            _day(office.job(one)["done_on"]),
        )
        for one in office.tables["anchors"]
        if one["pit_depth_in"] is not None
        and one["lifts"] is None
        and one["state"] == "open"
        and office.job(one)["day"] == "install"
    ]
    return OverviewPart(
        id="pits",
        title="Pits left open",
        words="Dug, and nobody said that they were filled.",
        heads=("Job", "Site", "Anchor", "Pit depth", "Since"),
        rows=tuple(rows),
    )


def _visits(office: Office, _: Sequence[HouseSeries], today: date) -> OverviewPart:
    seen: dict[tuple[str, bool], date] = {}
    for job in office.tables["jobs"]:
        if job["day"] == "visit" and job["house"] and job["done_on"]:
            for known in {False, job[RECORD] in office.known}:
                visit = (job["house"], known)
                seen[visit] = max(seen.get(visit, date.min), job["done_on"])
    rows = []
    for job in sorted(office.tables["jobs"], key=lambda one: one["first_visit_due"] or date.max):
        due = job["first_visit_due"]
        last = seen.get((job["house"] or "", job[RECORD] in office.known))
        if due is None or (last is not None and last >= due - timedelta(days=31)):
            continue
        late = "late" if due < today else ""
        rows.append(
            (
                OverviewCell(f"{due:%Y-%m}", f"{due:%Y-%m}"),
                office.job_cell(job),
                office.site(job),
                _day(due),
                OverviewCell(job["later_tightening"] or ""),
                OverviewCell(late),
            )
        )
    return OverviewPart(
        id="visits",
        title="Visits due, by month",
        words="Planned, and no visit of the house since.",
        heads=("Month", "Job", "Site", "Due", "The plan says", ""),
        rows=tuple(rows),
    )


def _moving(office: Office, series: Sequence[HouseSeries], _: date) -> OverviewPart:
    by_house = {row["house"]: row for row in office.tables["jobs"] if row["house"]}
    rows, still = [], 0
    for house in series:
        job = by_house.get(house.house.id)
        for one in house.anchors:
            movement = one.movement["bow"]
            if job is None or movement.rate is None:
                continue
            if not movement.seen:
                still += 1
                continue
            words, rate = movement_words(movement, "bow", house.units), movement.rate.a_year.value
            rows.append(
                (
                    office.job_cell(job),
                    office.site(job),
                    OverviewCell(one.anchor),
                    OverviewCell("in" if rate > 0 else "out", rate),
                    OverviewCell(words, -abs(rate)),
                    _number(len(house.days)),
                )
            )
    rows.sort(key=lambda row: -float(row[3].sort or 0))
    return OverviewPart(
        id="moving",
        title="Walls that move, and how fast",
        words=f"Anchors whose bow is seen to move; inward first. Read again, and no movement seen: {still}.",
        heads=("Job", "Site", "Anchor", "Moves", "A year", "Days read"),
        rows=tuple(rows),
    )


def _deviations(office: Office, _: Sequence[HouseSeries], __: date) -> OverviewPart:
    rows = [
        (
            office.job_cell(one),
            office.lead(one),
            OverviewCell(one[ANCHOR] or ""),
            OverviewCell(one["text"] or ""),
            OverviewCell(one["reason"] or ""),
            _day(one["done_at_utc"]),
        )
        for one in office.tables["deviations"]
        if not one["accepted"]
    ]
    return OverviewPart(
        id="deviations",
        title="Deviations that nobody accepted",
        words="The engineer or the office accepts, or says what is to be done.",
        heads=("Job", "Lead", "Anchor", "What", "Why", "Day"),
        rows=tuple(rows),
    )


def _nuts(office: Office, _: Sequence[HouseSeries], __: date) -> OverviewPart:
    lasts = {(row[RECORD], row[ANCHOR]): row for row in office.tables["torques"]}
    rows = []
    for one in office.tables["anchors"]:
        last = lasts.get((one[RECORD], one[ANCHOR]))
        if last is not None and last["clicked"] is False:
            rows.append(
                (
                    office.job_cell(one),
                    office.site(one),
                    OverviewCell(one[ANCHOR]),
                    OverviewCell(f"{last['tightening']}, round {last['round']}"),
                    _day(last["done_at_utc"]),
                )
            )
    return OverviewPart(
        id="nuts",
        title="Nuts that did not come up",
        words="The anchor's last tightening did not click.",
        heads=("Job", "Site", "Anchor", "Tightening", "Day"),
        rows=tuple(rows),
    )


def _tickets(office: Office, _: Sequence[HouseSeries], today: date) -> OverviewPart:
    rows = []
    for job in office.tables["jobs"]:
        until = job["ticket_until_utc"]
        if until is None or job["complete"] or until.date() > today + SOON:
            continue
        said = "ended" if until.date() < today else "ends soon"
        rows.append(
            (
                office.job_cell(job),
                office.site(job),
                OverviewCell(job["ticket_number"] or ""),
                _day(until),
                OverviewCell(said),
            )
        )
    return OverviewPart(
        id="tickets",
        title="Tickets that end",
        words="Of open jobs: renew before anybody digs.",
        heads=("Job", "Site", "Ticket", "Until", ""),
        rows=tuple(rows),
    )


def _material(office: Office, _: Sequence[HouseSeries], __: date) -> OverviewPart:
    rows = [
        (
            office.job_cell(one),
            OverviewCell(one["item"] or ""),
            OverviewCell(one["size"] or ""),
            _number(one["planned"]),
            _number(one["used"]),
            _number(one["back"]),
        )
        for one in office.tables["materials"]
        if one["used"]
    ]
    return OverviewPart(
        id="material",
        title="Material by job",
        words="What each job took, beside its plan.",
        heads=("Job", "Item", "Size, in", "Planned", "Used", "Back"),
        rows=tuple(rows),
    )


def _hours(office: Office, _: Sequence[HouseSeries], __: date) -> OverviewPart:
    sums: dict[tuple[str, str, str], float] = defaultdict(float)
    for one in office.tables["hours"]:
        sums[one[RECORD], one["who"] or "the crew", one["at_work_on"] or ""] += one["hours"] or 0.0
    rows = [
        (
            office.job_cell({RECORD: record}),
            OverviewCell(office.jobs[record]["lead"] or ""),
            OverviewCell(who),
            OverviewCell(on),
            OverviewCell(f"{hours:.1f}", hours),
        )
        for (record, who, on), hours in sums.items()
    ]
    return OverviewPart(
        id="hours",
        title="Hours by job",
        words="Of people on site, and of the crew by phase.",
        heads=("Job", "Lead", "Who", "On", "Hours"),
        rows=tuple(rows),
    )


PARTS: Final[tuple[Callable[[Office, Sequence[HouseSeries], date], OverviewPart], ...]] = (
    _open_work,
    _pits,
    _visits,
    _moving,
    _deviations,
    _nuts,
    _tickets,
    _material,
    _hours,
)


def _day(value: object) -> OverviewCell:
    if isinstance(value, datetime):
        value = value.date()
    return OverviewCell(value.isoformat(), value.isoformat()) if isinstance(value, date) else OverviewCell("")


def _number(value: object) -> OverviewCell:
    return OverviewCell(f"{value:g}", float(value)) if isinstance(value, int | float) else OverviewCell("")


def _length(value: object, job: Row) -> OverviewCell:
    if not isinstance(value, int | float):
        return OverviewCell("")
    return OverviewCell(
        show_length(value, "metric" if job["units"] == "metric" else "imperial"), float(value)
    )


__all__ = ["PARTS", "Office", "OverviewCell", "OverviewPart"]
