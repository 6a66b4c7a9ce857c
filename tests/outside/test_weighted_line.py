"""The rate of a wall: a straight line by weighted least squares, and its interval.

Sources:
- NIST Statistical Reference Datasets, linear regression, data set Norris (lower difficulty): certified slope
  1.00211681802045, its standard deviation 0.429796848199937E-03, residual standard deviation
  0.884796396144373. Data and values taken from public test suites that quote them. Tolerance 1e-10 relative.
- SciPy 1.14 or newer: ``optimize.curve_fit`` with and without ``absolute_sigma`` for weighted points, and
  ``linalg.lstsq`` for stretches with a level each. Tolerance 1e-6 relative.
- The interval's coverage is counted on invented readings with known noise: 95 in 100, less the spread of
  the count.
"""

from __future__ import annotations

import math
import random
from datetime import date, timedelta

import numpy as np
import pytest
from scipy import linalg, optimize

from crewtui.trade.wall.survey import WithDoubt
from crewtui.trade.wall.trend import DAYS_IN_YEAR, DatedReading, movement_of, rate_of, weighted_slope

X = (0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0,
     447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3,
     229.2, 669.1, 448.9, 0.5)  # fmt: skip
Y = (0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3,
     448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6,
     228.9, 668.4, 449.2, 0.2)  # fmt: skip


@pytest.mark.parametrize("sd", [1.0, 0.25])
def test_the_certified_line_of_norris(sd: float) -> None:
    found = weighted_slope([[(x, y, sd) for x, y in zip(X, Y, strict=True)]])
    assert found.scatter is not None
    assert found.value == pytest.approx(1.00211681802045, rel=1e-10)
    assert found.sd * found.scatter == pytest.approx(0.429796848199937e-03, rel=1e-10)
    assert found.scatter * sd == pytest.approx(0.884796396144373, rel=1e-10)


def line(t: np.ndarray, level: float, slope: float) -> np.ndarray:
    return level + slope * t


@pytest.mark.parametrize("seed", range(8))
def test_weighted_points_against_scipy(seed: int) -> None:
    dice = random.Random(seed)  # noqa: S311 - noise, no secret
    count = dice.randint(3, 9)
    sds = [dice.uniform(0.02, 0.3) for _ in range(count)]
    ts = sorted(dice.uniform(0, 5) for _ in range(count))
    ys = [0.2 * t + dice.gauss(0, sd) for t, sd in zip(ts, sds, strict=True)]
    found = weighted_slope([list(zip(ts, ys, sds, strict=True))])
    theirs, known = optimize.curve_fit(line, ts, ys, sigma=sds, absolute_sigma=True, p0=(0, 0))
    _, scaled = optimize.curve_fit(line, ts, ys, sigma=sds, absolute_sigma=False, p0=(0, 0))
    assert found.scatter is not None
    assert found.value == pytest.approx(theirs[1], rel=1e-6, abs=1e-9)
    assert found.sd == pytest.approx(math.sqrt(known[1][1]), rel=1e-5)
    assert found.sd * found.scatter == pytest.approx(math.sqrt(scaled[1][1]), rel=1e-5)


@pytest.mark.parametrize("seed", range(8))
def test_one_slope_through_stretches_with_a_level_each_against_lstsq(seed: int) -> None:
    dice = random.Random(100 + seed)  # noqa: S311 - noise, no secret
    stretches = [
        [
            (dice.uniform(0, 5), dice.gauss(level, 0.3), dice.uniform(0.05, 0.3))
            for _ in range(dice.randint(2, 4))
        ]
        for level in range(3)
    ]
    rows, right, weights = [], [], []
    for number, stretch in enumerate(stretches):
        for t, y, sd in stretch:
            rows.append([t, *(1.0 if number == other else 0.0 for other in range(3))])
            right.append(y)
            weights.append(1 / sd)
    scaled = np.array(rows) * np.array(weights)[:, None]
    theirs, _, _, _ = linalg.lstsq(scaled, np.array(right) * np.array(weights))
    spread = math.sqrt(linalg.inv(scaled.T @ scaled)[0][0])
    found = weighted_slope(stretches)
    assert found.value == pytest.approx(theirs[0], rel=1e-6)
    assert found.sd == pytest.approx(spread, rel=1e-6)


def test_the_interval_holds_the_true_rate_95_times_in_100() -> None:
    dice = random.Random(7)  # noqa: S311 - noise, no secret
    times, held, told = 600, 0, 0
    for _ in range(times):
        points = [
            DatedReading(day=date(2027, 1, 1) + timedelta(days=180 * number), reading=WithDoubt(
                value=0.15 * 180 * number / DAYS_IN_YEAR + dice.gauss(0, 0.05), uncertainty=0.1))
            for number in range(6)
        ]  # fmt: skip
        rate = rate_of(points)
        assert rate is not None
        held += rate.low <= 0.15 <= rate.high
        still = movement_of(
            [
                DatedReading(day=one.day, reading=WithDoubt(value=dice.gauss(1, 0.05), uncertainty=0.1))
                for one in points
            ]
        )
        told += still.seen
    assert held / times > 0.95 - 2 * math.sqrt(0.05 * 0.95 / times)
    assert told / times < 0.05 + 2 * math.sqrt(0.05 * 0.95 / times), "a wall at rest is seldom said to move"
