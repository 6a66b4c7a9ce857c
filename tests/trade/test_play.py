from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewtui.trade.aim.play import Play, coupling_play, rod_play

quick = settings(deadline=None, max_examples=60)
angles = st.floats(-5, 30)
walls = st.floats(4, 20)


def common(hole_deg: float = 5.262, *, rod: float = 0.75, hole: float = 1.125, wall: float = 8) -> Play:
    got = rod_play(hole_deg, rod_diameter_in=rod, hole_diameter_in=hole, hole_length_in=wall)
    assert got is not None
    return got


def coupling(length: float, *, corners: float = 1.097, hole: float = 1.25, rod: float = 0.75) -> Play | None:
    return coupling_play(
        5.262, rod_diameter_in=rod, corners_in=corners, coupling_length_in=length,
        hole_diameter_in=hole, hole_length_in=8,
    ).play  # fmt: skip


@quick
@given(angles, walls, st.floats(0.1, 8))
def test_play_shrinks_with_the_walls_thickness(hole_deg: float, wall: float, more: float) -> None:
    thin, thick = common(hole_deg, wall=wall), common(hole_deg, wall=wall + more)
    assert thick.steeper_deg < thin.steeper_deg
    assert thick.flatter_deg < thin.flatter_deg
    assert thick.sideways_deg < thin.sideways_deg


@quick
@given(angles, walls, st.floats(0.01, 0.5))
def test_play_grows_with_the_hole(hole_deg: float, wall: float, more: float) -> None:
    assert (
        common(hole_deg, hole=1.125 + more, wall=wall).steeper_deg > common(hole_deg, wall=wall).steeper_deg
    )


def test_steeper_is_a_little_less_than_flatter() -> None:
    got = common()
    assert got.steeper_deg < got.sideways_deg < got.flatter_deg
    assert got.steepest_deg == pytest.approx(5.262 + got.steeper_deg)
    assert got.flattest_deg == pytest.approx(5.262 - got.flatter_deg)


def test_a_rod_too_thick_has_no_play_and_one_that_fills_the_hole_none_to_speak_of() -> None:
    assert rod_play(5, rod_diameter_in=1.2, hole_diameter_in=1.125, hole_length_in=8) is None
    full = common(rod=1.125)
    assert full.steeper_deg == pytest.approx(0, abs=1e-6)
    assert full.flatter_deg == pytest.approx(0, abs=1e-6)


def test_a_coupling_too_wide_over_its_corners_does_not_pass() -> None:
    got = coupling_play(
        5, rod_diameter_in=0.75, corners_in=1.155, coupling_length_in=2.25, hole_diameter_in=1.125,
        hole_length_in=8,
    )  # fmt: skip
    assert got.play is None
    assert "does not pass" in got.warnings[0]


@quick
@given(st.floats(0.5, 16), st.floats(0.01, 8))
def test_a_longer_coupling_leaves_less_play(length: float, more: float) -> None:
    short, long = coupling(length), coupling(length + more)
    assert short is not None
    assert long is not None
    assert long.steeper_deg <= short.steeper_deg + 1e-12


def test_a_coupling_longer_than_the_wall_counts_as_a_thick_rod() -> None:
    long = coupling(12)
    assert long is not None
    assert long.steeper_deg == pytest.approx(common(rod=1.097, hole=1.25).steeper_deg)


def test_a_short_coupling_still_has_less_play_than_the_rod_alone() -> None:
    short = coupling(0.5)
    assert short is not None
    assert common(rod=1.097, hole=1.25).steeper_deg < short.steeper_deg < common(hole=1.25).steeper_deg


def test_a_coupling_narrower_than_its_rod_is_refused() -> None:
    with pytest.raises(ValueError, match="wider over its corners"):
        coupling(2, corners=0.7)


@pytest.mark.parametrize("bad", [{"rod": 0.0}, {"hole": -1.0}, {"wall": 0.0}, {"hole_deg": 95.0}])
def test_sizes_that_cannot_be_are_refused(bad: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        common(**bad)
