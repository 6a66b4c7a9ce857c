"""Many records at once: each checked by itself, and the revisions of one job against each other.

Only a record under a known key has a say in which of them stands: whoever has no known key can neither push a
record out nor break a chain.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any, Final

from msgspec import Struct
from msgspec.structs import replace

from crewtui.foreign import shown
from crewtui.record.signed.house_chain import house_problems, house_remarks, name_of
from crewtui.record.signed.known_keys import KnownKeys
from crewtui.record.signed.verify import EXIT_CODES, State, Verdict, verify

NOT_CHAINED: Final = 4
_WORST_FIRST: Final = (1, NOT_CHAINED, 6, 2, 5, 3)


class Report(Struct, frozen=True):
    """What a check of several records found."""

    verdicts: tuple[Verdict, ...]
    problems: tuple[str, ...]
    """Sentences on records that hold by themselves and do not fit together."""
    remarks: tuple[str, ...] = ()
    """Sentences on what is worth knowing and no fault: copies, and claims that do not count."""

    @property
    def counts(self) -> dict[State, int]:
        """How many records came to each verdict."""
        return {state: sum(each.state == state for each in self.verdicts) for state in EXIT_CODES}

    @property
    def exit_code(self) -> int:
        """The worst of all: altered, not chained, not judged, no record, strange, unknown key."""
        found = {verdict.exit_code for verdict in self.verdicts} | ({NOT_CHAINED} if self.problems else set())
        if not self.verdicts:
            return EXIT_CODES["not a record"]
        return next((code for code in _WORST_FIRST if code in found), 0)


def verify_all(
    files: Sequence[Path],
    known: KnownKeys,
    *,
    unjudged: Iterable[Verdict] = (),
    done: Callable[[Verdict], None] = lambda _: None,
) -> Report:
    """Check every file and how those of one job chain; ``done`` is called with each verdict.

    The verdicts of the report have no tables in them: many records take no more memory than their words.
    """
    verdicts = []
    for file in files:
        verdict = verify(file, known)
        done(verdict)
        verdicts.append(replace(verdict, data=None, record=None))
    return report_of([*verdicts, *unjudged])


def report_of(verdicts: Sequence[Verdict]) -> Report:
    """Return verdicts with what they say of each other."""
    valid = [verdict for verdict in verdicts if verdict.state == "valid"]
    return Report(
        tuple(verdicts),
        (*chain_problems(verdicts), *house_problems(valid)),
        (*_remarks(verdicts), *house_remarks(valid, standing(valid))),
    )


def standing(verdicts: Sequence[Verdict]) -> list[Verdict]:
    """Return the records that no other replaces, one for each that was copied, in the order given.

    A record under a known key is replaced only by one under a known key.
    """
    replaced = {(one.job_id, one.before) for one in verdicts if one.state == "valid"}
    claimed = {(one.job_id, one.before) for one in verdicts if one.state == "unknown key"}
    seen: set[str] = set()
    found = []
    for verdict in verdicts:
        if verdict.state not in {"valid", "unknown key"} or verdict.record_hash in seen:
            continue
        seen.add(verdict.record_hash)
        itself = (verdict.job_id, verdict.record_hash)
        if itself not in replaced and not (verdict.state == "unknown key" and itself in claimed):
            found.append(verdict)
    return found


def chain_problems(verdicts: Iterable[Verdict]) -> Iterator[str]:
    """Yield a sentence for each record whose place among the revisions of its job is not plain.

    A good revision alone is asked for none before it.
    """
    found = list(verdicts)
    jobs: dict[str, dict[str, Verdict]] = defaultdict(dict)
    for verdict in found:
        if verdict.state == "valid":
            jobs[verdict.job_id].setdefault(verdict.record_hash, verdict)
    for job_id, records in sorted(jobs.items()):
        yield from _problems_of_job(shown(job_id), records, alone=len(found) == 1)


def _problems_of_job(job_id: str, records: dict[str, Verdict], *, alone: bool) -> Iterator[str]:
    after: dict[str, list[Verdict]] = defaultdict(list)
    for verdict in records.values():
        after[verdict.before].append(verdict)
        problem = _problem_of_one(verdict, records, alone=alone)
        if problem:
            yield f"Job {job_id}: {problem}"
    for before, rivals in after.items():
        if len(rivals) > 1:
            names = " and ".join(sorted(name_of(each) for each in rivals))
            what = f"both replace the record {before[:12]}…" if before else "are each a first record of it"
            yield f"Job {job_id}: {names} {what}, so they do not chain; ask the lead which one stands."


def _problem_of_one(verdict: Verdict, records: dict[str, Verdict], *, alone: bool) -> str:
    if verdict.revision == 1:
        return (
            "" if not verdict.before else f"{name_of(verdict)} is revision 1, yet names a record before it."
        )
    if not verdict.before:
        return f"{name_of(verdict)} is revision {verdict.revision}, yet names no record before it."
    before = records.get(verdict.before)
    if before is None and alone:
        return ""
    if before is None:
        return f"{name_of(verdict)} replaces a record {verdict.before[:12]}… that is not among these files."
    if before.revision != verdict.revision - 1:
        return (
            f"{name_of(verdict)} is revision {verdict.revision}, yet the record before it, {name_of(before)},"
            f" is revision {before.revision}."
        )
    return ""


def _remarks(verdicts: Sequence[Verdict]) -> Iterator[str]:
    """Yield what is worth knowing: copies of a record, and replacements that a known key did not sign."""
    first: dict[str, Verdict] = {}
    for verdict in verdicts:
        if verdict.state not in {"valid", "unknown key"}:
            continue
        known = first.setdefault(verdict.record_hash, verdict)
        if known is not verdict:
            yield f"{name_of(verdict)} is a copy of {name_of(known)}; it counts once."
    valid = {verdict.record_hash: verdict for verdict in verdicts if verdict.state == "valid"}
    for verdict in valid.values():
        before = valid.get(verdict.before)
        if before is not None and before.key_id != verdict.key_id:
            yield f"{name_of(verdict)} is signed with another key than {name_of(before)}, which it replaces."
    for verdict in verdicts:
        if verdict.state == "unknown key" and verdict.before in valid:
            yield (
                f"{name_of(verdict)} says that it replaces {name_of(valid[verdict.before])}, and no known key"
                " signed it: it does not count, and the other stands."
            )


def replaces_words(verdict: Verdict) -> str:
    """Return what a later revision says of the one before; nothing for a first record."""
    if not verdict.before:
        return ""
    why = verdict.reason or "it gives no reason"
    return f"It replaces the record {verdict.before[:12]}…: {why}."


def as_json(report: Report) -> dict[str, Any]:
    """Return a report as plain values for ``--json``."""
    return {
        "records": [verdict_as_json(verdict) for verdict in report.verdicts],
        "problems": list(report.problems),
        "remarks": list(report.remarks),
        "counts": report.counts,
        "exit_code": report.exit_code,
    }


def verdict_as_json(verdict: Verdict) -> dict[str, Any]:
    """Return one verdict as plain values."""
    return {
        "path": None if verdict.path is None else str(verdict.path),
        "state": verdict.state,
        "words": verdict.words,
        "exit_code": verdict.exit_code,
        "key_id": verdict.key_id,
        "known_as": verdict.known_as,
        "signer": verdict.signer,
        "signed_at": None if verdict.signed_at is None else verdict.signed_at.isoformat(),
        "record_sha256": verdict.record_hash,
        "job_id": verdict.job_id,
        "site": verdict.site,
        "revision": verdict.revision,
        "before_sha256": verdict.before,
        "complete": verdict.complete,
        "house": verdict.house,
        "day": verdict.day,
        "done_on": None if verdict.done_on is None else verdict.done_on.isoformat(),
        "follows_sha256": verdict.follows,
    }
