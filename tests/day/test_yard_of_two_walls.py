"""One yard of two walls: a line, footing, property line or rod of one wall is known to the other."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from day_help import job_data, open_day, saved

from crewtui.day.figures.line_figures import lines_of
from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.job.check.plan_findings import check_plan
from crewtui.job.file.load import JobFileError, load_job
from crewtui.job.file.model import Job
from crewtui.job.file.rule_overrides import resolve
from crewtui.record.office.plan_check import check

SAMPLE = Path(__file__).parents[2] / "sample_jobs" / "two-walls-stoop.toml"


def job(turn: float | None = -90, *, there: float = 200, **tables: Any) -> Job:
    """Return a wall of 200 in and one that meets its end at an inside corner, with an anchor on each."""
    data = job_data(1, tools={"pit_depth": 60}, **tables)
    north = data["walls"][0] | {"length": 200}
    ell = {**north, "name": "ell"}
    if turn is not None:
        ell["corners"] = [{"wall": "north", "here": 0, "there": there, "turn": turn}]
    data["walls"] = [north, ell]
    plate = {"width": 10, "height": 10}
    data["anchors"] = [
        {"id": "N", "wall": "north", "along": 140, "setback": 144, "drop": 0, "plate": plate},
        {"id": "L", "wall": "ell", "along": 60, "setback": 144, "drop": 0, "plate": plate},
    ]
    return Job.model_validate(data)


def held_by(day: Day, anchor: str) -> list[str]:
    return [hold.id for hold in day.standing_holds(anchor) if hold.id.startswith("in the way")]


def test_rods_of_two_walls_at_an_inside_corner_hold_each_other_and_at_an_outside_corner_do_not(
    tmp_path: Path,
) -> None:
    with open_day(tmp_path, job(-90), figures=None) as day:
        assert held_by(day, "N") == ["in the way at N, 12 ft: rod of L"]
        assert held_by(day, "L") == ["in the way at L, 12 ft: rod of N"]
    (tmp_path / "outside").mkdir()
    with open_day(tmp_path / "outside", job(90), figures=None) as day:
        assert held_by(day, "N") == held_by(day, "L") == []
        yard = figures_for(day.state, "N").yard
        assert yard is not None
        assert yard.rods[0].apart_in == pytest.approx(60 * 2**0.5, abs=2)


def test_a_rod_that_was_driven_counts_as_it_ran(tmp_path: Path) -> None:
    with open_day(tmp_path, job(-90), figures=None) as day:
        before = figures_for(day.state, "N").yard
        for step, text in (("held-angle", "10"), ("depth-found", "56")):
            saved(day.measure("L", step, text, reason="deep enough to pass below"))
        after = figures_for(day.state, "N").yard
        assert before is not None
        assert after is not None
        assert before.rods[0].apart_in == 0
        assert after.rods[0].apart_in > 0


def test_what_was_entered_round_the_corner_is_judged_at_once(tmp_path: Path) -> None:
    with open_day(tmp_path, job(-90), figures=None) as day:
        assert held_by(day, "N")
        for step, text in (("held-angle", "10"), ("depth-found", "56")):
            saved(day.measure("L", step, text, reason="deep enough to pass below"))
            now = figures_for(day.state, "N")
            assert [hold.text for hold in day.facts("N").holds] == [hold.text for hold in now.holds]


def test_a_line_measured_from_one_wall_is_known_to_the_other_and_one_exposure_serves_both(
    tmp_path: Path,
) -> None:
    # Along north at 70 out, across the rod of N; in the ell's frame it runs out at 130 along.
    lines = [{"name": "gas", "kind": "gas", "wall": "ell", "points": [[70, 0], [70, 130]], "width": 1}]
    with open_day(tmp_path, job(-90, lines=lines), figures=None) as day:
        assert lines_of(day.state, "north")[0].points == (
            pytest.approx((200, 70)), pytest.approx((70, 70)),
        )  # fmt: skip
        assert any("gas" in hold.id for hold in day.standing_holds("N") if hold.line)
        saved(day.ground.expose_line("gas", "14", anchor="N"))
        spot = lines_of(day.state, "north")[0].spots[0]
        assert (spot.along_in, spot.out_in) == (pytest.approx(140, abs=1), pytest.approx(70, abs=1))
        kept = day.state.shared.exposed[0]
        assert (kept.along_in, kept.out_in) == (pytest.approx(70, abs=1), pytest.approx(60, abs=1))


def test_without_a_corner_nothing_is_carried_and_the_check_says_what_cannot_be_judged(tmp_path: Path) -> None:
    lines = [{"name": "gas", "kind": "gas", "wall": "ell", "points": [[70, 0], [70, 130]], "width": 1}]
    apart = job(None, lines=lines)
    with open_day(tmp_path, apart, figures=None) as day:
        assert lines_of(day.state, "north") == ()
        assert figures_for(day.state, "N").yard is None
    said = [one.words for one in check_plan(apart, resolve(apart)) if one.subject == "yard"]
    assert any("at north: the line gas (measured from ell); the rods of ell" in words for words in said)
    placed = job(-90, lines=lines)
    assert not [one for one in check_plan(placed, resolve(placed)) if one.subject == "yard"]


def test_steps_in_footing_and_grade_count_where_they_are(tmp_path: Path) -> None:
    stretches = [{"from": 100, "to": 200, "base_to_grade": 40, "grade_to_top": 30}]
    data = job().model_dump(by_alias=True, exclude_none=True)
    data["walls"] = [data["walls"][0] | {"stretches": stretches, "base_to_grade": 80}, data["walls"][1]]
    with open_day(tmp_path, Job.model_validate(data), figures=None) as day:
        at = figures_for(day.state, "N").inputs
        assert (at.number("base_to_grade_in"), at.number("grade_to_top_in")) == (40, 30)


def test_the_sample_finds_each_of_its_troubles() -> None:
    findings = check(load_job(SAMPLE), now=datetime(2026, 11, 30, 8, tzinfo=UTC), cut_list_s=0.5)
    stops = {(one.anchor, one.words.partition(",")[0]) for one in findings if one.severity == "stop"}
    assert ("N3", "Stoop (frost wall)") in stops
    assert ("E1", "The pit would be dug into downspout (drain tile): set it elsewhere.") in stops
    said = {(one.anchor, one.words) for one in findings}
    narrow = "The plate is 14 in wide and the round pit 12 in: it does not go in."
    for anchor in ("N1", "N2", "N3", "N4", "E1", "E2"):
        assert any(of == anchor and words.startswith(narrow) for of, words in said)
    for words in (
        "moved along: 11 ft 10 in along the wall",
        "somebody has to go in, and this pit is under 24 in across",
        "ask the maker for a beveled or swiveling washer",
    ):
        assert any(words in one for _, one in said)
    assert {one.severity for one in findings if one.anchor is None} <= {"note"}


@pytest.mark.parametrize(
    ("was", "now", "says"),
    [
        ('wall = "north", here = 0', 'wall = "nort", here = 0', 'did you mean "north"'),
        ('wall = "north", here = 0', 'wall = "east", here = 0', "with another wall, not with itself"),
        ("turn = 90", "turn = 270", "turn"),
        ("base_depth = 20", "base_depth = 10", "base_depth must be more than top_depth"),
        ('kind = "frost wall"', 'kind = "frost"', "kind"),
        ("from = 200, to = 276", "from = 200, to = 100", "to must be more than from"),
    ],
)
def test_bad_data_gets_one_sentence(tmp_path: Path, was: str, now: str, says: str) -> None:
    path = tmp_path / "job.toml"
    text = SAMPLE.read_text(encoding="utf-8")
    assert was in text
    path.write_text(text.replace(was, now, 1), encoding="utf-8")
    with pytest.raises(JobFileError) as error:
        load_job(path)
    assert says in str(error.value)
    assert len(error.value.problems) == 1


def test_corners_that_do_not_close_and_outlines_in_the_wall_are_said() -> None:
    data = job(-90).model_dump(by_alias=True, exclude_none=True)
    data["walls"] = list(data["walls"])
    data["walls"][0]["corners"] = [{"wall": "ell", "here": 206, "there": 0, "turn": -90}]
    data["in_ground"] = [
        {"name": "stoop", "kind": "footing", "wall": "north", "outline": [[0, -12], [20, -12], [20, 30]]}
    ]
    data["walls"][1]["stretches"] = [{"from": 100, "to": 900, "base_to_grade": 40}]
    odd = Job.model_validate(data)
    said = " ".join(one.words for one in check_plan(odd, resolve(odd)))
    assert "they come out 6 in apart" in said
    assert "The outline of stoop reaches 12 in into the wall north" in said
    assert "reaches past the wall ell" in said
