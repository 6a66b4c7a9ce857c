"""One linear programme, in whole numbers or not, for the HiGHS solver: silent, and on one thread."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import highspy
import numpy as np
from msgspec import Struct

INFINITE = highspy.kHighsInf


class _Quiet(highspy.Highs):
    """The solver, silenced before it prints its first line: that would land in the middle of a screen."""

    def enableCallbacks(self) -> Any:  # noqa: N802 - the solver's own name; the first call it makes
        self.silent()
        return super().enableCallbacks()  # type: ignore[no-untyped-call]


class Solved(Struct, frozen=True):
    """What came of one run."""

    values: Sequence[float]
    """By column; empty where nothing was found."""
    row_prices: Sequence[float]
    column_prices: Sequence[float]
    """What a column costs more than it is worth at the rows' prices."""
    bound: float
    """No solution costs less; minus infinite where nothing is known."""
    impossible: bool
    """Whether there is certainly no solution."""


class Programme:
    """Rows first, then columns with their entries; the least cost is looked for."""

    def __init__(self) -> None:
        self._solver = _Quiet()  # type: ignore[no-untyped-call]
        self._solver.setOptionValue("threads", 1)
        self._rows = 0
        self._whole: list[int] = []
        self.columns = 0

    def row(self, low: float, high: float) -> int:
        """Add a row that no column counts in yet; return its number."""
        self._solver.addRow(low, high, 0, np.array([], dtype=np.int32), np.array([], dtype=np.float64))
        self._rows += 1
        return self._rows - 1

    def column(
        self,
        cost: float,
        entries: Sequence[tuple[int, float]],
        *,
        high: float = INFINITE,
        whole: bool = False,
    ) -> int:
        """Add a column from 0 to ``high``; return its number."""
        used = [(row, value) for row, value in entries if value]
        self._solver.addCol(
            cost,
            0.0,
            high,
            len(used),
            np.array([row for row, _ in used], dtype=np.int32),
            np.array([value for _, value in used], dtype=np.float64),
        )
        if whole:
            self._whole.append(self.columns)
        self.columns += 1
        return self.columns - 1

    def solve(self, time_s: float, *, enough: float | None = None, central: bool = False) -> Solved:
        """Return the best found in time; ``enough`` is a cost that ends the search.

        With columns in whole numbers costs are whole too: what is less than one from the bound is best.
        """
        solver = self._solver
        solver.setOptionValue("time_limit", solver.getRunTime() + max(0.01, time_s))
        if self._whole:
            solver.changeColsIntegrality(
                len(self._whole),
                np.array(self._whole, dtype=np.int32),
                np.array([highspy.HighsVarType.kInteger] * len(self._whole)),
            )
            solver.setOptionValue("mip_rel_gap", 0.0)
            solver.setOptionValue("mip_abs_gap", 0.999)
            if enough is not None:
                solver.setOptionValue("objective_target", enough)
        else:
            solver.setOptionValue("solver", "ipm" if central else "simplex")
            solver.setOptionValue("run_crossover", "off" if central else "on")
        solver.run()
        info, status, solution = solver.getInfo(), solver.getModelStatus(), solver.getSolution()
        found = info.primal_solution_status == highspy.kSolutionStatusFeasible
        best = status == highspy.HighsModelStatus.kOptimal
        if self._whole:
            bound = float(info.mip_dual_bound)
        else:
            bound, found = (float(info.objective_function_value), found) if best else (-INFINITE, False)
        return Solved(
            list(solution.col_value) if found else (),
            list(solution.row_dual) if found else (),
            list(solution.col_dual) if found else (),
            bound,
            status == highspy.HighsModelStatus.kInfeasible,
        )
