"""Patterns: what one length of stock is cut into, and the search for the one worth most at given prices."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from msgspec import Struct

from crewtui.trade.truck.cut_model import Model

_MOST_NODES: Final = 200_000
"""Steps of one search; past it the search says that it is not complete."""
_KEPT: Final = 4
"""Patterns handed back from one search: the best, and the last ones on the way to it."""


class Pattern(Struct, frozen=True):
    """So many pieces of each class from one length of stock."""

    stock: int
    pieces: tuple[tuple[int, int], ...]
    """Class and count, classes ascending."""
    full: bool
    """Whether the pieces and their saw cuts use the stock up, so that no offcut is left."""

    @property
    def count(self) -> int:
        """Number of pieces."""
        return sum(count for _, count in self.pieces)

    @property
    def cuts(self) -> int:
        """Saw cuts: one between two pieces, and one before an offcut."""
        return self.count - self.full


class Column(Struct, frozen=True):
    """A pattern with the total length of each of its classes."""

    pattern: Pattern
    lengths: tuple[int, ...]


class Prices(Struct, frozen=True):
    """What one piece of a class is worth, and one unit of its length."""

    piece: Sequence[float]
    unit: Sequence[float]


class Found(Struct, frozen=True):
    """Patterns worth more than was asked for, best last, and whether the search was complete."""

    columns: tuple[Column, ...]
    best: float
    complete: bool


class _Item(Struct):
    number: int
    low: int
    base: float
    unit: float
    room: int
    density: float
    most: int


def best_patterns(
    model: Model, stock: int, prices: Prices, *, over: float, full: bool, per_piece: float = 0.0
) -> Found:
    """Return patterns of this stock worth more than ``over``.

    ``per_piece`` is taken off for each piece. A full pattern has to use the stock up exactly.
    """
    return _Search(model, stock, prices, over, full=full, per_piece=per_piece).run()


def patterns_over(
    model: Model, stock: int, prices: Prices, *, over: float, full: bool, per_piece: float, most: int
) -> tuple[list[Column], bool]:
    """Return every pattern worth more than ``over``, and whether these are all; no more than ``most``."""
    search = _Search(model, stock, prices, over, full=full, per_piece=per_piece)
    search.all_over, search.most_found = True, most
    search.run()
    return search.found, search.nodes < _MOST_NODES and len(search.found) < most


class _Search:
    """Depth first over piece classes by worth per length, bound by the best worth per length still open."""

    def __init__(
        self, model: Model, stock: int, prices: Prices, over: float, *, full: bool, per_piece: float
    ) -> None:
        self.model, self.stock, self.full = model, stock, full
        self.room = model.stock[stock].length + model.kerf
        self.best = over
        self.found: list[Column] = []
        self.nodes = 0
        self.all_over = False
        self.most_found = _MOST_NODES
        self.items: list[_Item] = []
        kerf = model.kerf
        for number, part in enumerate(model.classes):
            if part.low > model.stock[stock].length:
                continue
            unit = prices.unit[number]
            base = prices.piece[number] - per_piece + unit * part.low
            density = max(
                base / (part.low + kerf), (base + unit * (part.high - part.low)) / (part.high + kerf)
            )
            most = part.per_rod * len(model.groups[part.group].rods)
            self.items.append(_Item(number, part.low + kerf, base, unit, part.high - part.low, density, most))
        self.items.sort(key=lambda item: -item.density)
        self.chosen: list[_Item] = []

    def run(self) -> Found:
        self._extend(0, self.room, 0.0, 0, float("-inf"))
        return Found(tuple(self.found[-_KEPT:]), self.best, self.nodes < _MOST_NODES)

    def _extend(self, start: int, rest: int, base: float, growth: int, unit: float) -> None:
        """Judge what is chosen, then add each item from ``start`` on that may still lead to more."""
        self.nodes += 1
        if self.nodes >= _MOST_NODES or len(self.found) >= self.most_found:
            return
        if self.chosen and (not self.full or rest <= growth):
            self._judge(rest, base)
        for place in range(start, len(self.items)):
            item = self.items[place]
            per_length = max(unit, item.density)
            if not self.full:
                per_length = max(per_length, 0.0)
            if base + rest * per_length <= self.best:
                return
            if item.low > rest or self._count(item) >= item.most:
                continue
            self.chosen.append(item)
            self._extend(place, rest - item.low, base + item.base, growth + item.room, max(unit, item.unit))
            self.chosen.pop()

    def _count(self, item: _Item) -> int:
        """Return how often the item is chosen; equal ones stand together at the end."""
        count = 0
        for chosen in reversed(self.chosen):
            if chosen is not item:
                break
            count += 1
        return count

    def _judge(self, rest: int, base: float) -> None:
        worth, lengths = base, {}
        for place, item in sorted(enumerate(self.chosen), key=lambda pair: -pair[1].unit):
            grown = min(rest, item.room) if self.full or item.unit > 0 else 0
            rest -= grown
            worth += grown * item.unit
            lengths[place] = item.low - self.model.kerf + grown
        if worth > self.best:
            if not self.all_over:
                self.best = worth
            self.found.append(self._column(lengths))

    def _column(self, lengths: dict[int, int]) -> Column:
        totals: dict[int, list[int]] = {}
        for place, item in enumerate(self.chosen):
            total = totals.setdefault(item.number, [0, 0])
            total[0] += 1
            total[1] += lengths[place]
        ordered = sorted(totals.items())
        pattern = Pattern(self.stock, tuple((number, total[0]) for number, total in ordered), self.full)
        return Column(pattern, tuple(total[1] for _, total in ordered))
