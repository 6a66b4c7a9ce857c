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
from crewtui.trade.truck.shared_lengths import PiecePrices, Pricing, SharedLength

CutAim = Literal["missing", "lengths", "cuts", "inches"]
_MOST_SHARED: Final = 5_000
"""Shared lengths asked for where a bound leaves a gap; where there are more, the level is not proven."""
_NEAR_WANTED: Final = 600
"""Shared lengths asked for first."""
_KEPT: Final = 20
"""Shared lengths of a kind taken up at one set of prices."""
_ROUNDED: Final = 1e-5
"""A linear bound is taken to the next whole number less this much."""
_LEAST_S: Final = 0.05
_FOR_BOUND: Final = 0.6
"""Of the time left, at most so much for one bound."""
_FOR_INCHES_S: Final = 0.1
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
        if solved is None:
            self._choose(aim, floor, self.known, self.ways)
            return floor >= self.value(aim)
        if self._reach(master, aim, solved, floor):
            return True
        if aim != "inches":
            self._choose(aim, floor, self.known, self.ways)
        return floor >= self.value(aim)

    def _reach(self, master: _Master, aim: CutAim, solved: Solved, level: int) -> bool:
        """Look for a list at a level that none goes below, then at the next; return whether one is proven.

        Only ways and shared lengths that cost no more than the level leaves over the bound can be in such a
        list; the nearest of them are tried first.
        """
        wanted = _NEAR_WANTED
        pricing = self._pricing(master, solved, zero=True)
        bases = [self._base(master, aim, solved, kind) for kind in range(len(self.kinds))]
        while time.monotonic() < self.until:
            gap = level - solved.bound - master.fixed + _ROUNDED
            near, every = _near(pricing, bases, gap, wanted)
            bound = self._choose(aim, level, near, master.ways_within(solved, gap), share=0.5)
            if level >= self.value(aim):
                return True
            if aim == "inches":
                return False
            if every and bound > level:
                level += 1
            elif every or wanted >= _MOST_SHARED:
                return False
            else:
                wanted *= 3
        return False

    def _bound(self, master: _Master, aim: CutAim) -> tuple[int, Solved | None]:
        """Return a whole number that no list goes below, and what it came from; None in want of time.

        Once the bound is reached, it is looked for again with prices in the middle of those that reach it:
        at a corner of them too many shared lengths cost the same.
        """
        if not master.programme.columns:
            return master.fixed, None
        until = time.monotonic() + _FOR_BOUND * self.left_s
        reached: Solved | None = None
        while time.monotonic() < until:
            solved = master.programme.solve(self.left_s, central=reached is not None)
            if not solved.values:
                break
            pricing, new = self._pricing(master, solved, zero=False), False
            for kind in range(len(self.kinds)):
                base = self._base(master, aim, solved, kind)
                new = self._learn(pricing.best(kind, base, most_found=_KEPT)) or new
            if new:
                master.take_new()
                continue
            if not pricing.complete:
                break
            if reached is not None:
                reached = solved
                break
            reached = solved
        if reached is None:
            return 0, None
        return math.ceil(reached.bound + master.fixed - _ROUNDED), reached

    def _pricing(self, master: _Master, solved: Solved, *, zero: bool) -> Pricing:
        """Return the search for shared lengths at the prices that the pieces have now."""
        prices = {
            length: max(0.0, solved.row_prices[row])
            for length, row in master.piece_rows.items()
            if zero or solved.row_prices[row] > _ROUNDED / 100
        }
        stock = [kind.length for kind in self.kinds]
        return Pricing(stock, self.kerf, PiecePrices(prices, self.most), until=self.until)

    def _base(self, master: _Master, aim: CutAim, solved: Solved, kind: int) -> float:
        """Return what a shared length of a kind must be worth to better the bound."""
        base = float(self.length_cost(aim, kind)) - solved.row_prices[master.kind_rows[kind]]
        for row, (kept, _) in zip(master.kept_rows, self.kept, strict=True):
            base -= solved.row_prices[row] * self.length_cost(kept, kind)
        return base

    def _choose(
        self,
        aim: CutAim,
        floor: int,
        known: Iterable[SharedLength],
        ways: Sequence[Sequence[RodWay]],
        *,
        share: float = 1.0,
    ) -> float:
        """Better the list by a choice in whole numbers; return what no choice of these can go below."""
        if not all(ways):
            return INFINITE
        master = _Master(self, aim, ways=ways, known=known, whole=True)
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


def _near(
    pricing: Pricing, bases: Sequence[float], gap: float, wanted: int
) -> tuple[list[SharedLength], bool]:
    """Return so many shared lengths and a few more, those that cost least; and whether none is left out.

    Where too many cost the same, some of them are taken by chance.
    """
    width, near = gap / 4**6, list[SharedLength]()
    while True:
        width = min(gap, width)
        pricing.complete = True
        tried = [
            shared
            for kind, base in enumerate(bases)
            for shared in pricing.every(kind, base - width, 2 * wanted)
        ]
        if not pricing.complete:
            for kind, base in enumerate(bases):
                near += pricing.some(kind, base - width, wanted)
            return list(dict.fromkeys(near)), False
        near = tried
        if len(near) >= wanted or width >= gap:
            return near, width >= gap
        width *= 2


class _Master:
    """The programme of one aim: rows for rods, pieces, kinds, kept aims; columns for ways, shared lengths."""

    def __init__(
        self,
        search: WholeSearch,
        aim: CutAim,
        *,
        ways: Sequence[Sequence[RodWay]] | None = None,
        known: Iterable[SharedLength] | None = None,
        whole: bool = False,
    ) -> None:
        self.search, self.aim, self.whole = search, aim, whole
        self.ways = search.ways if ways is None else ways
        self.programme = Programme()
        settled = [rod[0] for rod in self.ways if len(rod) == 1]
        self.fixed = sum(search.way_cost(aim, way) for way in settled)
        needed = Counter(length for way in settled for length in way.cut)
        taken = Counter(kind for way in settled for kind in way.whole)
        row = self.programme.row
        self.rod_rows = [row(1, 1) if len(rod) > 1 else -1 for rod in self.ways]
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
            for number, rod in enumerate(self.ways)
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

    def ways_within(self, solved: Solved, gap: float) -> list[list[RodWay]]:
        """Return for each rod the ways that cost no more than a gap leaves over the bound."""
        return [
            list(rod)
            if len(rod) == 1
            else [
                way for way, column in zip(rod, columns, strict=True) if solved.column_prices[column] <= gap
            ]
            for rod, columns in zip(self.ways, self.way_columns, strict=True)
        ]

    def as_list(self, solved: Solved) -> WholeList:
        """Return the choice as a list; places for more pieces than there are stay empty."""
        ways = [
            rod[0] if len(rod) == 1 else rod[max(range(len(rod)), key=lambda at: solved.values[columns[at]])]
            for rod, columns in zip(self.ways, self.way_columns, strict=True)
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
