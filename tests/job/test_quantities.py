"""The table of quantities: one home for each, and every list that used to stand elsewhere follows it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.state.fold import start
from crewtui.day.state.state import ASKED_AGAIN
from crewtui.job.check.plan_findings import check_plan
from crewtui.job.file.load import load_job
from crewtui.job.file.model import Anchor, Job, RuleOverride
from crewtui.job.file.planned import planned, planned_number
from crewtui.job.file.rule_overrides import resolve
from crewtui.job.tables import quantities, rules, steps
from crewtui.job.tables.quantities import ImpossibleError, Quantity, untrue_by
from crewtui.record.office.flat_table import COLUMNS

ALL = tuple(quantities.load().values())
SAMPLES = sorted((Path(__file__).parents[2] / "sample_jobs").glob("*.toml"))
ENDS = {"length": "_in", "angle": "_deg", "torque": "_lbf_ft", "slope": "_slope"}
each = pytest.mark.parametrize("quantity", ALL, ids=lambda one: one.key)


@each
def test_a_key_ends_in_the_unit_of_its_measure(quantity: Quantity) -> None:
    assert quantity.key.endswith(ENDS.get(quantity.measure, ""))


def test_no_two_quantities_are_called_the_same() -> None:
    assert len({quantity.label for quantity in ALL}) == len(ALL)


@each
def test_the_plan_and_the_rules_have_what_the_table_names(quantity: Quantity) -> None:
    models = {name: field.annotation for name, field in Job.model_fields.items()}
    for table, *keys in quantity.plan:
        model = Anchor if table == "anchor" else models.get(table)
        assert table in {"anchor", "wall"} or model is not None
        if table == "anchor" and len(keys) == 1:
            assert keys[0] in Anchor.model_fields
    for rule in (*quantity.rules, *quantity.rules_by_pit.values()):
        assert rule in rules.defaults()


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_every_quantity_can_be_asked_of_every_plan(path: Path) -> None:
    job = load_job(path)
    shop = resolve(job)
    for anchor in job.anchors:
        for quantity in ALL:
            found = planned(job, shop, anchor, quantity.key)
            assert (found.value is None) == (found.source == "missing")


@pytest.mark.parametrize(("pit", "rule"), [("auger", "pit_auger_in"), ("hand", "pit_hand_along_rod_in")])
def test_a_pit_takes_the_rule_of_its_own_kind(pit: str, rule: str) -> None:
    job = load_job(SAMPLES[0])
    tools = job.tools.model_copy(update={"pit": pit, "pit_along_rod_in": None})
    job = job.model_copy(update={"tools": tools})
    shop = resolve(job)
    along_in = planned_number(job, shop, job.anchors[0], "pit_along_rod_in")
    assert along_in == shop.number(rule)


@each
def test_what_it_makes_untrue_is_a_quantity_or_a_step(quantity: Quantity) -> None:
    known = {step.id for step in steps.load()} | quantities.load().keys()
    assert set(quantity.untrue) <= known


@pytest.mark.parametrize("names", ASKED_AGAIN.values(), ids=ASKED_AGAIN.keys())
def test_a_way_on_asks_again_for_what_follows_too(names: tuple[str, ...]) -> None:
    for name in names:
        assert set(untrue_by(name)) <= {*names, "hold_angle_deg"}


def test_what_is_no_quantity_makes_nothing_untrue() -> None:
    assert untrue_by("no such quantity") == ()


@each
def test_only_what_has_a_sign_may_be_negative(quantity: Quantity) -> None:
    if quantity.sign:
        quantity.refuse_impossible(-0.5)
    else:
        with pytest.raises(ImpossibleError):
            quantity.refuse_impossible(-0.5)


@each
def test_what_is_shown_can_be_typed_again(quantity: Quantity) -> None:
    for system in ("imperial", "metric"):
        shown = re.sub(r" \(.*\)", "", quantity.show(8.0 if quantity.measure != "slope" else 0.08, system))
        again = quantity.read(shown, system)
        assert quantity.show(again, system).startswith(shown)


def test_whatever_a_step_measures_stands_in_the_office_s_table() -> None:
    columns = [name for name, _ in COLUMNS]
    for step in steps.of_scope("anchor"):
        assert not step.quantity or step.quantity in columns


def test_a_step_takes_its_words_from_its_quantity() -> None:
    for step in steps.load():
        if step.quantity:
            quantity = quantities.by_key(step.quantity)
            assert (step.label, step.measure) == (quantity.label, quantity.measure)


@pytest.mark.parametrize("pit", ["auger", "hand"])
@pytest.mark.parametrize(("reach_in", "stops"), [(150.0, False), (150.5, True)])
def test_the_check_judges_a_pit_by_its_own_size_as_the_step_does(
    pit: str, reach_in: float, *, stops: bool
) -> None:
    job = load_job(SAMPLES[0])
    first = job.anchors[0].model_copy(
        update={"setback_in": 156.0, "obstacle": "walk", "obstacle_reach_in": reach_in}
    )
    tools = job.tools.model_copy(update={"pit": pit, "pit_along_rod_in": None})
    own = RuleOverride(value=12, said_by="Office")
    other = RuleOverride(value=40, said_by="Office")
    mine, theirs = (
        ("pit_auger_in", "pit_hand_along_rod_in")
        if pit == "auger"
        else ("pit_hand_along_rod_in", "pit_auger_in")
    )
    job = job.model_copy(
        update={"anchors": (first, *job.anchors[1:]), "tools": tools, "rules": {mine: own, theirs: other}}
    )
    shop = resolve(job)
    said = [one for one in check_plan(job, shop) if one.subject == "setback"]
    assert bool(said) is stops
    limit = figures_for(start(job, shop), first.id).limits["least_setback_in"]
    assert (limit.value is not None and limit.value > 156.0) is stops
