"""Corners, spacing, the fewest anchors, openings, and marks on block."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import box

from crewtui.trade.wall import block, layout


def test_limits_are_inclusive_and_the_gap_is_named() -> None:
    good = layout.check_spacing([("A1", 36.0), ("A2", 108.0), ("A3", 144.0)], wall_length_in=180.0)
    assert good.ok
    assert [gap.distance_in for gap in good.gaps] == [36.0, 72.0, 36.0, 36.0]
    bad = layout.check_spacing([("A3", 240.0), ("A1", 37.0), ("A2", 72.0)], wall_length_in=300.0)
    assert [gap.verdict for gap in bad.gaps] == ["too wide", "too close", "too wide", "too wide"]
    assert "from start corner to A1" in bad.warnings[0]
    assert "from A1 to A2" in bad.warnings[1]


def test_inches_and_meters_agree_at_a_limit() -> None:
    places = [("A1", 914.4 / 25.4), ("A2", (914.4 + 1828.8) / 25.4)]
    assert layout.check_spacing(places, wall_length_in=(914.4 * 2 + 1828.8) / 25.4).ok


def test_an_anchor_named_like_a_corner_and_a_bare_wall() -> None:
    named = layout.check_spacing([("start corner", 30.0), ("B", 60.0)], wall_length_in=90.0)
    assert named.gaps[1].verdict == "too close"
    assert not layout.check_spacing([], wall_length_in=300.0).ok


def test_an_anchor_off_the_wall_is_refused() -> None:
    with pytest.raises(ValueError, match="A9 does not stand on this wall"):
        layout.check_spacing([("A9", 301.0)], wall_length_in=300.0)


@settings(deadline=None, max_examples=150)
@given(length_in=st.floats(12.0, 1500.0), corner_in=st.floats(12.0, 72.0), spacing_in=st.floats(30.0, 120.0))
def test_the_fewest_keep_the_limits_and_one_less_cannot(
    length_in: float, corner_in: float, spacing_in: float
) -> None:
    got = layout.fewest_anchors(length_in, corner_greatest_in=corner_in, spacing_greatest_in=spacing_in)
    check = layout.check_spacing(
        [(str(n), place) for n, place in enumerate(got.places_in)],
        wall_length_in=length_in,
        corner_greatest_in=corner_in,
        spacing_greatest_in=spacing_in,
        spacing_least_in=0.0,
    )
    assert check.ok
    assert len(got.places_in) == got.count
    reach_of_one_less = 2 * corner_in + (got.count - 2) * spacing_in
    assert got.count == 1 or reach_of_one_less < length_in
    gaps = [b - a for a, b in itertools.pairwise(got.places_in)]
    assert not gaps or max(gaps) - min(gaps) < 1e-6


def test_equal_strips_where_the_limits_allow_them() -> None:
    # Limits of 3 ft and 6 ft: common practice, no source.
    got = layout.fewest_anchors(360.0)
    assert got.places_in == (36.0, 108.0, 180.0, 252.0, 324.0)
    assert layout.fewest_anchors(300.0).places_in == (30.0, 90.0, 150.0, 210.0, 270.0)
    assert layout.fewest_anchors(60.0).places_in == (30.0,)
    assert "engineer" in got.words


WINDOW = layout.Obstacle(name="window", start_in=100.0, end_in=132.0, bottom_in=60.0, top_in=84.0)
PIPE = layout.Obstacle(name="pipe", start_in=140.0, end_in=144.0)


def _conflicts(along_in: float, height_in: float | None) -> tuple[layout.Conflict, ...]:
    return layout.opening_conflicts(
        [("A1", along_in, height_in)],
        [WINDOW, PIPE],
        wall_length_in=300.0,
        plate_width_in=12.0,
        plate_height_in=12.0,
    )


@settings(deadline=None, max_examples=100)
@given(along_in=st.floats(6.0, 294.0), height_in=st.floats(6.0, 90.0))
def test_conflicts_agree_with_a_geometry_library(along_in: float, height_in: float) -> None:
    plate = box(along_in - 6, height_in - 6, along_in + 6, height_in + 6)
    for name, area in (("window", box(100, 60, 132, 84)), ("pipe", box(140, 0, 144, 1000))):
        common = plate.intersection(area).area
        if 0 < common < 1e-3:
            continue  # a touch within the tolerance
        assert (common > 0) == any(one.obstacle == name for one in _conflicts(along_in, height_in))


def test_nearest_clear_places_skip_the_next_obstacle_too() -> None:
    (conflict,) = _conflicts(116.0, 70.0)
    assert conflict.obstacle == "window"
    assert conflict.clear_to_start_in == 94.0
    assert conflict.clear_to_end_in == 150.0  # 138 would meet the pipe
    assert _conflicts(94.0, 70.0) == ()
    assert _conflicts(150.0, 70.0) == ()


def test_below_the_window_is_clear_and_an_unknown_height_is_not() -> None:
    assert _conflicts(116.0, 54.0) == ()
    assert [one.obstacle for one in _conflicts(116.0, None)] == ["window"]


def test_no_clear_place_left_on_the_wall() -> None:
    (conflict,) = layout.opening_conflicts(
        [("A1", 30.0, None)],
        [layout.Obstacle(name="door", start_in=5.0, end_in=55.0)],
        wall_length_in=60.0,
        plate_width_in=12.0,
        plate_height_in=12.0,
    )
    assert (conflict.clear_to_start_in, conflict.clear_to_end_in) == (None, None)
    with pytest.raises(ValueError, match="ends before it starts"):
        layout.opening_conflicts(
            [],
            [layout.Obstacle(name="door", start_in=55.0, end_in=5.0)],
            wall_length_in=60.0,
            plate_width_in=12.0,
            plate_height_in=12.0,
        )


@pytest.mark.parametrize(
    ("bed_in", "head_in", "meets"),
    [
        (4.0, 4.5, "core"),
        (0.75, 4.5, "core"),  # 3/16 of joint and 9/16 of hole
        (0.74, 4.5, "joint"),
        (4.0, 0.5, "joint"),
        (4.0, 1.0, "web"),  # the end web
        (4.0, 1.74, "web"),
        (4.0, 1.75, "core"),
        (4.0, 6.9375, "core"),
        (4.0, 6.95, "web"),  # the web in the middle
        (4.0, 8.0, "web"),
    ],
)
def test_core_web_or_joint(bed_in: float, head_in: float, meets: str) -> None:
    assert block.check_block_mark(bed_in, head_in).meets == meets


def test_the_move_has_a_direction_once_the_sides_are_known() -> None:
    unknown = block.check_block_mark(0.25, 1.0)
    assert (unknown.move_down_in, unknown.move_along_in) == (None, None)
    assert (unknown.away_from_bed_in, unknown.away_from_head_in) == (0.5, 0.75)
    assert "on which side" in unknown.warnings[1]
    known = block.check_block_mark(0.25, 8.0, bed_joint_side="below", head_joint_side="start")
    assert known.move_down_in == -0.5
    assert known.move_along_in == -1.0625
    other = block.check_block_mark(0.25, 1.0, bed_joint_side="above", head_joint_side="end")
    assert (other.move_down_in, other.move_along_in) == (0.5, -0.75)


def test_a_mark_at_the_edge_of_the_band_passes_to_the_joint_s_other_side() -> None:
    got = block.check_block_mark(
        0.25, 4.5, bed_joint_side="below", mark_depth_in=26.25, band_top_in=26.0, band_bottom_in=30.0
    )
    assert got.move_down_in == pytest.approx(1.0)
    assert got.clear_mark_depth_in == pytest.approx(27.25)
    assert got.inside_band is True
    narrow = block.check_block_mark(
        0.25, 4.5, bed_joint_side="below", mark_depth_in=26.25, band_top_in=26.0, band_bottom_in=27.0
    )
    assert (narrow.move_down_in, narrow.clear_mark_depth_in, narrow.inside_band) == (None, None, False)
    assert "office" in narrow.warnings[-1]


def test_a_clear_mark_outside_the_band_is_brought_into_it() -> None:
    got = block.check_block_mark(
        3.0, 4.5, bed_joint_side="above", mark_depth_in=33.0, band_top_in=26.0, band_bottom_in=30.0
    )
    # Joints at 30 and 22 in: the band's lower end lies on one, so the hole goes 3/4 in above it.
    assert got.clear_mark_depth_in == pytest.approx(29.25)
    assert block.check_block_mark(
        3.0, 4.5, mark_depth_in=28.0, band_top_in=26.0, band_bottom_in=30.0
    ).inside_band


@settings(deadline=None, max_examples=120)
@given(
    depth_in=st.floats(20.0, 40.0),
    head_in=st.floats(0.0, 8.0),
    hole_in=st.floats(0.5, 3.0),
    joint_at_in=st.floats(0.0, 8.0),
)
def test_a_mark_moved_as_told_meets_a_core(
    depth_in: float, head_in: float, hole_in: float, joint_at_in: float
) -> None:
    joint_in = joint_at_in + 8.0 * round((depth_in - joint_at_in) / 8.0)
    got = block.check_block_mark(
        abs(depth_in - joint_in),
        head_in,
        hole_diameter_in=hole_in,
        bed_joint_side="above" if joint_in <= depth_in else "below",
        head_joint_side="start",
        mark_depth_in=depth_in,
        band_top_in=26.0,
        band_bottom_in=34.0,
    )
    assert got.clear_mark_depth_in is not None
    assert got.move_along_in is not None
    assert 26.0 - 1e-6 <= got.clear_mark_depth_in <= 34.0 + 1e-6
    to_joint_in = abs(math.remainder(got.clear_mark_depth_in - joint_at_in, 8.0))
    again = block.check_block_mark(to_joint_in, head_in + got.move_along_in, hole_diameter_in=hole_in)
    assert again.meets == "core"


@pytest.mark.parametrize(
    ("bed_in", "head_in", "hole_in", "match"),
    [
        (4.1, 4.0, 1.125, "bed joint"),
        (4.0, 8.1, 1.125, "head joint"),
        (4.0, 4.0, 7.0, "no core"),
        (4.0, 4.0, 0.0, "hole"),
    ],
)
def test_distances_that_cannot_be_the_nearest_are_refused(
    bed_in: float, head_in: float, hole_in: float, match: str
) -> None:
    with pytest.raises(ValueError, match=match):
        block.check_block_mark(bed_in, head_in, hole_diameter_in=hole_in)


def test_marks_inside_and_outside_from_one_reference() -> None:
    assert layout.check_marks(62.0, 62.5).agree
    assert layout.check_marks(1574.8 / 25.4, 1587.5 / 25.4).agree
    off = layout.check_marks(62.0, 61.25)
    assert (off.differ_in, off.agree) == (-0.75, False)
    assert "measure both again" in off.warnings[0]
    with pytest.raises(ValueError, match="shared reference"):
        layout.check_marks(math.nan, 62.0)
