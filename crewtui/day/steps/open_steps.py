"""What is left to do, at an anchor or for the job, by the labels of its steps."""

from __future__ import annotations

from typing import Final

from crewtui.day.state.kind_of_day import kind_of_day, was_only_read
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.day.steps.step_rows import anchor_word, entered, is_needed
from crewtui.job.tables import steps
from crewtui.job.tables.steps import Scope

LEFT_COVERED: Final = "left covered, to be closed on another day"


def open_steps(state: DayState, now: AnchorNow) -> tuple[str, ...]:
    """Return what is left to do at an anchor; one left covered is not done either.

    On a visit an anchor that was only read is done with its reading; whoever looks at it or turns its nut
    finishes that with a word.
    """
    if kind_of_day(state) == "visit" and (now.readings or not was_only_read(now)):
        return () if was_only_read(now) else open_in(state, now.id, "anchor")
    return open_in(state, now.id, "anchor") or ((LEFT_COVERED,) if anchor_word(now) != "closed" else ())


def open_in(state: DayState, anchor: str | None, scope: Scope) -> tuple[str, ...]:
    """Return the labels of the steps of a scope that are asked there and not entered; of a visit, none."""
    if anchor is None and kind_of_day(state) == "visit":
        return ()
    return tuple(
        step.label
        for step in steps.of_scope(scope, state.job.job.day)
        if entered(state, step, anchor) is None and is_needed(state, step, anchor)
    )
