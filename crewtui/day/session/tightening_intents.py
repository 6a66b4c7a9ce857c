"""Intents of tightening: one round at one anchor, with what the wrench was set to and whether it clicked."""

from __future__ import annotations

from datetime import datetime

from crewtui import units
from crewtui.day.figures import tightening_grid
from crewtui.day.figures.tightening_grid import Grid, RoundCell
from crewtui.day.journal import entries as e
from crewtui.day.session.intents import Part, ask_reason, asking
from crewtui.day.state.state import TIGHTENINGS, Tightening
from crewtui.day.steps.outcomes import Outcome, refuse
from crewtui.trade.tightening.torque import check_click


class TighteningIntents(Part):
    """What the lead enters of the rounds along a wall."""

    def grid(self, wall: str, which: Tightening) -> Grid:
        """Return the rounds of one tightening along a wall, as planned and as done."""
        return tightening_grid.grid(self.day.state, wall, which)

    @asking
    def tighten_round(
        self,
        anchor: str,
        which: Tightening,
        number: int,
        *,
        clicked: bool = True,
        came_in: str = "",
        reason: str = "",
        done_at: datetime | None = None,
    ) -> Outcome:
        """Keep one round before the last: the wrench set as figured, clicked or not, how far the nut came.

        The last round is the torque's own step. Past the limit of pull-in without a click it asks for a
        reason, and the anchor's tightening is held until somebody named lets it go on.
        """
        times = self.day.times(done_at)
        now = self.day.anchor(anchor)
        cell = self._cell(now.wall, anchor, which, number)
        if cell.torque_lbf_ft is None or cell.set_lbf_ft is None:
            raise refuse("No torque is known here: ask the office for the figure.")
        came_in_in = self._came_in(came_in)
        said = check_click(
            cell.set_lbf_ft,
            wanted_setting_lbf_ft=cell.set_lbf_ft,
            clicked=clicked,
            pull_in_in=came_in_in,
            pull_in_greatest_in=self.day.state.rules.number("pull_in_greatest_in"),
        )
        if not clicked and came_in_in is None:
            raise refuse("It did not come up: tape how far the nut's mark came in, and enter that with it.")
        holds = self.day.holds_on(TIGHTENINGS[which].step, anchor, done_at=done_at)
        stopped = said.state == "stop"
        ask_reason(reason, (said.words,) if stopped else (), holds)
        return self.day.save(
            e.RoundTightened(
                **times,
                anchor=anchor,
                tightening=which,
                round=number,
                of=cell.of,
                torque_lbf_ft=cell.torque_lbf_ft,
                set_lbf_ft=cell.set_lbf_ft,
                clicked=clicked,
                came_in_in=came_in_in,
                reason=reason,
                deviates=stopped,
                while_held=tuple(hold.id for hold in holds),
            )
        )

    def _cell(self, wall: str, anchor: str, which: Tightening, number: int) -> RoundCell:
        try:
            cell = self.grid(wall, which).at(anchor, number)
        except KeyError:
            raise refuse(f"There is no round {number} at {anchor}.") from None
        if cell.last:
            raise refuse("The last round is the torque's own step: enter it there.")
        return cell

    def _came_in(self, text: str) -> float | None:
        if not text.strip():
            return None
        try:
            value = units.read_length(text, bare="mm" if self.day.job.job.units == "metric" else "in")
        except units.UnreadableError as error:
            raise refuse(str(error)) from error
        if value < 0:
            raise refuse("A nut comes in; what it went back is no pull-in.")
        return value
