"""Weight of rolled steel.

Source: AISC Steel Construction Manual, tables of weights: steel weighs 490 lb/ft³; a plate 1 in thick 40.83
lb/ft²; a round bar of 3/4 in 1.50 lb/ft and of 1 in 2.67 lb/ft. Mark: published. Tolerance: the last place
of the table.
"""

from __future__ import annotations

import pytest

from crewtui.trade.safety.lifting import lift, plate_lb, rod_lb


@pytest.mark.parametrize(("thickness_in", "lb_per_ft2"), [(1.0, 40.83), (0.25, 10.21), (0.5, 20.42)])
def test_plates(thickness_in: float, lb_per_ft2: float) -> None:
    assert plate_lb(width_in=12, height_in=12, thickness_in=thickness_in) == pytest.approx(
        lb_per_ft2, abs=0.005
    )


@pytest.mark.parametrize(("diameter_in", "lb_per_ft"), [(0.75, 1.50), (1.0, 2.67)])
def test_round_bars(diameter_in: float, lb_per_ft: float) -> None:
    assert rod_lb(diameter_in=diameter_in, length_in=12) == pytest.approx(lb_per_ft, abs=0.005)


def test_at_the_company_s_limit_one_still_lifts() -> None:
    assert not lift("plate", 50, alone_greatest_lb=50).two_lift
    assert "TWO LIFT" in lift("plate", 50.1, alone_greatest_lb=50).words
    with pytest.raises(ValueError, match="over zero"):
        lift("plate", 0, alone_greatest_lb=50)
