"""Normal-normal conjugate update.

Source: Gelman, Carlin, Stern, Dunson, Vehtari, Rubin, Bayesian Data Analysis, 3rd ed., section 2.5,
equations (2.11) and (2.12): posterior precision 1/τ0² + n/σ², posterior mean weighed by precisions;
predictive variance τn² + σ². Mark: formula published, cited from memory of the text; so the same posterior
is also integrated numerically here from prior and likelihood alone, with SciPy, which needs no such
formula. Tolerance: 1e-9 on the formula, 1e-6 on the integration.
"""

from __future__ import annotations

import math

import pytest
from scipy import integrate, stats

from crewtui.trade.aim.drift import DriveRun, estimate, posterior

CASES = [
    ((), 0.0, 1.0, 0.5),
    ((-3.378,), 0.0, 1.0, 0.5),
    ((0.4, 0.9, 0.65), 0.0, 1.0, 0.5),
    ((-1.2, -0.7, -1.4, -0.9, -1.1, -0.2, -1.0, -0.8), 0.0, 1.0, 0.5),
    ((0.4, 0.9), 0.3, 0.7, 0.25),
]


@pytest.mark.parametrize(("drifts_deg", "prior_mean_deg", "prior_sd_deg", "spread_deg"), CASES)
def test_the_published_formula(
    drifts_deg: tuple[float, ...], prior_mean_deg: float, prior_sd_deg: float, spread_deg: float
) -> None:
    mean_deg, sd_deg = posterior(
        drifts_deg, prior_mean_deg=prior_mean_deg, prior_sd_deg=prior_sd_deg, spread_deg=spread_deg
    )
    precision = 1 / prior_sd_deg**2 + len(drifts_deg) / spread_deg**2
    expected = (prior_mean_deg / prior_sd_deg**2 + sum(drifts_deg) / spread_deg**2) / precision
    assert mean_deg == pytest.approx(expected, abs=1e-9)
    assert sd_deg == pytest.approx(math.sqrt(1 / precision), abs=1e-9)


@pytest.mark.parametrize(("drifts_deg", "prior_mean_deg", "prior_sd_deg", "spread_deg"), CASES)
def test_the_posterior_integrated_from_prior_and_likelihood(
    drifts_deg: tuple[float, ...], prior_mean_deg: float, prior_sd_deg: float, spread_deg: float
) -> None:
    def density(habit_deg: float) -> float:
        seen = stats.norm.pdf(drifts_deg, habit_deg, spread_deg).prod() if drifts_deg else 1.0
        return float(stats.norm.pdf(habit_deg, prior_mean_deg, prior_sd_deg) * seen)

    def moment(power: int) -> float:
        points = [prior_mean_deg, *drifts_deg]
        return float(
            integrate.quad(
                lambda x: x**power * density(x), -9, 9, points=points, epsabs=1e-13, epsrel=1e-11, limit=400
            )[0]
        )

    whole = moment(0)
    mean, square = moment(1) / whole, moment(2) / whole
    mean_deg, sd_deg = posterior(
        drifts_deg, prior_mean_deg=prior_mean_deg, prior_sd_deg=prior_sd_deg, spread_deg=spread_deg
    )
    assert mean_deg == pytest.approx(mean, abs=1e-6)
    assert sd_deg == pytest.approx(math.sqrt(square - mean**2), abs=1e-6)


def test_the_predictive_spread_is_of_habit_and_rod_together() -> None:
    drives = [
        DriveRun(anchor=f"A-{n}", wall="north", angle_run_deg=5 + d, angle_held_deg=5)
        for n, d in enumerate((0.4, 0.9, 0.65))
    ]
    drift = estimate(drives, wall="north")
    draws = stats.norm(loc=drift.mean_deg, scale=drift.sd_deg)
    # Law of total variance by integration: E[σ²] + Var[habit].
    variance = integrate.quad(
        lambda x: draws.pdf(x) * (0.5**2 + (x - drift.mean_deg) ** 2), -9, 9, points=[drift.mean_deg]
    )
    assert drift.predictive_sd_deg == pytest.approx(math.sqrt(variance[0]), abs=1e-6)


def test_one_rod_is_believed_by_four_fifths() -> None:
    # Prior 1°, spread 0.5°: precision 1 against 4, so 0.8 of what one rod shows: 5.262 + 0.8 x 3.378 = 7.96.
    mean_deg, _ = posterior([-3.378])
    assert mean_deg == pytest.approx(0.8 * -3.378, abs=1e-9)
    assert 5.262 - mean_deg == pytest.approx(8.0, abs=0.05)
