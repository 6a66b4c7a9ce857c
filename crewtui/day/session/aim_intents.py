"""Intents that set an aim: advice weighed and taken, another aim than the plan's, the drift of the wall."""

from __future__ import annotations

from typing import Final

from msgspec.structs import replace

from crewtui.day.journal import entries as e
from crewtui.day.session.intents import Part, asking, need
from crewtui.day.session.setting_up import moved_values
from crewtui.day.steps.advice import Advice, Weighed
from crewtui.day.steps.outcomes import Outcome, refuse

WHO_AGREED: Final = "Who agreed? The record keeps the name."


class AimIntents(Part):
    """What is aimed for: what the program advises, and what is set."""

    def advice(self, anchor: str) -> tuple[Advice, ...]:
        """Return what can be done at an anchor about what holds there, each as it can be taken."""
        from crewtui.day.steps.drift_advice import drift_advice  # noqa: PLC0415 - as above
        from crewtui.day.steps.line_advice import (  # noqa: PLC0415 - arithmetic, not needed to open
            line_advice,
            yard_advice,
        )
        from crewtui.day.steps.window_advice import window_advice  # noqa: PLC0415 - the same

        facts = self.day.facts(anchor)
        state = self.day.state
        return (
            *line_advice(facts),
            *yard_advice(facts),
            *drift_advice(state, facts),
            *window_advice(state, facts),
        )

    def weigh(self, advice: Advice) -> Weighed:
        """Return what would come of an advice: before and after, holds and rules, who has to agree."""
        from crewtui.day.steps.weighing import weigh  # noqa: PLC0415 - arithmetic, not needed to open a day
        from crewtui.day.wall.move_advice import brought_to_wall  # noqa: PLC0415 - the same

        weighed = weigh(
            self.day.hold_facts(advice.anchor), advice, self._taken(advice, ""), self.day.steps_of("anchor")
        )
        if not advice.moves:
            return weighed
        brings = brought_to_wall(self.day.state, advice.anchor, advice.moves)
        return replace(weighed, brings=(*weighed.brings, *brings))

    @asking
    def take_advice(self, advice: Advice, *, agreed_by: str = "") -> Outcome:
        """Set what was advised, no deviation; a name is needed where the plan or the company is left."""
        self.day.anchor(advice.anchor)
        if self.weigh(advice).leaves:
            need(agreed_by, WHO_AGREED)
        return self.day.save(self._taken(advice, agreed_by))

    @asking
    def accept_drift(self, wall: str, mean_deg: float, *, on: bool = True) -> Outcome:
        """Use a wall's drift in the aim, or stop using it."""
        if wall not in {item.name for item in self.day.job.walls}:
            raise refuse(f"There is no wall {wall}.")
        return self.day.save(e.DriftAccepted(**self.day.times(None), wall=wall, mean_deg=mean_deg, on=on))

    def _taken(self, advice: Advice, agreed_by: str) -> e.AimChanged | e.AnchorMoved | e.DriftAccepted:
        if advice.drift is not None:
            wall, mean_deg = advice.drift
            return e.DriftAccepted(**self.day.times(None), wall=wall, mean_deg=mean_deg, on=True)
        if advice.moves:
            moved_values(self.day.anchor(advice.anchor).plan, advice.moves, self.day.job)
            return e.AnchorMoved(
                **self.day.times(None),
                anchor=advice.anchor,
                values=dict(advice.moves),
                reason=advice.words,
                agreed_by=agreed_by,
            )
        return e.AimChanged(
            **self.day.times(None),
            anchor=advice.anchor,
            values=dict(advice.values),
            because=advice.words,
            advised=advice.by_program,
            agreed_by=agreed_by,
        )


__all__ = ["WHO_AGREED", "AimIntents"]
