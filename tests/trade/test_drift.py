# ruff: noqa: S311 - simulated days with a fixed seed
from __future__ import annotations

import math
import random
from statistics import fmean

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewtui.trade.aim.drift import (
    Drift,
    DriveRun,
    corrected_held_deg,
    drift_words,
    estimate,
    next_rod,
    what_stands_behind,
)
from crewtui.trade.aim.rod_line import Section, angle_for_deg, depth_at_seat_in
from crewtui.trade.aim.window import best_aim, window

SECTION = Section(mark_depth_in=28, way_in=8, seat_in=144, drop_in=0)
WINDOW = window(SECTION, least_in=36, aim_in=42, greatest_in=43)


def drives(*drifts_deg: float, wall: str = "north", held_deg: float = 5.0) -> list[DriveRun]:
    return [
        DriveRun(anchor=f"A-{n}", wall=wall, angle_run_deg=held_deg + d, angle_held_deg=held_deg)
        for n, d in enumerate(drifts_deg, 1)
    ]


def test_drift_is_angle_run_less_angle_held() -> None:
    assert DriveRun(
        anchor="A-1", wall="n", angle_run_deg=1.884, angle_held_deg=5.262
    ).drift_deg == pytest.approx(-3.378)


def test_no_rod_leaves_the_prior_and_offers_nothing() -> None:
    drift = estimate([], wall="north")
    assert (drift.mean_deg, drift.sd_deg, drift.offered, drift.rods) == (0.0, 1.0, False, 0)
    assert drift.predictive_sd_deg == pytest.approx(math.hypot(1, 0.5))
    assert what_stands_behind(drift) == "no rod yet"


def test_only_straight_first_drives_of_this_wall_that_are_not_left_out_count() -> None:
    here = drives(0.5, 0.5)
    again = DriveRun(anchor="A-3", wall="north", angle_run_deg=1, angle_held_deg=5, first=False)
    bent = DriveRun(anchor="A-4", wall="north", angle_run_deg=1, angle_held_deg=5, straight=False)
    rock = DriveRun(
        anchor="A-5", wall="north", angle_run_deg=1, angle_held_deg=5, left_out_reason="hit a rock"
    )
    drift = estimate([*here, again, bent, rock, *drives(9.0, wall="east")], wall="north")
    assert drift.anchors == ("A-1", "A-2")
    assert {out.drive.anchor: out.reason for out in drift.left_out} == {
        "A-3": "not the first drive through this hole: a rod follows its old path",
        "A-4": "no straight rod ran so",
        "A-5": "hit a rock",
    }
    assert drift.mean_deg == estimate(here, wall="north").mean_deg


def test_a_reason_of_blanks_leaves_nothing_out() -> None:
    drive = DriveRun(anchor="A-1", wall="n", angle_run_deg=4, angle_held_deg=5, left_out_reason="  ")
    assert estimate([drive], wall="n").rods == 1


def test_the_start_is_a_setting() -> None:
    assert estimate(drives(0.5), wall="north").offered
    assert not estimate(drives(0.5), wall="north", start_after=2).offered
    assert estimate(drives(0.5, 0.6), wall="north", start_after=2).offered


def test_an_odd_rod_is_asked_about_by_name_and_stays_until_left_out() -> None:
    drift = estimate(drives(-0.8, -0.9, -0.7, 2.6), wall="north")
    assert drift.rods == 4
    assert len(drift.warnings) == 1
    assert drift.warnings[0].startswith("A-4 ran 3.3° steeper than the other rods")
    assert not estimate(drives(-0.8, -0.9, -0.7, -0.2), wall="north").warnings


def test_one_rod_alone_is_never_odd() -> None:
    assert not estimate(drives(6.0), wall="north").warnings


def test_a_crew_without_a_habit_by_setting_is_never_corrected() -> None:
    drift = estimate(drives(2.0, 2.0), wall="north", prior_sd_deg=0)
    assert (drift.mean_deg, drift.sd_deg, drift.predictive_sd_deg) == (0.0, 0.0, 0.5)


def test_the_corrected_angle_runs_at_the_target_on_the_middle() -> None:
    drift = estimate(drives(-0.8, -0.9, -0.7), wall="north")
    target_deg = angle_for_deg(SECTION, 40)
    landing = next_rod(SECTION, corrected_held_deg(target_deg, drift), drift)
    assert landing.middle_in == pytest.approx(40)
    assert landing.low_in < 40 < landing.high_in


def test_the_words_say_how_many_rods_which_way_and_where_the_next_one_lands() -> None:
    drift = estimate(drives(-0.8667, -0.8667, -0.8667), wall="north")
    target_deg = angle_for_deg(SECTION, 40)
    words = next_rod(SECTION, corrected_held_deg(target_deg, drift), drift).words
    assert words == "3 rods, 0.8° flatter than held; next: 38 1/2 to 41 1/2 in, two in three"
    metric = next_rod(SECTION, corrected_held_deg(target_deg, drift), drift, system="metric").words
    assert metric == "3 rods, 0.8° flatter than held; next: 970 to 1060 mm, two in three"


def test_two_in_three_is_two_in_three() -> None:
    drift = estimate(drives(-0.8, -0.9), wall="north")
    landing = next_rod(SECTION, 5.0, drift)
    rng = random.Random(7)
    inside = [
        landing.low_in
        <= depth_at_seat_in(SECTION, 5.0 + rng.gauss(drift.mean_deg, drift.sd_deg) + rng.gauss(0, 0.5))
        <= landing.high_in
        for _ in range(20_000)
    ]
    assert fmean(inside) == pytest.approx(2 / 3, abs=0.012)


@pytest.mark.parametrize(
    ("drift_deg", "words"),
    [
        (0.0, "as held"),
        (0.04, "as held"),
        (-0.04, "as held"),
        (0.06, "0.1° steeper than held"),
        (-1.25, "1.2° flatter than held"),
    ],
)
def test_drift_in_words(drift_deg: float, words: str) -> None:
    assert drift_words(drift_deg) in {words, words.replace("1.2", "1.3")}


@pytest.mark.parametrize("angle_deg", [95, 90, -90, math.nan, math.inf])
def test_an_angle_no_rod_can_have_is_refused_in_a_sentence(angle_deg: float) -> None:
    with pytest.raises(ValueError, match=r"The angle held of .*°"):
        DriveRun(anchor="A-1", wall="n", angle_run_deg=5, angle_held_deg=angle_deg)


def test_settings_that_make_no_sense_are_refused() -> None:
    with pytest.raises(ValueError, match="spread"):
        estimate([], wall="n", spread_deg=0)
    with pytest.raises(ValueError, match="standard deviation"):
        estimate([], wall="n", prior_sd_deg=-1)


@given(st.lists(st.floats(-8, 8), max_size=12), st.floats(-8, 8))
@settings(deadline=None, max_examples=60)
def test_properties_of_the_estimate(drifts_deg: list[float], more_deg: float) -> None:
    drift = estimate(drives(*drifts_deg), wall="north")
    after = estimate(drives(*drifts_deg, more_deg), wall="north")
    # Shrunk toward no drift, never past the rods' own mean; each rod makes it surer; order does not matter.
    if drifts_deg:
        rods_mean = fmean(drifts_deg)
        assert abs(drift.mean_deg) <= abs(rods_mean) + 1e-9
        assert drift.mean_deg * rods_mean >= -1e-9
    assert after.sd_deg < drift.sd_deg
    assert min(drift.mean_deg, more_deg) - 1e-9 <= after.mean_deg <= max(drift.mean_deg, more_deg) + 1e-9
    assert estimate(drives(*reversed(drifts_deg)), wall="north").mean_deg == pytest.approx(
        drift.mean_deg, abs=1e-9
    )


def share_inside(
    habit_deg: float,
    *,
    days: int,
    corrected: bool,
    learn_from: str = "held",
    off_plan_deg: float = 0.0,
    seed: int = 20,
) -> float:
    """Return the share of first drives inside the window over simulated days of eight rods."""
    rng = random.Random(seed)
    best = best_aim(WINDOW)
    assert best is not None
    target_deg = best.held_deg
    inside = 0
    for _ in range(days):
        driven: list[DriveRun] = []
        for rod in range(8):
            drift: Drift = estimate(driven, wall="n")
            aimed_deg = corrected_held_deg(target_deg, drift) if corrected and drift.offered else target_deg
            held_deg = aimed_deg + rng.gauss(0, off_plan_deg) if off_plan_deg else aimed_deg
            run_deg = held_deg + habit_deg + rng.gauss(0, 0.5)
            inside += 36 <= depth_at_seat_in(SECTION, run_deg) <= 43
            learned_deg = held_deg if learn_from == "held" else target_deg
            driven.append(
                DriveRun(anchor=f"A-{rod}", wall="n", angle_run_deg=run_deg, angle_held_deg=learned_deg)
            )
    return inside / (8 * days)


@pytest.mark.parametrize(("habit_deg", "rise"), [(1.0, 0.15), (1.5, 0.45), (-1.5, 0.45)])
def test_with_a_steady_drift_the_share_inside_rises_clearly(habit_deg: float, rise: float) -> None:
    before = share_inside(habit_deg, days=150, corrected=False)
    assert share_inside(habit_deg, days=150, corrected=True) > before + rise


def test_without_a_drift_the_share_falls_by_no_more_than_noise() -> None:
    # Standard error of a share near 0.98 over 1200 rods is 0.004; the fall is 0.01 by docs/drift.md.
    assert share_inside(0.0, days=150, corrected=True) > share_inside(0.0, days=150, corrected=False) - 0.025


@pytest.mark.parametrize("habit_deg", [1.0, 1.5])
def test_drift_from_the_planned_angle_does_worse_than_from_the_held_one(habit_deg: float) -> None:
    held = share_inside(habit_deg, days=150, corrected=True)
    planned = share_inside(habit_deg, days=150, corrected=True, learn_from="planned")
    assert planned < held - 0.02


def test_drift_from_the_held_angle_is_not_fooled_by_a_level_read_late() -> None:
    held = share_inside(1.5, days=150, corrected=True, off_plan_deg=0.4)
    planned = share_inside(1.5, days=150, corrected=True, learn_from="planned", off_plan_deg=0.4)
    assert planned < held - 0.05
