"""Handing in a day: what the lead sees before signing, and the signing itself.

The record is on the disk before the journal says that it was signed. If the power goes between the two, the
next start finds the record, sees that it is of this very journal, and enters the signing then.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from msgspec import Struct

from crewtui.day.journal import entries as e
from crewtui.day.journal.chained import JournalError
from crewtui.day.session.day import Day
from crewtui.day.state.state import Deviation
from crewtui.day.steps.hand_over import hand_over
from crewtui.disk.their_files import ReadError, read_toml
from crewtui.record.signed.build import Revision, Sources, build_record
from crewtui.record.signed.canonical import canonical_hash
from crewtui.record.signed.known_keys import KnownKeys
from crewtui.record.signed.progress import Progress, progress_of
from crewtui.record.signed.sign import RecordError, record_path, sign_record, write_record
from crewtui.record.signed.signing_keys import SigningKey
from crewtui.record.signed.verify import verify_data


class Preview(Struct, frozen=True, kw_only=True):
    """What the lead is about to sign."""

    progress: Progress
    deviations: tuple[Deviation, ...]
    not_accepted: tuple[Deviation, ...]
    """Deviations that nobody named has accepted."""
    revision: int
    before: str
    path: Path
    words: tuple[str, ...]
    """The same in sentences, the most important first."""

    @property
    def complete(self) -> bool:
        """Whether nothing is open."""
        return self.progress.complete


class NotEnteredError(RecordError):
    """The record is signed and on the disk, and the journal could not say so; the text is a sentence."""

    def __init__(self, path: Path, error: JournalError) -> None:
        super().__init__(
            f"The record IS signed and on the disk, {path.name}; only the journal could not say so: {error}"
            " Mend that and sign once more: this same record is then taken up"
        )
        self.path = path


class HandedIn(Struct, frozen=True, kw_only=True):
    """A record that was signed and is on the disk."""

    path: Path
    record_sha256: str
    revision: int
    complete: bool
    data: dict[str, Any]


def preview(day: Day) -> Preview:
    """Return what is open, what deviates and which revision it would be."""
    progress = progress_of(day.state)
    state = day.state
    deviations = state.deviations
    number = state.shared.revision + 1
    not_accepted = tuple(item for item in deviations if item.n not in state.shared.accepted)
    return Preview(
        progress=progress,
        deviations=deviations,
        not_accepted=not_accepted,
        revision=number,
        before=state.shared.record_sha256,
        path=record_path(day.job_path, number),
        words=tuple(_sentences(day, progress, not_accepted, number)),
    )


def _sentences(
    day: Day, progress: Progress, not_accepted: tuple[Deviation, ...], number: int
) -> Iterator[str]:
    still = [ident for ident, labels in progress.open_steps.items() if ident and labels]
    if still:
        count = sum(1 for _ in day.state.live())
        yield f"Partial: {len(still)} of {count} anchors are not done ({', '.join(still)})."
    of_job = progress.open_steps.get("", ())
    if of_job:
        yield f"Open for the job: {', '.join(of_job)}."
    left = hand_over(day.state, day.clock())
    if left.open_pits:
        bare = f"; NOT said to be covered: {', '.join(left.uncovered)}" if left.uncovered else ""
        yield f"Pits that stay open: {', '.join(left.open_pits)}{bare}."
        yield f"Who looks after the covers: {left.covers_by or 'nobody is named'}."
    if progress.complete:
        yield "Complete: nothing is open."
    if not_accepted:
        yield f"{len(not_accepted)} deviations that nobody named has accepted; they stand in the record."
    loosened = day.rules.loosened
    if loosened:
        yield f"Limits looser than the default: {', '.join(rule.label for rule in loosened)}."
    if number > 1:
        yield f"This will be revision {number}; it replaces the record signed before and says why."


def hand_in(day: Day, key: SigningKey, *, lead: str, reason: str = "") -> HandedIn:
    """Sign the day as it stands and write its record beside the job file.

    A second record of a job needs a reason. RecordError, and NotEnteredError among them, is a sentence.
    """
    _refuse_undecided(day)
    left = adopt_unentered(day)
    if left is not None and left.data["journal"]["last_sha256"] == _before_signing(day):
        return left
    shared = day.state.shared
    revision = Revision(number=shared.revision + 1, before=shared.record_sha256, reason=reason)
    data = build_record(
        day.state,
        day.journal.entries,
        sources=sources_of(day),
        progress=progress_of(day.state),
        lead=lead,
        revision=revision,
    )
    signed = sign_record(data, key, signed_at=day.clock())
    path = record_path(day.job_path, revision.number)
    write_record(path, signed)
    return _enter(day, path, signed)


def sources_of(day: Day) -> Sources:
    """Return the names and hashes of the files that the day rests on; of the job file, as it was opened."""
    return Sources(
        job_file=day.job_path.name,
        job_sha256=day.plan_sha256,
        journal_file=day.journal.file.name,
        journal_sha256=day.journal.last_sha256,
    )


def _refuse_undecided(day: Day) -> None:
    """Refuse to sign while the job file says otherwise than the plan and nobody has said which one counts."""
    day.look_at_job_file()
    changes = day.plan_changes()
    if changes:
        raise RecordError(
            f"the job file was edited since the day opened its plan ({changes[0]}"
            f"{f', and {len(changes) - 1} more' if len(changes) > 1 else ''}): say first which plan counts"
        )


def adopt_unentered(day: Day) -> HandedIn | None:
    """Enter the signing of a record that was written just before the power went; None if there is none."""
    number = day.state.shared.revision + 1
    path = record_path(day.job_path, number)
    if not path.exists():
        return None
    try:
        data = read_toml(path)
    except ReadError as error:
        raise RecordError(f"{path} is there already and is no record ({error}); move it away") from error
    verdict = verify_data(data, KnownKeys())
    if verdict.data is None or verdict.revision != number or verdict.before != day.state.shared.record_sha256:
        raise RecordError(f"{path} is there already and is no record of this day; move it away")
    journal = data.get("journal")
    hashes = set(_hashes(day))
    if not isinstance(journal, dict) or journal.get("last_sha256") not in hashes:
        raise RecordError(f"{path} is there already and is of another journal; move it away")
    return _enter(day, path, data)


def _enter(day: Day, path: Path, signed: dict[str, Any]) -> HandedIn:
    record_sha256 = canonical_hash(signed)
    number = signed["revision"]["number"]
    entry = e.Signed(
        **day.times(None), record_sha256=record_sha256, revision=number, name=signed["signer"]["name"]
    )
    try:
        day.put(entry)
    except JournalError as error:
        raise NotEnteredError(path, error) from error
    return HandedIn(
        path=path,
        record_sha256=record_sha256,
        revision=number,
        complete=signed["complete"] is True,
        data=signed,
    )


def _hashes(day: Day) -> Iterator[str]:
    """Yield the hash of every line: what the next one names, and the last."""
    yield from (entry.prev for entry in day.journal.entries)
    yield day.journal.last_sha256


def _before_signing(day: Day) -> str:
    """Return the hash of the line before the last entry, which is the signing just entered."""
    return day.journal.entries[-1].prev
