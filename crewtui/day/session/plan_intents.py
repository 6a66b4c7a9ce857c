"""Intents that say which plan the day goes on with, where the job file was edited while it is under way."""

from __future__ import annotations

from crewtui.day.journal import entries as e
from crewtui.day.session.intents import Part, asking, need, need_reason
from crewtui.day.session.plan_changes import JobOnDisk
from crewtui.day.state.kept_plan import as_kept
from crewtui.day.steps.outcomes import Outcome, refuse

_MOST_KEPT = 100
_LONGEST_KEPT = 300


class PlanIntents(Part):
    """The opened plan or the edited one."""

    @asking
    def take_edited_plan(self, *, name: str, reason: str) -> Outcome:
        """Work with the job file as it is now: the whole day is added up anew on it."""
        edited = self._edited()
        need(name, "Who takes the edited plan? Type the name.")
        need_reason(reason, "Why does the plan change? The record keeps the reason.")
        assert edited.job is not None  # noqa: S101 - an edited plan is one that was read
        return self.day.save(
            e.PlanChosen(
                **self.day.times(None),
                job_sha256=edited.sha256,
                plan=as_kept(edited.job),
                changes=self._kept_changes(),
                name=name,
                reason=reason,
            )
        )

    @asking
    def stay_with_opened_plan(self, *, name: str, reason: str = "") -> Outcome:
        """Go on with the plan that the day opened; the job file is not asked about again until it changes."""
        edited = self._edited()
        need(name, "Who says so? Type the name.")
        return self.day.save(
            e.PlanChosen(
                **self.day.times(None),
                job_sha256=edited.sha256,
                changes=self._kept_changes(),
                name=name,
                reason=reason,
            )
        )

    def _edited(self) -> JobOnDisk:
        edited = self.day.edited_plan
        if edited is None:
            raise refuse("The job file is the plan that the day works with.")
        return edited

    def _kept_changes(self) -> tuple[str, ...]:
        return tuple(line[:_LONGEST_KEPT] for line in self.day.plan_changes()[:_MOST_KEPT])
