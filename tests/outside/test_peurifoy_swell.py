"""Peurifoy, Construction Planning, Equipment and Methods, Table 4-1: swell of loosened soil. Published.

The clay figures (3000 bank, 2310 loose, 3750 compacted lb/yd³) are computed from published densities.
"""

from __future__ import annotations

import pytest

from crewtui.trade import pit

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


def test_clay_by_its_densities_swells_just_under_the_low_end() -> None:
    # 3000/2310 − 1 = 29.87 %: the table's 30 % for clay, rounded.
    by_density = 3000.0 / 2310.0 - 1.0
    assert by_density == pytest.approx(0.2987, abs=0.00005)
    assert pit.SWELL["clay"][0] == pytest.approx(by_density, abs=0.005)


def test_shrinkage_of_compacted_clay_leaves_room_for_all_the_soil() -> None:
    # 1 − 3000/3750 = 20 %: tamped back to that density, all that came out fills four fifths of the pit.
    assert 1.0 - 3000.0 / 3750.0 == pytest.approx(0.20)
