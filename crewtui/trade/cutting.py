"""The cut list of a whole job: which stock to cut into which pieces, and whether the truck holds enough.

The model is stated in docs/cutting-model.md. The search runs without a screen and can be called off, so that a
worker can run it; it needs ``highspy``, which is loaded only when there is something to search for.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from crewtui.trade.aim import checked
from crewtui.trade.cut_model import RodModel, Range, Split, StockModel, to_inches, to_units
from crewtui.trade.rod_pieces import PieceLimits, fewest_pieces, joint_windows
from crewtui.units import UnitSystem, at_least, show_length

if TYPE_CHECKING:
    from crewtui.trade.cut_layout import Layout
    from crewtui.trade.cut_search import Answer

SAW_KERF_IN: Final = 0.125
"""Width of the saw cut: company setting, from memory."""
WORTH_KEEPING_IN: Final = 24.0
"""Shortest offcut that goes back on the truck: company setting, from memory."""
TIME_LIMIT_S: Final = 8.0
"""After so long the best found is given, said to be not proven."""
_COST_PER_IN: Final = 100
_ANY_COUNT: Final = 100_000


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceRange:
    """From the least to the greatest length of one piece."""

    least_in: float
    greatest_in: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RodToCut:
    """What is still to be cut for one anchor: a length, and the ways to split it, pieces in the order driven."""

    anchor: str
    length_in: float
    splits: tuple[tuple[PieceRange, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StockLength:
    """Rods of one length on the truck, or one kind of offcut lying about."""

    length_in: float
    count: int | None = None
    """None where nobody has counted: as many as it takes."""
    offcut: bool = False
    """Whether it is used if it is there, but never fetched."""
    cost: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPiece:
    """One piece as cut."""

    anchor: str
    number: int
    """Which of the anchor's pieces still to be driven, in the order driven, from 1."""
    of: int
    length_in: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CutStock:
    """One length of stock and what becomes of it."""

    length_in: float
    offcut_stock: bool
    missing: bool
    """Whether it is not on the truck and has to be fetched."""
    pieces: tuple[CutPiece, ...]
    cuts: int
    offcut_in: float
    """What is left after the last cut; 0 where nothing is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StockUse:
    """One kind of stock: what is there, what is needed, what is left."""

    length_in: float
    offcut: bool
    there: int | None
    needed: int
    spare: int | None
    """What is left over; negative where so many are short; None where nobody has counted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPlan:
    """The cut list, how sure it is, and the answer to "is there enough on the truck"."""

    rods: tuple[RodToCut, ...]
    stock: tuple[StockLength, ...]
    kerf_in: float
    lengths: tuple[CutStock, ...]
    uses: tuple[StockUse, ...]
    cuts: int
    longest_offcut_in: float
    worth_keeping_in: float
    couplings: int
    """Joints of the pieces in the list with each other; a joint to a piece in the ground is not counted."""
    left_out: tuple[str, ...]
    """Anchors whose rod cannot be cut from this stock at all."""
    lengths_proven: bool
    cuts_proven: bool
    offcut_proven: bool
    enough: bool | None
    """None where some stock is not counted and none is short, or where an anchor is left out."""
    said: str
    """Enough or not, with the spare, in words."""
    seconds: float
    warnings: tuple[str, ...]

    @property
    def proven(self) -> bool:
        """Whether no list does with less stock, nor with fewer cuts of as little stock."""
        return self.lengths_proven and self.cuts_proven

    @property
    def state(self) -> str:
        """How sure the list is, in words."""
        if self.proven:
            return "proven"
        if self.lengths_proven:
            return "fewest lengths proven; cuts best found, not proven"
        return "best found, not proven"

    def pieces_for(self, anchor: str) -> tuple[float, ...]:
        """Return the pieces of one anchor still to be driven, in the order driven."""
        own = [piece for stock in self.lengths for piece in stock.pieces if piece.anchor == anchor]
        return tuple(piece.length_in for piece in sorted(own, key=lambda piece: piece.number))


def rod_to_cut(anchor: str, limits: PieceLimits, *, more_pieces: int = 0) -> RodToCut | None:
    """Return what is to be cut for a rod: in its fewest pieces, or in up to so many more; None where nothing is.

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
    time_limit_s: float = TIME_LIMIT_S,
    cancelled: Callable[[], bool] = lambda: False,
    system: UnitSystem = "imperial",
) -> CutPlan:
    """Return the cut list for all rods: least stock, then fewest cuts, then the longest offcut.

    Least stock is the fewest lengths of one kind; of several kinds, the least length in all, or the least
    cost where costs are given. What the truck lacks is fetched, as few lengths of it as can be.
    ``cancelled`` is asked now and then; when it says yes, the best found so far comes back.
    """
    started = time.monotonic()
    _check(rods, stock, kerf_in, time_limit_s)
    models = [_rod_model(rod, stock) for rod in rods]
    served = [number for number, model in enumerate(models) if model is not None]
    answer = None
    kinds = _stock_models(stock, sum(len(rods[number].splits[0]) for number in served))
    if served:
        answer = _search(
            [models[number] for number in served], kinds, kerf_in, started + time_limit_s, cancelled
        )
    lengths = (
        _lengths(answer.layout, [rods[number] for number in served], stock, kinds, kerf_in) if answer else ()
    )
    left_out = tuple(rod.anchor for number, rod in enumerate(rods) if models[number] is None)
    sources = [kinds[kind].source for kind in answer.layout.stocks] if answer else []
    uses = _uses(stock, sources)
    enough, said = _answer_words(uses, left_out, lengths, system)
    proven = answer.proven if answer else {"missing", "cost", "cuts"}
    return CutPlan(
        rods=tuple(rods),
        stock=tuple(stock),
        kerf_in=kerf_in,
        lengths=lengths,
        uses=uses,
        cuts=sum(length.cuts for length in lengths),
        longest_offcut_in=max((length.offcut_in for length in lengths), default=0.0),
        worth_keeping_in=worth_keeping_in,
        couplings=sum(len(length.pieces) for length in lengths) - len(served),
        left_out=left_out,
        lengths_proven="cost" in proven,
        cuts_proven="cuts" in proven,
        offcut_proven=answer is None or answer.offcut_proven,
        enough=enough,
        said=said,
        seconds=time.monotonic() - started,
        warnings=_warnings(left_out, uses, system),
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
    splits = []
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
    rods: Sequence[RodModel | None],
    kinds: Sequence[StockModel],
    kerf_in: float,
    until: float,
    cancelled: Callable[[], bool],
) -> Answer:
    from crewtui.trade.cut_master import Clock  # noqa: PLC0415 - the solver takes a quarter of a second to load
    from crewtui.trade.cut_search import Search  # noqa: PLC0415 - as above

    known = [rod for rod in rods if rod is not None]
    return Search(known, kinds, to_units(kerf_in), Clock(until, cancelled)).run()


def _lengths(
    layout: Layout,
    rods: Sequence[RodToCut],
    stock: Sequence[StockLength],
    kinds: Sequence[StockModel],
    kerf_in: float,
) -> tuple[CutStock, ...]:
    counts: dict[int, int] = {}
    for slot in layout.slots:
        counts[slot.rod] = counts.get(slot.rod, 0) + 1
    held: list[list[CutPiece]] = [[] for _ in layout.stocks]
    for slot, length in zip(layout.slots, layout.lengths, strict=True):
        piece = CutPiece(
            anchor=rods[slot.rod].anchor,
            number=slot.place + 1,
            of=counts[slot.rod],
            length_in=to_inches(length),
        )
        held[slot.bin].append(piece)
    lengths = []
    for kind, full, pieces in zip(layout.stocks, layout.full, held, strict=True):
        source = stock[kinds[kind].source]
        used_in = sum(piece.length_in for piece in pieces) + kerf_in * len(pieces)
        lengths.append(
            CutStock(
                length_in=source.length_in,
                offcut_stock=source.offcut,
                missing=kinds[kind].missing,
                pieces=tuple(sorted(pieces, key=lambda piece: -piece.length_in)),
                cuts=len(pieces) - full,
                offcut_in=0.0 if full else max(0.0, source.length_in - used_in),
            )
        )
    return tuple(sorted(lengths, key=lambda length: (length.missing, -length.length_in, length.offcut_in)))


def _uses(stock: Sequence[StockLength], sources: Sequence[int]) -> tuple[StockUse, ...]:
    uses = []
    for place, kind in enumerate(stock):
        needed = sources.count(place)
        uses.append(
            StockUse(
                length_in=kind.length_in,
                offcut=kind.offcut,
                there=kind.count,
                needed=needed,
                spare=None if kind.count is None else kind.count - needed,
            )
        )
    return tuple(uses)


def _answer_words(
    uses: Sequence[StockUse], left_out: Sequence[str], lengths: Sequence[CutStock], system: UnitSystem
) -> tuple[bool | None, str]:
    rods = [use for use in uses if not use.offcut or use.needed]
    short = [use for use in rods if use.spare is not None and use.spare < 0]
    parts = []
    for use in rods:
        name = f"{'offcut' if use.offcut else 'rods'} of {show_length(use.length_in, system)}"
        if use.spare is None:
            parts.append(f"{use.needed} {name} needed, not counted on the truck")
        elif use.spare < 0:
            parts.append(f"{use.needed} {name} needed, {use.there} there: {-use.spare} short")
        else:
            parts.append(f"{use.needed} {name} needed, {use.there} there, {use.spare} spare")
    text = "; ".join(parts)
    if short:
        return False, f"Not enough on the truck: {text}."
    if left_out:
        return None, f"Not known: the rods of {', '.join(left_out)} cannot be cut from this stock. {text}."
    if not lengths:
        return True, "No rod is left to cut."
    if any(use.spare is None and use.needed for use in rods):
        return None, f"Count the truck: {text}."
    return True, f"Enough on the truck: {text}."


def _warnings(left_out: Sequence[str], uses: Sequence[StockUse], system: UnitSystem) -> tuple[str, ...]:
    found = [
        f"{-use.spare} more of {show_length(use.length_in, system)} must be fetched before the last rods are cut."
        for use in uses
        if use.spare is not None and use.spare < 0
    ]
    found += [
        f"The rod of {anchor} cannot be cut from this stock: see what its own plan asks for."
        for anchor in left_out
    ]
    return tuple(found)
