"""A bound that no cut list can go below: patterns in any shares, found as they are priced.

Gilmore and Gomory's method ("A linear programming approach to the cutting-stock problem", Operations Research
9, 1961), with a row more for each group of rods: the lengths of its pieces sum to its rods. Solved by HiGHS.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

import highspy

from crewtui.trade.truck.cut_clock import OutOfTimeError
from crewtui.trade.truck.cut_model import PER_INCH
from crewtui.trade.truck.cut_patterns import Column, Found, Prices, best_patterns, patterns_over
from crewtui.trade.truck.cut_rows import Rows, add_column, add_row, new_solver

if TYPE_CHECKING:
    from crewtui.trade.truck.cut_master import Aim, Master

_CLOSE: Final = 1e-7
"""A pattern has to better its price by more than this to count."""


class Relaxed:
    """The linear bound for one aim."""

    def __init__(self, master: Master, aim: Aim) -> None:
        self.master, self.aim = master, aim
        self.rows = Rows(master)
        self.solver = new_solver()
        self.solver.setOptionValue("presolve", "off")
        for low, high in zip(self.rows.low, self.rows.high, strict=True):
            add_row(self.solver, low, high)
        for group, split in self.rows.short:
            add_column(self.solver, 0.0, highspy.kHighsInf, self.rows.of_split(master.model, group, split))
        self.taken = 0
        self.dual: Sequence[float] = ()
        self.take_new()

    def take_new(self) -> None:
        """Take in the patterns that the master has learned since."""
        for column in list(self.master.columns.values())[self.taken :]:
            self._take(column)
        self.taken = len(self.master.columns)

    def _take(self, column: Column) -> None:
        model = self.master.model
        entries = dict(self.rows.of_pattern(self.master, column.pattern))
        for (number, _), length in zip(column.pattern.pieces, column.lengths, strict=True):
            for row in self.rows.of_length(model, number):
                entries[row] = entries.get(row, 0.0) + length / PER_INCH
        cost = float(self.master.worth(self.aim, column.pattern))
        add_column(self.solver, cost, highspy.kHighsInf, list(entries.items()))

    def solve(self) -> float:
        """Return the value with the patterns known."""
        self.solver.run()
        if self.solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            raise OutOfTimeError
        self.dual = list(self.solver.getSolution().row_dual)
        return float(self.solver.getInfo().objective_function_value)

    def price(self) -> list[tuple[float, int, Found]]:
        """Return for each stock how far a pattern may better the bound, how often, and such patterns."""
        prices, model = self._prices(), self.master.model
        results = []
        for place, stock in enumerate(model.stock):
            paid = self._paid(place)
            for full in (False, True) if self.aim == "cuts" else (False,):
                self.master.clock.check()
                cost = self._cost(place, full=full) - paid
                found = best_patterns(
                    model,
                    place,
                    prices,
                    over=cost + _CLOSE,
                    full=full,
                    per_piece=1.0 if self.aim == "cuts" else 0.0,
                )
                worst = cost - found.best if found.columns else 0.0
                results.append((worst, stock.count, found))
        return results

    def widen(self, gap: float, most: int) -> bool:
        """Add every pattern within a gap of its price; return whether these are all."""
        prices, complete = self._prices(), True
        for place in range(len(self.master.model.stock)):
            paid = self._paid(place)
            for full in (False, True) if self.aim == "cuts" else (False,):
                self.master.clock.check()
                found, whole = patterns_over(
                    self.master.model,
                    place,
                    prices,
                    over=self._cost(place, full=full) - paid - gap,
                    full=full,
                    per_piece=1.0 if self.aim == "cuts" else 0.0,
                    most=most,
                )
                self.master.add(found)
                complete = complete and whole
        return complete

    def _prices(self) -> Prices:
        model, rows, dual = self.master.model, self.rows, self.dual
        return Prices(
            [dual[row] for row in rows.piece],
            [
                sum(dual[row] for row in rows.of_length(model, number)) / PER_INCH
                for number in range(len(model.classes))
            ],
        )

    def _paid(self, place: int) -> float:
        """Return what the rows of a stock and of the aims kept already pay."""
        stock = self.master.model.stock[place]
        paid = self.dual[self.rows.stock[place]]
        for row, (aim, _) in zip(self.rows.kept, self.master.kept, strict=True):
            paid += self.dual[row] * (stock.missing if aim == "missing" else stock.cost)
        return float(paid)

    def _cost(self, place: int, *, full: bool) -> float:
        stock = self.master.model.stock[place]
        if self.aim == "missing":
            return float(stock.missing)
        return float(stock.cost) if self.aim == "cost" else -float(full)
