"""A wall's drift from the day's own drives: each judged in the anchor as it stood when it was driven."""

from __future__ import annotations

from crewtui.day.state import DayState, Drive
from crewtui.trade import drift as trade
from crewtui.trade.aim import Section, angle_for_deg


def section_of(state: DayState, anchor_id: str, drive: Drive) -> Section | None:
    """Return the section that a rod was driven in; None where the drop of the ground was not known then."""
    from crewtui.day.inputs import inputs_as_driven  # noqa: PLC0415 - inputs read the drift that is in use

    return inputs_as_driven(state, anchor_id, drive)


def drift_of(state: DayState, wall: str) -> trade.Drift:
    """Return the drift of a wall from its straight first drives so far; the company's prior where there are none."""
    found: list[trade.Drive] = []
    for anchor_id, drive in state.drives_on(wall):
        section = section_of(state, anchor_id, drive)
        if section is None or drive.depth_found_in is None:
            continue
        found.append(
            trade.Drive(
                anchor=anchor_id,
                wall=wall,
                angle_run_deg=angle_for_deg(section, drive.depth_found_in),
                angle_held_deg=drive.held_angle_deg,
                straight=drive.straight,
                first=drive.attempt == 1,
                left_out_reason=drive.left_out_reason,
            )
        )
    rules = state.rules
    return trade.estimate(
        found,
        wall=wall,
        prior_sd_deg=rules.number("drift_prior_deg"),
        spread_deg=rules.number("rod_spread_deg"),
    )
