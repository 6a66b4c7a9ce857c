"""Intents about what the permit or the engineer wants to see: wanted, asked for, come and passed, or not."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from crewtui.day.journal import beside_entries as b
from crewtui.day.safety.inspections import Inspection, inspections
from crewtui.day.session.intents import Part, asking, need
from crewtui.day.steps.outcomes import Outcome, refuse
from crewtui.job.tables.steps import phase_or_step


class InspectionIntents(Part):
    """What is to be seen before a step."""

    def listed(self) -> tuple[Inspection, ...]:
        """Return all that is to be seen, and how far it has come."""
        return inspections(self.day.state)

    def _wanted(self, what: str) -> Inspection:
        found = next((one for one in self.listed() if one.what == what), None)
        if found is None:
            raise refuse(f"Nobody wants to see {what[:60]}: enter first that it is to be seen.")
        return found

    @asking
    def want_inspection(self, what: str, *, before: str = "backfill", wanted_by: str = "") -> Outcome:
        """Keep that something is to be seen before a phase or a step: that step waits for it."""
        need(what, "What is to be seen?")
        if any(one.what == what for one in self.listed()):
            raise refuse(f"{what} is on the list already.")
        try:
            phase_or_step(before)
        except ValueError as error:
            raise refuse(str(error)) from error
        return self.day.save(
            b.InspectionWanted(**self.day.times(None), what=what, before=before, wanted_by=wanted_by)
        )

    @asking
    def ask_inspection(
        self, what: str, *, of: str = "", expected: str = "", done_at: datetime | None = None
    ) -> Outcome:
        """Keep that an inspection was asked for: of whom, and when they mean to come."""
        self._wanted(what)
        return self.day.save(
            b.InspectionAsked(**self.day.times(done_at), what=what, of=of, expected=expected)
        )

    @asking
    def inspected(
        self,
        what: str,
        *,
        came: bool = True,
        passed: bool = False,
        name: str = "",
        found: str = "",
        anchors: Sequence[str] = (),
        done_at: datetime | None = None,
    ) -> Outcome:
        """Keep who came and the result, of some anchors or of all; or that nobody came."""
        self._wanted(what)
        for anchor in anchors:
            self.day.anchor(anchor)
        if came:
            need(name, "Who came? The record keeps the name.")
        if came and not passed:
            need(found, "What is not right, in their words?")
        return self.day.save(
            b.InspectionMade(
                **self.day.times(done_at),
                what=what,
                came=came,
                passed=came and passed,
                name=name,
                found=found,
                anchors=tuple(anchors),
            )
        )
