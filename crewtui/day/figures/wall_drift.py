"""A wall's drift from the day's own drives: each judged in the anchor as it stood when it was driven."""

from __future__ import annotations

from collections.abc import Iterator

from crewtui.day.state.inputs import Inputs, inputs_as_driven, section_of
from crewtui.day.state.state import AnchorNow, DayState, Drive, Shared
from crewtui.trade.aim import drift as trade
from crewtui.trade.aim.play import rod_play
from crewtui.trade.aim.rod_line import angle_for_deg

Rod = tuple[int, trade.DriveRun]
"""A drive, and the number of the entry that says where it came up."""
_kept: dict[str, tuple[AnchorNow, Shared, tuple[Rod, ...]]] = {}
"""By anchor its drives, and what they were read from: states are immutable, so identity tells."""


def drift_of(state: DayState, wall: str) -> trade.Drift:
    """Return the drift of a wall from its straight first drives so far; the company's prior where none."""
    rules = state.rules
    return trade.estimate(
        [drive for _, drive in rods_on(state, wall)],
        wall=wall,
        prior_sd_deg=rules.number("drift_prior_deg"),
        spread_deg=rules.number("rod_spread_deg"),
    )


def rods_on(state: DayState, wall: str) -> tuple[Rod, ...]:
    """Return the wall's drives that showed in their pits, anchor by anchor."""
    found: list[Rod] = []
    for now in state.anchors.values():
        if now.wall == wall:
            kept = _kept.get(now.id)
            if kept is None or kept[0] is not now or kept[1] is not state.shared:
                kept = (now, state.shared, tuple(_drives(state, now)))
                _kept[now.id] = kept
            found += kept[2]
    return tuple(found)


def angle_run_deg(state: DayState, anchor: str, drive: Drive) -> float | None:
    """Return the angle that a rod ran at, in the anchor as it stood then; None where that cannot be told."""
    at = inputs_as_driven(state, anchor, drive)
    if drive.depth_found_in is None or at.known("drop_in") is None:
        return None
    return angle_for_deg(section_of(at), drive.depth_found_in)


def _drives(state: DayState, now: AnchorNow) -> Iterator[Rod]:
    """Yield the rods that were found; one searched for and then found counts as the first drive."""
    first = True
    for drive in now.drives:
        if drive.depth_found_in is None:
            continue
        run_deg = angle_run_deg(state, now.id, drive)
        if run_deg is None:
            first = False
            continue
        at = inputs_as_driven(state, now.id, drive)
        yield (
            drive.n,
            trade.DriveRun(
                anchor=now.id,
                wall=now.wall,
                angle_run_deg=run_deg,
                angle_held_deg=drive.held_angle_deg,
                straight=drive.straight and _within_play(state, at, drive, run_deg),
                first=first,
                left_out_reason=drive.left_out_reason,
            ),
        )
        first = False


def _within_play(state: DayState, at: Inputs, drive: Drive, run_deg: float) -> bool:
    """Return whether a straight rod can have run so in its hole, to what a level and a tape read."""
    drilled = drive.as_built.get("drilled_angle_deg")
    play = rod_play(
        drilled.value if drilled is not None else drive.held_angle_deg,
        rod_diameter_in=state.job.rod.diameter_in,
        hole_diameter_in=at.number("hole_diameter_in"),
        hole_length_in=at.number("thickness_in"),
    )
    slack_deg = state.rules.number("level_reading_deg")
    return play is not None and play.flattest_deg - slack_deg <= run_deg <= play.steepest_deg + slack_deg
