"""Which cut pieces come from one length of stock: the search for what is worth most at given prices."""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

_MOST_STEPS: Final = 60_000
"""Steps of one search; past it the search says that it is not complete."""
_STEPS_BESIDE: Final = 150
"""Steps of a search for a further one of other pieces, which the bound knows nothing of."""
_CLOSE: Final = 1e-7
_CELLS: Final = 480
"""Into so many the longest length is parted, for the bound on what the rest of one can still be worth."""


class SharedLength(Struct, frozen=True):
    """A length of stock of one kind and the pieces cut from it, as (length, how many), longest first."""

    kind: int
    pieces: tuple[tuple[int, int], ...]


class PiecePrices(Struct, frozen=True):
    """What each length of piece is worth, and how many of it there are at most."""

    price: Mapping[int, float]
    most: Mapping[int, int]


class _Item(Struct):
    length: int
    size: int
    """With its saw cut."""
    price: float
    most: int


class Pricing:
    """Depth first over piece lengths by price per length, bound by what the rest can still be worth.

    The bound is the best filling of the rest with the pieces still open, all sizes rounded down to cells:
    what fits, fits then too, so no filling is worth more. One table of it serves every kind of stock.
    """

    def __init__(self, stock: Sequence[int], kerf: int, pieces: PiecePrices, *, until: float) -> None:
        self.rooms, self.until, self.complete = [length + kerf for length in stock], until, True
        longest = max(self.rooms)
        self.items = [
            _Item(length, length + kerf, price, pieces.most[length])
            for length, price in pieces.price.items()
            if length + kerf <= longest
        ]
        self.items.sort(key=lambda item: (-item.price / item.size, -item.size))
        self.most_steps = _MOST_STEPS
        self.top: list[int] | None = None
        self.open: list[int] = []
        self.cell = -(-longest // _CELLS)
        self._table = _still_worth(self.items, self.cell, longest // self.cell)
        self._rows: list[list[float] | None] = [None] * len(self.items)

    def best(self, kind: int, over: float, *, most_found: int) -> list[SharedLength]:
        """Return one worth more than ``over`` and most, then one of pieces not in it, and so on."""
        shared: list[SharedLength] = []
        self._begin(kind, over, every=False, most_found=_MOST_STEPS)
        while len(shared) < most_found and (counts := self._top(over)) is not None:
            shared.append(self._taken(kind, counts))
            self.open = [had - taken for had, taken in zip(self.open, counts, strict=True)]
            self.most_steps = _STEPS_BESIDE
        return shared

    def _top(self, over: float) -> list[int] | None:
        """Return what is worth most of the pieces still open; only the first search must be complete."""
        sure, beside = self.complete, self.most_steps == _STEPS_BESIDE
        self.over, self.top, self.steps, self.complete = over, None, 0, True
        self._extend(0, self.rooms[self.kind], 0.0)
        self.complete = sure and (beside or self.complete)
        return self.top

    def every(self, kind: int, over: float, most_found: int) -> list[SharedLength]:
        """Return each that is worth no less than ``over`` and that no more piece fits into."""
        self._begin(kind, over - 2 * _CLOSE, every=True, most_found=most_found)
        self._extend(0, self.rooms[kind], 0.0)
        return [self._taken(kind, counts) for counts in self.found if any(counts)]

    def some(self, kind: int, over: float, tries: int) -> list[SharedLength]:
        """Return so many, or fewer, worth no less than ``over``, taken by chance among all that are."""
        chance = np.random.default_rng(tries)
        size = np.array([item.size for item in self.items])
        price = np.array([item.price for item in self.items])
        found = []
        for _ in range(tries):
            if time.monotonic() > self.until:
                break
            rest, worth = self.rooms[kind], 0.0
            still, counts = np.array([item.most for item in self.items]), [0] * len(self.items)
            while True:
                left = rest - size
                can = np.flatnonzero((left >= 0) & (still > 0))
                can = can[worth + price[can] + self._table[0][left[can] // self.cell] >= over - _CLOSE]
                if not len(can):
                    break
                at = int(chance.choice(can))
                still[at] -= 1
                counts[at] += 1
                rest, worth = int(left[at]), worth + float(price[at])
            if worth >= over - _CLOSE and any(counts):
                found.append(self._taken(kind, counts))
        return found

    def _begin(self, kind: int, over: float, *, every: bool, most_found: int) -> None:
        self.kind, self.over, self.all, self.most_found = kind, over, every, most_found
        self.found: list[list[int]] = []
        self.open = [item.most for item in self.items]
        self.counts = [0] * len(self.items)
        fitting = [item.size for item in self.items if item.size <= self.rooms[kind]]
        self.smallest = min(fitting, default=self.rooms[kind] + 1)
        self.steps = 0
        self.most_steps = _MOST_STEPS

    def _extend(self, start: int, rest: int, worth: float) -> None:
        self.steps += 1
        if (
            self.steps >= self.most_steps
            or len(self.found) >= self.most_found
            or time.monotonic() > self.until
        ):
            self.complete = False
            return
        if worth > self.over + _CLOSE and (not self.all or self._full(rest)):
            if self.all:
                self.found.append(self.counts.copy())
            else:
                self.over, self.top = worth, list(self.counts)
        cell = rest // self.cell
        for at in range(start, len(self.items)):
            if worth + self._still(at)[cell] <= self.over + _CLOSE:
                return
            item = self.items[at]
            if item.size <= rest and self.counts[at] < self.open[at]:
                self.counts[at] += 1
                self._extend(at, rest - item.size, worth + item.price)
                self.counts[at] -= 1
                if not self.complete:
                    return

    def _still(self, at: int) -> list[float]:
        row = self._rows[at]
        if row is None:
            row = self._rows[at] = self._table[at].tolist()
        return row

    def _full(self, rest: int) -> bool:
        return rest < self.smallest or all(
            item.size > rest or count >= most
            for item, count, most in zip(self.items, self.counts, self.open, strict=True)
        )

    def _taken(self, kind: int, counts: Sequence[int]) -> SharedLength:
        pieces = [(item.length, count) for item, count in zip(self.items, counts, strict=True) if count]
        return SharedLength(kind, tuple(sorted(pieces, reverse=True)))


def _still_worth(items: Sequence[_Item], cell: int, cells: int) -> NDArray[np.float64]:
    """Return, item by item and for each count of cells left, what it and those after it can be worth."""
    worth = np.zeros((len(items) + 1, cells + 1))
    for at in range(len(items) - 1, -1, -1):
        item, after, row = items[at], worth[at + 1], worth[at]
        row[:] = after
        size = item.size // cell
        for count in range(1, min(item.most, cells // max(1, size)) + 1):
            shift = count * size
            np.maximum(row[shift:], after[: cells + 1 - shift] + count * item.price, out=row[shift:])
    return worth
