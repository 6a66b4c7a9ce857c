"""Intents about a rod in the pit: how it ran, the way on, and whether it counts for the drift."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import TYPE_CHECKING

from crewtui.day.journal import entries as e
from crewtui.day.recovery.way_entries import DEPTH_FOUND, RodFound, judged_found, untold, way_entries
from crewtui.day.session.intents import Part, ask_reason, asking, need_reason
from crewtui.day.state.state import ACCEPT
from crewtui.day.steps import typed_value
from crewtui.day.steps.outcomes import Outcome, refuse

if TYPE_CHECKING:
    from crewtui.day.recovery.ways_on import WhatNowSheet


class RodIntents(Part):
    """What is said of a rod that was driven."""

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
            self.day.state,
            anchor,
            texts,
            measured_to=measured_to,
            not_found=not_found,
            at_stop_mark=at_stop_mark,
            facts_of_holds=self.day.hold_facts(anchor),
        )

    @asking
    def take_way(
        self,
        anchor: str,
        way: e.Way,
        *,
        depth_found_in: float | None,
        held_angle_deg: float | None = None,
        side_offset_in: float | None = None,
        angle_in_pit_deg: float | None = None,
        straight: bool = True,
        left_out_reason: str = "",
        reason: str = "",
        done_at: datetime | None = None,
    ) -> Outcome:
        """Keep where a rod came up, as its steps do, then the way on: its new aim is then every figure's.

        What is measured already is not entered again. No depth means that the rod did not show.
        """
        times = self.day.times(done_at)
        now = self.day.anchor(anchor)
        held = held_angle_deg if held_angle_deg is not None else now.here("held_angle_deg")
        if held is None:
            raise refuse("At which angle was the rod held? The way on rests on it.")
        if depth_found_in is None and way.kind == ACCEPT:
            raise refuse("A rod that did not show cannot be accepted: search for it, or choose another way.")
        rod = RodFound(held_angle_deg=held, depth_found_in=depth_found_in, side_offset_in=side_offset_in)
        seen = {} if angle_in_pit_deg is None else {"angle_in_pit_deg": angle_in_pit_deg}
        for quantity, value in {**untold(self.day.state, anchor, rod), **seen}.items():
            typed_value.refuse_impossible(quantity, value, self.day.state, now)
        judged = judged_found(self.day.state, rod, self.day.facts(anchor), way)
        outside = [one for one in judged.values() if one.outside] if way.kind == ACCEPT else []
        holds = self.day.holds_on(DEPTH_FOUND, anchor, done_at=done_at)
        limit = outside[0].limit if outside else ""
        ask_reason(reason, tuple(one.sentence for one in outside), holds, limit=limit)
        entries = way_entries(
            self.day.state,
            anchor,
            rod,
            way,
            times=times,
            judged=judged,
            holds=tuple(hold.id for hold in holds),
            reason=reason,
            angle_in_pit_deg=angle_in_pit_deg,
            straight=straight,
            left_out_reason=left_out_reason,
        )
        for entry in tuple(entries):
            saved = self.day.save(entry)
        return saved

    @asking
    def count_drive(self, anchor: str, n: int, *, counts: bool, reason: str = "") -> Outcome:
        """Leave the drive of entry ``n`` out of its wall's drift, with a reason, or let it count again."""
        if n not in {drive.n for drive in self.day.anchor(anchor).drives}:
            raise refuse("No rod was driven by that entry.")
        if not counts:
            need_reason(reason, "Why does this rod not count? The record keeps the reason.")
        return self.day.save(
            e.DriveLeftOut(**self.day.times(None), anchor=anchor, of=n, reason="" if counts else reason)
        )
