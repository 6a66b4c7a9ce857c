"""The choice among patterns: what is known of one job, its bound by one aim, whole numbers that meet it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final, Literal

from msgspec import Struct, field

from crewtui.trade.truck.cut_bound import Relaxed
from crewtui.trade.truck.cut_clock import Clock
from crewtui.trade.truck.cut_model import Model
from crewtui.trade.truck.cut_patterns import Column, Pattern
from crewtui.trade.truck.cut_whole import Choice, Whole

Aim = Literal["missing", "cost", "cuts"]
_WHOLE: Final = 1e-5
"""A linear bound is taken to the next whole number less this much."""


class Master(Struct):
    """Rows and patterns of one job; one aim after the other, each kept while the next is looked for."""

    model: Model
    clock: Clock
    columns: dict[tuple[Pattern, tuple[int, ...]], Column] = field(default_factory=dict)
    kept: list[tuple[Aim, int]] = field(default_factory=list)
    """Aims reached, and the value that each must not exceed any more."""

    def worth(self, aim: Aim, pattern: Pattern) -> int:
        """Return what a pattern adds to an aim."""
        stock = self.model.stock[pattern.stock]
        if aim == "missing":
            return int(stock.missing)
        return stock.cost if aim == "cost" else pattern.cuts

    def add(self, columns: Sequence[Column]) -> bool:
        """Add patterns; return whether any was new."""
        before = len(self.columns)
        for column in columns:
            self.columns.setdefault((column.pattern, column.lengths), column)
        return len(self.columns) > before

    def open_with_single_pieces(self) -> None:
        """Add each piece alone, shortest and longest, from the shortest and longest stock that takes it."""
        order = sorted(range(len(self.model.stock)), key=lambda place: self.model.stock[place].length)
        for number, part in enumerate(self.model.classes):
            for place in order:
                length = self.model.stock[place].length
                lengths = {part.low, min(part.high, length)}
                self.add(
                    [
                        Column(Pattern(place, ((number, 1),), full=False), (piece,))
                        for piece in lengths
                        if piece <= length
                    ]
                )

    def bound(self, aim: Aim, goal: int | None) -> int:
        """Return a whole number that no plan can go below; stop once it meets ``goal``, which one reaches."""
        relaxed = Relaxed(self, aim)
        low = 0
        while True:
            self.clock.check()
            value = relaxed.solve()
            searches = list(relaxed.price())
            slack = sum(worst * count for worst, count, _ in searches)
            if all(found.complete for _, _, found in searches):
                low = max(low, math.ceil(value + slack - _WHOLE))
            if low >= math.ceil(value - _WHOLE) or (goal is not None and low >= goal):
                return low
            new = self.add([column for _, _, found in searches for column in found.columns])
            if not new:
                return low
            relaxed.take_new()

    def widen(self, aim: Aim, value: int, most: int) -> bool:
        """Add every pattern that a plan of this value or less can hold; return whether these are all.

        Such a plan holds no pattern whose price gap alone lifts the linear bound past that value.
        """
        relaxed = Relaxed(self, aim)
        low = relaxed.solve()
        while True:
            self.clock.check()
            searches = list(relaxed.price())
            if not self.add([column for _, _, found in searches for column in found.columns]):
                break
            relaxed.take_new()
            low = relaxed.solve()
        whole = all(found.complete for _, _, found in searches)
        return relaxed.widen(value - low + _WHOLE, most) and whole

    def choose(self, aim: Aim, *, floor: int, time_s: float) -> tuple[Choice | None, bool]:
        """Return whole numbers of the patterns known, least by the aim, and whether none of them are less.

        None if none was found in time, or, with True beside it, if there are none.
        """
        return Whole(self, aim, floor, time_s).run()
