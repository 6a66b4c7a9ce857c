"""ASME B1.1, unified inch threads, tensile stress area: published to three decimals.

Tolerance half a unit of the last decimal.

The shares of yield are computed from these areas and A36's least yield of 36 ksi.
"""

from __future__ import annotations

import pytest

from crewtui.trade.tightening import tension, torque


@pytest.mark.parametrize(
    ("diameter_in", "threads_per_in", "area_in2"),
    [(0.625, 11, 0.226), (0.75, 10, 0.334), (0.875, 9, 0.462), (1.0, 8, 0.606)],
)
def test_stress_area(diameter_in: float, threads_per_in: float, area_in2: float) -> None:
    assert tension.stress_area_in2(diameter_in, threads_per_in) == pytest.approx(area_in2, abs=0.0005)


def _check(diameter_in: float, threads_per_in: float) -> tension.TensionCheck:
    aim = torque.target("poured concrete", rod_diameter_in=diameter_in, plan_lbf_ft=90.0)
    return tension.check_tension(aim, threads_per_in=threads_per_in, yield_ksi=36.0)


def test_three_quarter_rod_at_90() -> None:
    check = _check(0.75, 10)
    # The printed area, 0.334 in², times 36 ksi; tolerance half a unit of the area's last digit.
    assert check.yield_lbf == pytest.approx(0.334 * 36_000, abs=0.0005 * 36_000)
    assert check.share_waxed == pytest.approx(0.997, abs=0.001)
    assert (check.least_lbf, check.greatest_lbf) == (4800.0, 12_000.0)
    assert tension.two_digits(check.share_zinc * check.yield_lbf) == 7200.0
    assert check.verdict == "caution"


def test_five_eighths_rod_at_90_is_over_its_yield() -> None:
    check = _check(0.625, 11)
    assert check.share_waxed == pytest.approx(1.77, abs=0.005)
    assert check.share_zinc == pytest.approx(1.06, abs=0.005)
    assert check.verdict == "hold"
