"""What stands in the yard, or another rod, holds pit and rod; each way on that is named can be taken."""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

import pytest
from day_help import job_data, open_day, saved
from shapely.geometry import Point, Polygon, box

from crewtui.day.figures.line_figures import pit_plan
from crewtui.day.session.day import Day
from crewtui.day.state.hold import Hold
from crewtui.day.state.inputs import inputs_for
from crewtui.day.steps.advice import Advice
from crewtui.job.file.load import load_job
from crewtui.job.file.model import Job

SAMPLE = Path(__file__).parents[2] / "sample_jobs" / "two-walls-stoop.toml"


def in_the_yard(day: Day, anchor: str) -> list[Hold]:
    return [hold for hold in day.standing_holds(anchor) if hold.yard]


def beside_in(day: Day, anchor: str) -> float:
    """Return how near the pit comes to anything in the ground, by shapely."""
    inputs = inputs_for(day.state, anchor)
    pit = pit_plan(day.state, inputs)
    half_in, across_in = pit.along_rod_in / 2, pit.across_in / 2
    at, out = pit.along_in, pit.setback_in
    shape = (
        Point(at, out).buffer(half_in)
        if pit.round
        else box(at - across_in, out - half_in, at + across_in, out + half_in)
    )
    return float(min(shape.distance(Polygon(one.outline)) for one in day.job.in_ground))


def random_yard(seed: int) -> Job:
    """Return one anchor in a yard with a footing and a drain somewhere round its rod and its pit."""
    some = random.Random(seed)  # noqa: S311 - made-up yards
    data: dict[str, Any] = job_data(1, tools={"pit_depth": 60})
    along_in = data["anchors"][0]["along"]
    things = []
    for name, kind in (("stoop", "frost wall"), ("drain", "drain tile")):
        at, out = along_in + some.uniform(-40, 20), some.choice((0.0, 40.0, 90.0, 130.0))
        wide, far = some.uniform(6, 40), some.uniform(6, 60)
        outline = [[at, out], [at + wide, out], [at + wide, out + far], [at, out + far]]
        depth = {"base_depth": some.uniform(20, 50)}
        things.append({"name": name, "kind": kind, "wall": "north", "outline": outline, **depth})
    return Job.model_validate(data | {"in_ground": things})


def taken(day: Day, way: Advice) -> None:
    """Take a way on; where that asks for the ground's drop anew, it falls on as it does up to here."""
    before = inputs_for(day.state, way.anchor)
    saved(day.aim.take_advice(way, agreed_by="R. Sample"))
    after = inputs_for(day.state, way.anchor)
    if after.known("drop_in") is None:
        farther = after.number("setback_in") / before.number("setback_in")
        drop = f"{before.number('drop_in') * farther:.4f}"
        saved(day.measure(way.anchor, "drop", drop, reason="the morning is not signed here"))


@pytest.mark.parametrize("seed", range(40))
def test_every_way_on_that_is_named_ends_every_hold_of_the_yard(tmp_path: Path, seed: int) -> None:
    number, ways = 0, 1
    while number < ways:
        folder = tmp_path / str(number)
        folder.mkdir()
        with open_day(folder, random_yard(seed), figures=None) as day:
            anchor = day.job.anchors[0].id
            held = in_the_yard(day, anchor)
            found = [one for one in day.aim.advice(anchor) if one.key.startswith("clear of the yard")]
            assert bool(found) <= bool(held)
            ways = len(found)
            if found:
                assert set(found[number].ends) == {hold.id for hold in held}
                assert day.aim.weigh(found[number]).changes
                stood = pit_plan(day.state, inputs_for(day.state, anchor))
                taken(day, found[number])
                assert in_the_yard(day, anchor) == []
                if pit_plan(day.state, inputs_for(day.state, anchor)) != stood:
                    assert beside_in(day, anchor) > day.state.rules.number("in_ground_clearance_in") - 0.01
        number += 1


def test_the_random_yards_hold_and_are_cleared_in_every_way(tmp_path: Path) -> None:
    kinds, held = set(), 0
    for seed in range(40):
        folder = tmp_path / str(seed)
        folder.mkdir()
        with open_day(folder, random_yard(seed), figures=None) as day:
            anchor = day.job.anchors[0].id
            held += bool(in_the_yard(day, anchor))
            kinds |= {one.key for one in day.aim.advice(anchor)}
    assert held > 20
    assert {"clear of the yard: along", "clear of the yard: farther"} <= kinds


def test_the_sample_s_stoop_is_passed_by_moving_along_and_the_wall_is_judged_too(tmp_path: Path) -> None:
    with open_day(tmp_path, load_job(SAMPLE), figures=None) as day:
        (held,) = in_the_yard(day, "N3")
        (way,) = [one for one in day.aim.advice("N3") if held.id in one.ends]
        weighed = day.aim.weigh(way)
        assert any("the plan's" in words for words in weighed.leaves)
        assert any("N4" in words and "Too wide" in words for words in weighed.brings)
        taken(day, way)
        assert in_the_yard(day, "N3") == []
        assert {one.kind for one in day.state.deviations} <= {"while held"}


def test_a_pit_over_a_drain_is_set_elsewhere_where_it_says(tmp_path: Path) -> None:
    with open_day(tmp_path, load_job(SAMPLE), figures=None) as day:
        (held,) = in_the_yard(day, "E1")
        ways = [one for one in day.aim.advice("E1") if held.id in one.ends]
        assert ways
        for way in ways:
            assert way.words[1:] in held.way_on
        taken(day, ways[-1])
        assert in_the_yard(day, "E1") == []


def test_an_anchor_that_is_drilled_is_not_moved_along(tmp_path: Path) -> None:
    with open_day(tmp_path, load_job(SAMPLE), figures=None) as day:
        saved(day.measure("N3", "mark-depth", "28", reason="held by the morning's signatures"))
        assert not [one for one in day.aim.advice("N3") if one.moves]
