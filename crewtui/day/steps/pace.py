"""How the day goes: minutes an anchor so far, and when the rest would be done, with the spread."""

from __future__ import annotations

from datetime import datetime, timedelta
from statistics import median, quantiles

from msgspec import Struct

from crewtui.day.state.state import DayState
from crewtui.day.steps.step_rows import AnchorRow

_FOR_A_PACE = 0.2
"""Anchors' worth of steps that a pace is told from: two steps of a morning tell none."""
_FOR_A_SPREAD = 3
"""Anchors' worth of steps that a spread is told from; fewer give the median alone."""


class Pace(Struct, frozen=True, kw_only=True):
    """Minutes of work an anchor, from the time between entries, and the finish that follows."""

    minutes_each: float | None
    """Median; None until something can be told."""
    left: float
    """Anchors still to do, in whole anchors' worth of steps."""
    finish_at: datetime | None
    finish_early: datetime | None
    finish_late: datetime | None


LONGEST_GAP = timedelta(minutes=45)
"""A longer time without an entry is a break, from memory; it counts for no anchor."""


def pace(
    state: DayState, rows: tuple[AnchorRow, ...], stamps: tuple[tuple[str, datetime], ...], now: datetime
) -> Pace:
    """Return the pace from the anchors' rows and from when each entry at an anchor was done, in time's order.

    Crews work a phase across all anchors, so an anchor's minutes are the gaps before its own entries, scaled
    to all its steps.
    """
    minutes = _minutes_by_anchor(stamps)
    live = [
        row for row in rows if row.id in state.anchors and not state.anchors[row.id].dropped and row.total
    ]
    each = [minutes[row.id] * row.total / row.done for row in live if row.done and minutes.get(row.id)]
    if sum(row.done / row.total for row in live) < _FOR_A_PACE:
        each = []
    left = sum(1 - row.done / row.total for row in live)
    middle = median(each) if each else None
    low = high = None
    if len(each) >= _FOR_A_SPREAD:
        low, _, high = quantiles(each, n=4, method="inclusive")

    def finish(minutes_each: float | None) -> datetime | None:
        return now + timedelta(minutes=minutes_each * left) if minutes_each is not None else None

    return Pace(
        minutes_each=middle,
        left=left,
        finish_at=finish(middle),
        finish_early=finish(low),
        finish_late=finish(high),
    )


def _minutes_by_anchor(stamps: tuple[tuple[str, datetime], ...]) -> dict[str, float]:
    found: dict[str, float] = {}
    before: datetime | None = None
    for anchor, at in sorted(stamps, key=lambda stamp: stamp[1]):
        gap = at - before if before is not None else timedelta(0)
        if gap <= LONGEST_GAP:
            found[anchor] = found.get(anchor, 0.0) + gap.total_seconds() / 60
        before = at
    return found
