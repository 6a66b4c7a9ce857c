"""The rows that bind a choice of patterns, and the solver that they are handed to."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import highspy
import numpy as np

from crewtui.trade.truck.cut_model import PER_INCH, Model
from crewtui.trade.truck.cut_patterns import Pattern

if TYPE_CHECKING:
    from crewtui.trade.truck.cut_master import Master


class _Quiet(highspy.Highs):
    """The solver, silenced before it prints its first line: that would land in the middle of a screen."""

    def enableCallbacks(self) -> Any:  # noqa: N802 - the solver's own name; the first call it makes
        self.silent()
        return super().enableCallbacks()  # type: ignore[no-untyped-call]


def new_solver() -> Any:
    """Return a solver that prints nothing and keeps to one thread."""
    solver = _Quiet()  # type: ignore[no-untyped-call]
    solver.setOptionValue("threads", 1)
    return solver


class Rows:
    """Row numbers and their bounds, the same for the linear bound and for whole numbers."""

    def __init__(self, master: Master) -> None:
        model = master.model
        self.low: list[float] = []
        self.high: list[float] = []
        self.piece: list[int] = []
        for part in model.classes:
            group = model.groups[part.group]
            rods = len(group.rods) * part.per_rod if group.splits == 1 else 0
            self.piece.append(self.row(rods, rods))
        self.length = [self.row(group.total / PER_INCH, group.total / PER_INCH) for group in model.groups]
        self.rods: dict[int, int] = {}
        self.short: dict[tuple[int, int], int] = {}
        self.long: dict[tuple[int, int], int] = {}
        for number, group in enumerate(model.groups):
            if group.splits > 1:
                self.rods[number] = self.row(len(group.rods), len(group.rods))
                for split in range(group.splits):
                    self.short[number, split] = self.row(0, highspy.kHighsInf)
                    self.long[number, split] = self.row(-highspy.kHighsInf, 0)
        self.stock = [self.row(-highspy.kHighsInf, stock.count) for stock in model.stock]
        self.kept = [self.row(-highspy.kHighsInf, value) for _, value in master.kept]

    def row(self, low: float, high: float) -> int:
        """Add a row; return its number."""
        self.low.append(low)
        self.high.append(high)
        return len(self.low) - 1

    def of_length(self, model: Model, number: int) -> list[int]:
        """Return the rows that the length of a class counts in."""
        part = model.classes[number]
        key = (part.group, part.split)
        rows = [self.length[part.group]]
        return [*rows, self.short[key], self.long[key]] if key in self.short else rows

    def of_split(self, model: Model, group: int, split: int) -> list[tuple[int, float]]:
        """Return the entries of one more rod of a group that is split this way."""
        kind = model.groups[group]
        entries: list[tuple[int, float]] = [(self.rods[group], 1.0)]
        entries += [
            (self.piece[number], -float(model.classes[number].per_rod)) for number in kind.classes[split]
        ]
        entries.append((self.short[group, split], -kind.shortest / PER_INCH))
        entries.append((self.long[group, split], -kind.longest / PER_INCH))
        return entries

    def of_pattern(self, master: Master, pattern: Pattern) -> list[tuple[int, float]]:
        """Return the entries of one more of a pattern, its lengths left out."""
        entries: list[tuple[int, float]] = [
            (self.piece[number], float(count)) for number, count in pattern.pieces
        ]
        entries.append((self.stock[pattern.stock], 1.0))
        for row, (aim, _) in zip(self.kept, master.kept, strict=True):
            entries.append((row, float(master.worth(aim, pattern))))
        return entries


def add_row(solver: Any, low: float, high: float) -> None:
    """Hand over a row that no column counts in yet."""
    solver.addRow(low, high, 0, np.array([], dtype=np.int32), np.array([], dtype=np.float64))


def add_column(solver: Any, cost: float, high: float, entries: Sequence[tuple[int, float]]) -> None:
    """Hand over a column with its entries; those of nothing are left out."""
    used = [(row, value) for row, value in entries if value]
    solver.addCol(
        cost,
        0.0,
        high,
        len(used),
        np.array([row for row, _ in used], dtype=np.int32),
        np.array([value for _, value in used], dtype=np.float64),
    )
