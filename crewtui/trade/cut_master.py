"""The choice among patterns: a linear bound that grows its own patterns, then whole numbers of those found.

Gilmore and Gomory's method ("A linear programming approach to the cutting-stock problem", Operations Research 9,
1961), with one row more for each group of rods: the lengths of its pieces sum to its rods. Solved by HiGHS.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, Final, Literal

import highspy
import numpy as np

from crewtui.trade.cut_model import PER_INCH, Model
from crewtui.trade.cut_patterns import Column, Found, Pattern, Prices, best_patterns, patterns_over

Aim = Literal["missing", "cost", "cuts"]
_CLOSE: Final = 1e-7
_WHOLE: Final = 1e-5
"""A linear bound is taken to the next whole number less this much."""


class OutOfTimeError(Exception):
    """The time given is over, or the answer is no longer wanted."""


@dataclass(slots=True)
class Clock:
    """When to stop: a time by the clock that only runs forward, and whether somebody has called it off."""

    until: float
    cancelled: Callable[[], bool]

    def check(self) -> None:
        """Raise OutOfTimeError when it is time to stop."""
        if time.monotonic() > self.until or self.cancelled():
            raise OutOfTimeError

    @property
    def left_s(self) -> float:
        """Seconds left; never negative."""
        return max(0.0, self.until - time.monotonic())


@dataclass(slots=True)
class Choice:
    """How often each pattern is cut, with the total length of each of its classes, and the rods by split."""

    patterns: list[tuple[Pattern, int, tuple[int, ...]]]
    by_split: dict[tuple[int, int], int]


@dataclass(slots=True)
class Master:
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
        relaxed = _Relaxed(self, aim)
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
        relaxed = _Relaxed(self, aim)
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
        return _Whole(self, aim, floor, time_s).run()


class _Quiet(highspy.Highs):
    """The solver, silenced before it prints its first line: that would land in the middle of a screen."""

    def enableCallbacks(self) -> Any:  # noqa: N802 - the solver's own name; the first call it makes
        self.silent()
        return super().enableCallbacks()


def _solver() -> Any:
    solver = _Quiet()
    solver.setOptionValue("threads", 1)
    return solver


class _Rows:
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


def _add_column(solver: Any, cost: float, high: float, entries: Sequence[tuple[int, float]]) -> None:
    used = [(row, value) for row, value in entries if value]
    solver.addCol(
        cost,
        0.0,
        high,
        len(used),
        np.array([row for row, _ in used], dtype=np.int32),
        np.array([value for _, value in used], dtype=np.float64),
    )


class _Relaxed:
    """The linear bound for one aim."""

    def __init__(self, master: Master, aim: Aim) -> None:
        self.master, self.aim = master, aim
        self.rows = _Rows(master)
        self.solver = _solver()
        self.solver.setOptionValue("presolve", "off")
        for low, high in zip(self.rows.low, self.rows.high, strict=True):
            self.solver.addRow(low, high, 0, np.array([], dtype=np.int32), np.array([], dtype=np.float64))
        for group, split in self.rows.short:
            _add_column(self.solver, 0.0, highspy.kHighsInf, self.rows.of_split(master.model, group, split))
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
        _add_column(self.solver, cost, highspy.kHighsInf, list(entries.items()))

    def solve(self) -> float:
        """Return the value with the patterns known."""
        self.solver.run()
        if self.solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            raise OutOfTimeError
        self.dual = list(self.solver.getSolution().row_dual)
        return float(self.solver.getInfo().objective_function_value)

    def price(self) -> list[tuple[float, int, Found]]:
        """Return for each stock how far a pattern may still better the bound, how often, and such patterns."""
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
        for place, stock in enumerate(self.master.model.stock):
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


class _Whole:
    """Whole numbers of the patterns known; the lengths within each stay free."""

    def __init__(self, master: Master, aim: Aim, floor: int, time_s: float) -> None:
        self.master, self.aim, self.floor = master, aim, floor
        self.time_s = min(time_s, master.clock.left_s)
        self.rows = _Rows(master)
        self.patterns = self._patterns()
        self.solver = _solver()
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
        _add_column(self.solver, cost, high, entries)
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
            self.solver.addRow(low, high, 0, np.array([], dtype=np.int32), np.array([], dtype=np.float64))
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
