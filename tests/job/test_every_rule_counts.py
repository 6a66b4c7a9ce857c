"""Every company rule changes something that the crew or the office sees: none is set in vain."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from crewtui.day.figures.line_figures import serving
from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.figures.tightening_rounds import schedule_words
from crewtui.day.journal import entries as e
from crewtui.day.recovery.site_of_miss import site_for
from crewtui.day.safety.hazard_details import lifts
from crewtui.day.safety.holds import HoldFacts, standing
from crewtui.day.session.reading_form import ReadingForm
from crewtui.day.state.conditions import condition
from crewtui.day.state.exposures import TOOLS, shift_exposure, shift_noise
from crewtui.day.state.fold import fold
from crewtui.day.state.state import DayState
from crewtui.day.state.wall_reading import company_spread_in, engineer_words, station
from crewtui.day.steps.hand_over import record_due
from crewtui.day.steps.typed_value import limit_text
from crewtui.day.truck.day_cut_list import cut_question
from crewtui.day.truck.loading import loading
from crewtui.day.wall.wall_rows import wall_view
from crewtui.job.check.plan_findings import check_plan
from crewtui.job.file.company_hazards import for_job
from crewtui.job.file.load import load_job
from crewtui.job.file.model import Job, RuleOverride
from crewtui.job.file.rule_overrides import _crossed, resolve
from crewtui.job.tables import steps
from crewtui.job.tables.condition_names import NAMES
from crewtui.job.tables.rules import Rule, defaults
from crewtui.record.sheets.plan_sheet import plain

AT = datetime(2026, 11, 30, 13, 0, tzinfo=UTC)
AN_ADDRESS = re.compile(r" at 0x[0-9a-f]+")
SAMPLES = Path(__file__).parents[2] / "sample_jobs"
A_READING = e.WallRead(
    n=1, done_at=AT, typed_at=AT, anchor="A", when="before", line="plumb line", resolution_in=0.0625,
    heights=tuple(e.HeightRead(height_in=high, offset_in=off) for high, off in ((4, 6), (46, 4), (88, 6))),
)  # fmt: skip
KEPT_TOOLS = {"hammer_length_in": 18.0, "wrench_least_lbf_ft": 20.0, "wrench_greatest_lbf_ft": 250.0}


def job_without_answers(name: str) -> Job:
    """Return a sample whose plan leaves to the company what it may leave."""
    job = load_job(SAMPLES / f"{name}.toml")
    anchors = tuple(
        one.model_copy(
            update={
                "drop_in": 7.5, "yard_slope": None, "setback_in": None, "mark_depth_in": None,
                "aim_depth_in": None, "least_depth_in": None, "plate": None, "wall_plate": None,
                "torque_lbf_ft": None, "bow_in": 2.0,
            }
        )
        for one in job.anchors
    )  # fmt: skip
    silent = {key: None for key in type(job.tools).model_fields if key.endswith(("_in", "_lbf_ft"))}
    rod = {"yield_ksi": None, "plate_thickness_in": None, "wall_plate_thickness_in": None}
    return job.model_copy(
        update={
            "anchors": anchors,
            "tools": job.tools.model_copy(update={**silent, **KEPT_TOOLS}),
            "rod": job.rod.model_copy(update={**rod, "washer_thickness_in": None}),
            "ground": job.ground.model_copy(update={"friction_angle_deg": None, "frost_depth_in": 40.0}),
            "stock": job.stock.model_copy(update={"saw_kerf_in": None}),
            "rules": {},
        }
    )


def entries(job: Job) -> Iterator[e.Entry]:
    """Yield a first drive on the first anchor, a second one held, and hours on every tool."""
    first = job.anchors[0].id
    at = {"done_at": AT, "typed_at": AT}
    yield e.ValueMeasured(
        n=1, anchor=first, step="watch-mark", quantity="watch_moved_in", value=0.125, text="1/8", **at
    )
    yield e.DriveAttempted(n=2, anchor=first, attempt=1, held_angle_deg=5.2, depth_found_in=33.0, **at)
    for n, tool in enumerate(TOOLS, start=3):
        yield e.ExposureEntered(n=n, tool=tool.id, hours=1.5, indoors=tool.indoors, **at)


def with_rule(job: Job, rule: Rule, value: float | str | None) -> Job:
    if value is None:
        return job
    own = {rule.key: RuleOverride(value=value, said_by="Invented Engineer")}
    return job.model_copy(update={"rules": own})


def told(job: Job) -> Iterator[Any]:
    """Yield what crew and office see of a job: the plan's check, and before and after a drive the day."""
    shop = resolve(job)
    yield [one for one in check_plan(job, shop) if one.subject != "rules"]
    for taken in (0, len(tuple(entries(job)))):
        yield from seen(fold(job, shop, tuple(entries(job))[:taken]))


def seen(state: DayState) -> Iterator[Any]:
    facts_at = {"state": state, "hazards": for_job(state.job), "now": AT}
    yield record_due(state)
    yield cut_question(state)
    yield loading(state, None).lines
    yield serving(state)
    yield schedule_words(state)
    yield engineer_words(state, station(A_READING))
    yield company_spread_in(state)
    day: Any = SimpleNamespace(state=state, job=state.job, rules=state.rules, anchor=state.anchors.get)
    yield ReadingForm(day, next(iter(state.anchors))).values
    yield shift_exposure(state)
    yield shift_noise(state, AT)
    for now in list(state.live())[:2]:
        figures = figures_for(state, now.id)
        items = {key: (item.value, item.source) for key, item in figures.inputs.items()}
        yield plain(figures) | {"inputs": items}
        yield standing(HoldFacts(**facts_at, figures=figures), now.id)
        yield [(lift.name, lift.two_lift) for lift in lifts(state, now)]
        yield [condition(name)(state, now.id) for name in NAMES]
        yield [limit_text(step, figures, state) for step in steps.load() if step.quantity]
        try:
            site = site_for(state, now.id)
        except ValueError:
            continue
        yield site
    for wall in state.job.walls:
        yield wall_view(state, wall.name)


@cache
def told_of(name: str, key: str = "", value: float | str | None = None) -> list[str]:
    job = job_without_answers(name)
    return [
        AN_ADDRESS.sub("", str(one)) for one in told(with_rule(job, defaults()[key], value) if key else job)
    ]


def others(rule: Rule) -> Iterator[float | str]:
    """Yield values that the rule may have instead, near and far, and that no other limit is crossed by."""
    for value in _within(rule):
        if not _crossed({rule.key: {"value": value}}, "job.toml"):
            yield value


def _within(rule: Rule) -> Iterator[float | str]:
    if rule.allowed:
        yield from (word for word in rule.allowed if word != rule.value)
        return
    assert rule.least is not None
    assert rule.greatest is not None
    yield rule.least
    yield rule.greatest
    if isinstance(rule.value, float):
        yield (rule.value + rule.least) / 2
        yield (rule.value + rule.greatest) / 2


@pytest.mark.parametrize("rule", defaults().values(), ids=lambda rule: rule.key)
def test_a_rule_that_is_changed_changes_what_is_told(rule: Rule) -> None:
    assert any(
        told_of(name) != told_of(name, rule.key, value)
        for name in ("block-wall", "clay-tile-tight", "poured-deep-frost-metric", "two-walls-stoop")
        for value in others(rule)
    ), f"{rule.key} changes nothing"
