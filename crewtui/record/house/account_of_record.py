"""How an anchor of a record came out, by the same account as on the day; records of every format."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from crewtui.day.steps.visit_word import CALL, NUT_STEP, WORD_STEP
from crewtui.day.wall.anchor_account import (
    NOTHING_BEFORE,
    AnchorAccount,
    Before,
    Departure,
    nut_as_left,
    with_earlier,
)
from crewtui.job.tables.steps import label
from crewtui.record.house import record_look
from crewtui.record.signed.form import AnchorDone, Record
from crewtui.trade.tightening.torque import SETTING_AGREES_SHARE

_LEFT_OPEN = "not every step is entered"


def account_of(record: Record, anchor: AnchorDone) -> AnchorAccount:
    """Return how an anchor of a record came out."""
    before = before_of(anchor)
    built = {
        value.quantity: (found, value.then)
        for value in anchor.value
        if (found := record_look.number(value.value)) is not None
    }
    nut = nut_as_left(built, record_look.answered(anchor, NUT_STEP), before)
    return AnchorAccount(
        anchor=anchor.id,
        dropped=(anchor.dropped_because or "no reason given") if anchor.state == "dropped" else "",
        open=(*((anchor.open or (_LEFT_OPEN,)) if anchor.state == "open" else ()), *before.open),
        torque_lbf_ft=nut.torque_lbf_ft,
        clicked=nut.clicked,
        target_lbf_ft=target_lbf_ft(anchor),
        agrees_share=_agrees_share(record),
        departures=with_earlier(_departures(record, anchor), before),
        call=record_look.answered(anchor, WORD_STEP) == CALL,
        owner_by_plan=record_look.planned(anchor).get("owner_adjustable") is True,
    )


def before_of(anchor: AnchorDone) -> Before:
    """Return how earlier days left an anchor, as a visit carries it; anything odd is left out."""
    carried = record_look.planned(anchor).get("built")
    if not isinstance(carried, Mapping):
        return NOTHING_BEFORE
    clicked = carried.get("clicked")
    return Before(
        torque_lbf_ft=record_look.number(carried.get("torque_left_lbf_ft")),
        clicked=clicked if isinstance(clicked, bool) else None,
        open=_texts(carried.get("left_open")),
        departed=_texts(carried.get("departed")),
        accepted=_texts(carried.get("accepted")),
    )


def _texts(value: object) -> tuple[str, ...]:
    return tuple(one for one in value if isinstance(one, str)) if isinstance(value, list | tuple) else ()


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
            what = label(row.step) if row.step else record_look.labeled(row.text, record.job.units)
            yield Departure(what=what, accepted=row.accepted or "")
    for found in record.finding:
        if found.anchor == anchor.id:
            what = found.text.partition(". ")[0].rstrip(".").replace(": ", ", ", 1)
            yield Departure(what=what or "something about the wall", accepted=found.accepted or "")
    for value in anchor.value:
        if value.outside_limits and value.entry not in named:
            yield Departure(what=label(value.step or value.quantity))
    for answer in anchor.answer:
        if answer.deviates and answer.entry not in named:
            yield Departure(what=answer.label or label(answer.step))


__all__ = ["account_of", "before_of", "target_lbf_ft"]
