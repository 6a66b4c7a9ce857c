"""Torque wrench with an extension: TM 1-1500-204-23-9 (worked example), TM 9-254 (angle). Published."""

from __future__ import annotations

import math

import pytest

from crewtui.trade.tightening import torque


def test_worked_example_of_tm_1_1500_204_23_9() -> None:
    # 300 lbf·in wanted, wrench 10 in, extension 4 in: set it to 214. Tolerance half a unit.
    got = torque.setting(300.0, wrench_length_in=10.0, extension_in=4.0)
    assert got.setting_lbf_ft == pytest.approx(214.0, abs=0.5)


def test_tm_9_254_square_to_the_handle_changes_nothing() -> None:
    got = torque.setting(90.0, wrench_length_in=18.0, extension_in=4.0, extension_angle_deg=90.0)
    assert got.setting_lbf_ft == pytest.approx(90.0, rel=1e-12)


@pytest.mark.parametrize("angle_deg", [0.0, 30.0, 45.0, 60.0, -45.0])
def test_tm_9_254_effective_length_by_moments(angle_deg: float) -> None:
    # Moments about the nut, with the hand's force square to the handle: independent of the closed form.
    length_in, extension_in, force_lbf = 18.0, 4.0, 50.0
    turn = math.radians(angle_deg)
    grip_x = extension_in * math.cos(turn) + length_in
    moment_at_nut = force_lbf * grip_x
    moment_at_square = force_lbf * length_in
    got = torque.setting(
        moment_at_nut, wrench_length_in=length_in, extension_in=extension_in, extension_angle_deg=angle_deg
    )
    assert got.setting_lbf_ft == pytest.approx(moment_at_square, rel=1e-12)
