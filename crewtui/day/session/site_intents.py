"""Intents that change the plan on site: anchors, values filled in; and emergency, signature."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from crewtui.day.journal import entries as e
from crewtui.day.journal.beside_entries import ThingListed
from crewtui.day.session.intents import Part, ask_reason, asking, need, need_reason
from crewtui.day.session.setting_up import filled_in, listed, moved_values, plan_changes
from crewtui.day.steps.outcomes import Outcome, refuse


class SiteIntents(Part):
    """What the lead changes or fills in on site."""

    # Anchors on site.

    @asking
    def move_anchor(self, anchor: str, values: Mapping[str, float], *, reason: str) -> Outcome:
        """Set an anchor elsewhere or otherwise than planned: fields of the job file, with their unit."""
        now = self.day.anchor(anchor)
        need_reason(reason, "Why is it changed? The record keeps the reason.")
        moved_values(now.plan, values, self.day.job)
        return self.day.save(
            e.AnchorMoved(**self.day.times(None), anchor=anchor, values=dict(values), reason=reason)
        )

    @asking
    def add_anchor(self, anchor: str, wall: str, values: Mapping[str, float], *, reason: str) -> Outcome:
        """Add an anchor that the plan does not have."""
        if anchor in self.day.state.anchors:
            raise refuse(f"There is an anchor {anchor} already.")
        if wall not in {item.name for item in self.day.job.walls}:
            raise refuse(f"There is no wall {wall}.")
        need_reason(reason, "Why is it added? The record keeps the reason.")
        moved_values(None, {"along_in": -1.0, **values}, self.day.job, ident=anchor, wall=wall)
        return self.day.save(
            e.AnchorAdded(
                **self.day.times(None), anchor=anchor, wall=wall, values=dict(values), reason=reason
            )
        )

    @asking
    def drop_anchor(self, anchor: str, *, reason: str) -> Outcome:
        """Leave an anchor out; what makes its place safe can still be entered."""
        self.day.anchor(anchor)
        need_reason(reason, "Why is it dropped? The record keeps the reason.")
        return self.day.save(e.AnchorDropped(**self.day.times(None), anchor=anchor, reason=reason))

    # The job's own.

    @asking
    def set_up(
        self,
        table: str,
        values: Mapping[str, Any],
        *,
        name: str = "",
        reason: str = "",
        agreed_by: str = "",
    ) -> Outcome:
        """Fill in values that the job file does not have; strings are read as people write them.

        A value that replaces one of the plan's asks why and who agreed, and is a deviation.
        """
        plain = filled_in(self.day.state, table, name, values)
        replaces = plan_changes(self.day.state, table, name, plain)
        if replaces:
            ask_reason(reason, (f"This replaces the plan: {'; '.join(replaces)}.",), ())
            need(agreed_by, "Who agreed to change the plan? The record keeps the name.")
        return self.day.save(
            e.SetUp.model_validate(
                {
                    **self.day.times(None),
                    "table": table,
                    "name": name,
                    "values": plain,
                    "replaces": replaces,
                    "agreed_by": agreed_by if replaces else "",
                    "reason": reason if replaces else "",
                }
            )
        )

    @asking
    def list_thing(self, table: str, values: Mapping[str, Any]) -> Outcome:
        """Add something that the job file does not list; lengths are read as people write them."""
        return self.day.save(ThingListed.model_validate({
            **self.day.times(None), "table": table, "values": listed(self.day.state, table, values),
        }))  # fmt: skip

    @asking
    def answer_utility(self, utility: str, response: str, *, note: str = "") -> Outcome:
        """Fill in what a utility on the ticket answered."""
        ticket = self.day.job.ticket
        if ticket is None or utility not in {item.name for item in ticket.utilities}:
            raise refuse(f"There is no {utility} on the ticket.")
        listed = [item.model_dump(mode="json") for item in ticket.utilities]
        for item in listed:
            if item["name"] == utility:
                item.update({"response": response, "note": note})
        return self.set_up("ticket", {"utilities": listed})

    @asking
    def emergency(
        self, what: str, *, anchor: str | None = None, opened_at: datetime | None = None
    ) -> Outcome:
        """Keep what the emergency page was opened for, and when; looking at the page is no entry."""
        need(what, "Say in a word what happened.")
        now = self.day.clock()
        return self.day.save(e.Emergency(done_at=opened_at or now, typed_at=now, anchor=anchor, note=what))
