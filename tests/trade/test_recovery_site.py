"""Recovery as the day hands it over: the site, the rod that ran wrong by hand, a way on as an entry."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from day_help import clear_hazards, job_data, open_day, saved

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.figures.section_of_anchor import section_picture
from crewtui.day.recovery.site_of_miss import DAY_KIND, day_way, recover, search, site_for
from crewtui.day.session.day import Day
from crewtui.day.state.fold import start
from crewtui.day.state.state import ASKED_AGAIN, DayState
from crewtui.job.file.model import Job
from crewtui.job.file.rule_overrides import resolve
from crewtui.trade.recovery.miss import WayFigured
from crewtui.trade.recovery.ways import Found


def job_of(
    *, anchor: Mapping[str, Any] | None = None, wall: Mapping[str, Any] | None = None, **tables: Any
) -> Job:
    data = job_data(1, **{"tools": {"pit": "auger", "pit_depth": 60}, **tables})
    data["walls"][0] |= {"type": "poured concrete", **(wall or {})}
    given_values = {"setback": 150, "drop": 0, "mark_depth": 28, "aim_depth": 42, **(anchor or {})}
    data["anchors"] = [{"id": "A-1", "wall": "north", "along": 400}]
    data["anchors"][0] |= {name: value for name, value in given_values.items() if value is not None}
    return Job.model_validate(data)


def state_of(**given_values: Any) -> DayState:
    job = job_of(**given_values)
    return start(job, resolve(job))


def way_of(state: DayState, found: Found, kind: str) -> WayFigured:
    return next(way for way in recover(state, "A-1", found).ways if way.kind == kind)


# Worked out by bisection on the angle, apart from the program.


def test_a_rod_found_at_33_in_ran_flatter_than_any_straight_one_can() -> None:
    recovery = recover(state_of(), "A-1", Found(depth_in=33, held_angle_deg=5.2624))
    assert recovery.ran.angle_deg == pytest.approx(1.884, abs=1e-3)
    assert recovery.ran.drift_deg == pytest.approx(-3.378, abs=1e-3)
    assert not recovery.ran.straight
    assert recovery.window.aim_angle_deg - recovery.site.drift_mean_deg == pytest.approx(5.262, abs=1e-3)
    assert recovery.window.aim_angle_deg - recovery.ran.drift_deg == pytest.approx(8.641, abs=1e-3)
    expected_deg = recovery.site.next_drift_deg(recovery.ran.drift_deg)
    assert expected_deg == pytest.approx(-0.8 * 3.378, abs=1e-3)
    farther = recovery.way("pit farther out")
    assert farther is not None
    assert not farther.possible
    assert "20 ft 1 1/4 in" in farther.why_not  # 235.2 in to the seat, and half a pit


def test_the_site_is_the_anchor_as_it_stands(tmp_path: Path) -> None:
    with open_day(tmp_path, job_of(), figures=figures_for) as day:
        clear_hazards(day)
        for step, text in (("setback", "154"), ("drop", "2"), ("mark-depth", "29"), ("thickness", "9"),
                           ("drilled-angle", "6"), ("pit-depth", "58"), ("pit-size", "14")):  # fmt: skip
            saved(day.measure("A-1", step, text, reason="rock there"))
        site = site_for(day.state, "A-1")
    assert site.section.seat_in == 147
    assert (site.section.mark_depth_in, site.section.drop_in, site.section.way_in) == (29, 2, 9)
    assert (site.hole_angle_deg, site.pit_depth_in, site.pit_along_rod_in) == (6, 58, 14)
    assert site.setback_in == 154


def test_a_missing_drop_is_asked_for_in_place_of_a_way_on() -> None:
    with pytest.raises(ValueError, match="shoot or tape"):
        recover(state_of(anchor={"drop": None}), "A-1", Found(depth_in=33, held_angle_deg=5.3))
    with pytest.raises(ValueError, match="shoot or tape"):
        search(state_of(anchor={"drop": None}), "A-1", 5.3, at_stop_mark=True)


def test_a_depth_that_is_already_entered_is_not_counted_twice(tmp_path: Path) -> None:
    found = Found(depth_in=38, held_angle_deg=5.3)
    with open_day(tmp_path, job_of(), figures=figures_for) as day:
        clear_hazards(day)
        before = recover(day.state, "A-1", found)
        saved(day.measure("A-1", "held-angle", "5.3", reason="rock there"))
        saved(day.measure("A-1", "depth-found", "38", reason="rock there"))
        after = recover(day.state, "A-1", found)
    assert figures_for(day.state, "A-1").drift.rods == 1
    assert after.site.drift_mean_deg == before.site.drift_mean_deg == 0
    assert after.ways == before.ways


def test_the_search_band_says_what_to_do_at_the_stop_mark() -> None:
    reached, not_yet = (search(state_of(), "A-1", 5.26, at_stop_mark=one) for one in (True, False))
    assert "nobody drives on" in reached.words[0]
    assert "drive on to the mark" in not_yet.words[0]
    # Two rods of 80 in less a grip of 4 in end before 164 in along the rod: 8 3/4 in are to be screwed on.
    assert reached.stop.from_end_in == 156
    assert "screw on 8 3/4 in more" in reached.words[0]
    assert "screw on 8 3/4 in more" in not_yet.words[0]
    assert reached.stop.far_side_in == pytest.approx(164 / math.cos(math.radians(5.26)))


@pytest.mark.parametrize(("aside", "fits"), [(0.5, True), (0.6, False)])
def test_a_plate_is_let_in_aside_by_as_much_as_the_limit_of_the_offset_allows(
    aside: float, fits: bool
) -> None:
    state = state_of()
    found = Found(depth_in=42, held_angle_deg=5.3, side_offset_in=aside)
    assert recover(state, "A-1", found).ran.fits_across is fits
    limit = figures_for(state, "A-1").limits["greatest_side_offset_in"].value
    assert limit is not None
    assert (aside <= limit) is fits


def test_a_bed_joint_is_seen_from_the_mark_as_it_is(tmp_path: Path) -> None:
    job = job_of(anchor={"bed_joint": 3, "bed_joint_side": "below"}, wall={"type": "block"})
    with open_day(tmp_path, job, figures=figures_for) as day:
        clear_hazards(day)
        assert (site_for(day.state, "A-1").bed_joint_in, site_for(day.state, "A-1").bed_joint_side) == (
            3,
            "below",
        )
        saved(day.measure("A-1", "mark-depth", "29", reason="rock there"))
        assert (site_for(day.state, "A-1").bed_joint_in, site_for(day.state, "A-1").bed_joint_side) == (
            2,
            "below",
        )


def test_ticket_and_property_bound_a_pit_farther_out() -> None:
    ticket = {"area": {"north": [[0, 0], [1400, 0], [1400, 240], [0, 240]]}}
    assert site_for(state_of(ticket=ticket), "A-1").greatest_setback_in == 234
    both = state_of(ticket=ticket, property_line={"north": [[0, 200], [1400, 200]]})
    site = site_for(both, "A-1")
    assert (site.greatest_setback_in, site.greatest_setback_why) == (194, "the property line")
    assert site_for(state_of(), "A-1").greatest_setback_in is None


def test_couplings_and_wedges_are_judged_for_a_pit_farther_out() -> None:
    site = site_for(state_of(wall={"base_to_grade": 84}, anchor={"free_room": 200}), "A-1")
    assert site.joint_check is not None
    # Two rods of 80 in: the coupling behind the second stands in the room, and comes into the wall with it.
    assert not site.joint_check(60)
    assert "wall" in site.joint_check(8)
    assert site.wedges_least_seat_in is not None
    # Hw / tan 60 + Ha / tan 30 on level ground at a friction angle of 30 degrees.
    by_hand_in = 84 / math.sqrt(3) + 48 * math.sqrt(3)
    assert site.wedges_least_seat_in(48, 0.0) == pytest.approx(by_hand_in)


# A way on as an entry.


def test_every_way_has_a_kind_that_the_day_knows() -> None:
    assert set(DAY_KIND.values()) <= set(ASKED_AGAIN)


def chosen(day: Day, found: Found, kind: str) -> WayFigured:
    way = way_of(day.state, found, kind)
    assert way.possible, way.why_not
    saved(
        day.rods.take_way(
            "A-1",
            depth_found_in=found.depth_in,
            held_angle_deg=found.held_angle_deg,
            side_offset_in=found.side_offset_in,
            way=day_way(way),
            reason="rock there",
        )
    )
    return way


def test_a_rod_accepted_keeps_its_depth_and_asks_for_nothing_again(tmp_path: Path) -> None:
    with open_day(tmp_path, job_of(), figures=figures_for) as day:
        clear_hazards(day)
        chosen(day, Found(depth_in=41, held_angle_deg=5.3), "accept")
        now = day.state.anchors["A-1"]
    assert now.aim == {}
    assert now.value("depth_found_in") == 41


def test_a_deeper_pit_takes_the_rod_as_it_is(tmp_path: Path) -> None:
    with open_day(tmp_path, job_of(tools={"pit_depth": 50}), figures=figures_for) as day:
        clear_hazards(day)
        way = chosen(day, Found(depth_in=45, held_angle_deg=5.3), "deepen the pit")
        figures = figures_for(day.state, "A-1")
        assert figures.inputs["pit_depth_in"].value == way.pit_depth_in
        assert figures.limits["greatest_depth_in"].value == pytest.approx(45)
        assert day.state.anchors["A-1"].value("depth_found_in") == 45
        assert day.state.anchors["A-1"].pit_entry is None


def test_a_wider_pit_takes_a_rod_off_its_middle(tmp_path: Path) -> None:
    with open_day(tmp_path, job_of(), figures=figures_for) as day:
        clear_hazards(day)
        way = chosen(day, Found(depth_in=42, held_angle_deg=5.3, side_offset_in=2), "widen the pit")
        assert way.pit_across_in == 14
        limit = figures_for(day.state, "A-1").limits["greatest_side_offset_in"]
        # Measured again from the wider pit's own middle, an inch nearer to the rod.
        assert limit.value == 1


def test_a_pit_farther_out_asks_for_its_own_drop(tmp_path: Path) -> None:
    with open_day(tmp_path, job_of(anchor={"least_depth": 40}), figures=figures_for) as day:
        clear_hazards(day)
        way = chosen(day, Found(depth_in=38.5, held_angle_deg=5.3), "pit farther out")
        figures = figures_for(day.state, "A-1")
        assert figures.inputs["setback_in"].value == way.setback_in
        assert figures.inputs["drop_in"].value is None
        assert "drop-unknown" in [hold.id for hold in day.standing_holds("A-1")]
        saved(day.measure("A-1", "drop", "0", reason="rock there"))
        figures = figures_for(day.state, "A-1")
        assert figures.held_angle_deg == pytest.approx(math.degrees(math.atan2(10.5, 152)), abs=0.01)


def test_a_way_that_holds_another_angle_draws_it(tmp_path: Path) -> None:
    with open_day(tmp_path, job_of(), figures=figures_for) as day:
        clear_hazards(day)
        way = chosen(day, Found(depth_in=35, held_angle_deg=5.3), "re-drill steeper")
        picture = section_picture(day.state, "A-1")
    assert picture.rod is not None
    assert f"hold {way.held_angle_deg:.1f}°" in picture.rod.words
    assert picture.tail is not None
    assert picture.tail.angle_deg == way.held_angle_deg
    assert [round(stroke.angle_deg, 3) for stroke in picture.ran] == [
        round(math.degrees(math.atan2(7, 152)), 3)
    ]


def test_a_picture_without_a_drop_shows_no_rod_and_what_was_found_shows_the_plate_there(
    tmp_path: Path,
) -> None:
    picture = section_picture(state_of(anchor={"drop": None}), "A-1")
    assert picture.rod is None
    assert picture.drop_in is None
    with open_day(tmp_path, job_of(), figures=figures_for) as day:
        clear_hazards(day)
        saved(day.measure("A-1", "held-angle", "5.3", reason="rock there"))
        saved(day.measure("A-1", "depth-found", "40", reason="rock there"))
        assert section_picture(day.state, "A-1").plate == (34, 46)


# What the truck, the company and the journal know.


def test_rods_and_couplings_really_left_bound_a_pit_farther_out(tmp_path: Path) -> None:
    job = job_of(stock={"rods": [{"length": 80, "count": 3}], "couplings": 2})
    with open_day(tmp_path, job, figures=figures_for) as day:
        clear_hazards(day)
        before = site_for(day.state, "A-1")
        assert (before.rods_left_in, before.couplings_left) == ((80.0, 80.0, 80.0), 2)
        assert before.rod_total_in == 160
        saved(day.truck.drive_pieces("A-1", [80.0, 80.0], reason="driven before the watch mark was read"))
        after = site_for(day.state, "A-1")
    assert (after.rods_left_in, after.couplings_left) == ((80.0,), 1)


def test_the_companys_limits_bound_recovery() -> None:
    said = {"said_by": "Invented Office"}
    rules = {"farthest_setback_in": {"value": 158, **said}, "deepest_pit_in": {"value": 61, **said}}
    site = site_for(state_of(rules=rules), "A-1")
    assert (site.farthest_setback_in, site.greatest_pit_depth_in) == (158, 61)
    for way in recover(state_of(rules=rules), "A-1", Found(depth_in=35, held_angle_deg=5.3)).ways:
        assert not (way.possible and way.setback_in > 158)
    deep = way_of(state_of(rules=rules), Found(depth_in=55, held_angle_deg=9.0), "deepen the pit")
    assert not deep.possible
    assert "deepest that can be dug" in deep.why_not


def test_a_yard_that_is_a_plane_needs_no_drop_shot_farther_out() -> None:
    state = state_of(anchor={"drop": None, "yard_slope": "1 in/ft"})
    site = site_for(state, "A-1")
    assert site.drops_shot == ((216.0, pytest.approx(18.0)),)


def test_where_no_aim_is_named_recovery_aims_for_what_most_rods_hit() -> None:
    state = state_of(anchor={"aim_depth": None})
    best = figures_for(state, "A-1").best
    assert best is not None
    assert site_for(state, "A-1").aim_in == pytest.approx(best.depth_in)


def test_a_fresh_hole_beside_is_entered_and_every_figure_runs_along_it(tmp_path: Path) -> None:
    with open_day(tmp_path, job_of(), figures=figures_for) as day:
        clear_hazards(day)
        before = figures_for(day.state, "A-1")
        way = chosen(day, Found(depth_in=35, held_angle_deg=5.3), "hole beside")
        after = figures_for(day.state, "A-1")
    assert before.section is not None
    assert after.section is not None
    assert after.section.run_in == pytest.approx(math.hypot(152, way.hole_aside_in))
    assert after.section.drop_in == before.section.drop_in
    assert after.held_angle_deg == pytest.approx(way.held_angle_deg)
    assert day.state.anchors["A-1"].value("drilled_angle_deg") is None, "drilled anew, so asked again"


def test_lines_are_judged_over_the_way_from_the_fresh_hole_to_the_same_pit(tmp_path: Path) -> None:
    line = {"name": "gas", "kind": "gas", "wall": "north", "points": [[300, 60], [500, 60]], "width": 1}
    with open_day(tmp_path, job_of(lines=[line]), figures=figures_for) as day:
        clear_hazards(day)
        way = chosen(day, Found(depth_in=35, held_angle_deg=5.3), "hole beside")
        figures = figures_for(day.state, "A-1")
    assert figures.lines is not None
    (verdict,) = figures.lines.lines
    band = verdict.band
    middle = [band.aside_in(out_in, band.side_run_deg) for out_in in (-8.0, 144.0)]
    assert middle[0] == pytest.approx(400 + way.hole_aside_in)
    assert middle[1] == pytest.approx(400, abs=0.05)
