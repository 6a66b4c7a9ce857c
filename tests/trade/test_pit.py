"""Volume, ground sheet, lifts, slope-back, and the rules of the pit in every combination."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewtui.trade.ground import excavation, pit
from crewtui.trade.ground.excavation import SoilType

TRUTHS = (True, False, None)
SOILS: tuple[SoilType | None, ...] = ("rock", "A", "B", "C", None)
DEPTHS = (12.0, 47.0, 48.0, 49.0, 50.0, 59.0, 60.0, 71.0, 72.0, 90.0)


def test_volume_of_an_augered_and_a_hand_dug_pit() -> None:
    auger = pit.pit_volume("auger", depth_in=50.0, along_rod_in=12.0, soil="clay")
    assert auger.bank_ft3 == pytest.approx(math.pi * 0.5**2 * 50.0 / 12.0)
    hand = pit.pit_volume("hand", depth_in=50.0, along_rod_in=12.0, across_in=16.0, soil="clay")
    assert hand.bank_ft3 == pytest.approx(1.0 * (16.0 / 12.0) * (50.0 / 12.0))
    assert (hand.loose_least_ft3, hand.loose_greatest_ft3) == pytest.approx(
        (hand.bank_ft3 * 1.3, hand.bank_ft3 * 1.6)
    )


def test_a_soil_that_is_not_named_spans_all() -> None:
    got = pit.pit_volume("auger", depth_in=50.0, along_rod_in=12.0)
    assert (got.loose_least_ft3, got.loose_greatest_ft3) == pytest.approx(
        (got.bank_ft3 * 1.05, got.bank_ft3 * 1.60)
    )
    assert "not named" in got.warnings[0]


def test_a_hand_pit_needs_both_sizes() -> None:
    with pytest.raises(ValueError, match="across"):
        pit.pit_volume("hand", depth_in=50.0, along_rod_in=12.0)


def test_ground_sheet_holds_what_the_heap_holds_by_slices() -> None:
    volume = pit.pit_volume("auger", depth_in=50.0, along_rod_in=12.0, soil="common earth")
    sheet = pit.ground_sheet(volume)
    # The heap added up ring by ring: height rises from either edge at 30°.
    inner, outer, steps = 6.0, 42.0, 20_000
    wide = (outer - inner) / steps
    total = 0.0
    for step in range(steps):
        radius = inner + (step + 0.5) * wide
        height = min(radius - inner, outer - radius) * math.tan(math.radians(30.0))
        total += 2.0 * math.pi * radius * height * wide
    assert sheet.holds_ft3 == pytest.approx(total / 1728.0, rel=1e-6)
    assert sheet.big_enough


def test_with_somebody_in_the_pit_the_free_strip_makes_the_same_sheet_too_small() -> None:
    volume = pit.pit_volume("hand", depth_in=50.0, along_rod_in=12.0, across_in=16.0, soil="common earth")
    assert pit.ground_sheet(volume).big_enough
    kept_back = pit.ground_sheet(volume, keep_back_in=24.0)
    assert not kept_back.big_enough
    assert kept_back.warnings
    assert pit.ground_sheet(volume, side_in=40.0, keep_back_in=24.0).holds_ft3 == 0.0


@pytest.mark.parametrize(("depth_in", "count"), [(6.0, 1), (6.1, 2), (48.0, 8), (50.0, 9), (54.0, 9)])
def test_lifts_follow_the_stricter_source(depth_in: float, count: int) -> None:
    got = pit.lifts(depth_in)
    assert got.count == count
    assert got.limit.source.startswith("Maryland DOT")
    assert got.lift_in * got.count == pytest.approx(depth_in)
    assert got.lift_in <= 6.0 + 1e-9


def test_loosened_soil_makes_more_lifts_and_a_company_may_be_stricter() -> None:
    assert pit.lifts(50.0, loosened_by=0.3).count == 11
    stricter = pit.LiftLimit(greatest_in=4.0, source="company", mark="from memory")
    assert pit.lifts(50.0, limits=(*pit.LIFT_LIMITS, stricter)).limit is stricter
    with pytest.raises(ValueError, match="at least one"):
        pit.lifts(50.0, limits=())


def test_unjudged_soil_is_sloped_as_c_and_says_so() -> None:
    got = pit.slope_back(60.0, soil_type=None)
    assert (got.counted_type, got.angle_deg, got.horizontal_in) == ("C", 34.0, 90.0)
    assert "competent person" in got.warnings[0]


def test_past_20_ft_an_engineer_designs() -> None:
    assert not pit.slope_back(240.0, soil_type="B").warnings
    assert "engineer" in pit.slope_back(241.0, soil_type="B").warnings[0]


@pytest.mark.parametrize("soil_type", SOILS)
@pytest.mark.parametrize("depth_in", DEPTHS)
def test_unanswered_counts_as_yes_and_unjudged_as_c(depth_in: float, soil_type: SoilType | None) -> None:
    def rules(somebody: bool | None, air: bool | None, soil: SoilType | None) -> tuple[pit.PitRule, ...]:
        return pit.pit_rules(depth_in, somebody_below_rim=somebody, soil_type=soil, bad_air=air)

    assert rules(None, None, soil_type) == rules(True, True, soil_type)
    assert rules(None, None, None) == rules(True, True, "C")


def test_every_combination_lists_every_rule_once_and_holds_only_what_applies() -> None:
    keys = None
    for depth_in, somebody, soil, air, disturbed, sign, water in itertools.product(
        DEPTHS, TRUTHS, SOILS, TRUTHS, (True, False), TRUTHS, TRUTHS
    ):
        rules = pit.pit_rules(
            depth_in,
            somebody_below_rim=somebody,
            soil_type=soil,
            bad_air=air,
            disturbed=disturbed,
            cave_in_sign=sign,
            water=water,
        )
        here = [rule.key for rule in rules]
        keys = keys or here
        assert here == keys
        assert all(rule.applies or not rule.hold for rule in rules)
        held = {rule.key for rule in rules if rule.hold}
        if somebody is False:
            assert held <= {"locates", "edge guard", "footing"}
        else:
            assert {"locates", "inspection", "cave-in", "spoil"} <= held


@settings(deadline=None, max_examples=80)
@given(
    depth_in=st.floats(1.0, 120.0),
    more_in=st.floats(0.0, 60.0),
    somebody=st.sampled_from(TRUTHS),
    soil=st.sampled_from(SOILS),
    air=st.sampled_from(TRUTHS),
)
def test_a_deeper_pit_never_drops_a_rule(
    depth_in: float, more_in: float, somebody: bool | None, soil: SoilType | None, air: bool | None
) -> None:
    before, after = (
        pit.pit_rules(one, somebody_below_rim=somebody, soil_type=soil, bad_air=air)
        for one in (depth_in, depth_in + more_in)
    )
    for old, new in zip(before, after, strict=True):
        assert new.applies or not old.applies
        assert new.hold or not old.hold


def test_what_a_deeper_pit_switches_on() -> None:
    def rules(depth_in: float, *, somebody: bool = True) -> tuple[pit.PitRule, ...]:
        return pit.pit_rules(depth_in, somebody_below_rim=somebody, soil_type="B", bad_air=True)

    assert [rule.key for rule in pit.switched_on(rules(50.0), rules(60.0))] == ["protection"]
    assert [rule.key for rule in pit.switched_on(rules(47.0), rules(49.0))] == ["way out", "air"]
    entered = pit.switched_on(rules(50.0, somebody=False), rules(50.0))
    assert {rule.key for rule in entered} == {"cave-in", "way out", "air", "water"}
    assert pit.switched_on(rules(60.0), rules(50.0)) == ()


def test_water_holds_only_where_it_stands() -> None:
    def water(answer: bool | None) -> pit.PitRule:
        rules = pit.pit_rules(50.0, somebody_below_rim=True, soil_type="B", bad_air=False, water=answer)
        return next(rule for rule in rules if rule.key == "water")

    assert (water(True).applies, water(True).hold) == (True, True)
    assert (water(None).applies, water(None).hold) == (True, False)
    assert not water(False).applies


def test_no_word_calls_a_depth_safe() -> None:
    for depth_in in DEPTHS:
        for rule in pit.pit_rules(depth_in, somebody_below_rim=True, soil_type="A", bad_air=False):
            assert "safe" not in rule.words.lower()
            assert rule.source
            assert rule.mark.startswith("published")


def test_footing_nearby() -> None:
    above = pit.near_footing(40.0, footing_bottom_in=40.0, distance_in=0.0)
    assert above.clear
    assert not above.below
    beside = pit.near_footing(50.0, footing_bottom_in=40.0, distance_in=15.0, soil_type="C")
    assert beside.clear
    assert beside.least_distance_in == 15.0
    near = pit.near_footing(50.0, footing_bottom_in=40.0, distance_in=14.9, soil_type="C")
    assert not near.clear
    assert "engineer" in near.words


@pytest.mark.parametrize("bad", [0.0, -5.0, math.nan, math.inf])
def test_a_pit_without_depth_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="depth"):
        pit.pit_rules(bad, somebody_below_rim=None, soil_type=None, bad_air=None)
    with pytest.raises(ValueError, match="depth"):
        pit.pit_volume("auger", depth_in=bad, along_rod_in=12.0)


def test_soil_that_a_hammer_shakes_is_never_type_a() -> None:
    counted, why = excavation.soil_type_used("A", disturbed=False, shaken=True)
    assert counted == "B"
    assert "shake" in why[0]
    assert excavation.soil_type_used("rock", disturbed=False, shaken=True)[0] == "rock"
    assert excavation.soil_type_used("A", disturbed=False)[0] == "A"
