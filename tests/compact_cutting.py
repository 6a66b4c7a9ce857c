"""The cut list's two models for another solver, stated anew: is this piece in this length, yes or no.

``least_lengths`` leaves rods whole and cuts one piece a rod at most; ``least_missing`` parts rods freely.
Both are solved by scipy's HiGHS and share no code with the program's own search.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_matrix

from crewtui.trade.truck.cutting import PieceRange, RodToCut, StockLength

CLOSE_IN = 1e-6


@dataclass(frozen=True, slots=True)
class Way:
    """A rod made one way: how many whole lengths of each kind, and the pieces cut."""

    whole: tuple[int, ...]
    cut: tuple[float, ...]


def plain_ways(rod: RodToCut, kinds: Sequence[float]) -> set[Way]:
    """Return every way in the rod's fewest pieces with one piece cut at most, tried one by one."""
    split, found = rod.splits[0], set()
    for chosen in itertools.product((None, *range(len(kinds))), repeat=len(split)):
        if chosen.count(None) > 1:
            continue
        fixed_in = sum(kinds[kind] for kind in chosen if kind is not None)
        cut_in = rod.length_in - fixed_in
        lengths = [cut_in if kind is None else kinds[kind] for kind in chosen]
        if not all(part.least_in - CLOSE_IN <= one for part, one in zip(split, lengths, strict=True)):
            continue
        if not all(one <= part.greatest_in + CLOSE_IN for part, one in zip(split, lengths, strict=True)):
            continue
        whole = tuple(chosen.count(kind) for kind in range(len(kinds)))
        if None in chosen:
            if cut_in <= max(kinds) + CLOSE_IN and all(abs(cut_in - kind) > CLOSE_IN for kind in kinds):
                found.add(Way(whole, (round(cut_in, 6),)))
            continue
        before_in = fixed_in - lengths[-1]
        rest_in = rod.length_in - before_in
        if split[-1].least_in - CLOSE_IN <= rest_in <= lengths[-1] + CLOSE_IN:
            found.add(Way(whole, ()))
    return found


@dataclass(slots=True)
class Table:
    """Rows and columns of one programme as they are written down."""

    cost: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    whole: list[int] = field(default_factory=list)
    entries: list[tuple[int, int, float]] = field(default_factory=list)
    bounds: list[tuple[float, float]] = field(default_factory=list)

    def column(self, cost: float = 0.0, *, high: float = 1.0, whole: bool = True) -> int:
        """Add a column; return its number."""
        self.cost.append(cost)
        self.high.append(high)
        self.whole.append(int(whole))
        return len(self.cost) - 1

    def row(self, entries: Sequence[tuple[int, float]], low: float, high: float) -> None:
        """Add a row."""
        self.entries += [(len(self.bounds), column, value) for column, value in entries]
        self.bounds.append((low, high))

    def least(self, limit_s: float) -> float | None:
        """Return the least cost, proven; infinite where there is no solution, None where time was short."""
        rows, columns, values = zip(*self.entries, strict=True)
        matrix = coo_matrix((values, (rows, columns)), shape=(len(self.bounds), len(self.cost))).tocsr()
        low, high = (np.array(side) for side in zip(*self.bounds, strict=True))
        found = milp(
            np.array(self.cost),
            constraints=LinearConstraint(matrix, low, high),
            integrality=np.array(self.whole),
            bounds=Bounds(0, np.array(self.high)),
            options={"time_limit": limit_s, "mip_rel_gap": 0},
        )
        if found.status == 2:
            return np.inf
        return float(found.fun) if found.status == 0 else None


def least_lengths(
    rods: Sequence[RodToCut], kinds: Sequence[float], *, kerf_in: float, limit_s: float
) -> float | None:
    """Return the fewest lengths of uncounted stock, and as a hundredth of each, the fewest pieces cut."""
    table = Table()
    pieces: list[tuple[float, int]] = []
    for rod in rods:
        own = []
        for way in sorted(plain_ways(rod, kinds), key=repr):
            own.append(table.column(sum(way.whole) + 0.01 * len(way.cut)))
            pieces += [(cut_in, own[-1]) for cut_in in way.cut]
        table.row([(column, 1.0) for column in own], 1, 1)
    bins = [[table.column(1.0) for _ in kinds] for _ in rods]
    for own in bins:
        table.row([(column, 1.0) for column in own], 0, 1)
    there: list[list[tuple[int, float]]] = [[] for _ in bins]
    for cut_in, way_column in pieces:
        places = [table.column() for _ in bins]
        table.row([(way_column, -1.0), *((place, 1.0) for place in places)], 0, 0)
        for at, place in enumerate(places):
            there[at].append((place, cut_in + kerf_in))
    for own, inside in zip(bins, there, strict=True):
        held = [(column, -kind - kerf_in) for column, kind in zip(own, kinds, strict=True)]
        table.row([*inside, *held], -np.inf, CLOSE_IN)
    return table.least(limit_s)


def least_missing(
    rods: Sequence[RodToCut], truck: Sequence[StockLength], *, kerf_in: float, fetched: int, limit_s: float
) -> float | None:
    """Return how many lengths are fetched at least, however rods are parted; infinite past ``fetched``."""
    table = Table()
    bins = [(kind.length_in, 0.0) for kind in truck for _ in range(kind.count or 0)]
    bins += [(kind.length_in, 1.0) for kind in truck if not kind.offcut for _ in range(fetched)]
    used = [table.column(cost) for _, cost in bins]
    there: list[list[tuple[int, float]]] = [[] for _ in bins]
    for rod in rods:
        splits = [table.column() for _ in rod.splits]
        table.row([(column, 1.0) for column in splits], 1, 1)
        for split, chosen in zip(rod.splits, splits, strict=True):
            lengths: list[tuple[int, float]] = []
            for part in split:
                cells = list(_piece(table, part, bins, there, kerf_in))
                table.row([(chosen, -1.0), *((place, 1.0) for place, _ in cells)], 0, 0)
                lengths += [(length, 1.0) for _, length in cells]
            table.row([(chosen, -rod.length_in), *lengths], -CLOSE_IN, CLOSE_IN)
    for (length_in, _), column, inside in zip(bins, used, there, strict=True):
        table.row([*inside, (column, -length_in - kerf_in)], -np.inf, CLOSE_IN)
    return table.least(limit_s)


def _piece(
    table: Table,
    part: PieceRange,
    bins: Sequence[tuple[float, float]],
    there: list[list[tuple[int, float]]],
    kerf_in: float,
) -> Iterator[tuple[int, int]]:
    for at, (length_in, _) in enumerate(bins):
        place, length = table.column(), table.column(high=length_in, whole=False)
        table.row([(length, 1.0), (place, -part.least_in)], 0, np.inf)
        table.row([(length, 1.0), (place, -part.greatest_in)], -np.inf, 0)
        there[at] += [(place, kerf_in), (length, 1.0)]
        yield place, length
