"""Later tightening as the plan has it: what it lets the owner do must fit the torque of every anchor."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from crewtui.job.check.finding import Finding
from crewtui.job.file.model import Job
from crewtui.job.file.planned import planned
from crewtui.job.tables.rules import Rules
from crewtui.trade.vocabulary import WallType
from crewtui.units import at_least, show_torque

_BY_WALL: Final[Mapping[WallType, str]] = {
    "poured concrete": "torque_poured_lbf_ft",
    "block": "torque_block_lbf_ft",
    "clay tile": "torque_tile_lbf_ft",
}
"""The rule that gives the torque where the plan is silent."""


def later_findings(job: Job, rules: Rules) -> Iterator[Finding]:
    """Yield each anchor whose torque is past the greatest of later tightening from the first day on."""
    later = job.tightening
    greatest = later.greatest_torque_lbf_ft if later is not None else None
    if greatest is None:
        return
    system = job.job.units
    for anchor in job.anchors:
        by_plan = planned(job, rules, anchor, "torque_lbf_ft").value
        target = by_plan if by_plan is not None else rules.number(_BY_WALL[job.wall(anchor.wall).type])
        if not at_least(greatest, target):
            words = (
                f"Later tightening never goes past {show_torque(greatest, system)}, and the torque here is"
                f" {show_torque(target, system)}: the first tightening would be past it."
                " Ask the engineer which one is right."
            )
            yield Finding("stop", "torque", words, anchor=anchor.id)
