"""Adding entries up: the state that a list of entries gives, and the next state after one more.

Folding never fails: an entry that fits nothing in this job file is counted as unplaced and stays in the
journal.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any, Final

from pydantic import ValidationError

from crewtui.day import entries as e
from crewtui.day.site import UnfitError, changed, job_with, listed, planned_values
from crewtui.day.state import (
    ASKED_AGAIN,
    ASKED_AGAIN_BY_VALUE,
    PIT_ASKS_AGAIN,
    AnchorNow,
    Answered,
    DayState,
    Deviation,
    DeviationKind,
    DriftChoice,
    Drive,
    Holding,
    Measured,
    Shared,
    Signature,
)
from crewtui.job.model import Anchor, Job
from crewtui.job.rules import Rules


def start(job: Job, rules: Rules) -> DayState:
    """Return the state before any entry."""
    anchors = {
        plan.id: AnchorNow(id=plan.id, wall=plan.wall, plan=plan, planned=plan) for plan in job.anchors
    }
    return DayState(shared=Shared(job=job, rules=rules), anchors=MappingProxyType(anchors))


def fold(job: Job, rules: Rules, entries: Iterable[e.Entry]) -> DayState:
    """Return the state that the entries add up to, without those taken back."""
    listed = tuple(entries)
    gone = taken_back(listed)
    state = start(job, rules)
    for entry in listed:
        if entry.n not in gone:
            state = apply(state, entry)
    return replace(state, taken_back=gone, last_n=listed[-1].n if listed else 0)


def taken_back(entries: Iterable[e.Entry]) -> frozenset[int]:
    """Return the numbers of the entries that no longer count; a taking back can itself be taken back."""
    gone: set[int] = set()
    for entry in reversed(tuple(entries)):
        if isinstance(entry, e.TakenBack) and entry.n not in gone and entry.of < entry.n:
            gone.add(entry.of)
    return frozenset(gone)


def apply(state: DayState, entry: e.Entry) -> DayState:
    """Return the state after one more entry that is no taking back."""
    handler = _HANDLERS.get(type(entry))
    if handler is not None:
        try:
            state = handler(state, entry)
        except (UnfitError, ValidationError):
            unplaced = (*state.shared.unplaced, entry.n)
            state = replace(state, shared=replace(state.shared, unplaced=unplaced))
    return replace(state, last_n=entry.n)


# Small pieces.


def _anchor(state: DayState, ident: str) -> AnchorNow:
    now = state.anchors.get(ident)
    if now is None:
        raise UnfitError(f"there is no anchor {ident}")
    return now


def _with_anchor(state: DayState, now: AnchorNow, entry: e.Entry) -> DayState:
    first = now.first_at if now.first_at is not None else entry.done_at
    now = replace(now, first_at=first, last_at=entry.done_at)
    return replace(state, anchors=MappingProxyType({**state.anchors, now.id: now}))


def _with_shared(state: DayState, **changes: Any) -> DayState:
    return replace(state, shared=replace(state.shared, **changes))


def _deviation(entry: e.Entry, kind: DeviationKind, *, step: str, text: str, reason: str) -> Deviation:
    anchor = getattr(entry, "anchor", None)
    return Deviation(
        n=entry.n, kind=kind, anchor=anchor, step=step, text=text, reason=reason, done_at=entry.done_at
    )


def _without(deviations: tuple[Deviation, ...], step: str) -> tuple[Deviation, ...]:
    """Drop what stood against a step that is answered anew; having done it while held stays true."""
    return tuple(
        item for item in deviations if item.step != step or item.kind not in {"outside limits", "answer"}
    )


def _ask_again(now: AnchorNow, names: Iterable[str]) -> AnchorNow:
    """Forget values and answers that are no longer true of this anchor."""
    gone = set(names)
    return replace(
        now,
        as_built={name: value for name, value in now.as_built.items() if name not in gone},
        answers={name: value for name, value in now.answers.items() if name not in gone},
    )


# Steps and values.


def _step_done(state: DayState, entry: e.StepDone) -> DayState:
    answered = Answered(
        answer=entry.answer,
        n=entry.n,
        done_at=entry.done_at,
        reason=entry.reason,
        deviates=entry.deviates,
    )
    found: list[Deviation] = []
    if entry.deviates:
        found.append(_deviation(entry, "answer", step=entry.step, text=entry.answer, reason=entry.reason))
    found.extend(_while_held(entry, entry.step, entry.while_held, entry.reason))
    if entry.anchor is None:
        shared = state.shared
        kept = _without(shared.deviations, entry.step)
        answers = {**shared.answers, entry.step: answered}
        return _with_shared(state, answers=answers, deviations=(*kept, *found))
    now = _anchor(state, entry.anchor)
    kept = _without(now.deviations, entry.step)
    now = replace(now, answers={**now.answers, entry.step: answered}, deviations=(*kept, *found))
    return _with_anchor(state, now, entry)


def _while_held(entry: e.Entry, step: str, holds: tuple[str, ...], reason: str) -> tuple[Deviation, ...]:
    if not holds:
        return ()
    text = f"done while held by {', '.join(holds)}"
    return (_deviation(entry, "while held", step=step, text=text, reason=reason),)


def _measured(state: DayState, entry: e.ValueMeasured) -> DayState:
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
        found.append(_deviation(entry, "outside limits", step=entry.step, text=text, reason=entry.reason))
    if entry.then_deviates:
        found.append(
            _deviation(
                entry, "answer", step=entry.step, text=f"{entry.text}, {entry.then}", reason=entry.reason
            )
        )
    found.extend(_while_held(entry, entry.step, entry.while_held, entry.reason))
    if entry.anchor is None:
        shared = state.shared
        kept = _without(shared.deviations, entry.step)
        as_built = {**shared.as_built, entry.quantity: value}
        return _with_shared(state, as_built=as_built, deviations=(*kept, *found))
    now = _anchor(state, entry.anchor)
    deeper = entry.quantity == "pit_depth_in" and _deepens(now, entry.value)
    now = replace(
        now,
        as_built={**now.as_built, entry.quantity: value},
        deviations=(*_without(now.deviations, entry.step), *found),
        pit_entry=None if deeper else now.pit_entry,
    )
    return _with_anchor(state, now, entry)


def _deepens(now: AnchorNow, depth_in: float) -> bool:
    before = now.as_built.get("pit_depth_in")
    return before is not None and depth_in > before.value


def _driven(state: DayState, entry: e.DriveAttempted) -> DayState:
    now = _anchor(state, entry.anchor)
    drive = Drive(
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
        plan=now.plan,
        as_built=now.as_built,
        aim=now.aim,
    )
    found = _while_held(entry, "depth-found", entry.while_held, entry.reason)
    kept = tuple(item for item in now.deviations if item.kind != "drive")
    if entry.deviates:
        text = entry.way.words if entry.way is not None else "the drive is not as aimed"
        found = (_deviation(entry, "drive", step="depth-found", text=text, reason=entry.reason), *found)
    now = replace(
        now,
        drives=(*now.drives, drive),
        as_built={**now.as_built, **_values_of(entry)},
        deviations=(*_without(kept, "depth-found"), *found),
    )
    if entry.way is not None:
        now = _take_way(now, entry.way)
    if entry.depth_found_in is None:
        now = replace(now, pit_entry=None)
    return _with_anchor(state, now, entry)


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


def _take_way(now: AnchorNow, way: e.Way) -> AnchorNow:
    now = _aim_for(now, way.values, way.words) if way.values else now
    now = _ask_again(now, ASKED_AGAIN.get(way.kind, ASKED_AGAIN["same hole"]))
    return replace(now, pit_entry=None) if way.kind in PIT_ASKS_AGAIN else now


def _aim_for(now: AnchorNow, values: Mapping[str, float], because: str) -> AnchorNow:
    """Set values newly aimed for and forget what they make untrue; another set-back has its own drop."""
    deeper = values.get("pit_depth_in", 0.0) > (now.here("pit_depth_in") or 0.0)
    for quantity in values:
        now = _ask_again(now, ASKED_AGAIN_BY_VALUE.get(quantity, ()))
    asks = "setback_in" in values or "pit_along_rod_in" in values or ("pit_depth_in" in values and deeper)
    if "setback_in" in values:
        now = replace(now, plan=now.plan.model_copy(update={"drop_in": None}))
    return replace(
        now,
        aim={**now.aim, **values},
        aim_because=because,
        pit_entry=None if asks else now.pit_entry,
    )


def _aimed(state: DayState, entry: e.AimChanged) -> DayState:
    now = _aim_for(_anchor(state, entry.anchor), entry.values, entry.because)
    return _with_anchor(state, now, entry)


# Anchors on site.


def _moved(state: DayState, entry: e.AnchorMoved) -> DayState:
    now = _anchor(state, entry.anchor)
    plan = changed(now.plan, entry.values)
    if {"along_in", "setback_in"} & entry.values.keys() and "drop_in" not in entry.values:
        plan = plan.model_copy(update={"drop_in": None})
    for quantity in entry.values:
        now = _ask_again(now, ASKED_AGAIN_BY_VALUE.get(quantity, ()))
    aim = {name: value for name, value in now.aim.items() if name not in entry.values}
    text = f"changed on site: {listed(entry.values)}"
    found = _deviation(entry, "site change", step="", text=text, reason=entry.reason)
    place = {"along_in", "setback_in"} & entry.values.keys()
    now = replace(
        now,
        plan=plan,
        aim=aim,
        deviations=(*now.deviations, found),
        pit_entry=None if place else now.pit_entry,
    )
    return _with_anchor(state, now, entry)


def _added(state: DayState, entry: e.AnchorAdded) -> DayState:
    if entry.anchor in state.anchors or entry.wall not in {wall.name for wall in state.job.walls}:
        raise UnfitError(f"{entry.anchor} cannot be added on {entry.wall}")
    plan = Anchor.model_validate({"id": entry.anchor, "wall": entry.wall, **planned_values(entry.values)})
    found = _deviation(entry, "site change", step="", text="added on site", reason=entry.reason)
    now = AnchorNow(id=plan.id, wall=plan.wall, plan=plan, planned=None, deviations=(found,))
    return _with_anchor(state, now, entry)


def _dropped(state: DayState, entry: e.AnchorDropped) -> DayState:
    now = _anchor(state, entry.anchor)
    found = _deviation(entry, "site change", step="", text="dropped on site", reason=entry.reason)
    return _with_anchor(state, replace(now, dropped=entry.reason, deviations=(*now.deviations, found)), entry)


# Holds, hazards, facts.


def _hold(
    state: DayState,
    entry: e.Entry,
    anchor: str | None,
    change: Callable[[Holding], Holding],
    *found: Deviation,
) -> DayState:
    if anchor is None:
        shared = state.shared
        return _with_shared(state, holding=change(shared.holding), deviations=(*shared.deviations, *found))
    now = _anchor(state, anchor)
    now = replace(now, holding=change(now.holding), deviations=(*now.deviations, *found))
    return _with_anchor(state, now, entry)


def _released(state: DayState, entry: e.HoldReleased) -> DayState:
    signed = Signature(
        n=entry.n, initials=entry.initials, in_place=True, note=entry.note, done_at=entry.done_at
    )
    return _hold(
        state, entry, entry.anchor, lambda had: replace(had, released={**had.released, entry.hold: signed})
    )


def _overridden(state: DayState, entry: e.HoldOverridden) -> DayState:
    text = f"{entry.hold} set aside by {entry.name}"
    found = _deviation(entry, "override", step="", text=text, reason=entry.reason)
    return _hold(
        state,
        entry,
        entry.anchor,
        lambda had: replace(had, overridden={**had.overridden, entry.hold: entry}),
        found,
    )


def _hazard(state: DayState, entry: e.HazardAnswered) -> DayState:
    signed = Signature(
        n=entry.n, initials=entry.initials, in_place=entry.in_place, note=entry.note, done_at=entry.done_at
    )
    return _hold(
        state, entry, entry.anchor, lambda had: replace(had, hazards={**had.hazards, entry.hazard: signed})
    )


def _pit_entry(state: DayState, entry: e.PitEntryAnswered) -> DayState:
    return _with_anchor(state, replace(_anchor(state, entry.anchor), pit_entry=entry.somebody), entry)


def _fact(state: DayState, entry: e.FactAnswered) -> DayState:
    return _with_shared(state, facts={**state.shared.facts, entry.fact: entry.answer})


# The job as a whole.


def _drift(state: DayState, entry: e.DriftAccepted) -> DayState:
    choice = DriftChoice(mean_deg=entry.mean_deg, on=entry.on, n=entry.n)
    return _with_shared(state, drift={**state.shared.drift, entry.wall: choice})


def _accepted(state: DayState, entry: e.DeviationAccepted) -> DayState:
    said = f"{entry.name}: {entry.reason}"
    return _with_shared(state, accepted={**state.shared.accepted, entry.of: said})


def _exposed(state: DayState, entry: e.LineExposed) -> DayState:
    return _with_shared(state, exposed={**state.shared.exposed, entry.line: entry.depth_in})


def _reopened(state: DayState, entry: e.Reopened) -> DayState:
    return _with_shared(state, reopened_n=entry.n, reopened_because=entry.because)


def _emergency(state: DayState, entry: e.Emergency) -> DayState:
    return _with_shared(state, emergencies=(*state.shared.emergencies, entry.done_at))


def _note(state: DayState, entry: e.Note) -> DayState:
    return _with_shared(state, notes=(*state.shared.notes, (entry.n, entry.text)))


def _opened(state: DayState, entry: e.DayOpened) -> DayState:
    began = state.shared.day_began_at
    if began is not None and entry.done_at.date() == began.date():
        return state
    return _with_shared(state, day_began_n=entry.n, day_began_at=entry.done_at)


def _signed(state: DayState, entry: e.Signed) -> DayState:
    return _with_shared(state, signed_n=entry.n, revision=entry.revision, record_sha256=entry.record_sha256)


def _set_up(state: DayState, entry: e.SetUp) -> DayState:
    if entry.table == "anchor":
        now = _anchor(state, entry.name)
        plan = Anchor.model_validate(
            {**now.plan.model_dump(), **entry.values, "id": now.id, "wall": now.wall}
        )
        return _with_anchor(state, replace(now, plan=plan), entry)
    return _with_shared(state, job=job_with(state.job, entry.table, entry.name, entry.values))


_HANDLERS: Final[Mapping[type, Callable[[DayState, Any], DayState]]] = {
    e.DayOpened: _opened,
    e.StepDone: _step_done,
    e.ValueMeasured: _measured,
    e.DriveAttempted: _driven,
    e.AimChanged: _aimed,
    e.DriftAccepted: _drift,
    e.DeviationAccepted: _accepted,
    e.HoldReleased: _released,
    e.HoldOverridden: _overridden,
    e.HazardAnswered: _hazard,
    e.PitEntryAnswered: _pit_entry,
    e.FactAnswered: _fact,
    e.AnchorMoved: _moved,
    e.AnchorAdded: _added,
    e.AnchorDropped: _dropped,
    e.LineExposed: _exposed,
    e.Reopened: _reopened,
    e.Emergency: _emergency,
    e.Note: _note,
    e.SetUp: _set_up,
    e.Signed: _signed,
}
