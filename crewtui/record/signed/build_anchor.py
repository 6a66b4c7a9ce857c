"""One anchor in the record: as planned, as changed on site, as built."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any, Final, Literal

from crewtui.day.figures.wall_drift import angle_run_deg
from crewtui.day.journal import entries as e
from crewtui.day.state.inputs import inputs_for, value_now
from crewtui.day.state.state import (
    CLICKED,
    TIGHTENINGS,
    AnchorNow,
    Answered,
    DayState,
    Drive,
    Measured,
)
from crewtui.day.state.wall_reading import station
from crewtui.job.tables import steps
from crewtui.record.signed import form

TypedAt = Mapping[int, datetime]
"""By number of an entry: when it was typed."""

_BOW_TYPED: Final[tuple[tuple[Literal["before", "after"], str], ...]] = (
    ("before", "bow_in"),
    ("after", "bow_after_in"),
)


def anchor_done(
    state: DayState,
    now: AnchorNow,
    *,
    still_open: tuple[str, ...],
    figures: dict[str, Any],
    typed_at: TypedAt,
) -> form.AnchorDone:
    """Return an anchor with all that was done there."""
    return form.AnchorDone(
        id=now.id,
        wall=now.wall,
        state="dropped" if now.dropped else "open" if still_open else "complete",
        open=still_open,
        dropped_because=now.dropped,
        added_on_site=True if now.planned is None else None,
        first_at=now.first_at,
        last_at=now.last_at,
        planned=_planned(now),
        changed_on_site=_changed(now),
        moved_because=now.moved_because,
        aim={**now.aim, "because": now.aim_because} if now.aim else {},
        figure=figures,
        input=() if now.dropped else tuple(_inputs(state, now)),
        value=values_of(now.as_built, typed_at),
        answer=answers_of(now.answers, typed_at),
        attempt=tuple(_attempt(state, now.id, drive, typed_at) for drive in now.drives),
        piece=tuple(form.PieceInGround(length_in=piece.length_in, entry=piece.n) for piece in now.pieces),
        couplings=len(now.pieces) - 1 if now.pieces else None,
        seat=_seat(state, now),
        torque=tuple(_torques(state, now, typed_at)),
        bow=tuple(_bows(now)),
        reading=tuple(_reading(entry) for entry in now.readings.values()),
    )


def values_of(values: Mapping[str, Measured], typed_at: TypedAt) -> tuple[form.ValueBuilt, ...]:
    """Return the values measured, by quantity."""
    return tuple(
        form.ValueBuilt(
            quantity=quantity,
            value=value.value,
            text=value.text,
            then=value.then,
            outside_limits=value.outside or None,
            reason=value.reason,
            step=value.step,
            **when(value.n, value.done_at, typed_at),
        )
        for quantity, value in values.items()
    )


def answers_of(answers: Mapping[str, Answered], typed_at: TypedAt) -> tuple[form.StepAnswered, ...]:
    """Return the answers to steps that are no values."""
    return tuple(
        form.StepAnswered(
            step=step,
            label=_label(step),
            answer=answer.answer,
            deviates=answer.deviates or None,
            reason=answer.reason,
            **when(answer.n, answer.done_at, typed_at),
        )
        for step, answer in answers.items()
    )


def times(entry: e.Entry) -> dict[str, Any]:
    """Return number and both times of an entry."""
    return {"entry": entry.n, "done_at": entry.done_at, "typed_at": entry.typed_at}


def when(n: int, done_at: datetime, typed_at: TypedAt) -> dict[str, Any]:
    """Return number and both times of what an entry said."""
    return {"entry": n, "done_at": done_at, "typed_at": typed_at.get(n)}


def _inputs(state: DayState, now: AnchorNow) -> Iterator[form.InputUsed]:
    """Yield what the figures rest on, each with where it comes from.

    The seat is left out where it follows from set-back and pit, which stand there.
    """
    at = inputs_for(state, now.id)
    follows = {"seat_in"} if at["seat_in"].source == "worked out" else set()
    for item in at.values():
        if item.value is not None and item.key not in follows:
            yield form.InputUsed(
                quantity=item.key, value=item.value, source=item.source, said_by=item.said_by
            )


def _planned(now: AnchorNow) -> dict[str, Any]:
    plan = (now.planned or now.plan).model_dump()
    return {name: value for name, value in plan.items() if name not in {"id", "wall"}}


def _changed(now: AnchorNow) -> dict[str, Any]:
    if now.planned is None:
        return {}
    before = now.planned.model_dump()
    return {name: value for name, value in now.plan.model_dump().items() if value != before[name]}


def _attempt(state: DayState, anchor: str, drive: Drive, typed_at: TypedAt) -> form.AttemptMade:
    way, run_deg = drive.way, angle_run_deg(state, anchor, drive)
    return form.AttemptMade(
        attempt=drive.attempt,
        held_angle_deg=drive.held_angle_deg,
        found=drive.depth_found_in is not None,
        depth_found_in=drive.depth_found_in,
        side_offset_in=drive.side_offset_in,
        angle_in_pit_deg=drive.angle_in_pit_deg,
        angle_run_deg=run_deg,
        drift_deg=None if run_deg is None else run_deg - drive.held_angle_deg,
        straight=drive.straight,
        left_out_reason=drive.left_out_reason,
        held_by=drive.held_by,
        way={"kind": way.kind, "words": way.words, **way.values} if way else {},
        **when(drive.n, drive.done_at, typed_at),
    )


def _torques(state: DayState, now: AnchorNow, typed_at: TypedAt) -> Iterator[form.TorqueSet]:
    """Yield each round of tightening, the last of each being the torque that was entered."""
    of = round(state.rules.number("tightening_rounds"))
    for at in TIGHTENINGS.values():
        for (which, number), done in sorted(now.rounds.items()):
            if which == at.which:
                yield form.TorqueSet(
                    tightening=at.which,
                    round=number,
                    of=of,
                    torque_lbf_ft=done.torque_lbf_ft,
                    set_lbf_ft=done.set_lbf_ft,
                    clicked=done.clicked,
                    pull_in_in=done.came_in_in,
                    **when(done.n, done.done_at, typed_at),
                )
        torque = now.as_built.get(at.torque)
        if torque is not None:
            yield form.TorqueSet(
                tightening=at.which,
                round=of,
                of=of,
                torque_lbf_ft=torque.value,
                clicked=torque.then == CLICKED if torque.then else None,
                said=torque.then,
                pull_in_in=now.value(at.came_in),
                **when(torque.n, torque.done_at, typed_at),
            )


def _seat(state: DayState, now: AnchorNow) -> form.SeatFound | None:
    """Return where the plate sits; None while no rod was found, and no earlier record says where it is."""
    built = now.plan.built
    depth_in = now.value("depth_found_in") or (built.depth_found_in if built is not None else None)
    if depth_in is None:
        return None
    return form.SeatFound(
        along_in=now.plan.along_in + (now.value("side_offset_in") or 0.0),
        out_in=value_now(state, now, "setback_in").value,
        below_ground_in=depth_in,
        drop_in=value_now(state, now, "drop_in").value,
    )


def _bows(now: AnchorNow) -> Iterator[form.BowFound]:
    """Yield the bow before and after tightening: as typed on its step, else as read from an upright line."""
    for moment, quantity in _BOW_TYPED:
        typed, read = now.as_built.get(quantity), now.readings.get(moment)
        if typed is not None and (read is None or typed.n != read.n):
            yield form.BowFound(when=moment, bow_in=typed.value, how="typed", entry=typed.n)
        elif read is not None:
            bow_in = station(read).bow_in.value
            yield form.BowFound(when=moment, bow_in=bow_in, how="read", entry=read.n)


def _reading(entry: e.WallRead) -> form.WallHeightsRead:
    return form.WallHeightsRead(
        when=entry.when,
        line=entry.line,
        fixed_to=entry.fixed_to,
        line_offset_in=entry.line_offset_in,
        heights_in=tuple(one.height_in for one in entry.heights),
        offsets_in=tuple(one.offset_in for one in entry.heights),
        resolution_in=entry.resolution_in,
        repeats_in=entry.repeats_in,
        repeat_sd_in=entry.repeat_sd_in or None,
        base_from_string_in=entry.base_from_string_in,
        string_at_corners_in=entry.string_at_corners_in,
        **times(entry),
    )


def _label(step: str) -> str:
    return next((each.label for each in steps.load() if each.id == step), "")
