"""Adding up the truck: rods cut and driven, offcuts that come of it, and what was counted."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from msgspec.structs import replace

from crewtui.day.journal import entries as e
from crewtui.day.state.fold_steps import anchor_of, deviation, with_anchor, with_shared
from crewtui.day.state.site_fields import UnfitError, job_with
from crewtui.day.state.state import AnchorNow, DayState, PieceIn, Truck
from crewtui.job.file.model import Job
from crewtui.job.file.planned import planned_number
from crewtui.units import TOLERANCE_IN, at_least

SAME_LENGTH_IN: Final = 0.0625
"""Offcuts nearer than this to each other are one kind: they are taped to a sixteenth."""
_SIZES: Final = {"rods": 1, "offcuts": 1, "plates": 2, "wall_plates": 2}


def item_key(item: str, size_in: Iterable[float] = ()) -> str:
    """Return the steady name of something counted, such as ``couplings`` or ``rods 80``."""
    return f"{item} {' x '.join(f'{side:g}' for side in size_in)}".rstrip()


def truck_of(job: Job) -> Truck:
    """Return the rods as the job file lists them."""
    rods: dict[float, int] = {}
    for stock in job.stock.rods:
        rods[stock.length_in] = rods.get(stock.length_in, 0) + stock.count
    return Truck(rods=rods)


def pieces_driven(state: DayState, entry: e.PiecesDriven) -> DayState:
    """Take in pieces driven: they leave the truck, and what is left of their rods stays on it."""
    now = anchor_of(state, entry.anchor)
    found = now.deviations
    if entry.while_held:
        text = f"rod driven while held by {', '.join(entry.while_held)}"
        found = (*found, deviation(entry, "while held", step="depth-found", text=text, reason=entry.reason))
    pieces = tuple(PieceIn(n=entry.n, length_in=piece.length_in) for piece in entry.pieces)
    truck = state.shared.truck
    for piece in entry.pieces:
        truck = _cut(state, truck, piece)
    state = with_shared(state, truck=truck)
    return with_anchor(state, replace(now, pieces=now.pieces + pieces, deviations=found), entry)


def _cut(state: DayState, truck: Truck, piece: e.PieceDriven) -> Truck:
    offcuts = list(truck.offcuts)
    rods = dict(truck.rods)
    if piece.offcut:
        nearest = min(offcuts, key=lambda length_in: abs(length_in - piece.stock_in), default=None)
        if nearest is not None and abs(nearest - piece.stock_in) <= SAME_LENGTH_IN:
            offcuts.remove(nearest)
    else:
        rods[piece.stock_in] = rods.get(piece.stock_in, 0) - 1
    left_in = piece.stock_in - piece.length_in - kerf_in(state)
    if at_least(left_in, state.rules.number("rod_piece_least_in")):
        offcuts.append(left_in)
    return replace(truck, rods=rods, offcuts=tuple(sorted(offcuts, reverse=True)))


def kerf_in(state: DayState) -> float:
    """Return the width of the saw cut: the job's, else the company's."""
    return planned_number(state.job, state.rules, None, "saw_kerf_in")


def rods_back(before: DayState, after: DayState) -> DayState:
    """Return the state with every piece that came out of the ground on the truck again, cut as it is."""
    if before.anchors is after.anchors:
        return after
    back = [
        piece.length_in
        for ident, now in after.anchors.items()
        for piece in _gone(before.anchors.get(ident), now)
    ]
    if not back:
        return after
    truck = after.shared.truck
    return with_shared(
        after, truck=replace(truck, offcuts=tuple(sorted((*truck.offcuts, *back), reverse=True)))
    )


def _gone(was: AnchorNow | None, now: AnchorNow) -> tuple[PieceIn, ...]:
    return was.pieces if was is not None and was.pieces and not now.pieces else ()


def counted(state: DayState, entry: e.StockCounted) -> DayState:
    """Take in a count: so many are there now."""
    if len(entry.size_in) != _SIZES.get(entry.item, 0):
        raise UnfitError(f"a count of {entry.item} does not have {len(entry.size_in)} sizes")
    truck = state.shared.truck
    truck = replace(truck, counted={**truck.counted, item_key(entry.item, entry.size_in): entry.n})
    if entry.item == "offcuts":
        kept = [length_in for length_in in truck.offcuts if not _same(length_in, entry.size_in[0])]
        kept += [entry.size_in[0]] * entry.count
        return with_shared(state, truck=replace(truck, offcuts=tuple(sorted(kept, reverse=True))))
    if entry.item == "rods":
        others = {have_in: n for have_in, n in truck.rods.items() if not _equal(have_in, entry.size_in[0])}
        truck = replace(truck, rods={**others, entry.size_in[0]: entry.count})
    return with_shared(state, truck=truck, job=_listed(state, entry))


def _same(length_in: float, other_in: float) -> bool:
    return abs(length_in - other_in) <= SAME_LENGTH_IN


def _equal(length_in: float, other_in: float) -> bool:
    return abs(length_in - other_in) <= TOLERANCE_IN


def _listed(state: DayState, entry: e.StockCounted) -> Job:
    """Return the job with the count in place of what it lists."""
    names = ("length_in",) if entry.item == "rods" else ("width_in", "height_in")
    if not entry.size_in:
        return job_with(state.job, "stock", "", {entry.item: entry.count})
    rows = [row.model_dump() for row in getattr(state.job.stock, entry.item)]
    kept = [
        row
        for row in rows
        if not all(_equal(row[name], side) for name, side in zip(names, entry.size_in, strict=True))
    ]
    fresh = {**dict(zip(names, entry.size_in, strict=True)), "count": entry.count}
    at = next((place for place, row in enumerate(rows) if row not in kept), len(kept))
    kept.insert(at, fresh)
    return job_with(state.job, "stock", "", {entry.item: kept})


def set_up(state: DayState, entry: e.SetUp) -> DayState:
    """Take in that stock was filled in: it is counted as of now."""
    if entry.table != "stock":
        return state
    truck = state.shared.truck
    names = dict.fromkeys(entry.values, entry.n)
    if "rods" in entry.values:
        names |= {item_key("rods", (row.length_in,)): entry.n for row in state.job.stock.rods}
        truck = replace(truck, rods=truck_of(state.job).rods)
    for item in ("plates", "wall_plates"):
        if item in entry.values:
            rows = getattr(state.job.stock, item)
            names |= {item_key(item, (row.width_in, row.height_in)): entry.n for row in rows}
    return with_shared(state, truck=replace(truck, counted={**truck.counted, **names}))
