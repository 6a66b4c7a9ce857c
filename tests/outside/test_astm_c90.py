"""ASTM C90 block, nominal 8x8x16: 7-5/8 by 7-5/8 by 15-5/8 in with 3/8 in joints. Published."""

from __future__ import annotations

import pytest

from crewtui.trade.wall import block


def test_module() -> None:
    assert 7 + 5 / 8 + block.JOINT_IN == block.COURSE_IN
    assert 15 + 5 / 8 + block.JOINT_IN == block.BLOCK_IN


@pytest.mark.parametrize("eighths", range(65))
def test_clear_marks_keep_off_the_bed_joints_of_the_module(eighths: int) -> None:
    # Bed joints at every multiple of 8 in: wherever the mark stands, the clear mark found in a band of two
    # courses keeps the hole off each, and is the nearest one that does (found here by trying every 1/64 in).
    depth_in = 20.0 + eighths / 8.0
    joint_in = 8.0 * round(depth_in / 8.0)
    got = block.check_block_mark(
        abs(depth_in - joint_in),
        4.5,
        bed_joint_side="above" if joint_in <= depth_in else "below",
        mark_depth_in=depth_in,
        band_top_in=18.0,
        band_bottom_in=34.0,
    )
    reach_in = 1.125 / 2 + 0.375 / 2
    clear = [
        n / 64
        for n in range(18 * 64, 34 * 64 + 1)
        if all(abs(n / 64 - joint) >= reach_in for joint in (16.0, 24.0, 32.0, 40.0))
    ]
    nearest = min(clear, key=lambda one: abs(one - depth_in))
    assert got.move_down_in is not None
    assert abs(got.move_down_in) == pytest.approx(abs(nearest - depth_in), abs=1e-9)
    assert (got.meets == "joint") == (abs(depth_in - joint_in) < reach_in)
