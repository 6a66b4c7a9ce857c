"""The plan that a day works with: the one that its journal keeps, whatever became of the job file since."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct
from pydantic import ValidationError

from crewtui.day.journal import entries as e
from crewtui.day.journal.entry_parts import Plan
from crewtui.day.state.fold import taken_back
from crewtui.job.file.model import Job


class KeptPlan(Struct, frozen=True, kw_only=True):
    """A plan as its job file was checked, with the hash of that file's bytes."""

    plan: Plan
    sha256: str

    def job(self) -> Job | None:
        """Return the plan's job; None where this version of the program cannot read it."""
        try:
            return Job.model_validate(self.plan)
        except (ValidationError, RecursionError):
            return None


def as_kept(job: Job) -> Plan:
    """Return a plan as an entry keeps it: as its model dumps it, without what is empty."""
    return job.model_dump(mode="json", exclude_none=True)


def kept_plan(entries: Iterable[e.Entry]) -> KeptPlan | None:
    """Return the plan that the day works with; None where no entry keeps one."""
    listed = tuple(entries)
    gone = taken_back(listed)
    for entry in reversed(listed):
        if isinstance(entry, e.DayOpened | e.PlanChosen) and entry.plan is not None and entry.n not in gone:
            return KeptPlan(plan=entry.plan, sha256=entry.job_sha256)
    return None


def stays_with_opened(entries: Iterable[e.Entry], job_sha256: str) -> bool:
    """Return whether the lead has said to go on with the opened plan although the job file reads so now."""
    listed = tuple(entries)
    gone = taken_back(listed)
    chosen = next(
        (one for one in reversed(listed) if isinstance(one, e.PlanChosen) and one.n not in gone), None
    )
    return chosen is not None and chosen.plan is None and chosen.job_sha256 == job_sha256
