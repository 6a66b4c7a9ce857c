from __future__ import annotations

import re

import pytest

from crewtui.day.state.conditions import CONDITIONS
from crewtui.job.tables import steps
from crewtui.job.tables.steps import PHASES, StepDef

ALL = steps.load()
AT_ANCHOR = steps.of_scope("anchor")
each = pytest.mark.parametrize("step", ALL, ids=lambda step: step.id)
ROOM_FOR_LABEL = 38
QUANTITY_ENDS = {"length": "_in", "angle": "_deg", "torque": "_lbf_ft"}


def test_ids_are_each_their_own() -> None:
    assert len({step.id for step in ALL}) == len(ALL)


def test_steps_of_an_anchor_follow_the_phases() -> None:
    order = [PHASES.index(step.phase) for step in AT_ANCHOR]
    assert order == sorted(order)
    assert {step.phase for step in AT_ANCHOR} == set(PHASES)


def test_an_anchor_has_about_two_dozen_steps_where_all_goes_well() -> None:
    """Two dozen, and a screen's height more where much is measured: past that nobody reads them all."""
    always = [step for step in AT_ANCHOR if not step.when]
    assert 18 <= len(always) <= 30
    assert len(AT_ANCHOR) <= 36


@pytest.mark.parametrize("scope", ["before", "after", "hand-over"])
def test_steps_of_a_day_stand_in_a_phase_of_their_scope(scope: steps.Scope) -> None:
    found = steps.of_scope(scope)
    assert found
    assert all(step.phase == scope for step in found)


@each
def test_a_label_leaves_room_for_value_and_mark(step: StepDef) -> None:
    assert 4 <= len(step.label) <= ROOM_FOR_LABEL
    assert step.label.isprintable()


@each
def test_why_and_how_are_one_sentence_each(step: StepDef) -> None:
    for text in (step.why, step.how):
        assert text.endswith(".")
        assert text[0].isupper()
        assert 15 < len(text) <= 110
        assert not re.search(r"[.!?] [A-Z]", text)


@each
def test_each_kind_has_what_it_needs_and_no_more(step: StepDef) -> None:
    is_value = step.kind == "value"
    assert bool(step.quantity) is is_value
    assert bool(step.measure) is is_value
    assert bool(step.choices) is (step.kind == "choice")
    if not is_value:
        assert not (step.least)
        assert not (step.greatest)
        assert not (step.then)
    assert len(step.choices) != 1
    assert len(step.then) != 1


@each
def test_a_quantity_carries_the_unit_of_its_measure(step: StepDef) -> None:
    if step.measure in QUANTITY_ENDS:
        assert step.quantity.endswith(QUANTITY_ENDS[step.measure])
        for limit in (step.least, step.greatest):
            assert not limit or limit.endswith(QUANTITY_ENDS[step.measure])


@each
def test_conditions_are_known(step: StepDef) -> None:
    assert set(step.conditions) <= set(CONDITIONS)


def test_what_makes_safe_is_backfilling_capping_covering_leaving_and_looking_at_the_wall() -> None:
    safe = {step.id for step in ALL if step.makes_safe}
    assert safe == {
        "watch-mark", "backfilled", "trimmed", "closed", "pits-covered", "site-clean", "covers-watched",
    }  # fmt: skip


def test_the_block_step_is_asked_on_block_only() -> None:
    assert steps.by_id("core").conditions == ("block wall",)


def test_a_step_that_there_is_not_raises() -> None:
    with pytest.raises(KeyError):
        steps.by_id("no such step")
