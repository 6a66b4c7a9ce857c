"""Leaving the owner's sheet: a draft of the day as it stands, and the final one beside the signed record."""

from __future__ import annotations

from pathlib import Path

from crewtui.day.session.day import Day
from crewtui.disk.own_files import write_whole
from crewtui.record.house.house import DayTold, HouseError
from crewtui.record.house.page_paths import draft_path, sheet_path
from crewtui.record.house.past import Past, past_of
from crewtui.record.house.visits import earlier_path
from crewtui.record.sheets.owner_sheet import DRAFT, draft_sheet, owner_sheet
from crewtui.record.sheets.small_pictures import small_pictures
from crewtui.record.signed.build import build_record
from crewtui.record.signed.form import Record
from crewtui.record.signed.hand_in import HandedIn, sources_of
from crewtui.record.signed.known_keys import KnownKeys, load_known
from crewtui.record.signed.progress import progress_of
from crewtui.record.signed.read_form import read_form
from crewtui.record.signed.signing_keys import KeyFileError
from crewtui.record.signed.verify import Verdict, done_on, verify, verify_data


class SheetError(Exception):
    """The sheet could not be written; str() is one sentence."""


def told_today(day: Day) -> DayTold:
    """Return the running day as a series of its house shows it, not signed yet."""
    return DayTold(name="today", done_on=day.clock().date(), record=draft_record(day))


def draft_record(day: Day) -> Record:
    """Return the record as it would be signed now, unsigned."""
    data = build_record(
        day.state,
        day.journal.entries,
        sources=sources_of(day),
        progress=progress_of(day.state),
        lead=day.job.job.lead,
    )
    return read_form(data)


def write_draft(day: Day) -> Path:
    """Write the owner's sheet of the day as it stands, marked as a draft; SheetError where it cannot be."""
    record = draft_record(day)
    pictures = small_pictures(record, day.job_path)
    page = draft_sheet(record, past=_past(day, _as_verdict(record), _own_known()), pictures=pictures)
    return write_page(draft_path(day.job_path), page)


def write_final(day: Day, handed_in: HandedIn) -> Path:
    """Write the owner's sheet of a record just signed beside it; SheetError where it cannot be written."""
    known = _own_known()
    verdict = verify_data(handed_in.data, known, path=handed_in.path)
    pictures = small_pictures(verdict.record, handed_in.path) if verdict.record is not None else ()
    page = owner_sheet(verdict, past=_past(day, verdict, known), pictures=pictures)
    return write_page(sheet_path(handed_in.path), page)


def final_words(day: Day, handed_in: HandedIn) -> str:
    """Write the sheet of a record just signed, and return what is said of it; the record stands anyway."""
    try:
        return (
            f"The owner's sheet stands beside it; print it and leave it: {write_final(day, handed_in).name}"
        )
    except SheetError as error:
        return (
            f"The owner's sheet was not written: {error}. Make it with: crewtui sheet {handed_in.path.name}"
        )


def _own_known() -> KnownKeys:
    """Return the keys known on this machine; none where their list cannot be read, and the page says so."""
    try:
        return load_known(None)
    except KeyFileError:
        return KnownKeys(())


def _past(day: Day, verdict: Verdict, known: KnownKeys) -> Past | None:
    """Return what the earlier records say that the job names; none where they cannot be used."""
    card = day.job.job
    named = card.earlier_records or ((card.earlier_record,) if card.earlier_record else ())
    found = [verify(earlier_path(day.job_path, one), known) for one in named]
    try:
        return past_of(verdict, [one for one in found if one.record is not None]) if found else None
    except HouseError:
        return None


def _as_verdict(record: Record) -> Verdict:
    """Return a record that nobody has signed as a day of its house."""
    return Verdict(
        state="not judged",
        words=DRAFT,
        job_id=record.job.id,
        site=record.job.site,
        house=record.house.id if record.house is not None else "",
        revision=record.revision.number,
        before=record.revision.before or "",
        done_on=done_on(record),
        record=record,
    )


def write_page(path: Path, text: str) -> Path:
    """Write a page, whole or not at all."""
    try:
        write_whole(path, text.encode("utf-8"))
    except OSError as error:
        raise SheetError(f"{path} cannot be written ({error.strerror or error})") from error
    return path


__all__ = [
    "SheetError",
    "draft_record",
    "final_words",
    "told_today",
    "write_draft",
    "write_final",
    "write_page",
]
