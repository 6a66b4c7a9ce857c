"""Handing in a day: what the lead sees before signing, and the signing itself.

The record is on the disk before the journal says that it was signed. If the power goes between the two, the
next start finds the record, sees that it is of this very journal, and enters the signing then.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, Final

from msgspec import Struct

from crewtui.day.journal import entries as e
from crewtui.day.journal.chained import JournalError
from crewtui.day.session.day import Day
from crewtui.day.state.state import Deviation
from crewtui.day.steps.hand_over import hand_over
from crewtui.day.wall.anchor_account import account_lines
from crewtui.disk.their_files import ReadError, read_toml
from crewtui.foreign import shown
from crewtui.record.signed.against_journal import differences_from
from crewtui.record.signed.build import Revision, Sources, build_record, name_typed
from crewtui.record.signed.canonical import canonical_hash
from crewtui.record.signed.known_keys import KnownKey, KnownKeys
from crewtui.record.signed.progress import Progress, progress_of
from crewtui.record.signed.sign import RECORD_ENDING, RecordError, record_path, sign_record, write_record
from crewtui.record.signed.signing_keys import SigningKey
from crewtui.record.signed.verify import verify_data
from crewtui.units import count_of

MOST_BESIDE: Final = 100
"""So many files in the way are stepped round."""


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
    accounts: tuple[str, ...]
    """How each anchor came out, and whether its nut is the owner's to turn."""

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
    in_the_way: str = ""
    """What stood in its place and was left there, in a sentence."""


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
        path=_there_and_free(day)[1],
        words=tuple(_sentences(day, progress, not_accepted, number)),
        accounts=account_lines(state),
    )


_NAMED_FINDINGS = 4


def _sentences(
    day: Day, progress: Progress, not_accepted: tuple[Deviation, ...], number: int
) -> Iterator[str]:
    still = [ident for ident, labels in progress.open_steps.items() if ident and labels]
    if still:
        count = sum(1 for _ in day.state.live())
        yield f"Partial: {len(still)} of {count_of(count, 'anchor')} not done ({', '.join(still)})."
    of_job = progress.open_steps.get("", ())
    if of_job:
        yield f"Of the day's own lines, {count_of(len(of_job), 'step')} open."
    left = hand_over(day.state, day.clock())
    if left.open_pits:
        bare = f"; NOT said to be covered: {', '.join(left.uncovered)}" if left.uncovered else ""
        yield f"Pits that stay open: {', '.join(left.open_pits)}{bare}."
        yield f"Who looks after the covers: {left.covers_by or 'nobody is named'}."
    if progress.complete:
        yield "Complete: nothing is open."
    if not_accepted:
        yield f"Accepted by nobody, kept in the record: {count_of(len(not_accepted), 'deviation')}."
    unanswered = [one for one in day.walls.standing_findings() if one.answer is None]
    if unanswered:
        named = "; ".join(f"{one.label} {one.value}" for one in unanswered[:_NAMED_FINDINGS])
        more = f"; {len(unanswered) - _NAMED_FINDINGS} more" if len(unanswered) > _NAMED_FINDINGS else ""
        yield f"About the walls, answered by nobody, kept as deviations: {named}{more}. Answer them: v."
    loosened = day.rules.loosened
    if loosened:
        yield f"Limits looser than the default: {', '.join(rule.label for rule in loosened)}."
    if number > 1:
        yield f"This will be revision {number}; it replaces the record signed before and says why."
    there, _ = _there_and_free(day)
    if there:
        names = ", ".join(shown(each.name) for each in there)
        yield (
            f"{names} stands in the record's place. If it is this day's, by your key, it is taken up;"
            " anything else is left as it is, and yours is written beside it."
        )


def hand_in(day: Day, key: SigningKey, *, lead: str, reason: str = "") -> HandedIn:
    """Sign the day as it stands and write its record beside the job file.

    A second record of a job needs a reason. RecordError, and NotEnteredError among them, is a sentence.
    """
    lead = name_typed(lead)
    _refuse_undecided(day)
    there, _ = _there_and_free(day)
    left = _taken_up(day, key, there)
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
    there, path = _there_and_free(day)
    write_record(path, signed)
    return _enter(day, path, signed, in_the_way=_way_words(there, path))


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


def _taken_up(day: Day, key: SigningKey, there: Sequence[Path]) -> HandedIn | None:
    """Enter the signing of a record that was written just before the power went; None if there is none."""
    for path in there:
        data = _own_record(day, key, path)
        if data is not None:
            return _enter(day, path, data)
    return None


def _own_record(day: Day, key: SigningKey, path: Path) -> dict[str, Any] | None:
    """Return a record if it is this day's own next one: by the lead's key, and what the journal adds up to.

    Anybody may lay a file there. By another key, or with a word that is not in the journal, it is not ours.
    """
    try:
        data = read_toml(path)
    except ReadError:
        return None
    own = KnownKeys((KnownKey(public=key.public, name=key.name),))
    verdict, shared = verify_data(data, own), day.state.shared
    record = verdict.record
    if record is None or verdict.state != "valid":
        return None
    if (record.revision.number, verdict.before) != (shared.revision + 1, shared.record_sha256):
        return None
    count, hashes = record.journal.entries, list(_hashes(day))
    if not 0 < count < len(hashes) or record.journal.last_sha256 != hashes[count]:
        return None
    entries = day.journal.entries[:count]
    return None if differences_from(data, entries, day.plan, job_sha256=day.plan_sha256) else data


def _places(day: Day) -> Iterator[Path]:
    """Yield where the next record of the day may stand, the usual place first."""
    usual = record_path(day.job_path, day.state.shared.revision + 1)
    yield usual
    stem = usual.name.removesuffix(RECORD_ENDING)
    yield from (usual.with_name(f"{stem}.beside-{number}{RECORD_ENDING}") for number in range(2, MOST_BESIDE))


def _there_and_free(day: Day) -> tuple[list[Path], Path]:
    """Return the places that are taken, and the first that is not."""
    there: list[Path] = []
    for path in _places(day):
        if not os.path.lexists(path):
            return there, path
        there.append(path)
    raise RecordError(f"{there[0]} and {len(there) - 1} beside it are taken; move what is not yours away")


def _way_words(there: Sequence[Path], path: Path) -> str:
    """Return what is said of files that stand in a record's place; nothing where there is none."""
    if not there:
        return ""
    names = ", ".join(shown(each.name) for each in there)
    return (
        f"{names} stands in the record's place and is no record of this day by your key: it was left as it"
        f" is, and yours is {shown(path.name)}. Find out who laid it there."
    )


def _enter(day: Day, path: Path, signed: dict[str, Any], *, in_the_way: str = "") -> HandedIn:
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
        in_the_way=in_the_way,
    )


def _hashes(day: Day) -> Iterator[str]:
    """Yield the hash of every line: what the next one names, and the last."""
    yield from (entry.prev for entry in day.journal.entries)
    yield day.journal.last_sha256


def _before_signing(day: Day) -> str:
    """Return the hash of the line before the last entry, which is the signing just entered."""
    return day.journal.entries[-1].prev
