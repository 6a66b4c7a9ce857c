"""An open day: its journal, the state that it adds up to, and how an entry gets into both."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import TracebackType
from typing import Any, Final, Self

from msgspec.structs import replace

from crewtui import VERSION
from crewtui.day.journal import entries as e
from crewtui.day.journal.chained import Clock, Journal, journal_path
from crewtui.day.session.entry_words import Wording
from crewtui.day.state.facts import Figures
from crewtui.day.state.fold import apply, fold, taken_back
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.day.steps.outcomes import refuse
from crewtui.job.file import company_hazards
from crewtui.job.file.load import job_sha256, load_job
from crewtui.job.file.model import Job
from crewtui.job.file.rule_overrides import resolve
from crewtui.job.tables import steps as step_data
from crewtui.job.tables.hazards import Hazard
from crewtui.job.tables.steps import Scope, StepDef

CLOCK_SLACK: Final = timedelta(minutes=5)
"""How far ahead of the clock something done may be dated."""
_KEPT_STATES: Final = 60
"""States before recent entries that are kept; they share what they have in common."""
_PROGRAM: Final = f"crewtui {VERSION}"


def system_clock() -> datetime:
    """Return the time now, with the machine's own offset."""
    return datetime.now().astimezone()


class OpenDay:
    """The day as it stands; intents that change it are in ``session.Day``."""

    def __init__(
        self, *, job_path: Path, job: Job, journal: Journal, clock: Clock, figures: Figures | None
    ) -> None:
        self.job_path = job_path
        self.clock = clock
        self.journal = journal
        self.plan = job
        """The job as its file has it."""
        self.rules = resolve(job)
        self.steps: tuple[StepDef, ...] = step_data.load()
        self.hazards: tuple[Hazard, ...] = company_hazards.for_job(job)
        self.reports: tuple[str, ...] = journal.reports
        """What was found on opening, in words."""
        self._figures = figures
        self._step_by_id: Mapping[str, StepDef] = {step.id: step for step in self.steps}
        self.wording = Wording(self._step_by_id, job.job.units)
        self._before: dict[int, DayState] = {}
        """By number of a recent entry: the state before it, so that undo need not add up the whole day."""
        self.state: DayState = fold(job, self.rules, journal.entries)

    @classmethod
    def open(cls, job_path: Path, *, clock: Clock = system_clock, figures: Figures | None = None) -> Self:
        """Load the job, take hold of its journal and add it up.

        Raises the job file's own error, or a JournalError (held, newer, unwritable); each is a sentence.
        """
        job = load_job(job_path)
        return cls.of(job, job_path, clock=clock, figures=figures)

    @classmethod
    def of(
        cls, job: Job, job_path: Path, *, clock: Clock = system_clock, figures: Figures | None = None
    ) -> Self:
        """Open the day of a job that is loaded already; raises JournalError as ``open`` does."""
        sha256 = job_sha256(job_path)
        journal = Journal.open(journal_path(job_path), clock=clock)
        try:
            day = cls(job_path=job_path, job=job, journal=journal, clock=clock, figures=figures)
            day._begin(sha256)
        except BaseException:
            journal.close()
            raise
        return day

    def close(self) -> None:
        """Let go of the journal."""
        self.journal.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    # Opening.

    def _begin(self, sha256: str) -> None:
        """Enter that the day was opened, where day, program or job file is another than before."""
        now = self.clock()
        entries = self.journal.entries
        before = next((entry for entry in reversed(entries) if isinstance(entry, e.DayOpened)), None)
        if entries and entries[-1].typed_at - now > CLOCK_SLACK:
            self._report(
                f"The clock says {now:%Y-%m-%d %H:%M}, but the last entry was typed at "
                f"{entries[-1].typed_at:%Y-%m-%d %H:%M}. Set the clock if it is wrong; nothing is lost."
            )
        if self.state.shared.unplaced:
            count = len(self.state.shared.unplaced)
            self._report(
                f"{count} entries fit nothing in this job file; they stay in the journal and are left out."
            )
        is_other_job = before is not None and before.job_sha256 != sha256
        is_new_day = before is None or self.state.shared.day_began_at is None
        is_new_day = is_new_day or now.date() > _local_date(self.state.shared.day_began_at, now)
        if is_new_day or is_other_job or (before is not None and before.program != _PROGRAM):
            opened = e.DayOpened(
                done_at=now, typed_at=now, program=_PROGRAM, job=self.plan.job.id, job_sha256=sha256
            )
            self.put(opened)
        if is_other_job and before is not None:
            self._report_other_job(before, now)

    def _report_other_job(self, before: e.DayOpened, now: datetime) -> None:
        text = "The job file was changed since the day was last opened: figures follow it as it is now."
        if before.job != self.plan.job.id:
            text = (
                f"This journal was begun for job {before.job}; the job file beside it is {self.plan.job.id}."
            )
        self._report(text)
        self.put(e.Note(done_at=now, typed_at=now, text=text, by_program=True))

    def _report(self, sentence: str) -> None:
        self.reports = (*self.reports, sentence)

    # Entering.

    def put(self, entry: e.Entry) -> e.Entry:
        """Write the entry to the disk, then let the state follow; JournalError leaves both as they were."""
        placed = self.journal.append(entry)
        if isinstance(placed, e.TakenBack):
            self._take_back(placed.of)
        else:
            self._add(placed)
        return placed

    def _add(self, entry: e.Entry) -> None:
        self._before[entry.n] = self.state
        self._before.pop(entry.n - _KEPT_STATES, None)
        self.state = apply(self.state, entry)

    def _take_back(self, of: int) -> None:
        """Add up anew, from just before the entry where that state is kept."""
        entries = self.journal.entries
        gone = taken_back(entries)
        before = self._before.get(of)
        if before is None or isinstance(entries[of - 1], e.TakenBack):
            self._before.clear()
            self.state = fold(self.plan, self.rules, entries)
            return
        self.state = before
        for entry in entries[of - 1 :]:
            self._before.pop(entry.n, None)
            if entry.n not in gone:
                self._add(entry)
        self.state = replace(self.state, taken_back=gone, last_n=entries[-1].n)

    def times(self, done_at: datetime | None) -> dict[str, Any]:
        """Return the two times of an entry; something done later than now is asked back."""
        typed_at = self.clock()
        if done_at is None:
            return {"done_at": typed_at, "typed_at": typed_at}
        if done_at.tzinfo is None:
            raise ValueError("done_at carries its offset from UTC")
        if done_at - typed_at > CLOCK_SLACK:
            raise refuse(f"{done_at:%Y-%m-%d %H:%M} is still to come: it is {typed_at:%Y-%m-%d %H:%M} now.")
        return {"done_at": done_at, "typed_at": typed_at}

    # What stands.

    @property
    def job(self) -> Job:
        """Return the job file with what was filled in on site."""
        return self.state.job

    @property
    def saved_at(self) -> datetime | None:
        """Return when the last entry was typed."""
        last = self.journal.last
        return last.typed_at if last is not None else None

    def step(self, ident: str) -> StepDef:
        """Return the step of that id; AskBackError if there is none."""
        found = self._step_by_id.get(ident)
        if found is None:
            raise refuse(f"There is no step {ident}.")
        return found

    def steps_of(self, scope: Scope) -> tuple[StepDef, ...]:
        """Return the steps of one scope, in order."""
        return tuple(step for step in self.steps if step.scope == scope)

    def anchor(self, ident: str) -> AnchorNow:
        """Return the anchor as it stands; AskBackError if there is none or it was dropped."""
        now = self.state.anchors.get(ident)
        if now is None:
            raise refuse(f"There is no anchor {ident}.")
        if now.dropped:
            raise refuse(f"{ident} was dropped: {now.dropped}.")
        return now


def _local_date(moment: datetime | None, now: datetime) -> Any:
    return (moment or now).astimezone(now.tzinfo or UTC).date()
