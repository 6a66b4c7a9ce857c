"""What is open at signing, and the figures that each anchor was worked to."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from msgspec import Struct, field

from crewtui.day.figures.anchor_figures import AnchorFigures
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


def worked_to(figures: AnchorFigures) -> dict[str, float]:
    """Return the figures that an anchor was worked to, by name; those that lack an input are left out."""
    window, aim, rod = figures.window, figures.aim, figures.rod
    found: dict[str, float | None] = {
        "least_depth_in": window.shallowest_in if window else None,
        "aim_depth_in": figures.aim_depth_in,
        "greatest_depth_in": figures.greatest_in,
        "angle_deg": aim.angle_deg if aim else None,
        "held_angle_deg": figures.held_angle_deg,
        "exit_depth_in": aim.exit_depth_in if aim else None,
        "stop_mark_in": figures.stop.from_end_in if figures.stop else None,
        "rod_needed_in": rod.needed_in if rod else None,
        "torque_lbf_ft": figures.torque.torque_lbf_ft if figures.torque else None,
        "wrench_setting_lbf_ft": figures.wrench.setting_lbf_ft if figures.wrench else None,
    }
    return {name: value for name, value in found.items() if value is not None and math.isfinite(value)}
