"""The schedule of tightening: in rounds first, again after backfill, and what the owner may do later.

The engineer's plan and the maker's sheet govern. What no plan says is not filled in here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Final

from msgspec import Struct

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.figures.tightening_grid import cell_words, grid, shares
from crewtui.day.state.inputs import inputs_for
from crewtui.day.state.state import DayState
from crewtui.job.file.model import LaterTightening
from crewtui.trade.tightening.torque import GOVERNS, TorqueStage, stages
from crewtui.units import UnitSystem, show_torque

NO_SCHEDULE: Final = (
    "The plan as this job has it gives no schedule of later tightening. The maker's sheet and the engineer's"
    " schedule govern: nobody turns a nut before it is there in writing."
)
NONE_ADJUSTABLE: Final = "By the plan the owner tightens no anchor."
AGAIN: Final = (
    "After backfilling every anchor is brought to its torque again, in the same rounds along the wall."
)
NONE_MARKED: Final = (
    "No anchor of this job is marked as the owner's: ask the engineer before anybody turns a nut."
)
"""Said beside the plan's own words, which may name some."""
_BARRED: Final = "what is against it stands beside each, and whoever set it comes back to it."
STOP: Final = (
    "Stop and call when a nut turns and the wrench does not come up, when a plate sinks in, or when a new"
    " crack opens."
)
_NEVER_BACK: Final = "No nut is ever turned back, and none past its torque."

Targets = Sequence[tuple[str, float | None]]
"""Anchor and the torque that it was to be brought to, in their order along the wall."""


class Schedule(Struct, frozen=True, kw_only=True):
    """When each anchor of a wall is tightened, and by whom."""

    wall: str
    first: tuple[TorqueStage, ...]
    """In rounds, before backfilling; empty while no torque is known."""
    missing: tuple[str, ...]
    """Anchors whose torque is not known."""
    again: str
    owner: tuple[str, ...]
    """What the owner may do later, in words."""
    adjustable: tuple[str, ...]
    first_visit: date | None
    advice: str = GOVERNS


def schedule(state: DayState, wall: str, targets: Mapping[str, float | None]) -> Schedule:
    """Return the schedule of one wall; ``targets`` are the torques that its anchors are to be brought to."""
    along = sorted(
        (now for now in state.live() if now.wall == wall),
        key=lambda now: inputs_for(state, now.id).number("along_in"),
    )
    known = any(targets.get(now.id) is not None for now in along)
    adjustable = [now.id for now in along if now.plan.owner_adjustable]
    later = state.job.tightening
    return Schedule(
        wall=wall,
        first=stages(shares(round(state.rules.number("tightening_rounds")))) if known else (),
        missing=tuple(now.id for now in along if targets.get(now.id) is None),
        again=AGAIN,
        owner=owner_words(
            [(ident, targets.get(ident)) for ident in adjustable],
            later,
            plan_words=state.job.job.schedule,
            system=state.job.job.units,
        ),
        adjustable=tuple(adjustable),
        first_visit=later.first_visit if later is not None else None,
    )


def owner_words(
    adjustable: Targets,
    later: LaterTightening | None,
    *,
    plan_words: str,
    system: UnitSystem,
    barred: Sequence[str] = (),
    today: date | None = None,
) -> tuple[str, ...]:
    """Return what the owner may do later: which anchors, when, by how much a visit, never past what.

    ``barred`` are anchors that the plan gives the owner, and that did not come out so that he may. A first
    visit that is past ``today`` is not said.
    """
    said: list[str] = [f"The plan says: {plan_words.rstrip('.')}."] if plan_words.strip() else []
    if barred:
        said.insert(0, f"Turn nothing on {', '.join(barred)} yet, whatever the plan says: {_BARRED}")
    if later is None:
        return (*said, GOVERNS) if said else (NO_SCHEDULE,)
    if not adjustable:
        return (*said, STOP if barred else NONE_MARKED if said else NONE_ADJUSTABLE)
    idents = ", ".join(ident for ident, _ in adjustable)
    said.append(f"{idents}: {later.when}, as {later.said_by} says.")
    amount = [later.turn] if later.turn else []
    if later.step_torque_lbf_ft is not None:
        amount.append(f"not more than {show_torque(later.step_torque_lbf_ft, system)} over the last time")
    said.append(f"By how much at one visit: {', '.join(amount)}." if amount else _NO_AMOUNT)
    said += _never_past(adjustable, later.greatest_torque_lbf_ft, system)
    if later.first_visit is not None and (today is None or later.first_visit > today):
        said.append(f"First visit: {later.first_visit:%Y-%m-%d}.")
    if later.stop_when:
        said.append(f"Stop when {later.stop_when.rstrip('.')}.")
    return (*said, _NEVER_BACK, STOP)


_NO_AMOUNT: Final = "By how much at one visit: the plan does not say; ask the engineer before turning a nut."


def _never_past(adjustable: Targets, greatest: float | None, system: UnitSystem) -> list[str]:
    """Return the torque that no anchor is brought past: the plan's, and the anchor's own where it is less."""
    bounds: dict[float, list[str]] = {}
    unknown = []
    for ident, target in adjustable:
        known = [value for value in (greatest, target) if value is not None]
        if known:
            bounds.setdefault(min(known), []).append(ident)
        else:
            unknown.append(ident)
    said = [
        f"Never past {show_torque(bound, system)} at {', '.join(idents)}." for bound, idents in bounds.items()
    ]
    if unknown:
        said.append(f"No torque is known for {', '.join(unknown)}: nobody tightens there.")
    return said


# The whole of it in words.


def targets_of(state: DayState) -> dict[str, float | None]:
    """Return the torque that each anchor is to be brought to, None where no figure holds."""
    found: dict[str, float | None] = {}
    for now in state.live():
        torque = figures_for(state, now.id).torque
        found[now.id] = torque.torque_lbf_ft if torque is not None else None
    return found


def schedule_words(state: DayState) -> tuple[str, ...]:
    """Return first tightening, tightening after backfill, and what the owner may do later, wall by wall."""
    targets = targets_of(state)
    system = state.job.job.units
    said: list[str] = []
    for wall in state.job.walls:
        if not any(now.wall == wall.name for now in state.live()):
            continue
        found = schedule(state, wall.name, targets)
        said += ["", f"{wall.name.upper()}: FIRST, BEFORE BACKFILLING"]
        rounds = grid(state, wall.name, "first")
        for stage in found.first:
            said.append(stage.words)
            said += [
                f"  {cell.anchor}: {cell_words(cell, system)}"
                for cell in rounds.cells
                if cell.round == stage.number and cell.torque_lbf_ft is not None
            ]
        if found.missing:
            said.append(f"No torque is known for {', '.join(found.missing)}: ask the office.")
        said += ["", "AFTER BACKFILLING", found.again, "", "LATER, BY THE OWNER", *found.owner]
    return (*said[1:], "", GOVERNS)


__all__ = [
    "AGAIN",
    "NO_SCHEDULE",
    "STOP",
    "Schedule",
    "owner_words",
    "schedule",
    "schedule_words",
    "targets_of",
]
