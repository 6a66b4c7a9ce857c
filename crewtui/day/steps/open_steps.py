"""What is left to do, at an anchor or for the job, by the labels of its steps."""

from __future__ import annotations

from typing import Final

from crewtui.day.state.state import AnchorNow, DayState
from crewtui.day.steps.step_rows import anchor_word, entered, is_needed
from crewtui.job.tables import steps
from crewtui.job.tables.steps import Scope

LEFT_COVERED: Final = "left covered, to be closed on another day"


def open_steps(state: DayState, now: AnchorNow) -> tuple[str, ...]:
    """Return what is left to do at an anchor; one left covered is not done either."""
    return open_in(state, now.id, "anchor") or ((LEFT_COVERED,) if anchor_word(now) != "closed" else ())


def open_in(state: DayState, anchor: str | None, scope: Scope) -> tuple[str, ...]:
    """Return the labels of the steps of a scope that are asked there and not entered."""
    return tuple(
        step.label
        for step in steps.of_scope(scope)
        if entered(state, step, anchor) is None and is_needed(state, step, anchor)
    )
