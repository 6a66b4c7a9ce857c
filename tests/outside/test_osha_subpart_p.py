"""29 CFR 1926 subparts P and M: Table B-1 and the depth limits, each strict or inclusive as the rule has it.

Read in a reprint (subpart M's covers and edges: published). Tolerance: none; limits stand on the value.
"""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from crewtui.trade.ground import pit
from crewtui.trade.ground.excavation import SoilType

IN_3_FT_11, IN_4_FT, IN_4_FT_1, IN_4_FT_11, IN_5_FT, IN_6_FT = 47.0, 48.0, 49.0, 59.0, 60.0, 72.0


@pytest.mark.parametrize(
    ("soil_type", "short_term", "angle_deg", "run"),
    [
        ("rock", False, 90.0, 0.0),
        ("A", False, 53.0, 0.75),
        ("B", False, 45.0, 1.0),
        ("C", False, 34.0, 1.5),
        ("A", True, 63.0, 0.5),
        ("B", True, 45.0, 1.0),
        ("C", True, 34.0, 1.5),
    ],
)
def test_table_b_1(soil_type: SoilType, short_term: bool, angle_deg: float, run: float) -> None:
    got = pit.slope_back(60.0, soil_type=soil_type, disturbed=False, short_term=short_term)
    assert (got.angle_deg, got.run_per_rise) == (angle_deg, run)
    assert got.horizontal_in == 60.0 * run


def test_short_term_slope_serves_to_12_ft_inclusive() -> None:
    assert pit.slope_back(144.0, soil_type="A", disturbed=False, short_term=True).run_per_rise == 0.5
    deeper = pit.slope_back(144.1, soil_type="A", disturbed=False, short_term=True)
    assert deeper.run_per_rise == 0.75
    assert deeper.warnings


def test_appendix_a_previously_disturbed_soil_is_never_a() -> None:
    assert pit.soil_type_used("A")[0] == "B"
    assert pit.soil_type_used("rock")[0] == "B"
    assert pit.soil_type_used("A", disturbed=False)[0] == "A"
    assert pit.soil_type_used("C")[0] == "C"


def _keys(rules: Iterable[pit.PitRule]) -> set[str]:
    return {rule.key for rule in rules if rule.applies}


ALWAYS = {"locates", "inspection", "spoil", "cover"}
ENTERED = ALWAYS | {"cave-in", "water"}


@pytest.mark.parametrize(
    ("depth_in", "more"),
    [
        (IN_3_FT_11, set[str]()),
        (47.999, set[str]()),
        (IN_4_FT, {"way out"}),  # 651(c)(2): 4 ft or more
        (48.001, {"way out", "air"}),  # 651(g)(1)(i): deeper than 4 ft
        (IN_4_FT_1, {"way out", "air"}),
        (IN_4_FT_11, {"way out", "air"}),
        (59.999, {"way out", "air"}),
        (IN_5_FT, {"way out", "air", "protection"}),  # 652(a)(1)(ii): only less than 5 ft is excepted
        (71.999, {"way out", "air", "protection"}),
        (IN_6_FT, {"way out", "air", "protection", "edge guard"}),  # 501(b)(7)(ii): 6 ft or more
    ],
)
def test_depth_limits_with_somebody_in_the_pit(depth_in: float, more: set[str]) -> None:
    rules = pit.pit_rules(depth_in, somebody_below_rim=True, soil_type="B", bad_air=True)
    assert _keys(rules) == ENTERED | more


@pytest.mark.parametrize("depth_in", [IN_3_FT_11, IN_4_FT, IN_4_FT_1, IN_4_FT_11, IN_5_FT, 71.999])
def test_where_nobody_goes_in_the_rules_of_entry_fall_away(depth_in: float) -> None:
    rules = pit.pit_rules(depth_in, somebody_below_rim=False, soil_type=None, bad_air=None)
    assert _keys(rules) == ALWAYS
    # 651(k)(3): inspections are asked where somebody may be exposed; here they warn. Locates hold anyway.
    assert {rule.key for rule in rules if rule.hold} == {"locates"}


def test_a_deep_edge_is_guarded_even_if_nobody_goes_in() -> None:
    rules = pit.pit_rules(IN_6_FT, somebody_below_rim=False, soil_type=None, bad_air=None)
    assert _keys(rules) == ALWAYS | {"edge guard"}


def test_air_counts_only_where_bad_air_is_to_be_expected() -> None:
    assert "air" not in _keys(pit.pit_rules(50.0, somebody_below_rim=True, soil_type="B", bad_air=False))
    assert "air" in _keys(pit.pit_rules(50.0, somebody_below_rim=True, soil_type="B", bad_air=None))


def test_stable_rock_needs_no_protection_but_dug_ground_is_no_stable_rock() -> None:
    rock = pit.pit_rules(84.0, somebody_below_rim=True, soil_type="rock", bad_air=False, disturbed=False)
    fill = pit.pit_rules(84.0, somebody_below_rim=True, soil_type="rock", bad_air=False)
    assert "protection" not in _keys(rock)
    assert "protection" in _keys(fill)


def test_a_sign_of_cave_in_asks_for_protection_at_any_depth() -> None:
    rules = pit.pit_rules(24.0, somebody_below_rim=True, soil_type="B", bad_air=False, cave_in_sign=True)
    assert "protection" in _keys(rules)
