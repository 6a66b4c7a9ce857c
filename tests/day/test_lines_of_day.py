# ruff: noqa: S311 - random cases with a fixed seed
"""Lines in the ground through a day: one hole shows one spot, every aim is judged anew, a line is watched."""

from __future__ import annotations

import json
import math
import random
from pathlib import Path

import pytest
import shapely
from day_help import Hands, aim_anew, job_data, open_day, refused, saved

from crewtui.day.figures.line_places import lines_here
from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.journal import entries as e
from crewtui.day.journal.entries import from_line
from crewtui.day.safety.briefing_text import briefing
from crewtui.day.session.day import Day
from crewtui.day.steps.outcomes import NeedsReason
from crewtui.job.file.model import Job

ALONG = {"A-1": 100, "A-2": 130, "A-3": 520}


def job(out_in: float = 70, **tables: object) -> Job:
    """Return three anchors, two 30 in and one 35 ft apart, and a gas line that crosses all their rods."""
    data = job_data(3, tools={"pit": "auger", "pit_depth": 60}, **tables)
    data["anchors"] = [
        {"id": ident, "wall": "north", "along": along, "setback": 144, "drop": 0}
        for ident, along in ALONG.items()
    ]
    points = [[-100, out_in], [900, out_in]]
    data["lines"] = [{"name": "gas", "kind": "gas", "wall": "north", "points": points, "width": 1}]
    return Job.model_validate(data)


def by_lines(day: Day, anchor: str, phase: str = "drive") -> list[str]:
    """Return what lines hold a phase at an anchor, by the beginnings of their ids."""
    return [hold.id.split()[0] for hold in day.standing_holds(anchor) if hold.line and phase in hold.steps]


def test_one_exposure_frees_the_anchors_whose_crossing_it_is_near_and_no_other(tmp_path: Path) -> None:
    with open_day(tmp_path, job(), figures=None) as day:
        assert [by_lines(day, ident) for ident in ALONG] == [["line"]] * 3
        saved(day.ground.expose_line("gas", "14", anchor="A-1"))
        assert [by_lines(day, ident) for ident in ALONG] == [["watch"], ["line"], ["line"]]
        saved(day.ground.expose_line("gas", "14", anchor="A-3"))
        assert [by_lines(day, ident) for ident in ALONG] == [["watch"], ["line"], ["watch"]]


def test_the_company_says_how_far_along_a_line_one_exposure_serves(tmp_path: Path) -> None:
    rules = {"exposure_serves_in": {"value": 48, "said_by": "Invented Office"}}
    with open_day(tmp_path, job(rules=rules), figures=None) as day:
        saved(day.ground.expose_line("gas", "14", anchor="A-1"))
        assert [by_lines(day, ident) for ident in ALONG] == [["watch"], ["watch"], ["line"]]


def test_between_two_exposures_only_where_the_company_says_so(tmp_path: Path) -> None:
    rules = {"between_exposures": {"value": "straight", "said_by": "Invented Office"}}
    for folder, more, held in (("a", {}, "line"), ("b", {"rules": rules}, "watch")):
        (tmp_path / folder).mkdir()
        with open_day(tmp_path / folder, job(**more), figures=None) as day:
            saved(day.ground.expose_line("gas", "14", anchor="A-1"))
            saved(day.ground.expose_line("gas", "14", anchor="A-3"))
            assert by_lines(day, "A-2") == [held]


def test_a_pit_s_zone_is_freed_by_an_exposure_there_only(tmp_path: Path) -> None:
    with open_day(tmp_path, job(out_in=160), figures=None) as day:
        assert [by_lines(day, ident, "pit") for ident in ALONG] == [["zone"]] * 3
        saved(day.ground.expose_line("gas", "14", anchor="A-1"))
        assert [by_lines(day, ident, "pit") for ident in ALONG] == [[], ["zone"], ["zone"]]


def test_a_depth_by_the_plan_is_no_exposure_and_no_least_clearance_frees_nothing(tmp_path: Path) -> None:
    data = job().model_dump(mode="json", by_alias=True)
    data["lines"][0]["depth"] = 5
    data["rules"] = {}
    with open_day(tmp_path, Job.model_validate(data), figures=None) as day:
        assert day.state.rules.number_or_none("least_clearance_in") is None
        assert by_lines(day, "A-1") == ["line"]
        (hold,) = [hold for hold in day.standing_holds("A-1") if hold.line]
        assert "deep by the plan" in hold.text
        assert "Expose it" in hold.text


def test_wherever_the_mark_lies_the_drive_holds_as_shapely_finds_the_zone_met(tmp_path: Path) -> None:
    rng = random.Random(21)
    seen = set()
    for number in range(25):
        beside_in = 100 + rng.uniform(-60, 60)
        points = [[beside_in, -10], [beside_in + rng.uniform(-30, 30), rng.uniform(60, 260)]]
        prior, spread = rng.uniform(0.3, 3), rng.uniform(0.2, 2)
        said = {"said_by": "Invented Office"}
        rules = {"drift_prior_deg": {"value": prior, **said}, "rod_spread_deg": {"value": spread, **said}}
        data = job(rules=rules).model_dump(mode="json", by_alias=True)
        data["lines"][0]["points"] = points
        folder = tmp_path / str(number)
        folder.mkdir()
        with open_day(folder, Job.model_validate(data), figures=None) as day:
            figures = figures_for(day.state, "A-1")
            assert figures.lines is not None
            band = figures.lines.lines[0].band
            # Two standard deviations of prior and spread together, each way, by shapely.
            tan = math.tan(math.radians(2 * math.hypot(prior, spread)))
            near, far = band.section.way_in * tan, (band.reach_in + band.section.way_in) * tan
            ground = shapely.Polygon(
                [(100 - near, 0), (100 + near, 0), (100 + far, band.reach_in), (100 - far, band.reach_in)]
            )
            away_in = ground.distance(shapely.LineString(points))
            zone_in = 0.375 + 0.5 + 18
            if abs(away_in - zone_in) > 1e-3:
                seen.add(away_in < zone_in)
                assert ("line" in by_lines(day, "A-1")) == (away_in < zone_in), (points, prior, spread)
    assert seen == {True, False}


def test_a_new_aim_mark_set_back_or_place_asks_for_the_watch_again(tmp_path: Path) -> None:
    for number, values in enumerate(
        (
            {"aim_depth_in": 47.0},
            {"mark_depth_in": 29.5},
            {"setback_in": 150.0, "drop_in": 0.0},
            {"along_in": 104.0},
        )
    ):
        folder = tmp_path / str(number)
        folder.mkdir()
        with open_day(folder, job(), figures=None) as day:
            saved(day.ground.expose_line("gas", "14", anchor="A-1"))
            (watch,) = [hold for hold in day.standing_holds("A-1") if hold.line]
            assert "watches the line as the rod passes" in watch.text
            assert "CGA" in watch.source
            refused(day.safety.release_hold(watch.id, "A-1", initials=" "))
            saved(day.safety.release_hold(watch.id, "A-1", initials="IL"))
            assert by_lines(day, "A-1") == []
            saved(aim_anew(day, "A-1", values, because="a test"))
            assert by_lines(day, "A-1") == ["watch"], values
        assert day.state.deviations == ()


def test_an_anchor_moved_along_the_line_past_what_was_laid_bare_holds_again(tmp_path: Path) -> None:
    with open_day(tmp_path, job(), figures=None) as day:
        saved(day.ground.expose_line("gas", "14", anchor="A-1"))
        saved(aim_anew(day, "A-1", {"along_in": 140.0, "drop_in": 0.0}, because="a test"))
        assert by_lines(day, "A-1") == ["line"]


def test_a_zone_set_aside_by_a_name_is_asked_again_where_the_pit_moves_along_the_wall(tmp_path: Path) -> None:
    with open_day(tmp_path, job(out_in=160), figures=None) as day:
        (zone,) = [hold for hold in day.standing_holds("A-1") if hold.line and "pit" in hold.steps]
        saved(day.safety.override_hold(zone.id, "A-1", name="Invented Owner", reason="dug by vacuum"))
        assert by_lines(day, "A-1", "pit") == []
        saved(aim_anew(day, "A-1", {"along_in": 112.0, "drop_in": 0.0}, because="a test"))
        assert by_lines(day, "A-1", "pit") == ["zone"]


def test_where_it_was_laid_bare_can_be_typed(tmp_path: Path) -> None:
    with open_day(tmp_path, job(), figures=None) as day:
        saved(day.ground.expose_line("gas", "1' 2 at 6 ft 3", anchor="A-1"))
        (found,) = day.state.shared.exposed
        assert (found.depth_in, found.along_in, found.out_in) == (14, 100, 75)
        # It was found 5 in farther out than its mark: the steel is judged against where it was found.
        verdict = figures_for(day.state, "A-1").lines.lines[0]
        assert verdict.depth_in == pytest.approx(14)
        for text in ("", "deep", "14 at", "14 at the wall", "-4"):
            assert refused(day.ground.expose_line("gas", text, anchor="A-1"))
        assert len(day.state.shared.exposed) == 1


def test_a_second_depth_at_the_same_place_stands_for_it_and_can_be_taken_back(tmp_path: Path) -> None:
    with open_day(tmp_path, job(), figures=None) as day:
        saved(day.ground.expose_line("gas", "14", anchor="A-1"))
        saved(day.ground.expose_line("gas", "36", anchor="A-1"))
        assert [one.depth_in for one in day.state.shared.exposed] == [36]
        assert "strike" in next(hold.text for hold in day.standing_holds("A-1") if hold.line)
        saved(day.take_back())
        assert [one.depth_in for one in day.state.shared.exposed] == [14]


def test_an_exposure_of_an_older_journal_is_readable_counts_nowhere_and_that_is_said(tmp_path: Path) -> None:
    hands = Hands()
    old = {
        "n": 0, "done_at": hands().isoformat(), "typed_at": hands().isoformat(), "prev": "",
        "kind": "line-exposed", "line": "gas", "depth_in": 14.0,
    }  # fmt: skip
    entry = from_line(json.dumps(old).encode())
    assert isinstance(entry, e.LineExposed)
    with open_day(tmp_path, job(), figures=None) as day:
        day.put(entry)
        assert [by_lines(day, ident) for ident in ALONG] == [["line"]] * 3
        (line,) = lines_here(day.state, figures_for(day.state, "A-1"))
        assert line.asked
        assert "older entry does not say where" in line.note
        assert "laid bare at a place not entered" in briefing(day.state, day.hazards)


def test_an_aim_that_clears_the_line_is_taken_where_it_stands_and_is_no_deviation(tmp_path: Path) -> None:
    with open_day(tmp_path, job(out_in=40), figures=None) as day:
        saved(day.ground.expose_line("gas", "31", anchor="A-1"))
        (hold,) = [hold for hold in day.standing_holds("A-1") if hold.line]
        advice = [one for one in day.aim.advice("A-1") if hold.id in one.ends]
        assert advice, hold.text
        for one in advice:
            weighed = day.aim.weigh(one)
            assert hold.text in weighed.ends
            saved(day.aim.take_advice(one, agreed_by="Invented Engineer"))
            assert by_lines(day, "A-1") in (["watch"], []), one.words
            assert day.state.deviations == ()
            saved(day.take_back())


@pytest.mark.parametrize("bare", ["14", "22", "31", "45"])
def test_an_angle_read_while_driving_is_judged_over_the_line_as_an_aim_for_it_is(
    tmp_path: Path, bare: str
) -> None:
    """Too near is stopped when the angle is typed and at what follows; a mended angle goes on."""
    with open_day(tmp_path, job(out_in=40), figures=None) as day:
        saved(day.ground.expose_line("gas", bare, anchor="A-1"))
        seen = set()
        for held_deg in (tenths / 10 for tenths in range(20, 140, 7)):
            saved(aim_anew(day, "A-1", {"hold_angle_deg": held_deg}, because="tried"))
            as_aimed = "line" in by_lines(day, "A-1")
            saved(day.take_back())

            held = day.measure("A-1", "held-angle", f"{held_deg}")
            stopped = isinstance(held, NeedsReason) and any(
                hold.id.startswith("line at A-1") for hold in held.holds
            )
            assert stopped is as_aimed, held_deg
            saved(day.measure("A-1", "held-angle", f"{held_deg}", reason="as read", sure=True))
            assert ("line" in by_lines(day, "A-1")) is as_aimed, held_deg
            row = next(row for row in day.rows("A-1") if row.id == "depth-found")
            assert any(hold.id.startswith("line at A-1") for hold in row.holds) is as_aimed
            saved(day.take_back())
            seen.add(as_aimed)
        assert seen == {True, False} or bare != "31"


def test_a_spot_laid_bare_before_the_day_shows_the_line_there_and_nowhere_else(tmp_path: Path) -> None:
    from day_help import job_data, open_day  # noqa: PLC0415 - only this test needs its own job

    def held(folder: str, exposed: list[dict[str, float]]) -> dict[str, bool]:
        data = job_data(3)
        for table, along in zip(data["anchors"], (90, 150, 210), strict=True):
            table["along"] = along
        points = [[0, 70], [300, 70]]
        line = {
            "name": "gas",
            "kind": "gas",
            "wall": "north",
            "points": points,
            "width": 1,
            "exposed": exposed,
        }
        (tmp_path / folder).mkdir()
        job = Job.model_validate({**data, "lines": [line]})
        with open_day(tmp_path / folder, job, figures=figures_for) as day:
            lines = {ident: figures_for(day.state, ident).lines for ident in day.state.anchors}
            return {ident: bool(found and found.holds_driving) for ident, found in lines.items()}

    nothing = held("none", [])
    assert all(nothing.values()), "unexposed, it holds everywhere"
    found = held("one", [{"along": 150, "out": 70, "depth": 10}])
    assert found == {"A-1": True, "A-2": False, "A-3": True}
