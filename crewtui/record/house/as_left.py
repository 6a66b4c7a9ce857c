"""An anchor as the records of its house leave it: plan, what was built, torque, how the wall was read.

The latest day that says something of an anchor counts, quantity by quantity; a visit's own record carries on
what its job carried over.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from msgspec import Struct

from crewtui.day.wall.anchor_account import BEFORE_TODAY, AnchorAccount
from crewtui.foreign import shown
from crewtui.record.house import record_look
from crewtui.record.house.account_of_record import account_of
from crewtui.record.house.house import House, Kept
from crewtui.record.house.record_days import day_of
from crewtui.record.house.series import turned_on
from crewtui.record.signed.form import AnchorDone

_BUILT: Final = ("setback_in", "drop_in", "mark_depth_in")
"""What the site finds out in place of the plan's value, under the same name in the job file."""
_DEPTH: Final = "depth_found_in"


class AsLeft(Struct, frozen=True, kw_only=True):
    """One anchor as the last day left it."""

    id: str
    wall: str
    plan: Mapping[str, Any]
    """The plan's fields with what the site changed and built, in inches, degrees and lbf·ft."""
    built: Mapping[str, Any]
    """The fields of what was built, as the job of a visit carries them."""
    open: tuple[str, ...]
    """What its last record says is left to do."""

    @property
    def is_set(self) -> bool:
        """Return whether a rod was found in its pit."""
        return _DEPTH in self.built


def as_left(house: House) -> tuple[AsLeft, ...]:
    """Return every anchor that no day dropped, in the order of the first record that has it."""
    by_anchor: dict[str, list[tuple[Kept, AnchorDone]]] = {}
    for day in house.days:
        for anchor in day.record.anchor:
            by_anchor.setdefault(anchor.id, []).append((day, anchor))
    return tuple(_left(days) for days in by_anchor.values() if days[-1][1].state != "dropped")


def _left(days: Sequence[tuple[Kept, AnchorDone]]) -> AsLeft:
    plan: dict[str, Any] = {}
    built: dict[str, Any] = {}
    for day, anchor in days:
        plan |= record_look.planned(anchor)
        carried = plan.pop("built", None)
        built |= carried if isinstance(carried, Mapping) else {}
        plan |= {key: value for key in _BUILT if (value := record_look.built(anchor, key)) is not None}
        built |= dict(_built(day, anchor))
        if day_of(day.record) != "readings":
            built |= _account(account_of(day.record, anchor))
        bows = [bow for key in ("bow_in", "bow_found_in", "bow_after_in")
                if (bow := record_look.built(anchor, key)) is not None]  # fmt: skip
        if bows:
            plan["bow_in"] = bows[-1]
    if plan.get("drop_in") is not None:
        plan.pop("yard_slope", None)
    _, last = days[-1]
    return AsLeft(id=last.id, wall=last.wall, plan=plan, built=built, open=last.open)


def _account(account: AnchorAccount) -> dict[str, Any]:
    """Return what the next visit has to know of how an anchor came out."""
    return {
        "clicked": account.clicked,
        "left_open": [shown(one) for one in account.open],
        "departed": [shown(what) for what in dict.fromkeys(one.what for one in account.not_accepted)],
        "accepted": [
            shown(one.what if one.accepted == BEFORE_TODAY else f"{one.what}: {one.accepted}")
            for one in account.departures
            if one.accepted
        ],
    }


def _built(day: Kept, anchor: AnchorDone) -> Iterator[tuple[str, Any]]:
    """Yield what one day adds to what is known as built."""
    depth_in = record_look.built(anchor, _DEPTH)
    if depth_in is not None:
        yield _DEPTH, depth_in
    if anchor.piece:
        yield "pieces_in", [piece.length_in for piece in anchor.piece]
    turned = turned_on(day, anchor)
    if turned is not None and turned.left_lbf_ft is not None:
        yield "torque_left_lbf_ft", turned.left_lbf_ft
        yield "left_on", turned.day
    if anchor.reading:
        row = anchor.reading[-1]
        yield "heights_in", list(row.heights_in)
        yield "line", row.line
        yield "fixed_to", row.fixed_to
        yield "resolution_in", row.resolution_in
        if row.line_offset_in is not None:
            yield "line_offset_in", row.line_offset_in


__all__ = ["AsLeft", "as_left"]
