"""ASTM C90 block, nominal 8x8x16: 7-5/8 by 7-5/8 by 15-5/8 in with 3/8 in joints. Published."""

from __future__ import annotations

import pytest

from crewtui.trade import block


def test_module() -> None:
    assert 7 + 5 / 8 + block.JOINT_IN == block.COURSE_IN
    assert 15 + 5 / 8 + block.JOINT_IN == block.BLOCK_IN


@pytest.mark.parametrize("course", range(1, 8))
def test_bed_joints_every_8_in(course: int) -> None:
    # A hole on any joint line of the module meets the joint; half a course off it, it meets none.
    depth_in = 8.0 * course
    on_joint = block.check_block_mark(
        0.0,
        4.5,
        bed_joint_side="above",
        mark_depth_in=depth_in,
        band_top_in=depth_in - 4.0,
        band_bottom_in=depth_in + 4.0,
    )
    assert on_joint.meets == "joint"
    assert block.check_block_mark(4.0, 4.5).meets == "core"
