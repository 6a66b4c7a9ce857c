from __future__ import annotations

import re

import pytest

from crewtui.day.state.conditions import CONDITIONS
from crewtui.job.tables import hazards, steps
from crewtui.job.tables.hazards import Hazard

ALL = hazards.load()
each = pytest.mark.parametrize("hazard", ALL, ids=lambda hazard: hazard.id)
GROUPS = {
    "ppe", "locates", "pit and trench", "dust", "noise", "power and engines", "lifting", "line of fire",
    "the wall", "owner's side",
}  # fmt: skip
IN_THE_PIT = {"pit-size", "plate-on", "threads"}
"""Steps at which somebody may be in the pit."""


def held_by(ident: str) -> set[str]:
    hazard = hazards.by_id(ident)
    return {step.id for step in steps.load() if hazard.protects(step)}


def test_ids_are_each_their_own_and_every_group_has_one() -> None:
    assert len({hazard.id for hazard in ALL}) == len(ALL)
    assert {hazard.group for hazard in ALL} == GROUPS


@each
def test_a_hazard_never_holds_what_makes_safe(hazard: Hazard) -> None:
    assert not any(hazard.protects(step) for step in steps.load() if step.makes_safe)


@each
def test_a_hazard_holds_phases_and_steps_that_there_are(hazard: Hazard) -> None:
    known = {*steps.PHASES, *(step.id for step in steps.load())}
    assert set(hazard.holds) <= known
    for held in hazard.holds:
        assert any(held in {step.id, step.phase} for step in steps.load() if hazard.protects(step))


@each
def test_conditions_are_known(hazard: Hazard) -> None:
    assert set(hazard.conditions) <= set(CONDITIONS)


@each
def test_words_are_there_short_and_of_one_sentence(hazard: Hazard) -> None:
    assert 20 <= len(hazard.text) <= 100
    assert not hazard.text.endswith(".")
    assert hazard.why.endswith(".")
    assert not re.search(r"[.!?] [A-Z]", hazard.why)
    assert hazard.source
    assert hazard.edition
    assert hazard.stricter.endswith(".")


@each
def test_what_a_regulation_asks_names_its_paragraph_and_the_edition_to_check(hazard: Hazard) -> None:
    if hazard.mark.startswith("published"):
        assert "check the current" in hazard.edition
    if "29 CFR" in hazard.source:
        assert re.search(r"19(10|26)\.\d+", hazard.source)


@each
def test_only_practice_leaves_room_for_another_way(hazard: Hazard) -> None:
    if hazard.override != "never":
        assert (
            hazard.mark == "common practice, no source" or hazard.id == "covers-at-hand" or not hazard.holds
        )


def test_initials_are_asked_at_four_moments_and_at_each_for_a_few_lines() -> None:
    assert {hazard.signed_at for hazard in ALL} == set(hazards.MOMENTS)
    for moment in hazards.MOMENTS:
        always = [one for one in ALL if one.signed_at == moment and not one.when and one.release == "check"]
        assert len(always) <= 10, moment
        assert all(one.scope == "job" for one in always), moment


def test_what_is_signed_at_a_moment_holds_nothing_before_it() -> None:
    order = {moment: n for n, moment in enumerate(hazards.MOMENTS)}
    first = {"pit": "dig", "drill": "drill and drive", "drive": "drill and drive", "plate": "drill and drive",
             "first tightening": "tighten", "second tightening": "tighten"}  # fmt: skip
    for hazard in ALL:
        for step in steps.load():
            if hazard.protects(step) and step.phase in first:
                assert order[hazard.signed_at] <= order[first[step.phase]], (hazard.id, step.id)


@pytest.mark.parametrize("ident", ["marks-on-ground", "private-lines-found"])
def test_locates_hold_every_digging_and_driving_step(ident: str) -> None:
    phases = {"pit", "drive"}
    wanted = {s.id for s in steps.of_scope("anchor") if s.phase in phases and not s.makes_safe}
    assert held_by(ident) == wanted


@pytest.mark.parametrize(
    "ident",
    [
        "inspection",
        "no-cave-in-sign",
        "spoil-back",
        "water",
        "way-out",
        "air",
        "protection",
        "cave-in-seen",
        "left-overnight",
    ],
)
def test_rules_for_people_in_a_pit_hold_what_is_done_in_it_and_only_then(ident: str) -> None:
    assert held_by(ident) == IN_THE_PIT
    found = hazards.by_id(ident)
    assert "somebody in the pit" in (*found.conditions, *found.holding_conditions)


@pytest.mark.parametrize(
    ("ident", "depth"),
    [
        ("way-out", "pit 4 ft or more"),  # 29 CFR 1926.651(c)(2): inclusive
        ("air", "pit over 4 ft"),  # 29 CFR 1926.651(g)(1)(i): strict
        ("protection", "pit 5 ft or more"),  # 29 CFR 1926.652(a)(1): exactly 5 ft is not excepted
        ("edge-guard", "pit 6 ft or more"),  # 29 CFR 1926.501(b)(7)(ii): inclusive
    ],
)
def test_depths_switch_on_strictly_or_inclusively_as_the_rule_says(ident: str, depth: str) -> None:
    assert depth in hazards.by_id(ident).conditions


def test_the_guard_of_a_deep_edge_applies_whether_or_not_somebody_goes_in() -> None:
    assert hazards.by_id("edge-guard").conditions == ("pit 6 ft or more",)


def test_bad_air_counts_only_where_it_is_expected() -> None:
    assert "bad air expected" in hazards.by_id("air").conditions


def test_dust_and_noise_hold_the_drill() -> None:
    for ident in ("dust", "hearing", "ppe", "power"):
        assert "drilled-angle" in held_by(ident)
    assert "held-angle" in held_by("hearing")


def test_tightening_is_held_until_nobody_stands_in_line() -> None:
    assert held_by("tightening") == {"first-torque", "pull-in", "second-torque", "second-pull-in"}


def test_holding_lists_what_holds_a_step() -> None:
    found = {hazard.id for hazard in hazards.holding(steps.by_id("depth-found"))}
    assert {"marks-on-ground", "hammer", "hearing"} <= found
    assert hazards.holding(steps.by_id("backfilled")) == ()


def test_a_hazard_that_there_is_not_raises() -> None:
    with pytest.raises(KeyError):
        hazards.by_id("no such hazard")
