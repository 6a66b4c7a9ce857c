"""What is open at signing, and the figures that each anchor was worked to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from msgspec import Struct, field

from crewtui.day.figures.figures_shown import worked_to
from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.state.state import DayState
from crewtui.day.steps.open_steps import open_in, open_steps


class Progress(Struct, frozen=True, kw_only=True):
    """What is open: for each anchor that is not done, and for the job under ``""``, its open steps."""

    open_steps: Mapping[str, Sequence[str]] = field(default_factory=dict)
    figures: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    """For each anchor the figures that were worked to, by name."""

    @property
    def complete(self) -> bool:
        """Whether nothing is open."""
        return not any(self.open_steps.values())


def progress_of(state: DayState) -> Progress:
    """Return the open steps of every anchor that is to be set, and of the job before and after them."""
    found = {"": open_in(state, None, "before") + open_in(state, None, "after")}
    found |= {now.id: open_steps(state, now) for now in state.live()}
    return Progress(
        open_steps=found, figures={now.id: worked_to(figures_for(state, now.id)) for now in state.live()}
    )
