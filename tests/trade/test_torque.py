"""Target, wrench setting, tension band, rounds along the wall, click and pull-in."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewtui.trade.tightening import tension, torque

torques = st.floats(5.0, 500.0)


def test_the_plan_goes_before_the_wall_type_and_the_office_before_both() -> None:
    by_wall = torque.target("block", rod_diameter_in=0.75)
    plan = torque.target("block", rod_diameter_in=0.75, plan_lbf_ft=70.0)
    office = torque.target("block", rod_diameter_in=0.75, plan_lbf_ft=70.0, office_lbf_ft=65.0)
    assert [(one.torque_lbf_ft, one.source) for one in (by_wall, plan, office)] == [
        (80.0, "wall type"),
        (70.0, "plan"),
        (65.0, "office"),
    ]
    assert "3/4 in rod" in by_wall.warnings[0]
    assert not plan.warnings


@pytest.mark.parametrize(
    ("wall_type", "lbf_ft"), [("poured concrete", 90.0), ("block", 80.0), ("clay tile", 60.0)]
)
def test_rule_of_thumb_by_wall_type(wall_type: torque.WallType, lbf_ft: float) -> None:
    # common practice, no source
    assert torque.target(wall_type, rod_diameter_in=0.75).torque_lbf_ft == lbf_ft


@pytest.mark.parametrize("diameter_in", [0.625, 0.875, 1.0])
def test_another_rod_holds_without_a_plan_torque(diameter_in: float) -> None:
    aim = torque.target("clay tile", rod_diameter_in=diameter_in)
    assert aim.other_rod
    check = tension.check_tension(aim, threads_per_in=10, yield_ksi=100.0)
    assert check.verdict == "hold"
    assert "plan or the office" in check.words
    planned = torque.target("clay tile", rod_diameter_in=diameter_in, plan_lbf_ft=60.0)
    assert tension.check_tension(planned, threads_per_in=10, yield_ksi=100.0).verdict == "ok"


def test_an_inch_rod_and_its_metric_twin_are_the_same_rod() -> None:
    assert not torque.target("block", rod_diameter_in=19.05 / 25.4).other_rod


def test_over_yield_holds_until_the_office_has_spoken() -> None:
    plan = torque.target("block", rod_diameter_in=0.625, plan_lbf_ft=90.0)
    office = torque.target("block", rod_diameter_in=0.625, office_lbf_ft=90.0)
    assert tension.check_tension(plan, threads_per_in=11).verdict == "hold"
    assert tension.check_tension(office, threads_per_in=11).verdict == "caution"


def test_a_rod_of_unknown_steel_says_what_was_assumed() -> None:
    check = tension.check_tension(torque.target("block", rod_diameter_in=0.75), threads_per_in=10)
    assert check.yield_ksi == 36.0
    assert any("36 ksi is assumed" in warning for warning in check.warnings)


def test_the_limits_of_yield_are_inclusive() -> None:
    area_in2 = tension.stress_area_in2(0.75, 10)
    at_hold = 36_000 * area_in2 * 0.20 * 0.75 / 12.0
    at_caution = 0.9 * 36_000 * area_in2 * 0.12 * 0.75 / 12.0

    def verdict(lbf_ft: float) -> str:
        aim = torque.target("block", rod_diameter_in=0.75, plan_lbf_ft=lbf_ft)
        return tension.check_tension(aim, threads_per_in=10, yield_ksi=36.0).verdict

    assert [verdict(at_caution), verdict(at_caution * 1.0001)] == ["ok", "caution"]
    assert [verdict(at_hold), verdict(at_hold * 1.0001)] == ["caution", "hold"]


@settings(deadline=None, max_examples=60)
@given(lbf_ft=torques, diameter_in=st.sampled_from([0.625, 0.75, 0.875, 1.0]), ksi=st.floats(20.0, 150.0))
def test_more_torque_is_never_a_milder_verdict(lbf_ft: float, diameter_in: float, ksi: float) -> None:
    order = ["ok", "caution", "hold"]
    verdicts = [
        tension.check_tension(
            torque.target("block", rod_diameter_in=diameter_in, plan_lbf_ft=one),
            threads_per_in=10,
            yield_ksi=ksi,
        )
        for one in (lbf_ft, lbf_ft * 1.2)
    ]
    assert order.index(verdicts[0].verdict) <= order.index(verdicts[1].verdict)
    for check in verdicts:
        assert check.least_lbf <= check.greatest_lbf
        assert check.share_zinc <= check.share_waxed
        assert check.advice == torque.GOVERNS


@pytest.mark.parametrize(
    ("value", "rounded"), [(12_012.0, 12_000.0), (4804.0, 4800.0), (0.0, 0.0), (0.0996, 0.1), (997.0, 1000.0)]
)
def test_two_digits(value: float, rounded: float) -> None:
    assert tension.two_digits(value) == rounded


@settings(deadline=None, max_examples=60)
@given(
    lbf_ft=torques,
    length_in=st.floats(6.0, 48.0),
    extension_in=st.floats(0.0, 12.0),
    angle_deg=st.floats(-90.0, 90.0),
)
def test_setting_and_torque_at_the_nut_are_each_other_turned_round(
    lbf_ft: float, length_in: float, extension_in: float, angle_deg: float
) -> None:
    got = torque.setting(
        lbf_ft, wrench_length_in=length_in, extension_in=extension_in, extension_angle_deg=angle_deg
    )
    assert got.setting_lbf_ft <= lbf_ft * (1 + 1e-12)
    # The force that the hand sets at the wrench's length turns the nut by the lever to it: statics.
    lever_in = length_in + extension_in * math.cos(math.radians(angle_deg))
    assert got.setting_lbf_ft / length_in * lever_in == pytest.approx(lbf_ft, rel=1e-12)


@pytest.mark.parametrize(
    ("lbf_ft", "least", "greatest", "suits"),
    [
        (90.0, 30.0, 150.0, True),
        (150.0, 30.0, 150.0, True),
        (150.01, 30.0, 150.0, False),
        (30.0, 30.0, 150.0, True),
        (29.99, 30.0, 150.0, False),
        (50.0, None, 250.0, True),
        (49.99, None, 250.0, False),
        (90.0, None, None, None),
    ],
)
def test_range_of_the_wrench(
    lbf_ft: float, least: float | None, greatest: float | None, suits: bool | None
) -> None:
    got = torque.setting(
        lbf_ft, wrench_length_in=18.0, wrench_least_lbf_ft=least, wrench_greatest_lbf_ft=greatest
    )
    assert got.suits is suits
    assert bool(got.warnings) is (suits is not True)


def test_rounds_take_every_anchor_up_together() -> None:
    rounds = torque.stages()
    assert [one.share for one in rounds] == [1 / 3, 2 / 3, 1.0]
    assert rounds[-1].words.endswith("then tag each.")
    assert len(torque.stages((0.5, 1.0))) == 2


@pytest.mark.parametrize("shares", [(), (0.5,), (0.5, 0.5, 1.0), (0.0, 1.0), (0.5, 1.2)])
def test_rounds_that_do_not_rise_to_the_whole_are_refused(shares: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="stages"):
        torque.stages(shares)


@pytest.mark.parametrize(
    ("clicked", "pull_in_in", "state", "verdict"),
    [
        (True, 0.25, "clicked", "ok"),
        (True, None, "clicked", "ok"),
        (True, 1.01, "clicked", "caution"),
        (False, None, "keep on", "caution"),
        (False, 1.0, "keep on", "caution"),
        (False, 1.01, "stop", "hold"),
    ],
)
def test_click_and_pull_in(clicked: bool, pull_in_in: float | None, state: str, verdict: str) -> None:
    got = torque.check_click(90.0, wanted_setting_lbf_ft=90.0, clicked=clicked, pull_in_in=pull_in_in)
    assert (got.state, got.verdict) == (state, verdict)
    if state == "stop":
        assert got.words.startswith("Stop: ")
        assert "Leave it, note it, call" in got.words


def test_a_click_at_another_setting_is_no_plain_ok() -> None:
    got = torque.check_click(78.0, wanted_setting_lbf_ft=90.0, clicked=True, pull_in_in=0.25)
    assert got.state == "clicked"
    assert got.verdict == "caution"
    assert "below" in got.warnings[0]
    loose = torque.check_click(
        78.0, wanted_setting_lbf_ft=90.0, clicked=True, pull_in_in=0.25, agrees_share=0.2
    )
    assert loose.verdict == "ok"


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_a_torque_of_nothing_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="must be over zero"):
        torque.setting(bad, wrench_length_in=18.0)
    with pytest.raises(ValueError, match="must be over zero"):
        torque.target("block", rod_diameter_in=0.75, plan_lbf_ft=bad)


def test_threads_deeper_than_the_rod_and_levers_without_length_are_refused() -> None:
    with pytest.raises(ValueError, match="threads per inch"):
        tension.stress_area_in2(0.1, 8)
    with pytest.raises(ValueError, match="no lever"):
        torque.setting(90.0, wrench_length_in=10.0, extension_in=10.0, extension_angle_deg=180.0)
    with pytest.raises(ValueError, match="above its greatest"):
        torque.setting(90.0, wrench_length_in=10.0, wrench_least_lbf_ft=100.0, wrench_greatest_lbf_ft=50.0)
