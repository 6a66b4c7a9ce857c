"""Whole numbers of the patterns known; the lengths of the pieces within each stay free. Solved by HiGHS."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import highspy
import numpy as np
from msgspec import Struct

from crewtui.trade.truck.cut_model import PER_INCH
from crewtui.trade.truck.cut_patterns import Pattern
from crewtui.trade.truck.cut_rows import Rows, add_column, add_row, new_solver

if TYPE_CHECKING:
    from crewtui.trade.truck.cut_master import Aim, Master


class Choice(Struct):
    """How often each pattern is cut, with the total length of each of its classes, and the rods by split."""

    patterns: list[tuple[Pattern, int, tuple[int, ...]]]
    by_split: dict[tuple[int, int], int]


class Whole:
    """Whole numbers of the patterns known; the lengths within each stay free."""

    def __init__(self, master: Master, aim: Aim, floor: int, time_s: float) -> None:
        self.master, self.aim, self.floor = master, aim, floor
        self.time_s = min(time_s, master.clock.left_s)
        self.rows = Rows(master)
        self.patterns = self._patterns()
        self.solver = new_solver()
        self.integer: list[int] = []
        self.next = 0

    def _patterns(self) -> list[Pattern]:
        seen: dict[Pattern, None] = {}
        for column in self.master.columns.values():
            pattern = column.pattern
            seen.setdefault(pattern)
            if self.aim == "cuts" and not pattern.full and self._can_be_full(pattern):
                seen.setdefault(Pattern(pattern.stock, pattern.pieces, full=True))
        return list(seen)

    def _room(self, pattern: Pattern) -> int:
        """Return what is left of the stock when every piece has its least length."""
        model = self.master.model
        least = sum(count * (model.classes[number].low + model.kerf) for number, count in pattern.pieces)
        return model.stock[pattern.stock].length + model.kerf - least

    def _can_be_full(self, pattern: Pattern) -> bool:
        classes = self.master.model.classes
        growth = sum(count * (classes[number].high - classes[number].low) for number, count in pattern.pieces)
        return self._room(pattern) <= growth

    def _column(self, cost: float, high: float, entries: Sequence[tuple[int, float]], *, whole: bool) -> int:
        add_column(self.solver, cost, high, entries)
        if whole:
            self.integer.append(self.next)
        self.next += 1
        return self.next - 1

    def _build(self) -> tuple[dict[tuple[int, int], int], list[tuple[Pattern, int, dict[int, int]]]]:
        model, rows, infinite = self.master.model, self.rows, highspy.kHighsInf
        cap_rows, growth_rows = [], []
        for pattern in self.patterns:
            cap_rows.append(rows.row(0.0 if pattern.full else -infinite, 0.0))
            growth_rows.append({number: rows.row(-infinite, 0.0) for number, _ in pattern.pieces})
        for low, high in zip(rows.low, rows.high, strict=True):
            add_row(self.solver, low, high)
        splits = {
            key: self._column(0.0, infinite, rows.of_split(model, *key), whole=True) for key in rows.short
        }
        placed: list[tuple[Pattern, int, dict[int, int]]] = []
        for pattern, cap, growth in zip(self.patterns, cap_rows, growth_rows, strict=True):
            entries = dict(rows.of_pattern(self.master, pattern))
            entries[cap] = -self._room(pattern) / PER_INCH
            for number, count in pattern.pieces:
                part = model.classes[number]
                for row in rows.of_length(model, number):
                    entries[row] = entries.get(row, 0.0) + count * part.low / PER_INCH
                entries[growth[number]] = -count * (part.high - part.low) / PER_INCH
            most = float(model.stock[pattern.stock].count)
            cost = float(self.master.worth(self.aim, pattern))
            column = self._column(cost, most, list(entries.items()), whole=True)
            grown: dict[int, int] = {}
            for number, _ in pattern.pieces:
                if model.classes[number].high > model.classes[number].low:
                    own = [(row, 1.0) for row in rows.of_length(model, number)]
                    own += [(cap, 1.0), (growth[number], 1.0)]
                    grown[number] = self._column(0.0, infinite, own, whole=False)
            placed.append((pattern, column, grown))
        return splits, placed

    def run(self) -> tuple[Choice | None, bool]:
        """Return the choice that is least by the aim, if one was found, and whether that is certain."""
        splits, placed = self._build()
        solver = self.solver
        solver.changeColsIntegrality(
            len(self.integer),
            np.array(self.integer, dtype=np.int32),
            np.array([highspy.HighsVarType.kInteger] * len(self.integer)),
        )
        solver.setOptionValue("time_limit", self.time_s)
        solver.setOptionValue("mip_rel_gap", 0.0)
        solver.setOptionValue("mip_abs_gap", 0.999)
        solver.setOptionValue("objective_target", self.floor + 0.001)
        cancelled = self.master.clock.cancelled

        def stop(event: Any) -> None:
            if cancelled():
                event.interrupt()

        solver.cbMipInterrupt.subscribe(stop)
        solver.run()
        info = solver.getInfo()
        status = solver.getModelStatus()
        if info.primal_solution_status != highspy.kSolutionStatusFeasible:
            return None, status == highspy.HighsModelStatus.kInfeasible
        values = list(solver.getSolution().col_value)
        patterns = []
        for pattern, column, grown in placed:
            times = round(values[column])
            if times:
                totals = tuple(
                    times * count * self.master.model.classes[number].low
                    + (round(values[grown[number]] * PER_INCH) if number in grown else 0)
                    for number, count in pattern.pieces
                )
                patterns.append((pattern, times, totals))
        choice = Choice(patterns, {key: round(values[column]) for key, column in splits.items()})
        return choice, status == highspy.HighsModelStatus.kOptimal
