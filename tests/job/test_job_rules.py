from __future__ import annotations

from pathlib import Path

import pytest

from crewtui.job.file.load import load_job
from crewtui.job.file.model import Job, RuleOverride
from crewtui.job.file.rule_overrides import resolve
from crewtui.job.tables.rules import Rules, defaults

SAMPLES = Path(__file__).parents[2] / "sample_jobs"
MARKS = {"published", "published (reprint)", "common practice, no source", "from memory"}


def with_rules(**rules: RuleOverride) -> Job:
    job = load_job(SAMPLES / "block-wall.toml")
    return job.model_copy(update={"rules": rules})


def said(value: float | str) -> RuleOverride:
    return RuleOverride(value=value, said_by="Office")


@pytest.mark.parametrize("key", defaults())
def test_every_rule_has_its_words_mark_and_source(key: str) -> None:
    rule = defaults()[key]
    assert rule.label
    assert rule.source
    assert rule.mark in MARKS
    assert rule.strict in {"higher", "lower", "neither", *rule.allowed}


@pytest.mark.parametrize("key", [k for k, rule in defaults().items() if not rule.allowed])
def test_every_number_lies_within_what_a_person_can_mean(key: str) -> None:
    rule = defaults()[key]
    assert rule.least is not None
    assert rule.greatest is not None
    assert rule.least < rule.greatest
    if rule.value is not None:
        assert isinstance(rule.value, float)
        assert rule.least <= rule.value <= rule.greatest


def test_the_file_names_no_unit_and_every_name_is_its_own() -> None:
    names = [rule.file_key for rule in defaults().values()]
    assert len(set(names)) == len(names)
    assert not any(name.endswith(("_in", "_deg", "_ft", "_ksi", "_dba")) for name in names)


@pytest.mark.parametrize(
    ("key", "value"),
    [
        # rules of thumb of the trade: common practice, no source
        ("setback_in", 144),
        ("corner_greatest_in", 36),
        ("spacing_greatest_in", 72),
        ("spacing_least_in", 36),
        ("mark_band_top_in", 26),
        ("mark_band_bottom_in", 30),
        ("least_plate_depth_in", 36),
        ("hole_diameter_in", 1.125),
        ("pit_depth_in", 50),
        ("torque_poured_lbf_ft", 90),
        ("torque_block_lbf_ft", 80),
        ("torque_tile_lbf_ft", 60),
        # Shigley, 9th ed., Table 8-15: published
        ("k_waxed", 0.12),
        ("k_zinc", 0.20),
        ("k_dry", 0.30),
        # CGA Best Practices 5.19, Maryland DOT 210, ASTM A36: published
        ("tolerance_zone_in", 18),
        ("lift_greatest_in", 6),
        ("yield_ksi", 36),
    ],
)
def test_defaults_are_the_figures_of_their_sources(key: str, value: float) -> None:
    assert resolve(with_rules()).number(key) == value


def test_a_job_sets_its_own_limit_with_who_said_so() -> None:
    rules = resolve(with_rules(setback_in=said(156)))
    rule = rules.rule("setback_in")
    assert (rule.value, rule.said_by, rule.default, rule.loosened) == (156, "Office", 144, False)
    assert rules.changed == (rule,)


@pytest.mark.parametrize(
    ("key", "value", "loosened"),
    [
        ("setback_in", 120, True),
        ("setback_in", 144, False),
        ("spacing_greatest_in", 84, True),
        ("spacing_greatest_in", 60, False),
        ("tolerance_zone_in", 12, True),
        ("tolerance_zone_in", 24, False),
        ("frost_to", "plate top edge", False),
        ("frost_to", "rod", False),
        ("torque_block_lbf_ft", 100, False),
        ("least_clearance_in", 6, False),
    ],
)
def test_a_looser_limit_is_told_from_a_stricter_one(key: str, value: float | str, *, loosened: bool) -> None:
    rules = resolve(with_rules(**{key: said(value)}))
    assert rules.rule(key).loosened is loosened
    assert bool(rules.loosened) is loosened


def test_what_has_no_default_is_none_and_said_in_a_sentence_where_a_number_is_asked() -> None:
    rules = resolve(with_rules())
    assert rules.number_or_none("least_clearance_in") is None
    with pytest.raises(ValueError, match="nobody has set it"):
        rules.number("least_clearance_in")


def test_words_and_numbers_are_not_mixed_up() -> None:
    rules = resolve(with_rules())
    assert rules.text("frost_to") == "rod"
    with pytest.raises(ValueError, match="is a word"):
        rules.number("frost_to")
    with pytest.raises(ValueError, match="is a number"):
        rules.text("setback_in")


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("set_back", 1.0),
        ("setback_in", 12.0),
        ("setback_in", "far"),
        ("frost_to", "cellar"),
        ("frost_to", 3.0),
    ],
)
def test_a_rule_that_cannot_be_is_refused(key: str, value: float | str) -> None:
    with pytest.raises(ValueError, match=key):
        resolve(with_rules(**{key: said(value)}))


def test_rules_are_a_mapping() -> None:
    rules = resolve(with_rules())
    assert isinstance(rules, Rules)
    assert set(rules) == set(defaults())
    assert len(rules) == len(defaults())
    assert "setback_in" in rules
