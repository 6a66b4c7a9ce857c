"""What the job took: ordered, received at the yard, used in the anchors, and left to go back.

It follows from the entries: pieces driven, plates set, hardware with them, and what was counted. What nobody
counted and nobody listed stays None; nothing is asked for it.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from typing import Final

from msgspec import Struct

from crewtui.day.journal import entries as e
from crewtui.day.state.kept_plan import kept_plan
from crewtui.day.state.state import DayState
from crewtui.day.steps.step_rows import TAGGED
from crewtui.day.truck.loading import PLATE_COVER, PLATE_ON, WALL_PLATE_ON, on_truck, plate_size
from crewtui.job.file.model import Stock
from crewtui.trade.truck.load_out import WAX_PER_ANCHOR

Sized = tuple[str, tuple[float, ...]]
"""An item, and its sizes in inches where it has any."""
_BY_COUNT: Final = ("couplings", "nuts", "washers", "sleeves", "caps", "plate_covers", "tags", "wax")


class MaterialLine(Struct, frozen=True, kw_only=True):
    """One kind of thing; None where nobody said how many."""

    item: str
    size_in: tuple[float, ...]
    ordered: int | None
    """By the job file."""
    received: int | None
    """As it was first counted."""
    used: int
    back: int | None
    """What is left: as it was last counted, less what was used since."""


def material(state: DayState, entries: Iterable[e.Entry]) -> tuple[MaterialLine, ...]:
    """Return every kind of thing that was used or counted; entries are those that stand."""
    listed = tuple(entries)
    used, received = _used(state, listed), _received(listed)
    kept = kept_plan(listed)
    plan = kept.job() if kept is not None else None
    ordered = dict(_stock(plan.stock)) if plan is not None else {}
    left = dict(_left(state))
    keys = sorted({**used, **received}, key=lambda one: (_ORDER.get(one[0], len(_ORDER)), one[1]))
    return tuple(
        MaterialLine(
            item=item,
            size_in=size_in,
            ordered=ordered.get((item, size_in)),
            received=received.get((item, size_in)),
            used=used.get((item, size_in), 0),
            back=left.get((item, size_in)),
        )
        for item, size_in in keys
    )


_ORDER: Final[Mapping[str, int]] = {
    item: n for n, item in enumerate(("rods", "couplings", "plates", "wall_plates", *_BY_COUNT[1:]))
}


def _used(state: DayState, entries: tuple[e.Entry, ...]) -> dict[Sized, int]:
    """Return what went into the anchors; a rod that was cut is used, whatever is left of it."""
    found: Counter[Sized] = Counter()
    for entry in entries:
        if isinstance(entry, e.PiecesDriven):
            found.update(("rods", (piece.stock_in,)) for piece in entry.pieces if not piece.offcut)
    waxed = 0
    for now in state.anchors.values():
        plate_on, wall_plate_on = PLATE_ON in now.answers, WALL_PLATE_ON in now.answers
        for which, on in (("plate", plate_on), ("wall_plate", wall_plate_on)):
            if on:
                size = plate_size(state, now, which)
                found[f"{which}s", (size.width_in, size.height_in)] += 1
        closed = now.answers.get("closed")
        counts = {
            "couplings": max(0, len(now.pieces) - 1),
            "nuts": plate_on + wall_plate_on,
            "washers": int(wall_plate_on),
            "sleeves": int(wall_plate_on),
            "caps": int("trimmed" in now.answers),
            "plate_covers": int(PLATE_COVER in now.answers),
            "tags": int(closed is not None and closed.answer == TAGGED),
        }
        found.update({(item, ()): count for item, count in counts.items() if count})
        waxed += "wax" in now.answers
    if waxed:
        found["wax", ()] = math.ceil(waxed * WAX_PER_ANCHOR)
    return dict(found)


def _received(entries: tuple[e.Entry, ...]) -> dict[Sized, int]:
    found: dict[Sized, int] = {}
    for entry in entries:
        if isinstance(entry, e.StockCounted) and entry.item != "offcuts":
            found.setdefault((entry.item, entry.size_in), entry.count)
    return found


def _stock(stock: Stock) -> Iterator[tuple[Sized, int]]:
    """Yield what a job file lists."""
    rods: Counter[float] = Counter()
    for rod in stock.rods:
        rods[rod.length_in] += rod.count
    for length_in, count in rods.items():
        yield ("rods", (length_in,)), count
    for item in ("plates", "wall_plates"):
        for row in getattr(stock, item):
            yield (item, (row.width_in, row.height_in)), row.count
    for item in (*_BY_COUNT, "covers", "tampers", "ground_sheets"):
        listed = getattr(stock, item)
        if listed is not None:
            yield (item, ()), listed


def _left(state: DayState) -> Iterator[tuple[Sized, int]]:
    """Yield what is on the truck now, where anybody listed or counted it."""
    truck, there = state.shared.truck, on_truck(state)
    for length_in, count in truck.rods.items():
        yield ("rods", (length_in,)), max(0, count)
    for item, plates in (("plates", there.plates), ("wall_plates", there.wall_plates)):
        for plate in plates or ():
            yield (item, (plate.size.width_in, plate.size.height_in)), plate.count
    for item in (*_BY_COUNT, "covers", "tampers", "ground_sheets"):
        left = getattr(there, "wax_sticks" if item == "wax" else item)
        if left is not None:
            yield (item, ()), max(0, left)


__all__ = ["MaterialLine", "material"]
