"""Many records at once: each checked by itself, and the revisions of one job against each other."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

from msgspec import Struct

from crewtui.record.signed.known_keys import KnownKeys
from crewtui.record.signed.plain_files import shown
from crewtui.record.signed.sign import RECORD_ENDING
from crewtui.record.signed.verify import EXIT_CODES, State, Verdict, verify


class Report(Struct, frozen=True):
    """What a check of several records found."""

    verdicts: tuple[Verdict, ...]
    problems: tuple[str, ...]
    """Sentences on records that hold by themselves and do not fit together."""

    @property
    def counts(self) -> dict[State, int]:
        """How many records came to each verdict."""
        return {state: sum(each.state == state for each in self.verdicts) for state in EXIT_CODES}

    @property
    def exit_code(self) -> int:
        """The worst of all: altered or not chained, then not a record, then unknown key."""
        found = {verdict.exit_code for verdict in self.verdicts} | ({1} if self.problems else set())
        if not self.verdicts:
            return EXIT_CODES["not a record"]
        return next((code for code in (1, 2, 3) if code in found), 0)


def find_records(paths: Iterable[Path]) -> Iterator[Path]:
    """Yield each file named, and in each folder every record below it, in order of their names."""
    for path in paths:
        if path.is_dir():
            yield from sorted(file for file in path.rglob(f"*{RECORD_ENDING}") if file.is_file())
        else:
            yield path


def verify_all(files: Sequence[Path], known: KnownKeys, *, done: Callable[[], None] = lambda: None) -> Report:
    """Check every file and how those of one job chain; ``done`` is called after each."""
    verdicts = []
    for file in files:
        verdicts.append(verify(file, known))
        done()
    return Report(tuple(verdicts), tuple(chain_problems(verdicts)))


def chain_problems(verdicts: Iterable[Verdict]) -> Iterator[str]:
    """Yield a sentence for each record whose place among the revisions of its job is not plain."""
    jobs: dict[str, dict[str, Verdict]] = defaultdict(dict)
    for verdict in verdicts:
        if verdict.record_hash:
            jobs[verdict.job_id].setdefault(verdict.record_hash, verdict)
    for job_id, records in sorted(jobs.items()):
        yield from _problems_of_job(job_id, records)


def _problems_of_job(job_id: str, records: dict[str, Verdict]) -> Iterator[str]:
    after: dict[str, list[Verdict]] = defaultdict(list)
    for verdict in records.values():
        after[verdict.before].append(verdict)
        problem = _problem_of_one(verdict, records)
        if problem:
            yield f"Job {job_id}: {problem}"
    for before, rivals in after.items():
        if len(rivals) > 1:
            names = " and ".join(sorted(_name(each) for each in rivals))
            what = f"both replace the record {before[:12]}…" if before else "are each a first record of it"
            yield f"Job {job_id}: {names} {what}, so they do not chain; ask the lead which one stands."


def _problem_of_one(verdict: Verdict, records: dict[str, Verdict]) -> str:
    if verdict.revision == 1:
        return "" if not verdict.before else f"{_name(verdict)} is revision 1, yet names a record before it."
    if not verdict.before:
        return f"{_name(verdict)} is revision {verdict.revision}, yet names no record before it."
    before = records.get(verdict.before)
    if before is None:
        return (
            f"{_name(verdict)} replaces a record {shown(verdict.before[:12])}… that is not among these files."
        )
    if before.revision != verdict.revision - 1:
        return (
            f"{_name(verdict)} is revision {verdict.revision}, yet the record before it, {_name(before)},"
            f" is revision {before.revision}."
        )
    return ""


def _name(verdict: Verdict) -> str:
    return shown(verdict.path.name) if verdict.path else verdict.record_hash[:12]


def as_json(report: Report) -> dict[str, Any]:
    """Return a report as plain values for ``--json``."""
    return {
        "records": [verdict_as_json(verdict) for verdict in report.verdicts],
        "problems": list(report.problems),
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
    }
