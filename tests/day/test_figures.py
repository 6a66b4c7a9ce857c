"""An anchor's figures through a job: geometry worked by hand, as built before plan, limits, holds, drift."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from day_help import aim_anew, clear_hazards, job_data, make_job, open_day, saved
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar
from scipy.stats import norm

from crewtui.day.figures.aim_figures import drift_in_use_deg
from crewtui.day.figures.figure_limits import side_allowed_in
from crewtui.day.figures.of_anchor import AnchorFigures, figures_for
from crewtui.day.journal import entries as e
from crewtui.day.recovery.site_of_miss import day_way, recover, site_for
from crewtui.day.safety.pit_rules import pit_seen
from crewtui.day.session.day import Day
from crewtui.day.state.fold import start
from crewtui.day.state.state import DayState
from crewtui.job.file.model import Job
from crewtui.job.file.rule_overrides import resolve
from crewtui.job.tables import steps as step_data
from crewtui.trade.aim.play import rod_play
from crewtui.trade.recovery.ways import Found

WALL: Mapping[str, Any] = {
    "name": "north", "type": "block", "length": 1400, "thickness": 8, "slab_to_top": 92, "grade_to_top": 10,
}  # fmt: skip


def state_of(job: Job) -> DayState:
    return start(job, resolve(job))


def job_of(
    *, wall: Mapping[str, Any] | None = None, more: Mapping[str, Any] | None = None, **anchor: Any
) -> Job:
    given_values = {"id": "A-1", "wall": "north", "along": 400, "setback": 150, "drop": 0, **anchor}
    tables = {"tools": {"pit": "auger", "pit_depth": 60}, **(more or {})}
    data = job_data(1, **tables)
    data["walls"] = [{**WALL, **(wall or {})}]
    data["anchors"] = [{name: value for name, value in given_values.items() if value is not None}]
    return Job.model_validate(data)


def figures_of(**given_values: Any) -> AnchorFigures:
    return figures_for(state_of(job_of(**given_values)), "A-1")


# The soil that counts, wherever it is shown.


@pytest.mark.parametrize("undisturbed", [True, False])
@pytest.mark.parametrize("soil_type", ["rock", "A", "B", "C", None])
@pytest.mark.parametrize("depth_in", [50, 61, 75])
def test_figures_recovery_pit_and_paper_count_one_soil(
    soil_type: str | None, depth_in: float, *, undisturbed: bool
) -> None:
    # 29 CFR 1926 Subpart P App. A and B, Table B-1: dug before, soil is B at best; shaken by a hammer, as
    # beside every rod that is driven, it is never A; run of the slope per rise.
    counted = soil_type or "C"
    counted = "B" if counted == "A" or (counted == "rock" and not undisturbed) else counted
    run = {"rock": 0.0, "B": 1.0, "C": 1.5}[counted]
    ground = {"undisturbed": undisturbed} | ({"soil_type": soil_type} if soil_type else {})
    tools = {"pit": "auger", "pit_depth": depth_in}
    data = job_data(1, tools=tools)
    data["ground"] = ground
    state = state_of(Job.model_validate(data))
    figures, seen = figures_for(state, "A-1"), pit_seen(state, "A-1")
    protection = counted != "rock" and depth_in >= 60
    assert figures.slope_back is not None
    for slope in (figures.slope_back, seen.slope):
        assert slope.horizontal_in == pytest.approx(run * depth_in)
    for rules in (figures.pit_rules, seen.rules):
        assert any(rule.key == "protection" and rule.applies for rule in rules) == protection
    said = site_for(state, "A-1").rules_at_depth(depth_in)
    assert any(words.startswith("5 ft or deeper") for words in said) == protection
    assert figures.slope_back.counted_type == counted  # as the plan on paper names it


def test_way_through_and_tail_count_a_bow_alike() -> None:
    rods = {"stock": {"rods": [{"length": 80, "count": 9}]}}
    for bow_in, way_in in ((3.0, 11.0), (0.0, 8.0), (-3.0, 8.0)):
        figures = figures_of(bow=bow_in, more=rods)
        assert figures.section is not None
        assert figures.section.way_in == way_in
        assert figures.inputs.known("tail_length_in") == pytest.approx(80 - way_in)


# The geometry, worked out by bisection on the angle, apart from the program.


@pytest.mark.parametrize(
    ("mark", "wall", "seat", "fall", "target", "angle", "exit_depth", "rise", "line"),
    [
        (28, 8, 144, 0, 42, 5.2624, 28.737, 7.337, 152.643),
        (28, 8, 144, 0.05, 42, 7.9400, 29.116, 11.051, 153.471),
        (30, 8, 144, 0.05, 36, 4.9632, 30.695, 6.921, 152.572),
        (30, 10, 144, 0.05, 48, 9.2933, 31.636, 12.919, 156.048),
        (28, 8, 216, 0.05, 42, 6.3177, 28.886, 8.803, 225.369),
    ],
)
@pytest.mark.parametrize("as_plane", [False, True])
def test_the_aim_is_that_of_the_geometry(  # noqa: PLR0917 - a row of the table
    mark: float,
    wall: float,
    seat: float,
    fall: float,
    target: float,
    angle: float,
    exit_depth: float,
    rise: float,
    line: float,
    as_plane: bool,
) -> None:
    ground = {"drop": None, "yard_slope": fall} if as_plane else {"drop": fall * seat}
    figures = figures_of(
        wall={"thickness": wall},
        more={"stock": {"rods": [{"length": 80 + wall, "count": 9}]}},
        setback=seat + 6,
        mark_depth=mark,
        aim_depth=target,
        **ground,
    )
    assert figures.aim is not None
    assert figures.held_angle_deg == pytest.approx(angle, abs=1e-4)
    assert figures.aim.exit_depth_in == pytest.approx(exit_depth, abs=1e-3)
    assert figures.inputs["tail_length_in"].value == 80
    assert figures.held_rise_in == pytest.approx(rise, abs=1e-3)
    assert figures.aim.rod_line_in == pytest.approx(line, abs=1e-3)
    assert figures.mark is not None
    assert figures.mark.down_from_top_in == mark + 10
    assert figures.mark.up_from_slab_in == 92 - mark - 10


def test_a_bow_lengthens_the_way_through_the_wall_and_an_outward_one_does_not() -> None:
    bowed, straight = figures_of(bow=2).section, figures_of().section
    outward = figures_of(bow=-2).section
    assert bowed is not None
    assert straight is not None
    assert outward is not None
    assert (bowed.way_in, straight.way_in, outward.way_in) == (10, 8, 8)


def test_the_companys_aim_gives_way_to_the_window_and_the_plans_does_not() -> None:
    shallow = {"tools": {"pit": "auger", "pit_depth": 46}}
    said = {"aim_depth_in": {"value": 42, "said_by": "Invented Office"}}
    company = figures_of(more={**shallow, "rules": said})
    assert company.window is not None
    assert company.window.least_in < company.window.aim_in < company.window.greatest_in
    assert any("company's aim" in words for words in company.warnings)
    plan = figures_of(more=shallow, aim_depth=42)
    assert plan.aim_depth_in == 42
    assert any("more than the greatest" in words for words in plan.warnings)


@pytest.mark.parametrize("pit_depth", [48, 54, 60, 72])
def test_where_nobody_names_an_aim_it_is_the_depth_that_most_rods_hit_and_says_so(pit_depth: float) -> None:
    figures = figures_of(more={"tools": {"pit": "auger", "pit_depth": pit_depth}}, mark_depth=28)
    section, window = figures.section, figures.window
    assert section is not None
    assert window is not None
    sd = math.hypot(figures.drift.sd_deg, figures.drift.spread_deg)

    def missed(angle_deg: float) -> float:
        low, high = (math.degrees(math.atan2(one - 28, 152)) for one in (window.least_in, window.greatest_in))
        return float(norm.cdf(low, angle_deg, sd) + norm.sf(high, angle_deg, sd))

    found = minimize_scalar(missed, bounds=(0.0, 20.0), method="bounded", options={"xatol": 1e-9})
    assert figures.held_angle_deg == pytest.approx(found.x, abs=1e-3)
    assert figures.share == pytest.approx(1 - found.fun, abs=1e-6)
    assert any("neither plan nor company names one" in words for words in figures.said["aim"])


def test_a_drift_that_no_rod_can_be_held_against_is_said_and_nothing_is_held() -> None:
    figures = figures_for(state_of(job_of()), "A-1", typed={"drift_deg": -85.0})
    assert figures.held_angle_deg is None
    assert any("angle to hold" in words for words in figures.said["aim"])


# What is missing.


def test_a_missing_drop_is_asked_for_and_nothing_is_aimed(tmp_path: Path) -> None:
    with open_day(tmp_path, job_of(drop=None), figures=figures_for) as day:
        figures = figures_for(day.state, "A-1")
        assert figures.held_angle_deg is None
        assert figures.rod is None
        assert any("shoot or tape" in words for words in figures.said["aim"])
        assert "drop-unknown" in [hold.id for hold in day.standing_holds("A-1")]
        saved(day.measure("A-1", "drop", "7"))
        assert figures_for(day.state, "A-1").held_angle_deg is not None
        assert "drop-unknown" not in [hold.id for hold in day.standing_holds("A-1")]


def test_a_planned_drop_serves_only_where_it_was_shot(tmp_path: Path) -> None:
    with open_day(tmp_path, job_of(drop=7), figures=figures_for) as day:
        saved(day.measure("A-1", "setback", "155", sure=True))
        assert figures_for(day.state, "A-1").inputs["drop_in"].value == 7
        saved(day.measure("A-1", "setback", "160", sure=True))
        assert figures_for(day.state, "A-1").inputs["drop_in"].value is None
        assert "drop-unknown" in [hold.id for hold in day.standing_holds("A-1")]


def test_a_plane_yard_has_its_drop_at_every_setback(tmp_path: Path) -> None:
    with open_day(tmp_path, job_of(drop=None, yard_slope=0.05), figures=figures_for) as day:
        saved(day.measure("A-1", "setback", "206", sure=True))
        assert figures_for(day.state, "A-1").inputs["drop_in"].value == pytest.approx(10)
        assert "drop-unknown" not in [hold.id for hold in day.standing_holds("A-1")]


def test_a_drop_measured_here_does_not_serve_a_setback_that_is_only_tried(tmp_path: Path) -> None:
    with open_day(tmp_path, job_of(drop=None), figures=figures_for) as day:
        saved(day.measure("A-1", "drop", "7"))
        near, far = (
            figures_for(day.state, "A-1", typed={"setback_in": setback}) for setback in (152.0, 180.0)
        )
        both = figures_for(day.state, "A-1", typed={"setback_in": 180.0, "drop_in": 9.0})
        assert near.inputs["drop_in"].value == 7
        assert far.inputs["drop_in"].value is None
        assert both.inputs["drop_in"].value == 9


# As built before plan.


@pytest.mark.parametrize(
    ("step", "text", "key", "value", "angle"),
    [
        # tan of the angle = (42 + drop - mark) / (set-back - half the pit + wall + bow), each by hand
        ("setback", "155", "setback_in", 155, math.degrees(math.atan2(14, 157))),
        ("drop", "7.2", "drop_in", 7.2, math.degrees(math.atan2(21.2, 152))),
        ("mark-depth", "29 1/2", "mark_depth_in", 29.5, math.degrees(math.atan2(12.5, 152))),
        ("thickness", "10", "thickness_in", 10, math.degrees(math.atan2(14, 154))),
        ("pit-size", "14", "pit_along_rod_in", 14, math.degrees(math.atan2(14, 151))),
    ],
)
def test_a_measured_value_is_in_every_figure_and_says_so(  # noqa: PLR0917 - a row of the table
    tmp_path: Path, step: str, text: str, key: str, value: float, angle: float
) -> None:
    with open_day(tmp_path, job_of(mark_depth=28, drop=0, aim_depth=42), figures=figures_for) as day:
        clear_hazards(day)
        before = figures_for(day.state, "A-1")
        assert before.inputs[key].source in {"plan", "company rule"}
        saved(day.measure("A-1", step, text, reason="rock there"))
        after = figures_for(day.state, "A-1")
    assert (after.inputs[key].value, after.inputs[key].source) == (value, "as built")
    assert after.held_angle_deg == pytest.approx(angle, abs=1e-9)
    assert after.held_angle_deg != before.held_angle_deg


def test_the_pits_depth_as_dug_sets_the_greatest_depth(tmp_path: Path) -> None:
    with open_day(tmp_path, job_of(), figures=figures_for) as day:
        room_in = day.state.rules.number("wrench_room_in")
        assert figures_for(day.state, "A-1").greatest_in == 60 - 6 - room_in
        saved(day.measure("A-1", "pit-depth", "52", reason="rock there"))
        assert figures_for(day.state, "A-1").greatest_in == 52 - 6 - room_in


def test_the_rod_follows_the_angle_that_it_ran_at(tmp_path: Path) -> None:
    with open_day(tmp_path, job_of(aim_depth=42), figures=figures_for) as day:
        clear_hazards(day)
        aimed = figures_for(day.state, "A-1")
        saved(day.measure("A-1", "held-angle", "5.3", reason="rock there"))
        saved(day.measure("A-1", "depth-found", "45", reason="rock there"))
        ran = figures_for(day.state, "A-1")
    assert ran.ran_deg == pytest.approx(math.degrees(math.atan2(17, 152)))
    assert aimed.rod is not None
    assert ran.rod is not None
    assert ran.rod.needed_in - aimed.rod.needed_in == pytest.approx(math.hypot(17, 152) - math.hypot(14, 152))


# A way on that was chosen.


def recovered(day: Day, depth_in: float, kind: str) -> float:
    recovery = recover(day.state, "A-1", Found(depth_in=depth_in, held_angle_deg=5.3))
    way = next(way for way in recovery.ways if way.kind == kind)
    assert way.held_angle_deg is not None
    saved(day.measure("A-1", "held-angle", "5.3", reason="rock there"))
    saved(day.rods.take_way("A-1", depth_found_in=depth_in, way=day_way(way), reason="rock there"))
    return way.held_angle_deg


def test_the_angle_of_a_way_on_is_held_in_every_figure_until_another_aim(tmp_path: Path) -> None:
    with open_day(tmp_path, job_of(mark_depth=28), figures=figures_for) as day:
        clear_hazards(day)
        hold_deg = recovered(day, 34.0, "re-drill steeper")
        figures = figures_for(day.state, "A-1")
        assert figures.held_angle_deg == hold_deg
        assert figures.held_rise_in == pytest.approx(
            (figures.inputs["tail_length_in"].value or 0) * math.sin(math.radians(hold_deg))
        )
        assert figures.next_rod is not None
        assert figures.next_rod.held_deg == hold_deg
        assert figures.play is not None
        assert figures.play.hole_angle_deg == hold_deg
        low, high = (figures.limits[name].value for name in ("least_angle_deg", "greatest_angle_deg"))
        assert low is not None
        assert high is not None
        assert low <= hold_deg <= high
        assert any("as chosen" in words for words in figures.warnings)
        # A tape that reads a little otherwise changes nothing of it.
        saved(day.measure("A-1", "thickness", "8 1/8", reason="rock there"))
        assert figures_for(day.state, "A-1").held_angle_deg == hold_deg
        saved(aim_anew(day, "A-1", {"aim_depth_in": 44.0}, because="the engineer called"))
        figures = figures_for(day.state, "A-1")
        assert figures.held_angle_deg == pytest.approx(math.degrees(math.atan2(16, 152.125)))


def test_a_lower_mark_brings_its_own_place_and_angle(tmp_path: Path) -> None:
    with open_day(
        tmp_path, job_of(mark_depth=26, wall={"type": "poured concrete"}), figures=figures_for
    ) as day:
        clear_hazards(day)
        found = Found(depth_in=35.5, held_angle_deg=5.3)
        way = next(way for way in recover(day.state, "A-1", found).ways if way.kind == "lower mark")
        assert way.possible
        saved(day.measure("A-1", "held-angle", "5.3", reason="rock there"))
        saved(day.rods.take_way("A-1", depth_found_in=35.5, way=day_way(way), reason="rock there"))
        figures = figures_for(day.state, "A-1")
        assert figures.inputs["mark_depth_in"].value == way.mark_depth_in
        assert figures.inputs["mark_depth_in"].source == "new aim"
        assert figures.held_angle_deg == way.held_angle_deg


# Limits.


def test_every_limit_that_a_step_names_is_a_figure_or_a_rule() -> None:
    state = state_of(job_of(obstacle="a deck", obstacle_reach=100))
    figures = figures_for(state, "A-1")
    for step in step_data.load():
        for name in (step.least, step.greatest):
            if name and step.scope == "anchor" and step.day != "visit":
                assert name in figures.limits or name in state.rules, name


def test_the_pit_lies_past_what_stands_outside() -> None:
    figures = figures_of(obstacle="a deck", obstacle_reach=100)
    assert figures.limits["least_setback_in"].value == 106
    assert "deck" in figures.limits["least_setback_in"].source
    assert "least_setback_in" not in figures_of().limits


def test_limits_say_where_they_come_from() -> None:
    assert figures_of().limits["least_depth_in"].source == "company rule"
    assert figures_of(least_depth=40).limits["least_depth_in"].source == "plan"
    frost = figures_of(more={"ground": {"frost_depth": 48}})
    assert (frost.limits["least_depth_in"].value, frost.limits["least_depth_in"].source) == (48, "frost")
    assert figures_of(torque=70).limits["least_torque_lbf_ft"].source == "plan"
    said = figures_of(more={"rules": {"pit_auger_in": {"value": 14, "said_by": "Invented Office"}}})
    assert said.limits["least_pit_along_rod_in"].source == "Invented Office"


def test_the_pit_is_as_deep_as_the_aims_plate_and_wrench_need() -> None:
    figures = figures_of(aim_depth=42)
    room_in = figures.inputs.number("wrench_room_in")
    assert figures.limits["least_pit_depth_in"].value == 42 + 6 + room_in


def test_a_mark_that_the_plan_sets_outside_the_band_is_no_deviation() -> None:
    inside, low = figures_of(mark_depth=28).limits, figures_of(mark_depth=33).limits
    assert (inside["mark_band_top_in"].value, inside["mark_band_bottom_in"].value) == (26, 30)
    assert low["mark_band_bottom_in"].value == 33.5
    assert low["mark_band_bottom_in"].source == "plan"


@pytest.mark.parametrize("end", ["least_drilled_angle_deg", "greatest_drilled_angle_deg"])
def test_in_a_hole_at_the_limit_the_rod_can_still_be_held_as_figured(end: str) -> None:
    figures = figures_of(more={"stock": {"rods": [{"length": 170, "count": 9}]}})
    assert figures.rod is not None
    assert figures.rod.couplings == 0
    limit = figures.limits[end].value
    assert limit is not None
    assert figures.held_angle_deg is not None
    play = rod_play(limit, rod_diameter_in=0.75, hole_diameter_in=1.125, hole_length_in=8)
    assert play is not None
    # The play at the limit's own angle differs from that at the angle held by less than a level reads.
    assert play.flattest_deg - 0.1 <= figures.held_angle_deg <= play.steepest_deg + 0.1
    assert abs(limit - figures.held_angle_deg) > 2.0


def test_couplings_that_have_yet_to_pass_narrow_the_hole() -> None:
    whole = figures_of(more={"stock": {"rods": [{"length": 170, "count": 9}]}})
    coupled = figures_of(more={"stock": {"rods": [{"length": 80, "count": 9}]}})
    name = "greatest_drilled_angle_deg"
    assert (coupled.limits[name].value or 0) < (whole.limits[name].value or 0)


@pytest.mark.parametrize(
    ("across", "width", "allowed"), [(16, 12, 2), (12, 12, 0.5), (12, 16, 0.5), (18, 12, 3), (0.8, 12, 0.4)]
)
def test_a_plate_as_wide_as_its_pit_is_let_in_by_as_much_as_marks_may_differ(
    across: float, width: float, allowed: float
) -> None:
    assert side_allowed_in(across, width, marks_agree_in=0.5) == pytest.approx(allowed)


# Holds.


def hold_ids(figures: AnchorFigures) -> dict[str, tuple[str, ...]]:
    return {hold.id: hold.steps for hold in figures.holds}


def test_an_ordinary_anchor_holds_nothing() -> None:
    assert figures_of().holds == ()


def test_limits_that_cross_hold_the_drilling_and_say_what_would_mend_it() -> None:
    figures = figures_of(more={"tools": {"pit": "auger", "pit_depth": 40}})
    (hold,) = figures.holds
    assert (hold.id, hold.steps) == ("no-window", ("drill",))
    assert "deeper" in hold.way_on
    assert "least_angle_deg" not in figures.limits


def test_an_aim_that_would_rise_holds() -> None:
    figures = figures_of(mark_depth=30, aim_depth=29, least_depth=20, drop=0)
    assert "not-downhill" in hold_ids(figures)


def test_another_rod_than_the_rule_of_thumbs_holds_both_tightenings() -> None:
    rod = {"rod": {"diameter": 0.875, "threads_per_inch": 9, "coupling_corners": 1.2}}
    tools = {"tools": {"pit": "auger", "pit_depth": 60, "hole_diameter": 1.5}}
    held = figures_of(more={**rod, **tools})
    assert hold_ids(held)["torque"] == ("first tightening", "second tightening")
    assert "torque" not in hold_ids(figures_of(more={**rod, **tools}, torque=80))


def test_the_offices_torque_of_the_day_releases_the_tightening(tmp_path: Path) -> None:
    rod = {"rod": {"diameter": 0.875, "threads_per_inch": 9, "coupling_corners": 1.2}}
    tools = {"tools": {"pit": "auger", "pit_depth": 60, "hole_diameter": 1.5}}
    with open_day(tmp_path, job_of(more={**rod, **tools}), figures=figures_for) as day:
        saved(aim_anew(day, "A-1", {"torque_lbf_ft": 85.0}, because="the office called"))
        figures = figures_for(day.state, "A-1")
        assert figures.torque is not None
        assert (figures.torque.torque_lbf_ft, figures.torque.source) == (85, "office")
        assert "torque" not in hold_ids(figures)


def test_a_coupling_wider_than_its_hole_holds_the_drive() -> None:
    figures = figures_of(more={"rod": {"coupling_corners": 1.3}})
    assert hold_ids(figures)["coupling-passes"] == ("drive",)


def line_of(**given_values: Any) -> dict[str, Any]:
    return {
        "lines": [
            {
                "name": "gas main",
                "kind": "gas",
                "wall": "north",
                "points": [[0, 90], [800, 90]],
                **given_values,
            }
        ]
    }


def test_a_line_of_unknown_depth_across_the_rod_holds_until_exposed(tmp_path: Path) -> None:
    with open_day(tmp_path, job_of(more=line_of()), figures=figures_for) as day:
        (hold,) = figures_for(day.state, "A-1").holds
        assert hold.steps == ("drive",)
        assert hold.override == "never"
        assert "Expose it there and type its depth" in hold.way_on
        saved(day.ground.expose_line("gas main", "14", anchor="A-1"))
        (watch,) = figures_for(day.state, "A-1").holds
        assert watch.release == "check"


def test_a_line_in_the_rods_band_holds_and_says_what_would_clear_it() -> None:
    figures = figures_of(more=line_of(depth=37))
    (hold,) = figures.holds
    assert "strike" in hold.text
    assert hold.way_on


def test_the_ground_over_a_line_is_the_anchors_own_fall() -> None:
    level, falling = (figures_of(more=line_of(depth=30), drop=drop) for drop in (0, 12))
    assert level.lines is not None
    assert falling.lines is not None
    near, far = (one.lines.lines[0].passing[0].rod_depth_in for one in (falling, level) if one.lines)
    assert near - far != 0


def test_a_pit_in_a_tolerance_zone_is_dug_by_hand_or_released_by_name(tmp_path: Path) -> None:
    near = line_of(points=[[0, 170], [800, 170]], depth=12)
    with open_day(tmp_path, job_of(more=near), figures=figures_for) as day:
        holds = [hold for hold in figures_for(day.state, "A-1").holds if hold.steps == ("pit",)]
        assert [hold.override for hold in holds] == ["with a name and reason"]
        saved(day.safety.override_hold(holds[0].id, "A-1", name="Invented Owner", reason="dug by hand"))
        assert "pit" not in [
            step for hold in day.standing_holds("A-1") for step in hold.steps if hold.held_by == "figures"
        ]
        # Another place is judged anew.
        saved(aim_anew(day, "A-1", {"setback_in": 156.0, "drop_in": 0.0}, because="moved"))
        assert any(hold.held_by == "figures" and hold.steps == ("pit",) for hold in day.standing_holds("A-1"))


def test_an_exposed_line_frees_the_pit(tmp_path: Path) -> None:
    near = line_of(points=[[0, 170], [800, 170]])
    with open_day(tmp_path, job_of(more=near), figures=figures_for) as day:
        assert ("pit",) in [hold.steps for hold in figures_for(day.state, "A-1").holds]
        saved(day.ground.expose_line("gas main", "10", anchor="A-1"))
        assert ("pit",) not in [hold.steps for hold in figures_for(day.state, "A-1").holds]


def test_a_pit_on_the_line_itself_stays_held_when_the_line_is_exposed(tmp_path: Path) -> None:
    with open_day(tmp_path, job_of(more=line_of(points=[[0, 150], [800, 150]])), figures=figures_for) as day:
        saved(day.ground.expose_line("gas main", "10", anchor="A-1"))
        (hold,) = [hold for hold in figures_for(day.state, "A-1").holds if hold.steps == ("pit",)]
        assert "elsewhere" in hold.way_on


def test_lines_that_cannot_be_judged_yet_are_said() -> None:
    figures = figures_of(more=line_of(), drop=None)
    assert any("cannot be judged" in words for words in figures.said["lines"])


# Drift.


def test_drift_is_read_from_rods_as_they_were_driven(tmp_path: Path) -> None:
    job = Job.model_validate(
        {
            **job_data(3, tools={"pit": "auger", "pit_depth": 60}),
            "walls": [WALL],
            "anchors": [
                {
                    "id": f"A-{n}",
                    "wall": "north",
                    "along": 60 * n,
                    "setback": 150,
                    "drop": 0,
                    "mark_depth": 28,
                    "aim_depth": 42,
                }
                for n in (1, 2, 3)
            ],
        }
    )
    with open_day(tmp_path, job, figures=figures_for) as day:
        clear_hazards(day)
        ran = math.degrees(math.atan2(12, 152))
        for anchor in ("A-1", "A-2"):
            saved(day.measure(anchor, "held-angle", "5.3", reason="rock there"))
            way = e.Way(kind="accept", words="accept it")
            saved(day.rods.take_way(anchor, depth_found_in=40, way=way, reason="rock there"))
        drift = figures_for(day.state, "A-3").drift
        # Normal prior N(0, 1), spread 0.5: mean = (sum / 0.25) / (1 + n / 0.25), by hand.
        mean = 2 * (ran - 5.3) / 0.25 / (1 + 2 / 0.25)
        assert drift.rods == 2
        assert drift.mean_deg == pytest.approx(mean)
        # A set-back measured later says nothing of where the rod ran then.
        saved(day.measure("A-1", "setback", "156", reason="rock there"))
        assert figures_for(day.state, "A-3").drift.mean_deg == pytest.approx(mean)
        before = figures_for(day.state, "A-3")
        assert before.held_angle_deg == pytest.approx(math.degrees(math.atan2(14, 152)))
        saved(day.aim.accept_drift("north", drift.mean_deg))
        after = figures_for(day.state, "A-3")
        assert after.held_angle_deg == pytest.approx(math.degrees(math.atan2(14, 152)) - mean)
        assert after.aim is not None
        assert after.aim.depth_in == 42
        assert drift_in_use_deg(after.inputs, after.drift) == pytest.approx(mean)


def test_a_rod_that_no_straight_one_can_have_run_tells_nothing_of_the_habit(tmp_path: Path) -> None:
    with open_day(tmp_path, job_of(mark_depth=28), figures=figures_for) as day:
        clear_hazards(day)
        saved(day.measure("A-1", "held-angle", "5.3", reason="rock there"))
        saved(day.measure("A-1", "depth-found", "33", reason="rock there"))
        drift = figures_for(day.state, "A-1").drift
    assert drift.rods == 0
    assert len(drift.left_out) == 1


def test_a_rod_searched_for_and_then_found_is_a_first_drive(tmp_path: Path) -> None:
    with open_day(tmp_path, job_of(mark_depth=28), figures=figures_for) as day:
        clear_hazards(day)
        way = e.Way(kind="search", words="search")
        saved(day.rods.take_way("A-1", depth_found_in=None, held_angle_deg=5.3, way=way, reason="rock there"))
        saved(day.measure("A-1", "held-angle", "5.3", reason="rock there"))
        saved(day.measure("A-1", "depth-found", "40", reason="rock there"))
        assert figures_for(day.state, "A-1").drift.rods == 1


# Whatever the anchor.

lengths = st.floats(1, 240)
anchors = st.fixed_dictionaries(
    {},
    optional={
        "setback": st.floats(1, 300),
        "mark_depth": st.floats(1, 120),
        "drop": st.floats(-60, 60),
        "bow": st.floats(-6, 6),
        "least_depth": lengths,
        "aim_depth": lengths,
        "torque": st.floats(1, 500),
        "free_room": lengths,
        "grade_to_top": st.floats(0, 40),
    },
)
tables = st.fixed_dictionaries(
    {
        "tools": st.fixed_dictionaries(
            {"pit": st.sampled_from(["auger", "hand"]), "pit_depth": st.floats(1, 120)},
            optional={
                "pit_along_rod": st.floats(1, 60),
                "pit_across": st.floats(1, 60),
                "hole_diameter": st.floats(0.3, 4),
                "hammer_length": st.floats(0, 60),
                "extension": st.floats(0, 24),
                "extension_angle": st.floats(-89, 89),
            },
        ),
        "ground": st.fixed_dictionaries({}, optional={"frost_depth": st.floats(0, 80)}),
        "stock": st.fixed_dictionaries(
            {
                "rods": st.lists(
                    st.fixed_dictionaries({"length": st.floats(6, 240), "count": st.integers(0, 5)}),
                    max_size=3,
                )
            }
        ),
        "lines": st.lists(
            st.fixed_dictionaries(
                {
                    "name": st.just("gas main"),
                    "kind": st.just("gas"),
                    "wall": st.just("north"),
                    "points": st.just([[0, 90], [800, 150]]),
                },
                optional={"depth": st.floats(0, 80)},
            ),
            max_size=1,
        ),
    }
)


@settings(max_examples=120, deadline=None)
@given(anchor=anchors, more=tables, metric=st.booleans())
def test_any_anchor_has_figures_and_a_missing_drop_is_always_said_and_held(
    anchor: dict[str, Any], more: dict[str, Any], metric: bool
) -> None:
    tables_given = {**more, "job": {"units": "metric" if metric else "imperial"}}
    job = job_of(more=tables_given, **{"drop": None, **anchor})
    figures = figures_for(state_of(job), "A-1")
    for limit in figures.limits.values():
        assert limit.value is not None
        assert math.isfinite(limit.value)
    for hold in figures.holds:
        assert hold.text
        assert hold.way_on
        assert len(hold.id) <= 64
    if anchor.get("drop") is None:
        assert figures.held_angle_deg is None
        assert any("shoot or tape" in words for words in figures.warnings)
    elif figures.window is not None and figures.window.open:
        assert figures.window.shallowest_in <= figures.window.greatest_in + 1e-6


def test_every_anchor_of_a_large_job_has_its_figures() -> None:
    state = state_of(make_job(200, walls=[{**WALL, "length": 3000}]))
    assert all(figures_for(state, ident).held_angle_deg is not None for ident in state.anchors)
