"""Adding up steps, values and drives: what an entry does to one anchor."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Any, Final

from msgspec.structs import replace

from crewtui.day.journal import entries as e
from crewtui.day.state.site_fields import UnfitError
from crewtui.day.state.state import (
    ACCEPT,
    ASKED_AGAIN,
    HOLD,
    LOOSE_FILL,
    LOOSE_FILL_FOUND,
    PIT_ASKS_AGAIN,
    WATCH_MARK,
    AnchorNow,
    Answered,
    DayState,
    Deviation,
    DeviationKind,
    Drive,
    Measured,
    RoundDone,
)
from crewtui.job.tables.quantities import untrue_by

PRIVATE_LINES_STEP: Final = "private-lines"
PRIVATE_LINES: Final[Mapping[str, bool]] = {"none here": False, "there are some": True}
"""Whether the owner has lines of their own, by the step's answer; "yes" in older days says only: asked."""


def anchor_of(state: DayState, ident: str) -> AnchorNow:
    """Return the anchor as it stands; UnfitError if there is none."""
    now = state.anchors.get(ident)
    if now is None:
        raise UnfitError(f"there is no anchor {ident}")
    return now


def with_anchor(state: DayState, now: AnchorNow, entry: e.Entry) -> DayState:
    """Return the state with this anchor, touched by this entry."""
    first = now.first_at if now.first_at is not None else entry.done_at
    now = replace(now, first_at=first, last_at=entry.done_at, drives=drives_now(now))
    return replace(state, anchors=MappingProxyType({**state.anchors, now.id: now}))


def with_shared(state: DayState, **changes: Any) -> DayState:
    """Return the state with changes to what is true of the whole job."""
    return replace(state, shared=replace(state.shared, **changes))


def deviation(entry: e.Entry, kind: DeviationKind, *, step: str, text: str, reason: str) -> Deviation:
    """Return what the entry makes stand as a deviation."""
    anchor = getattr(entry, "anchor", None)
    return Deviation(
        n=entry.n, kind=kind, anchor=anchor, step=step, text=text, reason=reason, done_at=entry.done_at
    )


def _without(deviations: tuple[Deviation, ...], step: str) -> tuple[Deviation, ...]:
    """Drop what stood against a step that is answered anew; having done it while held stays true."""
    return tuple(
        item for item in deviations if item.step != step or item.kind not in {"outside limits", "answer"}
    )


def ask_again(now: AnchorNow, names: Iterable[str]) -> AnchorNow:
    """Forget values and answers that are no longer true of this anchor.

    What asks for the angle held again asks for another drive: the rod comes out of the ground first.
    """
    gone = set(names)
    return replace(
        now,
        pieces=() if "held_angle_deg" in gone else now.pieces,
        as_built={name: value for name, value in now.as_built.items() if name not in gone},
        answers={name: value for name, value in now.answers.items() if name not in gone},
    )


# Steps and values.


def step_done(state: DayState, entry: e.StepDone) -> DayState:
    """Take in an answered step."""
    answered = Answered(
        answer=entry.answer,
        n=entry.n,
        done_at=entry.done_at,
        reason=entry.reason,
        deviates=entry.deviates,
    )
    found: list[Deviation] = []
    if entry.deviates:
        found.append(deviation(entry, "answer", step=entry.step, text=entry.answer, reason=entry.reason))
    found.extend(_while_held(entry, entry.step, entry.while_held, entry.reason))
    if entry.anchor is None:
        if entry.step == PRIVATE_LINES_STEP and entry.answer in PRIVATE_LINES:
            facts = {**state.shared.facts, "private lines": PRIVATE_LINES[entry.answer]}
            state = with_shared(state, facts=facts)
        shared = state.shared
        kept = _without(shared.deviations, entry.step)
        answers = {**shared.answers, entry.step: answered}
        return with_shared(state, answers=answers, deviations=(*kept, *found))
    now = anchor_of(state, entry.anchor)
    kept = _without(now.deviations, entry.step)
    now = replace(now, answers={**now.answers, entry.step: answered}, deviations=(*kept, *found))
    if entry.answer == LOOSE_FILL:
        facts = {**state.shared.facts, LOOSE_FILL_FOUND: True}
        state = with_shared(state, facts=facts, fill_n=entry.n)
    return with_anchor(state, now, entry)


def _while_held(entry: e.Entry, step: str, holds: tuple[str, ...], reason: str) -> tuple[Deviation, ...]:
    if not holds:
        return ()
    text = f"done while held by {', '.join(holds)}"
    return (deviation(entry, "while held", step=step, text=text, reason=reason),)


def measured(state: DayState, entry: e.ValueMeasured) -> DayState:
    """Take in a measured value."""
    value = Measured(
        value=entry.value,
        text=entry.text,
        step=entry.step,
        n=entry.n,
        done_at=entry.done_at,
        then=entry.then,
        reason=entry.reason,
        outside=entry.outside,
    )
    found: list[Deviation] = []
    if entry.outside:
        text = f"{entry.text} ({entry.limit})" if entry.limit else entry.text
        found.append(deviation(entry, "outside limits", step=entry.step, text=text, reason=entry.reason))
    if entry.then_deviates:
        found.append(
            deviation(
                entry, "answer", step=entry.step, text=f"{entry.text}, {entry.then}", reason=entry.reason
            )
        )
    found.extend(_while_held(entry, entry.step, entry.while_held, entry.reason))
    if entry.anchor is None:
        shared = state.shared
        kept = _without(shared.deviations, entry.step)
        as_built = {**shared.as_built, entry.quantity: value}
        return with_shared(state, as_built=as_built, deviations=(*kept, *found))
    now = anchor_of(state, entry.anchor)
    deeper = entry.quantity == "pit_depth_in" and _deepens(now, entry.value)
    now = replace(
        now,
        as_built={**now.as_built, entry.quantity: value},
        deviations=(*_without(now.deviations, entry.step), *found),
    )
    if deeper:
        now = ask_pit_entry_again(now)
    if entry.quantity == "held_angle_deg":
        now = replace(now, held_by=state.job.tools.aim_by or "")
    if entry.quantity == WATCH_MARK:
        on_wall = {**state.shared.moved.get(now.wall, {}), now.id: entry.value}
        state = with_shared(state, moved={**state.shared.moved, now.wall: on_wall})
    return with_anchor(state, now, entry)


def _deepens(now: AnchorNow, depth_in: float) -> bool:
    before = now.as_built.get("pit_depth_in")
    return before is not None and depth_in > before.value


def drives_now(now: AnchorNow) -> tuple[Drive, ...]:
    """Return an anchor's drives: those settled, and the open one that its values as built make.

    A rod is driven once the angle held and the depth found both stand, the depth later than the last drive.
    """
    drives = now.settled
    held, found = now.as_built.get("held_angle_deg"), now.as_built.get("depth_found_in")
    if held is not None and found is not None and found.n > (drives[-1].n if drives else 0):
        drives = (*drives, _drive(now, n=found.n, done_at=found.done_at, open=True))
    if not now.left_out:
        return drives
    return tuple(
        replace(drive, left_out_reason=now.left_out.get(drive.n, drive.left_out_reason)) for drive in drives
    )


def _drive(now: AnchorNow, **given: Any) -> Drive:
    """Return a drive of the values that stand at the anchor."""
    values = {
        "attempt": now.next_attempt,
        "held_angle_deg": now.value("held_angle_deg"),
        "depth_found_in": now.value("depth_found_in"),
        "side_offset_in": now.value("side_offset_in"),
        "angle_in_pit_deg": None,
        "straight": True,
        "left_out_reason": "",
        "way": None,
        "held_by": now.held_by,
    }
    return Drive(plan=now.plan, as_built=now.as_built, aim=now.aim, **{**values, **given})


def way_taken(state: DayState, entry: e.WayTaken) -> DayState:
    """Take in what is done about the rod that was driven; its values were measured before."""
    now = anchor_of(state, entry.anchor)
    opened = now.drives[-1] if now.drives and now.drives[-1].open else None
    if "held_angle_deg" not in now.as_built or (entry.found and opened is None):
        raise UnfitError(f"no rod was driven at {entry.anchor}")
    said = {
        "way": entry.way,
        "angle_in_pit_deg": entry.angle_in_pit_deg,
        "straight": entry.straight,
        "left_out_reason": entry.left_out_reason,
    }
    if opened is not None and entry.found:
        drive = replace(opened, open=False, **said)
    else:
        missed = {"depth_found_in": None, "side_offset_in": None}
        drive = _drive(now, n=entry.n, done_at=entry.done_at, **missed, **said)
    kept = now.deviations
    if entry.way.kind != ACCEPT:
        kept = _without(kept, "side-offset")
    return _settled(state, replace(now, deviations=kept), drive, entry)


def _settled(state: DayState, now: AnchorNow, drive: Drive, entry: e.WayTaken | e.DriveAttempted) -> DayState:
    """Return the state with the drive behind it, and what its way on sets and asks again."""
    found = _while_held(entry, "depth-found", entry.while_held, entry.reason)
    kept = tuple(item for item in now.deviations if item.kind != "drive")
    if entry.deviates:
        text = entry.way.words if entry.way is not None else "the drive is not as aimed"
        found = (deviation(entry, "drive", step="depth-found", text=text, reason=entry.reason), *found)
    now = replace(now, drives=(*now.settled, drive), deviations=(*_without(kept, "depth-found"), *found))
    if entry.way is not None:
        now = _take_way(now, entry.way)
    if drive.depth_found_in is None:
        now = ask_pit_entry_again(now)
    return with_anchor(state, now, entry)


def driven(state: DayState, entry: e.DriveAttempted) -> DayState:
    """Take in a drive of an older journal, its values and the way on in one entry."""
    now = anchor_of(state, entry.anchor)
    drive = _drive(
        now,
        n=entry.n,
        attempt=entry.attempt,
        held_angle_deg=entry.held_angle_deg,
        depth_found_in=entry.depth_found_in,
        side_offset_in=entry.side_offset_in,
        angle_in_pit_deg=entry.angle_in_pit_deg,
        straight=entry.straight,
        left_out_reason=entry.left_out_reason,
        way=entry.way,
        done_at=entry.done_at,
        held_by=state.job.tools.aim_by or "",
    )
    now = replace(now, as_built={**now.as_built, **_values_of(entry)})
    return _settled(state, now, drive, entry)


def _values_of(entry: e.DriveAttempted) -> dict[str, Measured]:
    """Return the drive's own values as built; a way on may ask for them again at once."""
    values = {
        ("held_angle_deg", "held-angle"): entry.held_angle_deg,
        ("depth_found_in", "depth-found"): entry.depth_found_in,
        ("side_offset_in", "side-offset"): entry.side_offset_in,
    }
    return {
        quantity: Measured(value=value, text="", step=step, n=entry.n, done_at=entry.done_at)
        for (quantity, step), value in values.items()
        if value is not None
    }


def ask_pit_entry_again(now: AnchorNow) -> AnchorNow:
    """Forget who goes into the pit, which is another one now, but for what was said of it before."""
    was = now.pit_entry_was if now.pit_entry is None else now.pit_entry
    return replace(now, pit_entry=None, pit_entry_was=was)


def _take_way(now: AnchorNow, way: e.Way) -> AnchorNow:
    now = aim_for(now, way.values, way.words) if way.values else now
    now = ask_again(now, ASKED_AGAIN.get(way.kind, ASKED_AGAIN["same hole"]))
    return ask_pit_entry_again(now) if way.kind in PIT_ASKS_AGAIN else now


def without_hold(aim: Mapping[str, float], values: Mapping[str, float]) -> dict[str, float]:
    """Return an anchor's aims without the angle to hold, where these values make it another aim."""
    ends = HOLD in untrue_by(*values)
    return {name: value for name, value in aim.items() if not (ends and name == HOLD)}


def aim_for(now: AnchorNow, values: Mapping[str, float], because: str) -> AnchorNow:
    """Set values newly aimed for and forget what they make untrue; another set-back has its own drop."""
    deeper = values.get("pit_depth_in", 0.0) > (now.here("pit_depth_in") or 0.0)
    now = ask_again(now, untrue_by(*values))
    asks = "setback_in" in values or "pit_along_rod_in" in values or ("pit_depth_in" in values and deeper)
    if "setback_in" in values:
        now = replace(now, plan=now.plan.model_copy(update={"drop_in": None}))
    now = replace(now, aim={**without_hold(now.aim, values), **values}, aim_because=because)
    return ask_pit_entry_again(now) if asks else now


def aimed(state: DayState, entry: e.AimChanged) -> DayState:
    """Take in an aim other than the plan's."""
    agreed = f"; agreed by {entry.agreed_by}" if entry.agreed_by else ""
    now = aim_for(anchor_of(state, entry.anchor), entry.values, f"{entry.because}{agreed}")
    return with_anchor(state, now, entry)


def tightened(state: DayState, entry: e.RoundTightened) -> DayState:
    """Take in one round of tightening at an anchor."""
    done = RoundDone(
        n=entry.n,
        torque_lbf_ft=entry.torque_lbf_ft,
        set_lbf_ft=entry.set_lbf_ft,
        clicked=entry.clicked,
        came_in_in=entry.came_in_in,
        done_at=entry.done_at,
    )
    step = f"{entry.tightening}-torque"
    found: list[Deviation] = []
    if entry.deviates:
        text = f"{entry.tightening} tightening, round {entry.round}: did not come up"
        found.append(deviation(entry, "outside limits", step=step, text=text, reason=entry.reason))
    found.extend(_while_held(entry, step, entry.while_held, entry.reason))
    now = anchor_of(state, entry.anchor)
    now = replace(
        now,
        rounds={**now.rounds, (entry.tightening, entry.round): done},
        deviations=(*now.deviations, *found),
    )
    return with_anchor(state, now, entry)
