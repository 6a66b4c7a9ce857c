"""An open day: its journal, the state that it adds up to, and how an entry gets into both."""

from __future__ import annotations

import os
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Final, Self

from msgspec.structs import replace

from crewtui import VERSION
from crewtui.day.journal import cursor
from crewtui.day.journal import entries as e
from crewtui.day.journal.chained import Clock, Journal, JournalError, journal_path
from crewtui.day.session.clock_dates import CLOCK_SLACK, clock_jump
from crewtui.day.session.entry_words import Wording
from crewtui.day.session.plan_changes import JobOnDisk, plan_changes
from crewtui.day.state.facts import Figures
from crewtui.day.state.fold import apply, fold, is_another_day, taken_back, with_entry
from crewtui.day.state.kept_plan import as_kept, kept_plan, stays_with_opened
from crewtui.day.state.site_fields import UnfitError
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.day.steps.hand_over import record_due
from crewtui.day.steps.outcomes import Saved, refuse
from crewtui.job.file import company_hazards
from crewtui.job.file.load import job_sha256
from crewtui.job.file.model import Job
from crewtui.job.file.rule_overrides import resolve
from crewtui.job.tables import steps as step_data
from crewtui.job.tables.hazards import Hazard
from crewtui.job.tables.steps import Scope, StepDef
from crewtui.units import count_of

RENEWED: Final = "What is renewed daily is asked again: inspection, marks, protective gear, power, briefing."
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
        self.steps: tuple[StepDef, ...] = step_data.load()
        self.reports: tuple[str, ...] = journal.reports
        """What was found on opening, in words."""
        self.plan_sha256 = ""
        """Hash of the job file that the plan was read from."""
        self.job_on_disk = JobOnDisk()
        self._figures = figures
        self._step_by_id: Mapping[str, StepDef] = {step.id: step for step in self.steps}
        self._before: dict[int, DayState] = {}
        """By number of a recent entry: the state before it, so that undo need not add up the whole day."""
        self._work_with(job)

    def _work_with(self, plan: Job) -> None:
        """Add the day up on this plan."""
        self.plan = plan
        """The plan that the day works with, whatever its file says by now."""
        self.rules = resolve(plan)
        self.hazards: tuple[Hazard, ...] = company_hazards.for_job(plan)
        if plan.job.day == "visit":
            of_day = [step for step in self.steps if step.of_day("visit")]
            self.hazards = tuple(one for one in self.hazards if any(one.protects(step) for step in of_day))
        self.wording = Wording(self._step_by_id, plan.job.units)
        self._before.clear()
        self.state: DayState = fold(plan, self.rules, self.journal.entries)

    @classmethod
    def open(cls, job_path: Path, *, clock: Clock = system_clock, figures: Figures | None = None) -> Self:
        """Load the job, take hold of its journal and add it up.

        Raises the job file's own error, or a JournalError (held, newer, unwritable); each is a sentence.
        """
        on_disk = JobOnDisk.read(job_path)
        path = journal_path(job_path)
        if on_disk.job is None and not os.path.lexists(path):
            raise on_disk.error
        return cls._on(on_disk, job_path, clock=clock, figures=figures)

    @classmethod
    def of(
        cls, job: Job, job_path: Path, *, clock: Clock = system_clock, figures: Figures | None = None
    ) -> Self:
        """Open the day of a job that is loaded already; raises JournalError as ``open`` does."""
        on_disk = JobOnDisk(sha256=job_sha256(job_path), job=job)
        return cls._on(on_disk, job_path, clock=clock, figures=figures)

    @classmethod
    def _on(cls, on_disk: JobOnDisk, job_path: Path, *, clock: Clock, figures: Figures | None) -> Self:
        journal = Journal.open(journal_path(job_path), clock=clock)
        try:
            plan, sha256 = _plan_of(journal, on_disk)
            day = cls(job_path=job_path, job=plan, journal=journal, clock=clock, figures=figures)
            day.plan_sha256, day.job_on_disk = sha256, on_disk
            day._begin()
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

    def _begin(self) -> None:
        """Enter that the day was opened, where day, program or plan is another than before."""
        now = self.clock()
        entries = self.journal.entries
        kept = kept_plan(entries)
        keep_plan = kept is None or kept.sha256 != self.plan_sha256
        before = next((entry for entry in reversed(entries) if isinstance(entry, e.DayOpened)), None)
        self._look_for_loss(entries)
        jump = clock_jump(entries[-1] if entries else None, now)
        if self.state.shared.unplaced:
            count = len(self.state.shared.unplaced)
            self._report(
                f"{count_of(count, 'entry')} of the journal fit nothing in this job: left out, kept there."
            )
        is_new_day = is_another_day(self.state.shared.day_began_at, now)
        if keep_plan or is_new_day or before is None or before.program != _PROGRAM:
            self._open_day(now, keep_plan=keep_plan)
        self._note(jump, now)
        if keep_plan and before is not None and before.job_sha256 != self.plan_sha256:
            self._note(self._other_job(before), now)
        self._report_edited()

    def _open_day(self, now: datetime, *, keep_plan: bool = False) -> None:
        began_at = self.state.shared.day_began_at
        if began_at is not None and is_another_day(began_at, now) and record_due(self.state):
            self._report(
                f"The record of {began_at:%a %Y-%m-%d} was not signed, and the company keeps one a day: sign"
                " it now (c), then go on."
            )
        self.put(
            e.DayOpened(
                done_at=now,
                typed_at=now,
                program=_PROGRAM,
                job=self.plan.job.id,
                job_sha256=self.plan_sha256,
                plan=as_kept(self.plan) if keep_plan else None,
            )
        )

    def turn_day(self) -> str:
        """Begin a new day where the clock's date is another than the one that the day began on.

        All that is renewed daily is then asked again. Returns that in words, empty where the day goes on.
        Raises JournalError.
        """
        now = self.clock()
        self._note(clock_jump(self.journal.last, now), now)
        if not is_another_day(self.state.shared.day_began_at, now):
            return ""
        self._open_day(now)
        words = f"A new day has begun: {now:%A %Y-%m-%d}. {RENEWED}"
        self._report(words)
        return words

    def _look_for_loss(self, entries: tuple[e.Entry, ...]) -> None:
        """Say where the journal has fewer entries than were seen in it: cut short, or put back."""
        seen = cursor.entries_seen(self.journal.path)
        if seen > len(entries):
            self._report(
                f"{self.journal.path.name} had {count_of(seen, 'entry')} when it was last open here, and has "
                f"{len(entries)} now: {seen - len(entries)} missing. Look for the newer file first."
            )

    def _other_job(self, before: e.DayOpened) -> str:
        if before.job != self.plan.job.id:
            return (
                f"This journal was begun for job {before.job}; the job file beside it is {self.plan.job.id}."
            )
        return "The job file was changed since the day was last opened: figures follow it as it is now."

    def _note(self, text: str, now: datetime) -> None:
        """Say what the program noticed by itself and keep it in the journal, where there is anything."""
        if text:
            self._report(text)
            self.put(e.Note(done_at=now, typed_at=now, text=text, by_program=True))

    # The plan, and the job file as it is by now.

    def look_at_job_file(self) -> None:
        """Read the job file anew, to see whether it was edited while the day is open."""
        self.job_on_disk = JobOnDisk.read(self.job_path)

    @property
    def edited_plan(self) -> JobOnDisk | None:
        """Return the job file where it says otherwise than the plan, and nobody has said which counts."""
        found = self.job_on_disk
        if found.job is None or found.sha256 == self.plan_sha256 or not plan_changes(self.plan, found.job):
            return None
        return None if stays_with_opened(self.journal.entries, found.sha256) else found

    def plan_changes(self) -> tuple[str, ...]:
        """Return what the edited job file has otherwise than the day's plan, field by field, in words."""
        edited = self.edited_plan
        return () if edited is None or edited.job is None else plan_changes(self.plan, edited.job)

    def _report_edited(self) -> None:
        if self.job_on_disk.job is None:
            self._report(
                f"The job file cannot be read now ({self.job_on_disk.trouble}). "
                "The day goes on with the plan that it opened."
            )
        elif self.edited_plan is not None:
            self._report(
                "The job file was edited since the day opened its plan: it differs in "
                f"{count_of(len(self.plan_changes()), 'place')}. The day goes on with the plan that it opened"
                " until you say otherwise."
            )

    def _report(self, sentence: str) -> None:
        self.reports = (*self.reports, sentence)

    # Entering.

    def put(self, entry: e.Entry) -> e.Entry:
        """Write the entry to the disk, then let the state follow; JournalError leaves both as they were."""
        placed = self.journal.append(entry)
        cursor.saw(self.journal.path, placed.n)
        if isinstance(placed, e.PlanChosen):
            self._work_with_kept()
        elif isinstance(placed, e.TakenBack):
            self._take_back(placed.of)
        else:
            self._add(placed)
        return placed

    def save(self, entry: e.Entry) -> Saved:
        """Put an entry in and say what was entered; raises JournalError as ``put`` does.

        What the state would leave out is refused: nobody is told that an entry without effect is saved.
        """
        try:
            with_entry(self.state, entry)
        except UnfitError as error:
            raise refuse(f"That cannot be entered: {error}.") from error
        placed = self.put(entry)
        return Saved(entry=placed, words=self.wording.say(placed))

    def save_copy(self, folder: str) -> str:
        """Write the journal, with the plan in it, into another folder, and say where; raises JournalError.

        It is the way on where a disk is full or gone, and what goes to the office on a stick.
        """
        named = Path(folder.strip().strip("\"'")).expanduser()
        if not folder.strip() or not named.is_dir():
            what = f"{named} is no folder" if folder.strip() else "No folder was named"
            raise JournalError(
                f"{what}.", "Type the folder of a stick or of another disk, as it is called here."
            )
        copy = self.journal.save_copy(named)
        return f"A copy of the day stands in {copy}: all {len(self.journal.entries)} entries, no pictures."

    def _work_with_kept(self) -> None:
        kept = kept_plan(self.journal.entries)
        job = None if kept is None else kept.job()
        if kept is not None and job is not None:
            self.plan_sha256 = kept.sha256
        self._work_with(job or self.plan)

    def _add(self, entry: e.Entry) -> None:
        self._before[entry.n] = self.state
        self._before.pop(entry.n - _KEPT_STATES, None)
        self.state = apply(self.state, entry)

    def _take_back(self, of: int) -> None:
        """Add up anew, from just before the entry where that state is kept."""
        entries = self.journal.entries
        if isinstance(entries[of - 1], e.PlanChosen | e.TakenBack):
            self._work_with_kept()
            return
        gone = taken_back(entries)
        before = self._before.get(of)
        if before is None:
            self._work_with(self.plan)
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
    def is_visit(self) -> bool:
        """Return whether a wall that is tied back is looked at: nothing is dug or driven."""
        return self.plan.job.day == "visit"

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
        day = self.plan.job.day
        return tuple(step for step in self.steps if step.scope == scope and step.of_day(day))

    def anchor(self, ident: str) -> AnchorNow:
        """Return the anchor as it stands; AskBackError if there is none or it was dropped."""
        now = self.state.anchors.get(ident)
        if now is None:
            raise refuse(f"There is no anchor {ident}.")
        if now.dropped:
            raise refuse(f"{ident} was dropped: {now.dropped}.")
        return now


def _plan_of(journal: Journal, on_disk: JobOnDisk) -> tuple[Job, str]:
    """Return the plan that the journal keeps, else that of the job file, with its hash."""
    kept = kept_plan(journal.entries)
    if kept is not None and kept.sha256 != on_disk.sha256:
        job = kept.job()
        if job is not None:
            return job, kept.sha256
    if on_disk.job is None:
        raise on_disk.error
    return on_disk.job, on_disk.sha256
