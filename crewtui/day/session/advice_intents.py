"""Intents that take what the program advises: weighed first, then set, and judged anew."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from crewtui.day.journal import entries as e
from crewtui.day.session.intents import Intents, asking, need
from crewtui.day.steps.advice import Advice, Weighed
from crewtui.day.steps.outcomes import Outcome

if TYPE_CHECKING:
    from crewtui.day.recovery.ways_on import WhatNowSheet

WHO_AGREED: Final = "Who agreed? The record keeps the name."


class AdviceIntents(Intents):
    """What the program advises, and taking it."""

    def advice(self, anchor: str) -> tuple[Advice, ...]:
        """Return what can be done at an anchor about what holds there, each as it can be taken."""
        from crewtui.day.steps.drift_advice import drift_advice  # noqa: PLC0415 - as above
        from crewtui.day.steps.line_advice import line_advice  # noqa: PLC0415 - arithmetic, not needed to open

        facts = self.facts(anchor)
        return (*line_advice(facts), *drift_advice(self.state, facts))

    def what_now(
        self,
        anchor: str,
        texts: Mapping[str, str],
        *,
        measured_to: str = "middle",
        not_found: bool = False,
        at_stop_mark: bool | None = None,
    ) -> WhatNowSheet:
        """Return how a rod ran and every way on, each with the holds and rules that it would bring."""
        from crewtui.day.recovery.ways_on import what_now  # noqa: PLC0415 - arithmetic, not needed to open a day

        return what_now(
            self.state,
            anchor,
            texts,
            measured_to=measured_to,
            not_found=not_found,
            at_stop_mark=at_stop_mark,
            facts_of_holds=self.hold_facts(anchor),
        )

    def weigh(self, advice: Advice) -> Weighed:
        """Return what would come of an advice: before and after, holds and rules, who has to agree."""
        from crewtui.day.steps.weighing import weigh  # noqa: PLC0415 - arithmetic, not needed to open a day

        return weigh(self.hold_facts(advice.anchor), advice, self._taken(advice, ""), self.steps_of("anchor"))

    @asking
    def take_advice(self, advice: Advice, *, agreed_by: str = "") -> Outcome:
        """Set what was advised, no deviation; a name is needed where the plan or the company is left."""
        self.anchor(advice.anchor)
        if self.weigh(advice).leaves:
            need(agreed_by, WHO_AGREED)
        return self._save(self._taken(advice, agreed_by))

    def _taken(self, advice: Advice, agreed_by: str) -> e.AimChanged | e.DriftAccepted:
        if advice.drift is not None:
            wall, mean_deg = advice.drift
            return e.DriftAccepted(**self.times(None), wall=wall, mean_deg=mean_deg, on=True)
        return e.AimChanged(
            **self.times(None),
            anchor=advice.anchor,
            values=dict(advice.values),
            because=advice.words,
            advised=advice.by_program,
            agreed_by=agreed_by,
        )


__all__ = ["WHO_AGREED", "AdviceIntents"]
