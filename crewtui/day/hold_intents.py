"""Intents about holds, hazards and what is asked once: signed, set aside, answered, reopened."""

from __future__ import annotations

from datetime import datetime

from crewtui.day import entries as e
from crewtui.day.conditions import FACTS
from crewtui.day.holds import Hold
from crewtui.day.intents import Intents, asking, need
from crewtui.day.outcomes import Outcome, refuse


class HoldIntents(Intents):
    """What the lead says about holds."""

    def _standing(self, hold: str, anchor: str | None) -> Hold:
        for found in self.standing_holds(anchor):
            if found.id == hold:
                return found
        raise refuse(f"{hold} holds nothing here now.")

    @asking
    def release_hold(
        self,
        hold: str,
        anchor: str | None,
        *,
        initials: str,
        note: str = "",
        done_at: datetime | None = None,
    ) -> Outcome:
        """Say that what a hold asks for is true, with initials or a name; a fact is not signed away."""
        found = self._standing(hold, anchor)
        if found.release == "fact":
            raise refuse(found.sentence)
        who = "a name" if found.release == "name" else "initials"
        need(initials, f"This is released with {who}.")
        if found.held_by == "hazard":
            return self.answer_hazard(
                hold, in_place=True, initials=initials, anchor=found.anchor, note=note, done_at=done_at
            )
        return self._save(
            e.HoldReleased(
                **self.times(done_at), hold=hold, anchor=found.anchor, initials=initials, note=note
            )
        )

    @asking
    def override_hold(self, hold: str, anchor: str | None, *, name: str, reason: str) -> Outcome:
        """Set a hold aside where its rule lets it, with who allowed it and why: a deviation."""
        found = self._standing(hold, anchor)
        if found.override == "never":
            raise refuse(f"This is never set aside. {found.way_on}")
        need(name, "Who allowed it? The record keeps the name.")
        need(reason, "Why? The record keeps the reason.")
        return self._save(
            e.HoldOverridden(**self.times(None), hold=hold, anchor=found.anchor, name=name, reason=reason)
        )

    @asking
    def answer_hazard(
        self,
        hazard: str,
        *,
        in_place: bool,
        initials: str,
        anchor: str | None = None,
        note: str = "",
        done_at: datetime | None = None,
    ) -> Outcome:
        """Say that what a hazard asks for is in place, or that it is not."""
        found = next((item for item in self.hazards if item.id == hazard), None)
        if found is None:
            raise refuse(f"There is no hazard {hazard}.")
        if found.scope == "anchor" and anchor is None:
            raise refuse(f"{found.text}: this is answered at an anchor.")
        where = anchor if found.scope == "anchor" else None
        if where is not None:
            self.anchor(where)
        need(initials, "Sign it with your initials." if found.release == "check" else "Sign it with a name.")
        return self._save(
            e.HazardAnswered(
                **self.times(done_at),
                hazard=hazard,
                anchor=where,
                in_place=in_place,
                initials=initials,
                note=note,
            )
        )

    @asking
    def answer_pit_entry(self, anchor: str, *, somebody: bool, done_at: datetime | None = None) -> Outcome:
        """Say whether anybody's head or trunk goes below this pit's rim."""
        self.anchor(anchor)
        return self._save(e.PitEntryAnswered(**self.times(done_at), anchor=anchor, somebody=somebody))

    @asking
    def answer_fact(self, fact: str, *, answer: bool, initials: str = "", note: str = "") -> Outcome:
        """Answer a question asked once a job."""
        if fact not in FACTS:
            raise refuse(f"{fact} is not asked.")
        return self._save(
            e.FactAnswered(**self.times(None), fact=fact, answer=answer, initials=initials, note=note)
        )

    @asking
    def accept_deviation(self, n: int, *, name: str, reason: str) -> Outcome:
        """Have somebody named accept a deviation that stands."""
        if n not in {item.n for item in self.state.deviations}:
            raise refuse(f"Entry {n} is no deviation that stands.")
        need(name, "Who accepts it?")
        need(reason, "Why is it accepted?")
        return self._save(e.DeviationAccepted(**self.times(None), of=n, name=name, reason=reason))

    @asking
    def reopen_inspection(self, because: str) -> Outcome:
        """Have the open pits looked over again, after rain, thaw, vibration or a burst hose."""
        need(because, "What happened: rain, thaw, vibration, a burst hose?")
        return self._save(e.Reopened(**self.times(None), because=because))
