"""The cut list that leaves rods whole: one way for each rod, and the pieces that are cut packed into lengths.

A choice among few ways a rod (``rod_ways``) and shared lengths found as they are priced: Gilmore and Gomory,
"A linear programming approach to the cutting-stock problem", Operations Research 9, 1961. One aim after the
other, each kept while the next is looked for. A level is proven where the linear bound meets it, or where
every shared length that a better list could hold was among those tried.
"""

from __future__ import annotations

import math
import time
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Final, Literal

from msgspec import Struct

from crewtui.trade.truck.highs import INFINITE, Programme, Solved
from crewtui.trade.truck.rod_ways import PER_INCH, RodWay
from crewtui.trade.truck.shared_lengths import PricedStock, Pricing, SharedLength

CutAim = Literal["missing", "lengths", "cuts", "inches"]
_MOST_SHARED: Final = 20_000
"""Shared lengths tried at once where a bound leaves a gap; past it the level is not proven."""
_ROUNDED: Final = 1e-5
"""A linear bound is taken to the next whole number less this much."""
_LEAST_S: Final = 0.05
_FOR_BOUND: Final = 0.6
"""Of the time left, at most so much for one bound."""
_FOR_INCHES_S: Final = 0.5
"""For the least stock in inches among as few lengths and cuts: never said to be proven."""


class TruckKind(Struct, frozen=True):
    """One kind of stock: how many there are, None for as many as it takes; if more can be fetched."""

    length: int
    count: int | None
    fetched: bool


class CutLength(Struct):
    """One length of stock that is cut, and the lengths of the pieces cut from it."""

    kind: int
    pieces: list[int]


class WholeList(Struct, kw_only=True):
    """A way for each rod, and the lengths that their cut pieces come from."""

    ways: list[RodWay]
    shared: list[CutLength]
    proven: set[CutAim]

    def uses(self) -> Counter[int]:
        """Return how many of each kind are taken."""
        used = Counter(kind for way in self.ways for kind in way.whole)
        used.update(length.kind for length in self.shared)
        return used


def missing_of(uses: Counter[int], kinds: Sequence[TruckKind]) -> int:
    """Return how many lengths are taken that are not on the truck."""
    return sum(
        max(0, used - count) for kind, used in uses.items() if (count := kinds[kind].count) is not None
    )


class WholeSearch:
    """One question: the ways of each rod, the kinds of stock, the width of the saw cut."""

    def __init__(
        self, ways: Sequence[Sequence[RodWay]], kinds: Sequence[TruckKind], kerf: int, until: float
    ) -> None:
        self.ways, self.kinds, self.kerf, self.until = ways, kinds, kerf, until
        self.most: Counter[int] = Counter()
        for rod in ways:
            own: Counter[int] = Counter()
            for way in rod:
                own |= Counter(way.cut)
            self.most += own
        self.known: dict[SharedLength, None] = {}
        self.kept: list[tuple[CutAim, int]] = []
        self.answer = first_list(ways, kinds, kerf)
        self._learn(_as_shared(length) for length in self.answer.shared)
        self._learn(
            SharedLength(kind, ((length, 1),))
            for length in self.most
            for kind, stock in enumerate(kinds)
            if stock.length >= length
        )

    @property
    def left_s(self) -> float:
        """Seconds left; a moment at least, to end what is begun."""
        return max(_LEAST_S, self.until - time.monotonic())

    def value(self, aim: CutAim, found: WholeList | None = None) -> int:
        """Return what a list comes to by an aim: the best so far, if no other is given."""
        found = self.answer if found is None else found
        uses = found.uses()
        if aim == "missing":
            return missing_of(uses, self.kinds)
        if aim == "lengths":
            return uses.total()
        if aim == "cuts":
            return sum(len(way.cut) for way in found.ways)
        return sum(used * self._inches(kind) for kind, used in uses.items())

    def run(self) -> WholeList:
        """Return the best list found before the time is over, with the aims that are proven."""
        aims: list[CutAim] = ["lengths", "cuts", "inches"]
        if any(kind.count is not None for kind in self.kinds):
            aims.insert(0, "missing")
        for aim in aims:
            if time.monotonic() > self.until:
                break
            if aim == "inches":
                self.until = min(self.until, time.monotonic() + _FOR_INCHES_S)
            if self._settle(aim):
                self.answer.proven.add(aim)
            self.kept.append((aim, self.value(aim)))
        return self.answer

    def _inches(self, kind: int) -> int:
        return round(self.kinds[kind].length / PER_INCH)

    def way_cost(self, aim: CutAim, way: RodWay) -> int:
        """Return what a way adds to an aim, its cut pieces' lengths of stock left out."""
        if aim == "missing":
            return 0
        if aim == "cuts":
            return len(way.cut)
        return sum(1 if aim == "lengths" else self._inches(kind) for kind in way.whole)

    def length_cost(self, aim: CutAim, kind: int) -> int:
        """Return what a length of stock that is cut adds to an aim."""
        return {"missing": 0, "lengths": 1, "cuts": 0, "inches": self._inches(kind)}[aim]

    # One aim.

    def _settle(self, aim: CutAim) -> bool:
        """Better the list by one aim; return whether the level reached is proven."""
        if self.value(aim) == 0:
            return True
        master = _Master(self, aim)
        floor, solved = self._bound(master, aim)
        if floor >= self.value(aim):
            return True
        self._choose(aim, floor, self.known, share=0.5)
        best = self.value(aim)
        if floor >= best:
            return True
        if solved is None or aim == "inches":
            return False
        known = self._within(master, aim, solved, best - 1 - solved.bound + _ROUNDED)
        if known is None:
            return False
        bound = self._choose(aim, floor, known, share=1.0)
        return bound >= self.value(aim)

    def _bound(self, master: _Master, aim: CutAim) -> tuple[int, Solved | None]:
        """Return a whole number that no list goes below, and what it came from; None in want of time."""
        if not master.programme.columns:
            return master.fixed, None
        until = time.monotonic() + _FOR_BOUND * self.left_s
        while time.monotonic() < until:
            solved = master.programme.solve(self.left_s)
            if not solved.values:
                break
            complete, new = True, False
            for kind in range(len(self.kinds)):
                pricing, base = self._pricing(master, aim, solved, kind, zero=False)
                new = self._learn(pricing.best(base)) or new
                complete = complete and pricing.complete
            if not new:
                return (math.ceil(solved.bound + master.fixed - _ROUNDED), solved) if complete else (0, None)
            master.take_new()
        return 0, None

    def _pricing(
        self, master: _Master, aim: CutAim, solved: Solved, kind: int, *, zero: bool
    ) -> tuple[Pricing, float]:
        """Return the search for shared lengths of a kind, and what one must be worth to better the bound."""
        prices = {
            length: max(0.0, solved.row_prices[row])
            for length, row in master.piece_rows.items()
            if zero or solved.row_prices[row] > _ROUNDED / 100
        }
        base = float(self.length_cost(aim, kind)) - solved.row_prices[master.kind_rows[kind]]
        for row, (kept, _) in zip(master.kept_rows, self.kept, strict=True):
            base -= solved.row_prices[row] * self.length_cost(kept, kind)
        stock = PricedStock(kind, self.kinds[kind].length, self.kerf, self.most)
        return Pricing(stock, prices, until=self.until), base

    def _within(
        self, master: _Master, aim: CutAim, solved: Solved, gap: float
    ) -> dict[SharedLength, None] | None:
        """Return every shared length that a better list can hold; None where there are too many."""
        gap -= master.fixed
        known: dict[SharedLength, None] = {}
        for kind in range(len(self.kinds)):
            pricing, base = self._pricing(master, aim, solved, kind, zero=True)
            known.update(dict.fromkeys(pricing.every(base - gap, _MOST_SHARED)))
            if not pricing.complete or len(known) > _MOST_SHARED:
                return None
        return known

    def _choose(self, aim: CutAim, floor: int, known: Iterable[SharedLength], *, share: float) -> float:
        """Better the list by a choice in whole numbers; return what no choice of these can go below."""
        master = _Master(self, aim, known=known, whole=True)
        solved = master.programme.solve(self.left_s * share, enough=floor - master.fixed + 0.001)
        if solved.values:
            found = master.as_list(solved)
            if self.value(aim, found) < self.value(aim) and all(
                self.value(kept, found) <= value for kept, value in self.kept
            ):
                found.proven = self.answer.proven
                self.answer = found
        if solved.impossible:
            return INFINITE
        return math.ceil(solved.bound + master.fixed - _ROUNDED) if math.isfinite(solved.bound) else -INFINITE

    def _learn(self, shared: Iterable[SharedLength]) -> bool:
        before = len(self.known)
        self.known.update(dict.fromkeys(shared))
        return len(self.known) > before


class _Master:
    """The programme of one aim: rows for rods, pieces, kinds, kept aims; columns for ways, shared lengths."""

    def __init__(
        self,
        search: WholeSearch,
        aim: CutAim,
        *,
        known: Iterable[SharedLength] | None = None,
        whole: bool = False,
    ) -> None:
        self.search, self.aim, self.whole = search, aim, whole
        self.programme = Programme()
        settled = [rod[0] for rod in search.ways if len(rod) == 1]
        self.fixed = sum(search.way_cost(aim, way) for way in settled)
        needed = Counter(length for way in settled for length in way.cut)
        taken = Counter(kind for way in settled for kind in way.whole)
        row = self.programme.row
        self.rod_rows = [row(1, 1) if len(rod) > 1 else -1 for rod in search.ways]
        self.piece_rows = {length: row(needed[length], INFINITE) for length in search.most}
        self.kind_rows = [
            row(-INFINITE, INFINITE if kind.count is None else kind.count - taken[number])
            for number, kind in enumerate(search.kinds)
        ]
        self.kept_rows = [
            row(-INFINITE, value - sum(search.way_cost(kept, way) for way in settled))
            for kept, value in search.kept
        ]
        self.missing_row = next(
            (row for row, (kept, _) in zip(self.kept_rows, search.kept, strict=True) if kept == "missing"),
            None,
        )
        self._fetched()
        self.way_columns = [
            [self._way(number, way) for way in rod] if len(rod) > 1 else []
            for number, rod in enumerate(search.ways)
        ]
        self.shared: list[tuple[SharedLength, int]] = []
        self._known = search.known if known is None else known
        self.take_new()

    def _fetched(self) -> None:
        for number, kind in enumerate(self.search.kinds):
            if kind.count is not None and kind.fetched:
                entries = [(self.kind_rows[number], -1.0)]
                if self.missing_row is not None:
                    entries.append((self.missing_row, 1.0))
                self.programme.column(float(self.aim == "missing"), entries, whole=self.whole)

    def _way(self, number: int, way: RodWay) -> int:
        cost = self.search.way_cost
        entries = [(self.rod_rows[number], 1.0)]
        entries += [(self.piece_rows[length], -float(count)) for length, count in Counter(way.cut).items()]
        entries += [(self.kind_rows[kind], float(count)) for kind, count in Counter(way.whole).items()]
        entries += [
            (row, float(cost(kept, way)))
            for row, (kept, _) in zip(self.kept_rows, self.search.kept, strict=True)
        ]
        return self.programme.column(
            float(cost(self.aim, way)), entries, high=1.0 if self.whole else INFINITE, whole=self.whole
        )

    def take_new(self) -> None:
        """Take in the shared lengths that the search has learned since."""
        cost = self.search.length_cost
        for shared in list(self._known)[len(self.shared) :]:
            entries = [(self.piece_rows[length], float(count)) for length, count in shared.pieces]
            entries.append((self.kind_rows[shared.kind], 1.0))
            entries += [
                (row, float(cost(kept, shared.kind)))
                for row, (kept, _) in zip(self.kept_rows, self.search.kept, strict=True)
            ]
            column = self.programme.column(float(cost(self.aim, shared.kind)), entries, whole=self.whole)
            self.shared.append((shared, column))

    def as_list(self, solved: Solved) -> WholeList:
        """Return the choice as a list; places for more pieces than there are stay empty."""
        ways = [
            rod[0] if len(rod) == 1 else rod[max(range(len(rod)), key=lambda at: solved.values[columns[at]])]
            for rod, columns in zip(self.search.ways, self.way_columns, strict=True)
        ]
        open_pieces = Counter(length for way in ways for length in way.cut)
        lengths: list[CutLength] = []
        for shared, column in self.shared:
            for _ in range(round(solved.values[column])):
                pieces = [
                    length for length, count in shared.pieces for _ in range(min(count, open_pieces[length]))
                ]
                open_pieces -= Counter(pieces)
                if pieces:
                    lengths.append(CutLength(shared.kind, pieces))
        return WholeList(ways=ways, shared=lengths, proven=set())


def _as_shared(length: CutLength) -> SharedLength:
    return SharedLength(length.kind, tuple(sorted(Counter(length.pieces).items(), reverse=True)))


def first_list(ways: Sequence[Sequence[RodWay]], kinds: Sequence[TruckKind], kerf: int) -> WholeList:
    """Return a list at once: for each rod a way that the truck has left, each piece where it fits best."""
    left = [math.inf if kind.count is None else float(kind.count) for kind in kinds]
    chosen: list[RodWay] = []
    for rod in ways:
        way = min(
            rod,
            key=lambda way: (
                sum(left[kind] < count for kind, count in Counter(way.whole).items()),
                len(way.pieces),
                len(way.cut),
                sum(kinds[kind].length for kind in way.whole),
            ),
        )
        for kind in way.whole:
            left[kind] -= 1
        chosen.append(way)
    shared: list[CutLength] = []
    rest: list[int] = []
    for piece in sorted((length for way in chosen for length in way.cut), reverse=True):
        fitting = [at for at, room in enumerate(rest) if room >= piece]
        if fitting:
            at = min(fitting, key=rest.__getitem__)
        else:
            kind = min(
                (at for at, stock in enumerate(kinds) if stock.length >= piece),
                key=lambda at: (left[at] < 1 and not kinds[at].fetched, left[at] < 1, kinds[at].length),
            )
            left[kind] -= 1
            at = len(shared)
            shared.append(CutLength(kind, []))
            rest.append(kinds[kind].length)
        shared[at].pieces.append(piece)
        rest[at] -= piece + kerf
    return WholeList(ways=chosen, shared=shared, proven=set())
