"""What `crewtui check` says of the truck is what the load-out of the plan and the screen says."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from crewtui.day.state.fold import start
from crewtui.day.truck.loading import worked_out
from crewtui.job.check.finding import Finding
from crewtui.job.file.load import load_job
from crewtui.job.file.model import Job
from crewtui.job.file.rule_overrides import resolve
from crewtui.record.office import plan_check

SAMPLES = Path(__file__).parents[2] / "sample_jobs"
NOW = datetime(2026, 11, 20, 9, 0, tzinfo=UTC)
QUICK_S = 0.5


def job_with(**stock: Any) -> Job:
    """Return the block sample with every drop taken and another truck."""
    job = load_job(SAMPLES / "block-wall.toml")
    anchors = tuple(one.model_copy(update={"drop_in": one.drop_in or 7.5}) for one in job.anchors)
    return job.model_copy(
        update={
            "anchors": anchors,
            "stock": type(job.stock).model_validate({**job.stock.model_dump(), **stock}),
        }
    )


def of_truck(job: Job) -> list[Finding]:
    return [one for one in plan_check.check(job, now=NOW, cut_list_s=QUICK_S) if one.subject == "stock"]


@pytest.mark.parametrize(
    ("name", "needed"),
    [("nuts", 10), ("washers", 5), ("sleeves", 5), ("caps", 5), ("covers", 5), ("tags", 5), ("tampers", 1)],
)
def test_one_short_is_told_and_just_enough_is_not(name: str, needed: int) -> None:
    assert of_truck(job_with(**{name: needed})) == []
    (finding,) = of_truck(job_with(**{name: needed - 1}))
    assert finding.severity == "caution"
    assert f"{needed - 1} left, {needed} needed, 1 short" in finding.words


def test_plates_are_counted_by_size() -> None:
    plates = [{"width_in": 12, "height_in": 10, "count": 4}, {"width_in": 10, "height_in": 12, "count": 5}]
    (finding,) = of_truck(job_with(plates=plates))
    assert "12 in wide, 10 in high: 4 left, 5 needed, 1 short" in finding.words


def test_what_is_not_counted_is_left_to_the_morning() -> None:
    assert of_truck(job_with(nuts=None, caps=None, plates=(), wall_plates=())) == []


def test_no_rods_at_all_are_told() -> None:
    assert [one.words[:18] for one in of_truck(job_with(rods=()))] == ["No rods are counte"]


@pytest.mark.parametrize("count", range(3, 13))
def test_rods_are_short_where_the_plan_says_so(count: int) -> None:
    job = job_with(rods=[{"length_in": 90, "count": count}])
    loaded = worked_out(start(job, resolve(job)), time_limit_s=QUICK_S)
    said = [one.words for one in of_truck(job) if one.severity == "stop"]
    short = [line.said for line in loaded.short if line.stock == "rods"]
    assert said == [f"Short on the truck: {words}." for words in short]


def test_the_metric_sample_lacks_one_cap() -> None:
    (finding,) = of_truck(load_job(SAMPLES / "poured-deep-frost-metric.toml"))
    assert "caps for rod ends: 5 left, 6 needed, 1 short" in finding.words
