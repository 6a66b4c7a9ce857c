"""Noise: 29 CFR 1926.52 Table D-2 with the rule's own sample, and 29 CFR 1910.95 Appendix A. Published."""

from __future__ import annotations

import math

import pytest

from crewtui.trade.safety.exposure import NoiseExposure, noise_dose, permitted_hours

TABLE_D_2 = [(90, 8), (92, 6), (95, 4), (97, 3), (100, 2), (102, 1.5), (105, 1), (110, 0.5), (115, 0.25)]


@pytest.mark.parametrize(("level_dba", "hours"), TABLE_D_2)
def test_table_d_2(level_dba: float, hours: float) -> None:
    assert permitted_hours(level_dba, method="1926.52 Table D-2") == hours


@pytest.mark.parametrize(
    ("level_dba", "hours"), [(80, 32), (85, 16), (90, 8), (95, 4), (100, 2), (115, 0.25)]
)
def test_appendix_a_table_g_16a(level_dba: float, hours: float) -> None:
    assert permitted_hours(level_dba, method="1910.95 Appendix A") == pytest.approx(hours, rel=1e-12)


def test_eight_hours_at_92_dba() -> None:
    work = [NoiseExposure(task="drilling", level_dba=92.0, hours=8.0)]
    by_formula = noise_dose(work, method="1910.95 Appendix A")
    by_table = noise_dose(work, method="1926.52 Table D-2")
    assert by_formula.share * 100 == pytest.approx(131.95, abs=0.005)
    assert by_table.share * 100 == pytest.approx(133.33, abs=0.005)
    assert "Appendix A" in by_formula.words
    assert "Table D-2" in by_table.words


def test_sample_of_1926_52_d_2() -> None:
    # 29 CFR 1926.52(d)(2)(iii): 110 dBA 1/4 h, 100 dBA 1/2 h, 90 dBA 1-1/2 h:
    # 0.500 + 0.25 + 0.188 = 0.938, allowed.
    dose = noise_dose(
        [
            NoiseExposure(task="a", level_dba=110.0, hours=0.25),
            NoiseExposure(task="b", level_dba=100.0, hours=0.5),
            NoiseExposure(task="c", level_dba=90.0, hours=1.5),
        ]
    )
    assert dose.share == pytest.approx(0.938, abs=0.0005)
    assert not dose.too_much


def test_exactly_the_whole_is_not_too_much() -> None:
    assert not noise_dose([NoiseExposure(task="a", level_dba=90.0, hours=8.0)]).too_much
    assert noise_dose([NoiseExposure(task="a", level_dba=90.0, hours=8.01)]).too_much


def test_above_the_table_nothing_is_allowed() -> None:
    assert math.isinf(noise_dose([NoiseExposure(task="a", level_dba=116.0, hours=0.01)]).share)
