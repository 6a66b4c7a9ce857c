"""The wider search, where leaving rods whole comes out short: each rod parted as room and joints allow.

One programme in whole numbers: how many pieces of each rod come from each length of stock, and how long they
are together. Pieces of one rod from one length are bound only by their sum, each of them by its own least
and greatest, so that the programme holds every list there is and no other: its bound proves "not enough".
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from msgspec import Struct

from crewtui.trade.truck.cut_list import PieceRange, RodToCut
from crewtui.trade.truck.highs import INFINITE, Programme, Solved
from crewtui.trade.truck.rod_ways import RodWay, WayPiece, to_inches, to_units
from crewtui.trade.truck.whole_lengths import CutLength, TruckKind, WholeList

_MOST_CELLS: Final = 4_000
"""Rods times lengths of stock: past it only the bound by length is worked out."""


class FreeAnswer(Struct, frozen=True, kw_only=True):
    """What the wider search found."""

    found: WholeList | None
    """A list with fewer lengths missing; None where none was found."""
    least_missing: int
    """No list at all does with fewer."""


class _Rod(Struct, frozen=True):
    """One rod: what its first, its last and the pieces between may be, and how few and how many."""

    length_in: float
    first: PieceRange
    between: PieceRange
    last: PieceRange
    fewest: int
    most: int

    @classmethod
    def of(cls, rod: RodToCut) -> _Rod:
        longest = rod.splits[-1]
        between = longest[1] if len(longest) > 2 else longest[-1]  # noqa: PLR2004 - one between first and last
        return cls(rod.length_in, longest[0], between, longest[-1], len(rod.splits[0]), len(longest))


class _Cell(Struct, frozen=True):
    """The columns of one rod in one length: its first piece there, its last, those between, their length."""

    rod: int
    at: int
    first: int
    last: int
    between: int
    length: int


class FreeSplit:
    """Rods, the lengths that they may come from, and how many are ``missing`` in the best list known."""

    def __init__(self, rods: Sequence[RodToCut], kinds: Sequence[TruckKind], kerf: int, missing: int) -> None:
        self.rods = [_Rod.of(rod) for rod in rods]
        self.kinds, self.kerf_in, self.missing = kinds, to_inches(kerf), missing
        most = sum(rod.most for rod in self.rods)
        self.there = [
            number
            for number, kind in enumerate(kinds)
            for _ in range(most if kind.count is None else min(kind.count, most))
        ]
        self.fetched = [
            number for number, kind in enumerate(kinds) if kind.fetched for _ in range(missing - 1)
        ]
        self.bins = [*self.there, *self.fetched]

    def run(self, time_s: float) -> FreeAnswer:
        """Return a better list, if one is found in time, and how many lengths are missing at least."""
        floor = self._by_length()
        if floor >= self.missing or len(self.rods) * len(self.there) > _MOST_CELLS:
            return FreeAnswer(found=None, least_missing=min(floor, self.missing))
        programme, cells, bins = Programme(), [], self.bins
        used = self._stock_rows(programme, bins)
        for number in range(len(self.rods)):
            rows = self._rod_rows(programme, self.rods[number])
            cells += [self._cell(programme, number, at, rows, used[at]) for at in range(len(bins))]
        solved = programme.solve(time_s, enough=floor + 0.001)
        if solved.impossible:
            return FreeAnswer(found=None, least_missing=self.missing)
        bound = math.ceil(solved.bound - 1e-6) if math.isfinite(solved.bound) else 0
        found = self._as_list(solved, bins, cells) if solved.values else None
        return FreeAnswer(found=found, least_missing=max(floor, min(bound, self.missing)))

    def _by_length(self) -> int:
        """Return how many are missing at least by length alone: n pieces of a length take n - 1 saw cuts."""
        pieces = sum(rod.fewest for rod in self.rods)
        needed_in = sum(rod.length_in for rod in self.rods) + pieces * self.kerf_in
        held = [to_inches(self.kinds[kind].length) + self.kerf_in for kind in self.there]
        longest_in = max((to_inches(kind.length) for kind in self.kinds if kind.fetched), default=0.0)
        over_in = needed_in - sum(held) - 1e-6
        return max(0, math.ceil(over_in / (longest_in + self.kerf_in))) if longest_in else int(over_in > 0)

    def _stock_rows(self, programme: Programme, bins: Sequence[int]) -> list[int]:
        """Return a row for each length of stock: its pieces and their saw cuts, and if it is fetched."""
        rows = []
        for at, kind in enumerate(bins):
            room_in = to_inches(self.kinds[kind].length) + self.kerf_in
            if at < len(self.there):
                rows.append(programme.row(-INFINITE, room_in))
                continue
            rows.append(programme.row(-INFINITE, 0.0))
            programme.column(1.0, [(rows[-1], -room_in)], high=1.0, whole=True)
        return rows

    def _rod_rows(self, programme: Programme, rod: _Rod) -> dict[str, int]:
        single = rod.fewest == 1
        rows = {
            "length": programme.row(rod.length_in, rod.length_in),
            "first": programme.row(1, 1),
            "last": programme.row(1, 1),
            "between": programme.row(max(0, rod.fewest - 2), max(0, rod.most - 2)),
        }
        if single:
            # One piece alone is first and last: it counts as the last, and nothing is between.
            alone = [(rows["last"], 1.0), (rows["between"], float(max(0, rod.most - 2)))]
            programme.column(0.0, alone, high=1.0, whole=True)
        return rows

    def _cell(self, programme: Programme, number: int, at: int, rows: dict[str, int], stock: int) -> _Cell:
        """Add the columns of one rod in one length of stock, and the rows that bind their length."""
        rod, length_in = self.rods[number], to_inches(self.kinds[self.bins[at]].length)
        low, high = programme.row(-INFINITE, 0.0), programme.row(0.0, INFINITE)
        columns = []
        for name, part in (("first", rod.first), ("last", rod.last), ("between", rod.between)):
            greatest_in = min(part.greatest_in, length_in)
            fits = part.least_in <= greatest_in
            entries = [(rows[name], 1.0), (stock, self.kerf_in), (low, part.least_in), (high, greatest_in)]
            most = float(rod.most) if name == "between" else 1.0
            if not fits or (name == "last" and rod.most == 1):
                most = 0.0
            columns.append(programme.column(0.0, entries, high=most, whole=True))
        length = programme.column(0.0, [(rows["length"], 1.0), (stock, 1.0), (low, -1.0), (high, -1.0)])
        return _Cell(number, at, columns[0], columns[1], columns[2], length)

    # The answer.

    def _as_list(self, solved: Solved, bins: Sequence[int], cells: Sequence[_Cell]) -> WholeList:
        shared = [CutLength(kind, []) for kind in bins]
        parts: list[list[tuple[int, int, WayPiece]]] = [[] for _ in self.rods]
        for cell in cells:
            rod = self.rods[cell.rod]
            named = [(0, rod.first)] * round(solved.values[cell.first])
            named += [(1, rod.between)] * round(solved.values[cell.between])
            named += [(2, rod.last)] * round(solved.values[cell.last])
            left_in = solved.values[cell.length] - sum(part.least_in for _, part in named)
            for place, part in named:
                more_in = min(max(0.0, left_in), part.greatest_in - part.least_in)
                left_in -= more_in
                parts[cell.rod].append((place, cell.at, WayPiece(to_units(part.least_in + more_in))))
        ways = []
        for number, rod in enumerate(self.rods):
            own = sorted(parts[number], key=lambda part: part[0])
            over = sum(piece.length for _, _, piece in own) - to_units(rod.length_in)
            longest = max(range(len(own)), key=lambda place: own[place][2].length)
            pieces = []
            for place, (_, at, piece) in enumerate(own):
                exact = piece.length - over * (place == longest)
                stock = self.kinds[bins[at]].length
                whole = abs(stock - exact) <= _ROUNDED_UNITS
                pieces.append(WayPiece(stock, bins[at]) if whole else WayPiece(exact))
                if not whole:
                    shared[at].pieces.append(exact)
            ways.append(RodWay(tuple(pieces)))
        return WholeList(ways=ways, shared=[length for length in shared if length.pieces], proven=set())


_ROUNDED_UNITS: Final = 20
"""A solver's lengths are true to so many millionths of an inch."""
