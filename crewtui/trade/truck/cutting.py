"""The cut list of a whole job: which stock goes whole or cut into which rod, and is the truck enough.

The model is stated in docs/cutting-model.md. The search runs without a screen, in a process of its own
(``cut_alone``); it needs ``highspy``, which is loaded only when there is something to search for.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Sequence
from typing import Final

from msgspec import Struct

from crewtui.trade.checks import checked
from crewtui.trade.rod.pieces import PieceLimits, fewest_pieces, joint_windows
from crewtui.trade.truck.cut_list import (
    CutPiece,
    CutPlan,
    CutStock,
    PieceRange,
    RodToCut,
    StockLength,
    StockUse,
)
from crewtui.trade.truck.cut_words import answer_in_words, lengths_of, uses_of, warnings_of
from crewtui.trade.truck.rod_ways import PiecePlaces, to_units, ways_of
from crewtui.units import UnitSystem, at_least

SAW_KERF_IN: Final = 0.125
"""Width of the saw cut: company setting, from memory."""
WORTH_KEEPING_IN: Final = 24.0
"""Shortest offcut that goes back on the truck: company setting, from memory."""
TIME_LIMIT_S: Final = 8.0
"""After so long the best found is given, said to be not proven."""
MOST_MORE_PIECES: Final = 6
"""So many pieces more than its fewest a rod is parted into at most, where the truck is short otherwise."""
_TRIES: Final = ((0, False, 0.4), (0, True, 0.5), (1, True, 0.6), (2, True, 0.7))
"""Pieces more a rod, if more than one may be cut, and at which share of the time that try has to end."""


def rod_to_cut(anchor: str, limits: PieceLimits, *, joined: bool = True) -> RodToCut | None:
    """Return what is to be driven for a rod, in its fewest pieces and in more; None where nothing is.

    Without ``joined`` no coupling may go in, so that a rod is one piece or none. ValueError where no number
    of pieces serves: the rod's own plan says why and what would.
    """
    fewest = fewest_pieces(limits)
    if fewest == 0:
        return None
    if fewest is None or (not joined and (fewest > 1 or limits.driven_in > 0)):
        raise ValueError(f"No pieces serve for the rod of anchor {anchor}: its own plan says what would.")
    most = fewest + MOST_MORE_PIECES if joined else 1
    splits = [_ranges(limits, count) for count in range(fewest, most + 1)]
    length_in = max(limits.rest_in, limits.least_in)
    return RodToCut(
        anchor=anchor,
        length_in=length_in,
        splits=tuple(split for split in splits if split is not None and _can_sum(split, length_in)),
    )


def _ranges(limits: PieceLimits, count: int) -> tuple[PieceRange, ...] | None:
    """Return each piece's range for so many pieces; their joints then stand clear of themselves.

    Only the first joint bounds the first piece, and only the last joint the last piece: in between, every
    joint stands between those two.
    """
    if joint_windows(limits, count) is None:
        return None
    least_in = limits.least_in
    ranges = []
    for place in range(count):
        low_in = least_in
        if place == 0 and not limits.driven_in and count > 1:
            low_in = max(low_in, limits.joint_least_in)
        if place == count - 1 and count > 1:
            low_in = max(low_in, limits.last_least_in)
        ranges.append(PieceRange(least_in=low_in, greatest_in=limits.greatest_in(place)))
    return tuple(ranges)


def _can_sum(split: Sequence[PieceRange], length_in: float) -> bool:
    least_in, greatest_in = sum(part.least_in for part in split), sum(part.greatest_in for part in split)
    return at_least(length_in, least_in) and at_least(greatest_in, length_in)


def plan_cuts(
    rods: Sequence[RodToCut],
    stock: Sequence[StockLength],
    *,
    kerf_in: float = SAW_KERF_IN,
    worth_keeping_in: float = WORTH_KEEPING_IN,
    time_limit_s: float = TIME_LIMIT_S,
    system: UnitSystem = "imperial",
) -> CutPlan:
    """Return the cut list for all rods: fewest missing, fewest lengths, fewest pieces cut, longest offcut.

    Every rod is whole lengths and at most one piece cut, in its fewest pieces; in more, or parted freely,
    only where the truck is short otherwise. What the truck lacks is fetched, but never an offcut.
    """
    started = time.monotonic()
    _check(rods, stock, kerf_in, time_limit_s)
    found = _find(rods, stock, to_units(kerf_in), started, time_limit_s)
    uses = uses_of(stock, found.used)
    missing = sum(length.missing for length in found.lengths)
    seconds = time.monotonic() - started
    enough, said = answer_in_words(
        uses, found.left_out, least_missing=found.least_missing, seconds=seconds, system=system
    )
    short_proven = found.least_missing >= missing
    return CutPlan(
        rods=tuple(rods),
        stock=tuple(stock),
        kerf_in=kerf_in,
        lengths=found.lengths,
        uses=uses,
        cuts=sum(length.cuts for length in found.lengths),
        longest_offcut_in=max((length.offcut_in for length in found.lengths), default=0.0),
        worth_keeping_in=worth_keeping_in,
        couplings=sum(len(length.pieces) for length in found.lengths) - len(rods) + len(found.left_out),
        left_out=found.left_out,
        lengths_proven=short_proven and "lengths" in found.proven,
        cuts_proven=short_proven and "cuts" in found.proven,
        least_missing=found.least_missing,
        enough=enough,
        said=said,
        warnings=warnings_of(found.left_out, uses, system, proven=short_proven),
    )


class _FoundList(Struct, frozen=True, kw_only=True):
    """What the searches came to, in inches."""

    lengths: tuple[CutStock, ...] = ()
    used: Counter[int]
    """By place in the list of stock, how many are taken."""
    left_out: tuple[str, ...] = ()
    proven: frozenset[str] = frozenset({"lengths", "cuts"})
    least_missing: int = 0


def _find(
    rods: Sequence[RodToCut], stock: Sequence[StockLength], kerf: int, started: float, limit_s: float
) -> _FoundList:
    ways = [ways_of(rod, stock, kerf) for rod in rods]
    left_out = tuple(rod.anchor for rod, own in zip(rods, ways, strict=True) if not own)
    known = [rod for rod, own in zip(rods, ways, strict=True) if own]
    if not known:
        return _FoundList(used=Counter(), left_out=left_out)
    from crewtui.trade.truck.finish import finished  # noqa: PLC0415 - the solver takes a quarter of a second to load
    from crewtui.trade.truck.free_split import FreeSplit  # noqa: PLC0415
    from crewtui.trade.truck.whole_lengths import TruckKind, WholeSearch, missing_of  # noqa: PLC0415

    anything = all(kind.offcut for kind in stock)
    kinds = [
        TruckKind(
            to_units(kind.length_in), kind.count, kind.count is not None and (anything or not kind.offcut)
        )
        for kind in stock
    ]
    listed = [own for own in ways if own]
    best, counted = None, any(kind.count is not None for kind in kinds)
    for more, mixed, share in _TRIES:
        if more or mixed:
            listed = [ways_of(rod, stock, kerf, more_pieces=more, mixed=mixed) for rod in known]
        until = started + limit_s * (share if counted else 1.0)
        found = WholeSearch(listed, kinds, kerf, until).run()
        if best is None or missing_of(found.uses(), kinds) < missing_of(best.uses(), kinds):
            best = found
        missing = missing_of(best.uses(), kinds)
        if not missing:
            break
    assert best is not None  # noqa: S101 - there is a first try
    least_missing = 0
    if missing:
        free = FreeSplit(known, kinds, kerf, missing).run(started + limit_s - time.monotonic())
        least_missing = free.least_missing
        if free.found is not None and missing_of(free.found.uses(), kinds) < missing:
            best = free.found
    longest = max(to_units(kind.length_in) for kind in stock)
    places = [
        [own for split in rod.splits if (own := PiecePlaces.of(split, rod.length_in, longest)) is not None]
        for rod in known
    ]
    best = finished(best, places, kinds, kerf)
    return _FoundList(
        lengths=lengths_of(best, known, stock, kerf),
        used=best.uses(),
        left_out=left_out,
        proven=frozenset(best.proven),
        least_missing=least_missing,
    )


def _check(
    rods: Sequence[RodToCut], stock: Sequence[StockLength], kerf_in: float, time_limit_s: float
) -> None:
    checked("The saw cut", kerf_in, least=0)
    checked("The time limit", time_limit_s, least=0)
    for kind in stock:
        checked("A length of stock", kind.length_in, above=0)
        if kind.count is not None:
            checked("The count of a length of stock", kind.count, least=0)
    for rod in rods:
        checked(f"The rod of anchor {rod.anchor}", rod.length_in, above=0)
        if not rod.splits or any(not split for split in rod.splits):
            raise ValueError(f"The rod of anchor {rod.anchor} has no way to be split.")


__all__ = [
    "SAW_KERF_IN",
    "TIME_LIMIT_S",
    "WORTH_KEEPING_IN",
    "CutPiece",
    "CutPlan",
    "CutStock",
    "PieceRange",
    "RodToCut",
    "StockLength",
    "StockUse",
    "plan_cuts",
    "rod_to_cut",
]
