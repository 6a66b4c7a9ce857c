"""A value far from its plan, or unlikely in itself, is asked back once; what is usual is not."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from day_help import Hands, clear_hazards, read_watch_marks, saved

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.day.steps.outcomes import NeedsReason, NeedsSure, Saved
from crewtui.job.tables.quantities import load
from crewtui.job.tables.steps import load as steps

SAMPLE = Path(__file__).parents[2] / "sample_jobs" / "block-wall.toml"


@pytest.fixture
def day(tmp_path: Path) -> Day:
    job = tmp_path / SAMPLE.name
    shutil.copy(SAMPLE, job)
    day = Day.open(job, clock=Hands(), figures=figures_for)
    clear_hazards(day)
    read_watch_marks(day)
    return day


@pytest.mark.parametrize(
    ("step", "value"),
    [
        ("backfilled", "800"),
        ("readings", "11 in"),
        ("thickness", "10"),
        ("setback", "165"),
        ("threads", "90"),
        ("drop", "40 in"),
        ("pit-depth", "80"),
    ],
)
def test_it_is_asked_once_and_then_kept(day: Day, step: str, value: str) -> None:
    asked = day.measure("N1", step, value)
    assert isinstance(asked, NeedsSure), asked
    assert asked.sentence.endswith(".")
    sure = day.measure("N1", step, value, sure=True)
    assert isinstance(sure, Saved | NeedsReason), sure


@pytest.mark.parametrize(
    ("step", "value"), [("setback", "13 ft 2"), ("thickness", "8"), ("drop", "6"), ("threads", "4")]
)
def test_what_is_usual_is_not_asked(day: Day, step: str, value: str) -> None:
    saved(day.measure("N1", step, value))


def test_every_measured_length_count_and_torque_says_what_is_likely() -> None:
    table = load()
    for step in steps():
        if step.kind == "value" and table[step.quantity].measure in {"length", "torque", "count"}:
            assert table[step.quantity].likely is not None, step.id
