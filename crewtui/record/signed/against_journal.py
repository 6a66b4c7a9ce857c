"""Whether a record is what its journal adds up to: the day is added up again and laid beside it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from msgspec import Struct
from msgspec.structs import replace

from crewtui import VERSION
from crewtui.day.journal.chained import JournalReading, read_journal
from crewtui.day.journal.entries import Entry
from crewtui.day.state.fold import fold
from crewtui.day.state.kept_plan import kept_plan
from crewtui.foreign import shown
from crewtui.job.file.load import job_sha256, load_job
from crewtui.job.file.model import Job
from crewtui.job.file.rule_overrides import resolve
from crewtui.record.signed.build import Revision, Sources, build_record
from crewtui.record.signed.canonical import SIGNATURE
from crewtui.record.signed.progress import progress_of
from crewtui.record.signed.sign import RECORD_FORMAT, SIGNER, RecordError

MOST_SHOWN: Final = 40
_BY_VERSION: Final = frozenset({"program", "governs", "figure", "label", "text", "open", "complete", "state"})
"""What another version of the program may word or figure otherwise; also who is named beside an input."""
_GIVEN: Final = frozenset({"as built", "new aim", "plan"})
"""Sources of an input that a person gave; the others a program works out, each version its own way."""
_SINCE_2: Final = frozenset(
    {
        "day", "house", "counted", "finding", "material", "hours", "inspection", "call", "photograph", "walk",
        "owner_yes", "permit", "change", "ground_found",
    }
)  # fmt: skip
_SINCE_2_OF_EMERGENCY: Final = frozenset({"anchor", "note"})
_SINCE_2_OF_ANCHOR: Final = frozenset({"piece", "couplings", "seat", "torque", "bow"})


class JournalComparison(Struct, frozen=True, kw_only=True):
    """What came of laying a record beside its journal."""

    entries: int
    """Entries of the journal that the record rests on."""
    later: int
    """Entries that were made after it was signed."""
    differences: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def same(self) -> bool:
        """Whether the record is what the journal adds up to."""
        return not self.differences


def compare_files(data: Mapping[str, Any], journal: Path, job: Path) -> JournalComparison:
    """Compare a verified record with a journal and a job file; their own errors are sentences."""
    reading = read_journal(journal)
    count = _table(data, "journal").get("entries")
    kept = kept_plan(reading.entries[: count if type(count) is int else 0])
    alone = kept is None
    loaded, sha256 = load_job(job, alone=alone), job_sha256(job, alone=alone)
    if kept is None or kept.sha256 == sha256:
        return compare(data, reading, loaded, job_sha256=sha256)
    found = compare(data, reading, kept.job() or loaded, job_sha256=kept.sha256)
    note = "The job file beside it was edited since: record and journal rest on the plan that the day opened."
    return replace(found, notes=(*found.notes, note))


def compare(
    data: Mapping[str, Any], reading: JournalReading, job: Job, *, job_sha256: str
) -> JournalComparison:
    """Add the day up again as it stood at signing, and name every difference."""
    named = _table(data, "journal")
    count, last = named.get("entries"), named.get("last_sha256")
    if type(count) is not int or not 0 < count <= len(reading.lines):
        have = len(reading.lines)
        return _differs(f"the record rests on {shown(count)} entries, and {have} stand in the journal")
    if reading.lines[count - 1].sha256 != last:
        return _differs(f"entry {count} of the journal is not the one that the record names as its last")
    if _table(data, "job").get("file_sha256") != job_sha256:
        return _differs("the job file is not the one that was signed over")
    other = _is_other(data)
    note = "It was written by another version of the program: wordings and figures are not compared."
    return JournalComparison(
        entries=count,
        later=len(reading.lines) - count,
        differences=differences_from(data, reading.entries[:count], job, job_sha256=job_sha256),
        notes=(*reading.reports, *((note,) if other else ())),
    )


def differences_from(
    data: Mapping[str, Any], entries: Sequence[Entry], job: Job, *, job_sha256: str
) -> tuple[str, ...]:
    """Return every place at which a record is not what these entries of its journal add up to."""
    named, revision, signer = _table(data, "journal"), _table(data, "revision"), _table(data, SIGNER)
    state = fold(job, resolve(job), entries)
    try:
        again = build_record(
            state,
            entries,
            sources=Sources(
                job_file=str(_table(data, "job").get("file", "")),
                job_sha256=job_sha256,
                journal_file=str(named.get("file", "")),
                journal_sha256=str(named.get("last_sha256")),
            ),
            progress=progress_of(state),
            lead=str(signer.get("name", "")),
            revision=Revision(
                number=revision["number"],
                before=revision.get("before", ""),
                reason=revision.get("reason", ""),
            ),
        )
    except (RecordError, KeyError, TypeError) as error:
        return (f"no record of this program looks like it ({shown(error)})",)
    if data.get("format") != RECORD_FORMAT:
        again = _as_first_format(again)
    ignored = _BY_VERSION if _is_other(data) else frozenset()
    signed = {key: value for key, value in data.items() if key not in {SIGNATURE, SIGNER}}
    again.pop(SIGNER)
    if _is_other(data):
        signed, again = _of_the_day(signed), _of_the_day(again)
    return tuple(differences(signed, again, ignored=ignored))


def _is_other(data: Mapping[str, Any]) -> bool:
    """Return whether another version of the program wrote the record."""
    return _table(data, "program").get("version") != VERSION or data.get("format") != RECORD_FORMAT


def _of_the_day(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return a record's tables without what a program works out by itself: defaults, and figures' inputs."""
    anchors = [
        {
            **anchor,
            "input": [row for row in anchor.get("input", ()) if row.get("source") in _GIVEN],
            "attempt": [
                {key: value for key, value in row.items() if key != "attempt"}
                for row in anchor.get("attempt", ())
            ],
        }
        for anchor in data.get("anchor", ())
    ]
    rules = [{key: value for key, value in row.items() if key != "default"} for row in data.get("rule", ())]
    return {**data, "anchor": anchors, "rule": rules}


def _as_first_format(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return a record's tables without what format 1 does not have."""
    kept = {key: value for key, value in data.items() if key not in _SINCE_2}
    anchors = [
        {key: value for key, value in anchor.items() if key not in _SINCE_2_OF_ANCHOR}
        for anchor in data["anchor"]
    ]
    called = [
        {key: value for key, value in one.items() if key not in _SINCE_2_OF_EMERGENCY}
        for one in data.get("emergency", ())
    ]
    return kept | {"format": 1, "anchor": anchors} | ({"emergency": called} if called else {})


def differences(
    record: Any, journal: Any, where: str = "", *, ignored: frozenset[str] = frozenset()
) -> Iterator[str]:
    """Yield a sentence for every place at which the two differ."""
    if isinstance(record, dict) and isinstance(journal, dict):
        for key in [*record, *(key for key in journal if key not in record)]:
            if key in ignored or (ignored and key == "said_by" and ".input[" in where):
                continue
            place = f"{where}.{key}" if where else key
            yield from _pair(record, journal, key, place, ignored)
    elif isinstance(record, list) and isinstance(journal, list):
        if len(record) != len(journal):
            yield f"{where}: the record has {len(record)}, the journal gives {len(journal)}"
        for index, (one, other) in enumerate(zip(record, journal, strict=False)):
            yield from differences(one, other, f"{where}[{_name(one, index)}]", ignored=ignored)
    elif type(record) is not type(journal) or record != journal or _offset(record) != _offset(journal):
        yield f"{where}: the record says {shown(record)}, the journal gives {shown(journal)}"


def _pair(
    record: Mapping[str, Any], journal: Mapping[str, Any], key: str, place: str, ignored: frozenset[str]
) -> Iterator[str]:
    if key not in journal:
        yield f"{place}: it stands in the record, and the journal gives none"
    elif key not in record:
        yield f"{place}: the journal gives it, and it is not in the record"
    else:
        yield from differences(record[key], journal[key], place, ignored=ignored)


def _name(row: Any, index: int) -> str:
    """Return what a person finds a row by: its id, the number of its entry, else its place."""
    if isinstance(row, dict):
        if "id" in row and "entry" not in row:
            return shown(row["id"])
        if "entry" in row:
            return f"entry {shown(row['entry'])}"
    return str(index)


def _offset(value: Any) -> Any:
    return value.utcoffset() if hasattr(value, "utcoffset") else None


def _differs(words: str) -> JournalComparison:
    return JournalComparison(entries=0, later=0, differences=(words,), notes=())


def _table(data: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    part = data.get(name)
    return part if isinstance(part, dict) else {}
