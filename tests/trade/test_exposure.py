"""Noise dose and silica table: projection, what counts, what is refused."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewtui.trade.safety import exposure
from crewtui.trade.safety.exposure import NoiseExposure, SilicaUse


def _work(level_dba: float, hours: float) -> NoiseExposure:
    return NoiseExposure(task="drilling", level_dba=level_dba, hours=hours)


def test_between_two_rows_the_table_gives_the_hours_of_the_higher() -> None:
    assert exposure.permitted_hours(90.1, method="1926.52 Table D-2") == 6.0
    assert exposure.permitted_hours(112.0, method="1926.52 Table D-2") == 0.25


def test_below_90_the_table_counts_nothing_and_appendix_a_counts_from_80() -> None:
    assert exposure.permitted_hours(89.9, method="1926.52 Table D-2") is None
    assert exposure.noise_dose([_work(85.0, 8.0)]).share == 0.0
    assert exposure.noise_dose([_work(85.0, 8.0)], method="1910.95 Appendix A").share == pytest.approx(0.5)
    assert exposure.permitted_hours(79.9, method="1910.95 Appendix A") is None


@settings(deadline=None, max_examples=80)
@given(level_dba=st.floats(90.0, 115.0), hours=st.floats(0.1, 12.0))
def test_the_table_is_never_milder_than_the_formula(level_dba: float, hours: float) -> None:
    table = exposure.noise_dose([_work(level_dba, hours)]).share
    formula = exposure.noise_dose([_work(level_dba, hours)], method="1910.95 Appendix A").share
    # Printed in whole and half hours: 97 dBA reads 3 h where the formula gives 3.03, 102 reads 1.5 for 1.52.
    assert table >= formula * 0.999


def test_projected_with_the_same_mix_and_with_a_level() -> None:
    morning = exposure.noise_dose([_work(95.0, 1.0), _work(80.0, 3.0)])
    assert morning.share == pytest.approx(0.25)
    same = exposure.projected_dose(morning, hours_left=4.0)
    assert same.share == pytest.approx(0.5)
    assert same.hours == pytest.approx(8.0)
    louder = exposure.projected_dose(morning, hours_left=4.0, level_dba=95.0)
    assert louder.share == pytest.approx(1.25)
    assert louder.too_much
    assert "bring it down" in louder.warnings[0]
    assert exposure.projected_dose(morning, hours_left=0.0).share == pytest.approx(morning.share)


def test_nothing_entered_yet_asks_for_a_level() -> None:
    nothing = exposure.noise_dose([])
    assert nothing.share == 0.0
    with pytest.raises(ValueError, match="give the level"):
        exposure.projected_dose(nothing, hours_left=8.0)
    assert exposure.projected_dose(nothing, hours_left=8.0, level_dba=90.0).share == pytest.approx(1.0)


def test_over_115_the_work_stops_unless_no_time_was_spent() -> None:
    loud = exposure.noise_dose([_work(116.0, 0.1)])
    assert math.isinf(loud.share)
    assert "over 115 dBA" in loud.warnings[0]
    assert exposure.noise_dose([_work(116.0, 0.0)]).share == 0.0


def test_unanswered_indoors_counts_as_indoors() -> None:
    advice = exposure.silica_advice([SilicaUse(task="chipping or jackhammer", hours=0.5)])
    assert advice.factor == 10
    assert "counted as indoors" in advice.warnings[0]


def test_exactly_four_hours_in_all_is_not_over() -> None:
    uses = [SilicaUse(task="grinding", hours=0.1, indoors=True) for _ in range(40)]
    assert not exposure.silica_advice(uses).over_4_h
    assert exposure.silica_advice([*uses, SilicaUse(task="drilling", hours=0.01, indoors=True)]).factor == 10


def test_words_and_an_empty_shift() -> None:
    drilling = exposure.silica_advice([SilicaUse(task="drilling", hours=2.0, indoors=True)]).needs[0]
    assert "no respirator by the table" in drilling.words
    assert "Table 1 (vii)" in drilling.place
    assert exposure.silica_advice([]).factor == 0


@pytest.mark.parametrize("bad", [-0.1, math.nan, math.inf])
def test_hours_that_are_none_are_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="hours"):
        _work(90.0, bad)
    with pytest.raises(ValueError, match="hours"):
        SilicaUse(task="drilling", hours=bad)
    with pytest.raises(ValueError, match="level"):
        _work(math.nan, 1.0)
    with pytest.raises(ValueError, match="hours left"):
        exposure.projected_dose(exposure.noise_dose([_work(90.0, 1.0)]), hours_left=bad)
