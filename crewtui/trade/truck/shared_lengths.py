"""Which cut pieces come from one length of stock: the search for what is worth most at given prices."""

from __future__ import annotations

import time
from collections.abc import Mapping
from typing import Final

from msgspec import Struct

_MOST_STEPS: Final = 60_000
"""Steps of one search; past it the search says that it is not complete."""
_KEPT: Final = 4
"""Shared lengths handed back from one search: the best, and the last ones on the way to it."""
_CLOSE: Final = 1e-7


class SharedLength(Struct, frozen=True):
    """A length of stock of one kind and the pieces cut from it, as (length, how many), longest first."""

    kind: int
    pieces: tuple[tuple[int, int], ...]


class PricedStock(Struct, frozen=True):
    """One kind of stock, the width of the saw cut, and how many pieces of each length there are at most."""

    kind: int
    length: int
    kerf: int
    most: Mapping[int, int]


class _Item(Struct):
    length: int
    size: int
    """With its saw cut."""
    price: float
    most: int


class Pricing:
    """Depth first over piece lengths by price per length, bound by the best price per length still open."""

    def __init__(self, shared: PricedStock, prices: Mapping[int, float], *, until: float) -> None:
        self.kind, self.room, self.until = shared.kind, shared.length + shared.kerf, until
        self.items = [
            _Item(length, length + shared.kerf, price, shared.most[length])
            for length, price in prices.items()
            if length <= shared.length
        ]
        self.items.sort(key=lambda item: (-item.price / item.size, -item.size))
        self.smallest = min((item.size for item in self.items), default=self.room + 1)
        self.complete = True

    def best(self, over: float) -> list[SharedLength]:
        """Return shared lengths worth more than ``over``, the best last."""
        self._begin(over, every=False, most_found=_MOST_STEPS)
        self._extend(0, self.room, 0.0)
        return self.found[-_KEPT:]

    def every(self, over: float, most_found: int) -> list[SharedLength]:
        """Return each that is worth no less than ``over`` and that no more piece fits into."""
        self._begin(over - 2 * _CLOSE, every=True, most_found=most_found)
        self._extend(0, self.room, 0.0)
        return self.found

    def _begin(self, over: float, *, every: bool, most_found: int) -> None:
        self.over, self.all, self.most_found = over, every, most_found
        self.found: list[SharedLength] = []
        self.counts = [0] * len(self.items)
        self.steps = 0

    def _extend(self, start: int, rest: int, worth: float) -> None:
        self.steps += 1
        if self.steps >= _MOST_STEPS or len(self.found) >= self.most_found or time.monotonic() > self.until:
            self.complete = False
            return
        if worth > self.over + _CLOSE and (not self.all or self._full(rest)):
            self.found.append(self._taken())
            if not self.all:
                self.over = worth
        for at in range(start, len(self.items)):
            item = self.items[at]
            if worth + rest * item.price / item.size <= self.over + _CLOSE:
                return
            if item.size <= rest and self.counts[at] < item.most:
                self.counts[at] += 1
                self._extend(at, rest - item.size, worth + item.price)
                self.counts[at] -= 1
                if not self.complete:
                    return

    def _full(self, rest: int) -> bool:
        return rest < self.smallest or all(
            item.size > rest or count >= item.most
            for item, count in zip(self.items, self.counts, strict=True)
        )

    def _taken(self) -> SharedLength:
        pieces = [(item.length, count) for item, count in zip(self.items, self.counts, strict=True) if count]
        return SharedLength(self.kind, tuple(sorted(pieces, reverse=True)))
