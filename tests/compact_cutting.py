"""The cut list's model for another solver: pieces against lengths of stock, solved by scipy's HiGHS.

A yes or no for each piece in each length of stock and a length beside it; it aims for the least stock.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_matrix

from crewtui.trade.truck.cutting import PieceRange, RodToCut


@dataclass(frozen=True, slots=True)
class Highs:
    """What scipy's HiGHS made of the compact model."""

    length_in: float | None
    proven: bool
    seconds: float


class Compact:
    """Pieces against lengths of stock: columns are x (piece there), y (its length there), u (length used)."""

    def __init__(self, rods: Sequence[RodToCut], bins: Sequence[float], *, kerf_in: float) -> None:
        """``bins`` are the lengths of stock to choose from, equal ones side by side."""
        self.pieces: list[tuple[int, PieceRange]] = [
            (number, part) for number, rod in enumerate(rods) for part in rod.splits[0]
        ]
        self.rods, self.bins, self.kerf_in = rods, bins, kerf_in
        self.cells = len(self.pieces) * len(bins)
        self.rows: list[int] = []
        self.columns: list[int] = []
        self.values: list[float] = []
        self.low: list[float] = []
        self.high: list[float] = []

    def row(self, entries: Sequence[tuple[int, float]], low: float, high: float) -> None:
        """Add a row of the matrix."""
        for column, value in entries:
            self.rows.append(len(self.low))
            self.columns.append(column)
            self.values.append(value)
        self.low.append(low)
        self.high.append(high)

    def solve(self, limit_s: float) -> Highs:
        """Return the least length of stock in all."""
        started = time.monotonic()
        count, infinite = len(self.bins), np.inf
        for place, (_, part) in enumerate(self.pieces):
            here = [place * count + bin_ for bin_ in range(count)]
            self.row([(cell, 1.0) for cell in here], 1, 1)
            for bin_, cell in enumerate(here):
                self.row([(self.cells + cell, 1.0), (cell, -part.greatest_in)], -infinite, 0)
                self.row([(self.cells + cell, 1.0), (cell, -part.least_in)], 0, infinite)
                self.row([(cell, 1.0), (2 * self.cells + bin_, -1.0)], -infinite, 0)
        for number, rod in enumerate(self.rods):
            own = [
                self.cells + place * count + bin_
                for place, (owner, _) in enumerate(self.pieces)
                if owner == number
                for bin_ in range(count)
            ]
            self.row([(column, 1.0) for column in own], rod.length_in, rod.length_in)
        for bin_, length_in in enumerate(self.bins):
            entries = [(self.cells + place * count + bin_, 1.0) for place in range(len(self.pieces))]
            entries += [(place * count + bin_, self.kerf_in) for place in range(len(self.pieces))]
            self.row([*entries, (2 * self.cells + bin_, -length_in - self.kerf_in)], -infinite, 0)
            if bin_ and self.bins[bin_ - 1] == length_in:
                self.row([(2 * self.cells + bin_, 1.0), (2 * self.cells + bin_ - 1, -1.0)], -infinite, 0)
        size = 2 * self.cells + count
        cost = np.zeros(size)
        cost[2 * self.cells :] = self.bins
        whole = np.zeros(size)
        whole[: self.cells] = whole[2 * self.cells :] = 1
        top = np.ones(size)
        top[self.cells : 2 * self.cells] = infinite
        matrix = coo_matrix((self.values, (self.rows, self.columns)), shape=(len(self.low), size)).tocsr()
        answer = milp(
            cost,
            constraints=LinearConstraint(matrix, self.low, self.high),
            integrality=whole,
            bounds=Bounds(0, top),
            options={"time_limit": limit_s, "mip_rel_gap": 0},
        )
        length_in = None if answer.x is None else float(answer.fun)
        return Highs(length_in, answer.status == 0, time.monotonic() - started)
