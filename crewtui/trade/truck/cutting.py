"""The cut list of a whole job: which stock to cut into which pieces, and whether the truck holds enough.

The model is stated in docs/cutting-model.md. The search runs without a screen and can be called off, so that
a worker can run it; it needs ``highspy``, which is loaded only when there is something to search for.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Final, Literal

from msgspec import Struct
from msgspec.structs import replace

from crewtui.trade.checks import checked
from crewtui.trade.rod.pieces import PieceLimits, fewest_pieces, joint_windows
from crewtui.trade.truck.cut_clock import Clock
from crewtui.trade.truck.cut_list import (
    CutPiece,
    CutPlan,
    CutStock,
    PieceRange,
    RodToCut,
    StockLength,
    StockUse,
)
from crewtui.trade.truck.cut_model import Range, RodModel, Split, StockModel, to_units
from crewtui.trade.truck.cut_words import answer_in_words, lengths_of, uses_of, warnings_of
from crewtui.units import UnitSystem, at_least

if TYPE_CHECKING:
    from crewtui.trade.truck.cut_search import Answer

MorePieces = Literal["never", "when short", "always"]

SAW_KERF_IN: Final = 0.125
"""Width of the saw cut: company setting, from memory."""
WORTH_KEEPING_IN: Final = 24.0
"""Shortest offcut that goes back on the truck: company setting, from memory."""
TIME_LIMIT_S: Final = 8.0
"""After so long the best found is given, said to be not proven."""
_AGAIN_S: Final = 2.0
"""Time at least to look again with more pieces a rod, where the truck is short with the fewest."""
_COST_PER_IN: Final = 100
_ANY_COUNT: Final = 100_000


def rod_to_cut(anchor: str, limits: PieceLimits, *, more_pieces: int = 0) -> RodToCut | None:
    """Return what is to be cut for a rod, in its fewest pieces or up to so many more; None where nothing is.

    ValueError where no number of pieces serves: the rod's own plan says why and what would.
    """
    fewest = fewest_pieces(limits)
    if fewest == 0:
        return None
    if fewest is None:
        raise ValueError(f"No pieces serve for the rod of anchor {anchor}: its own plan says what would.")
    splits = [_ranges(limits, count) for count in range(fewest, fewest + more_pieces + 1)]
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
    more_pieces: MorePieces = "when short",
    time_limit_s: float = TIME_LIMIT_S,
    cancelled: Callable[[], bool] = lambda: False,
    system: UnitSystem = "imperial",
) -> CutPlan:
    """Return the cut list for all rods: least stock, then fewest cuts, then the longest offcut.

    Least stock is the fewest lengths of one kind; of several kinds, the least length in all, or the least
    cost where costs are given. What the truck lacks is fetched, as few lengths of it as can be. Rods are cut
    in the first way that each gives to split it, its fewest pieces; in the others only where the truck is
    short otherwise, or always, or never. ``cancelled`` is asked now and then; when it says yes, the best
    found so far comes back.
    """
    started = time.monotonic()
    _check(rods, stock, kerf_in, time_limit_s)
    until = started + time_limit_s
    few = [replace(rod, splits=rod.splits[:1]) for rod in rods]
    found = _find(rods if more_pieces == "always" else few, stock, kerf_in, until, cancelled)
    if more_pieces == "when short" and found.short and any(len(rod.splits) > 1 for rod in rods):
        wider = _find(rods, stock, kerf_in, max(until, time.monotonic() + _AGAIN_S), cancelled)
        if wider.short < found.short:
            found = wider
    uses = uses_of(stock, found.sources)
    enough, said = answer_in_words(uses, found.left_out, found.lengths, system)
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
        lengths_proven="cost" in found.proven,
        cuts_proven="cuts" in found.proven,
        offcut_proven=found.offcut_proven,
        enough=enough,
        said=said,
        seconds=time.monotonic() - started,
        warnings=warnings_of(found.left_out, uses, system),
    )


class _Found(Struct, frozen=True, kw_only=True):
    """One search's answer, in inches."""

    lengths: tuple[CutStock, ...] = ()
    sources: tuple[int, ...] = ()
    """For each length of stock cut, its place in the list of stock."""
    left_out: tuple[str, ...] = ()
    proven: frozenset[str] = frozenset({"missing", "cost", "cuts"})
    offcut_proven: bool = True

    @property
    def short(self) -> int:
        """How many lengths would have to be fetched."""
        return sum(length.missing for length in self.lengths)


def _find(
    rods: Sequence[RodToCut],
    stock: Sequence[StockLength],
    kerf_in: float,
    until: float,
    cancelled: Callable[[], bool],
) -> _Found:
    models = {number: _rod_model(rod, stock) for number, rod in enumerate(rods)}
    known = {number: model for number, model in models.items() if model is not None}
    left_out = tuple(rods[number].anchor for number in models if number not in known)
    if not known:
        return _Found(left_out=left_out)
    most = sum(max(len(split.ranges) for split in model.splits) for model in known.values())
    kinds = _stock_models(stock, most)
    answer = _search(list(known.values()), kinds, kerf_in, until, cancelled)
    return _Found(
        lengths=lengths_of(answer.layout, [rods[number] for number in known], stock, kinds, kerf_in),
        sources=tuple(kinds[kind].source for kind in answer.layout.stocks),
        left_out=left_out,
        proven=frozenset(answer.proven),
        offcut_proven=answer.offcut_proven,
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
        if kind.cost is not None:
            checked("The cost of a length of stock", kind.cost, above=0)
    for rod in rods:
        checked(f"The rod of anchor {rod.anchor}", rod.length_in, above=0)
        if not rod.splits or any(not split for split in rod.splits):
            raise ValueError(f"The rod of anchor {rod.anchor} has no way to be split.")


def _rod_model(rod: RodToCut, stock: Sequence[StockLength]) -> RodModel | None:
    """Return the rod in whole units; None where no way to split it fits the longest stock there is."""
    longest = max(
        (to_units(kind.length_in) for kind in stock if kind.count != 0 or not kind.offcut), default=0
    )
    splits: list[Split] = []
    length = to_units(rod.length_in)
    for split in rod.splits:
        ranges = tuple(
            Range(to_units(part.least_in), min(longest, to_units(part.greatest_in))) for part in split
        )
        slack = len(ranges) + 1
        low, high = sum(part.low for part in ranges), sum(part.high for part in ranges)
        fitting = min(max(length, low), high) if low - slack <= length <= high + slack else length
        tight = Split(ranges).tightened(fitting)
        if tight is not None and (not splits or fitting == length):
            splits.append(tight)
            length = fitting
    return RodModel(length, tuple(splits)) if splits else None


def _stock_models(stock: Sequence[StockLength], pieces: int) -> list[StockModel]:
    """Return the stock there is and, after it, what can be fetched where the count is known."""
    costs = _costs(stock)
    kinds = [
        StockModel(
            to_units(kind.length_in),
            min(pieces, _ANY_COUNT if kind.count is None else kind.count),
            cost,
            missing=False,
            source=place,
        )
        for place, (kind, cost) in enumerate(zip(stock, costs, strict=True))
    ]
    fetched = [place for place, kind in enumerate(stock) if not kind.offcut] or list(range(len(stock)))
    kinds += [
        StockModel(to_units(stock[place].length_in), pieces, costs[place], missing=True, source=place)
        for place in fetched
        if stock[place].count is not None
    ]
    return kinds


def _costs(stock: Sequence[StockLength]) -> list[int]:
    """Return whole numbers in the proportion of cost where any is given, else of length."""
    priced = any(kind.cost is not None for kind in stock)
    values = [
        max(1, round(_COST_PER_IN * (kind.length_in if not priced or kind.cost is None else kind.cost)))
        for kind in stock
    ]
    shared = math.gcd(*values)
    return [value // shared for value in values]


def _search(
    rods: Sequence[RodModel],
    kinds: Sequence[StockModel],
    kerf_in: float,
    until: float,
    cancelled: Callable[[], bool],
) -> Answer:
    from crewtui.trade.truck.cut_search import Search  # noqa: PLC0415 - the solver takes a quarter of a second to load

    return Search(rods, kinds, to_units(kerf_in), Clock(until, cancelled)).run()


__all__ = [
    "SAW_KERF_IN",
    "TIME_LIMIT_S",
    "WORTH_KEEPING_IN",
    "CutPiece",
    "CutPlan",
    "CutStock",
    "MorePieces",
    "PieceRange",
    "RodToCut",
    "StockLength",
    "StockUse",
    "plan_cuts",
    "rod_to_cut",
]
