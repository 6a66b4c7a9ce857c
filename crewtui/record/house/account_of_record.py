"""How an anchor of a record came out, by the same account as on the day; records of every format."""

from __future__ import annotations

from collections.abc import Iterator

from crewtui.day.state.state import CLICKED, TIGHTENINGS
from crewtui.day.wall.anchor_account import AnchorAccount, Departure
from crewtui.job.tables.steps import label
from crewtui.record.house import record_look
from crewtui.record.signed.form import AnchorDone, Record
from crewtui.trade.tightening.torque import SETTING_AGREES_SHARE

_LEFT_OPEN = "not every step is entered"


def account_of(record: Record, anchor: AnchorDone) -> AnchorAccount:
    """Return how an anchor of a record came out."""
    tightened = [at.torque for at in TIGHTENINGS.values() if record_look.built(anchor, at.torque) is not None]
    last = tightened[-1] if tightened else ""
    then = record_look.then(anchor, last)
    return AnchorAccount(
        anchor=anchor.id,
        dropped=(anchor.dropped_because or "no reason given") if anchor.state == "dropped" else "",
        open=(anchor.open or (_LEFT_OPEN,)) if anchor.state == "open" else (),
        torque_lbf_ft=record_look.built(anchor, last) if last else None,
        clicked=then == CLICKED if then else None,
        target_lbf_ft=target_lbf_ft(anchor),
        agrees_share=_agrees_share(record),
        departures=tuple(_departures(record, anchor)),
        owner_by_plan=record_look.planned(anchor).get("owner_adjustable") is True,
    )


def target_lbf_ft(anchor: AnchorDone) -> float | None:
    """Return the torque that the anchor was worked to, else the plan's; None where neither is there."""
    worked = record_look.number(anchor.figure.get("torque_lbf_ft"))
    by_plan = record_look.number(record_look.planned(anchor).get("torque_lbf_ft"))
    return worked if worked is not None else by_plan


def _agrees_share(record: Record) -> float:
    said = (record_look.number(row.value) for row in record.rule if row.key == "torque_agrees_share")
    return next((share for share in said if share is not None and 0 <= share < 1), SETTING_AGREES_SHARE)


def _departures(record: Record, anchor: AnchorDone) -> Iterator[Departure]:
    named: set[int] = set()
    for row in record.deviation:
        if row.anchor == anchor.id:
            named.add(row.entry)
            what = label(row.step) if row.step else record_look.labelled(row.text, record.job.units)
            yield Departure(what=what, accepted=row.accepted or "")
    for found in record.finding:
        if found.anchor == anchor.id:
            what = found.text.split(":", 1)[0]
            yield Departure(what=what or "something about the wall", accepted=found.accepted or "")
    for value in anchor.value:
        if value.outside_limits and value.entry not in named:
            yield Departure(what=label(value.step or value.quantity))
    for answer in anchor.answer:
        if answer.deviates and answer.entry not in named:
            yield Departure(what=answer.label or label(answer.step))


__all__ = ["account_of", "target_lbf_ft"]
