"""Peurifoy, Construction Planning, Equipment and Methods, Table 4-1: swell of loosened soil. Published.

The clay figures (3000 bank, 2310 loose, 3750 compacted lb/yd³) are computed from published densities.
"""

from __future__ import annotations

import pytest

from crewtui.trade.ground import pit

PERCENT: dict[pit.SoilName, tuple[float, float]] = {
    "sand and gravel": (5, 15),
    "topsoil": (10, 25),
    "loam": (10, 35),
    "common earth": (20, 45),
    "clay": (30, 60),
}


@pytest.mark.parametrize("soil", list(PERCENT))
def test_swell(soil: pit.SoilName) -> None:
    got = pit.pit_volume("hand", depth_in=50.0, along_rod_in=12.0, across_in=16.0, soil=soil)
    assert (got.loose_least_ft3 / got.bank_ft3 - 1.0) * 100 == pytest.approx(PERCENT[soil][0], abs=1e-9)
    assert (got.loose_greatest_ft3 / got.bank_ft3 - 1.0) * 100 == pytest.approx(PERCENT[soil][1], abs=1e-9)


def test_clay_by_its_densities() -> None:
    # lb/yd³: 3000 in the bank, 2310 loose, 3750 compacted. Tolerance half a unit of the last digit.
    assert pit.swell_share(bank_density=3000.0, loose_density=2310.0) * 100 == pytest.approx(29.87, abs=0.005)
    assert pit.shrinkage_share(bank_density=3000.0, tamped_density=3750.0) * 100 == pytest.approx(
        20.0, abs=0.05
    )


def test_the_table_for_clay_starts_at_that_swell() -> None:
    by_density = pit.swell_share(bank_density=3000.0, loose_density=2310.0)
    assert pit.SWELL["clay"][0] == pytest.approx(by_density, abs=0.005)
