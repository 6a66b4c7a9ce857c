"""Shigley, Mechanical Engineering Design, 9th ed., section 8-8: T = K·F·d.

Table 8-15 (nut factors) and the torques of d = 0.190 in, F = 1275 lb: published; tolerance half a unit of
the last printed digit. Example 8-3's figure is computed from the published formula.
"""

from __future__ import annotations

import pytest

from crewtui.trade.tightening import tension


@pytest.mark.parametrize(("k", "torque_lbf_in"), [(0.3, 72.7), (0.2, 48.5), (0.1, 24.2)])
def test_torque_of_a_small_screw(k: float, torque_lbf_in: float) -> None:
    assert tension.nut_torque_lbf_in(1275.0, k=k, diameter_in=0.190) == pytest.approx(torque_lbf_in, abs=0.05)


def test_example_8_3() -> None:
    # 3/4-16, preload 25 kip, K = 0.20: 3750 lbf·in.
    assert tension.nut_torque_lbf_in(25_000.0, k=0.20, diameter_in=0.75) == pytest.approx(3750.0, abs=1e-9)
    assert tension.tension_lbf(3750.0 / 12.0, k=0.20, diameter_in=0.75) == pytest.approx(25_000.0, rel=1e-12)


def test_the_band_uses_table_8_15() -> None:
    # Table 8-15: anti-seize 0.12, zinc plated 0.20, black 0.30.
    assert (tension.K_WAXED, tension.K_ZINC, tension.K_DRY) == (0.12, 0.20, 0.30)
