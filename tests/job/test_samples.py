"""The sample jobs can be played: each anchor has a window, a rod that goes in, and a torque not held."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from crewtui.job.check.plan_findings import check_plan
from crewtui.job.file.load import load_job
from crewtui.job.file.model import Anchor, Job
from crewtui.job.file.rule_overrides import resolve
from crewtui.job.tables.rules import Rules
from crewtui.trade.aim.rod_line import Section, angle_for_deg
from crewtui.trade.aim.window import LeastDepth, best_aim, greatest_depth_in, least_depth, window
from crewtui.trade.ground.lines import Line, PitPlan, judge_pit
from crewtui.trade.ground.wedges import check_wedges
from crewtui.trade.rod.make_up import plan_rod
from crewtui.trade.rod.rod_inputs import RodInputs
from crewtui.trade.rod.rod_plan import RodPlan
from crewtui.trade.tightening.tension import check_tension
from crewtui.trade.tightening.torque import setting, target

SAMPLES = Path(__file__).parents[2] / "sample_jobs"
NAMES = ("block-wall", "poured-deep-frost-metric", "clay-tile-tight")
DROP_FOUND_IN = 7.5
"""What the lead would find where the plan gives no drop."""


def load(name: str) -> tuple[Job, Rules]:
    job = load_job(SAMPLES / f"{name}.toml")
    return job, resolve(job)


def each_anchor() -> Iterator[object]:
    for name in NAMES:
        for anchor in load(name)[0].anchors:
            yield pytest.param(name, anchor.id, id=f"{name}-{anchor.id}")


every_anchor = pytest.mark.parametrize(("name", "ident"), tuple(each_anchor()))
every_job = pytest.mark.parametrize("name", NAMES)


def seat_of(job: Job, rules: Rules, anchor: Anchor) -> float:
    along_in = job.tools.pit_along_rod_in or rules.number("pit_auger_in")
    return (anchor.setback_in or rules.number("setback_in")) - along_in / 2


def drop_of(anchor: Anchor, seat_in: float) -> float:
    if anchor.drop_in is not None:
        return anchor.drop_in
    return anchor.yard_slope * seat_in if anchor.yard_slope is not None else DROP_FOUND_IN


def section_of(job: Job, rules: Rules, anchor: Anchor) -> Section:
    seat_in = seat_of(job, rules, anchor)
    assert anchor.mark_depth_in is not None
    return Section(
        mark_depth_in=anchor.mark_depth_in,
        way_in=job.wall(anchor.wall).thickness_in + anchor.bow_in,
        seat_in=seat_in,
        drop_in=drop_of(anchor, seat_in),
    )


def least_of(job: Job, rules: Rules, anchor: Anchor) -> LeastDepth:
    assert anchor.plate is not None
    return least_depth(
        plan_in=anchor.least_depth_in,
        company_in=rules.number("least_plate_depth_in"),
        frost_in=job.ground.frost_depth_in,
        plate_height_in=anchor.plate.height_in,
        frost_to="plate top edge" if rules.text("frost_to") == "plate top edge" else "rod",
    )


def greatest_of(job: Job, rules: Rules, anchor: Anchor) -> float:
    assert anchor.plate is not None
    return greatest_depth_in(
        pit_depth_of(job, rules),
        plate_height_in=anchor.plate.height_in,
        wrench_room_in=rules.number("wrench_room_in"),
    )


def aim_of(job: Job, rules: Rules, anchor: Anchor) -> float:
    """Return the plan's or the company's aim, else the depth at the middle of the window's angles."""
    named = anchor.aim_depth_in or rules.number_or_none("aim_depth_in")
    if named is not None:
        return named
    section = section_of(job, rules, anchor)
    limits_in = (least_of(job, rules, anchor).value_in, greatest_of(job, rules, anchor))
    angles = [math.atan2(one - section.mark_depth_in + section.drop_in, section.run_in) for one in limits_in]
    return section.mark_depth_in - section.drop_in + section.run_in * math.tan(sum(angles) / 2)


def pit_depth_of(job: Job, rules: Rules) -> float:
    return job.tools.pit_depth_in or rules.number("pit_depth_in")


def rod_of(job: Job, rules: Rules, anchor: Anchor) -> RodPlan:
    section, rod = section_of(job, rules, anchor), job.rod
    assert rod.plate_thickness_in and rod.wall_plate_thickness_in and rod.washer_thickness_in  # noqa: PT018 - one thing
    assert rod.nut_height_in
    return plan_rod(
        RodInputs(
            seat_in=section.seat_in,
            way_in=section.way_in,
            angle_deg=angle_for_deg(section, aim_of(job, rules, anchor)),
            plate_thickness_in=rod.plate_thickness_in,
            nut_height_in=rod.nut_height_in,
            threads_showing=rules.number("threads_past_nut"),
            threads_per_in=rod.threads_per_in,
            wall_plate_thickness_in=rod.wall_plate_thickness_in,
            washer_thickness_in=rod.washer_thickness_in,
            take_up_in=rules.number("take_up_in"),
            stock_lengths_in=tuple(stock.length_in for stock in job.stock.rods),
            rod_diameter_in=rod.diameter_in,
            coupling_length_in=rod.coupling_length_in,
            coupling_corners_in=rod.coupling_corners_in,
            hole_diameter_in=job.tools.hole_diameter_in or rules.number("hole_diameter_in"),
            wall_thickness_in=job.wall(anchor.wall).thickness_in,
            sleeve_inside_in=job.tools.sleeve_inside_in,
            free_room_in=anchor.free_room_in,
            hammer_length_in=job.tools.hammer_length_in,
            piece_least_in=rules.number("rod_piece_least_in"),
        )
    )


@every_job
def test_a_sample_says_that_it_is_invented_and_names_no_real_number(name: str) -> None:
    text = (SAMPLES / f"{name}.toml").read_text(encoding="utf-8")
    assert "Invented." in text.splitlines()[0]
    phones = re.findall(r'phone = "(.*)"', text)
    assert phones
    assert all(re.fullmatch(r"555-01\d\d", phone) for phone in phones)


@every_job
def test_a_sample_stays_in_date(name: str) -> None:
    job, _ = load(name)
    assert job.ticket is not None
    assert job.ticket.valid_from.date() <= job.job.date
    assert job.ticket.valid_to.date() >= date(2027, 12, 31)


@pytest.mark.parametrize(
    ("name", "subject", "anchor"),
    [
        ("block-wall", "layout", "N3"),
        ("clay-tile-tight", "layout", "W4"),
    ],
)
def test_a_sample_has_one_thing_to_find(name: str, subject: str, anchor: str | None) -> None:
    job, rules = load(name)
    findings = check_plan(job, rules, now=datetime(2027, 3, 1, tzinfo=UTC))
    assert [(f.subject, f.anchor) for f in findings if f.severity != "remark"] == [(subject, anchor)]


@every_anchor
def test_every_anchor_has_a_window_that_its_aim_lies_in(name: str, ident: str) -> None:
    job, rules = load(name)
    anchor = job.anchor(ident)
    assert anchor.plate is not None
    greatest_in = greatest_depth_in(
        pit_depth_of(job, rules),
        plate_height_in=anchor.plate.height_in,
        wrench_room_in=rules.number("wrench_room_in"),
    )
    found = window(
        section_of(job, rules, anchor),
        least_in=least_of(job, rules, anchor).value_in,
        aim_in=aim_of(job, rules, anchor),
        greatest_in=greatest_in,
    )
    assert found.open, found.refused
    assert found.shallowest_in < found.aim_in < found.greatest_in
    best = best_aim(found)
    assert best is not None
    assert best.share > 0.5


@every_anchor
def test_every_rod_goes_in_with_the_pieces_on_the_truck(name: str, ident: str) -> None:
    job, rules = load(name)
    plan = rod_of(job, rules, job.anchor(ident))
    assert plan.warnings == ()
    assert all(piece.fits for piece in plan.pieces)
    assert all(joint.clear for joint in plan.joints)


def test_the_tight_basement_needs_short_pieces() -> None:
    job, rules = load("clay-tile-tight")
    for anchor in job.anchors:
        plan = rod_of(job, rules, anchor)
        assert len(plan.pieces) >= 4
        assert max(piece.length_in for piece in plan.pieces[1:]) <= 44


@every_job
def test_the_truck_holds_the_couplings_and_the_rod(name: str) -> None:
    job, rules = load(name)
    plans = [rod_of(job, rules, anchor) for anchor in job.anchors]
    assert job.stock.couplings is not None
    assert sum(len(plan.pieces) - 1 for plan in plans) <= job.stock.couplings
    there_in = math.fsum(stock.length_in * stock.count for stock in job.stock.rods)
    assert math.fsum(plan.needed_in for plan in plans) < there_in


@every_anchor
def test_no_torque_is_held_and_the_wrench_suits_it(name: str, ident: str) -> None:
    job, _ = load(name)
    anchor = job.anchor(ident)
    aim = target(
        job.wall(anchor.wall).type, rod_diameter_in=job.rod.diameter_in, plan_lbf_ft=anchor.torque_lbf_ft
    )
    assert (
        check_tension(aim, threads_per_in=job.rod.threads_per_in, yield_ksi=job.rod.yield_ksi).verdict == "ok"
    )
    tools = job.tools
    assert tools.wrench_length_in is not None
    assert setting(
        aim.torque_lbf_ft,
        wrench_length_in=tools.wrench_length_in,
        extension_in=tools.extension_in or 0.0,
        wrench_least_lbf_ft=tools.wrench_least_lbf_ft,
        wrench_greatest_lbf_ft=tools.wrench_greatest_lbf_ft,
    ).suits


@every_anchor
def test_every_plate_stands_clear_of_the_soil_wedges(name: str, ident: str) -> None:
    job, rules = load(name)
    anchor = job.anchor(ident)
    wall, seat_in = job.wall(anchor.wall), seat_of(job, rules, anchor)
    assert wall.base_to_grade_in is not None
    assert anchor.plate is not None
    assert check_wedges(
        seat_in,
        base_to_grade_in=wall.base_to_grade_in,
        plate_base_depth_in=aim_of(job, rules, anchor) + anchor.plate.height_in / 2,
        friction_angle_deg=job.ground.friction_angle_deg or rules.number("friction_angle_deg"),
        fall=drop_of(anchor, seat_in) / seat_in,
    ).clear


@every_anchor
def test_no_pit_lies_in_the_zone_of_a_line(name: str, ident: str) -> None:
    job, rules = load(name)
    anchor = job.anchor(ident)
    along_in = job.tools.pit_along_rod_in or rules.number("pit_auger_in")
    pit = PitPlan(
        along_in=anchor.along_in,
        setback_in=anchor.setback_in or rules.number("setback_in"),
        along_rod_in=along_in,
        across_in=job.tools.pit_across_in or along_in,
        round=job.tools.pit == "auger",
    )
    for line in job.lines:
        known = Line(name=line.name, kind=line.kind, points=line.points, width_in=line.width_in)
        assert not judge_pit(known, pit).in_zone


def test_the_block_sample_has_a_gas_line_of_unknown_depth_that_crosses_one_rod_only() -> None:
    job, rules = load("block-wall")
    gas = next(line for line in job.lines if line.kind == "gas")
    assert gas.depth_in is None
    (x1, y1), (x2, y2) = gas.points
    crossed = [
        anchor.id
        for anchor in job.anchors
        if min(x1, x2) <= anchor.along_in <= max(x1, x2)
        and y1 + (anchor.along_in - x1) * (y2 - y1) / (x2 - x1) <= seat_of(job, rules, anchor)
    ]
    assert crossed == ["N4"]


def test_the_block_sample_leaves_one_drop_to_be_asked() -> None:
    job, _ = load("block-wall")
    assert [a.id for a in job.anchors if a.drop_in is None and a.yard_slope is None] == ["N3"]


def test_the_metric_sample_has_deep_frost_a_deck_and_a_set_back_past_it() -> None:
    job, _ = load("poured-deep-frost-metric")
    assert job.job.units == "metric"
    assert job.ground.frost_depth_in == pytest.approx(1200 / 25.4)
    for anchor in job.anchors:
        assert anchor.obstacle == "deck"
        assert anchor.setback_in is not None
        assert anchor.setback_in > 144


@every_job
def test_the_samples_differ_from_the_rules_of_thumb(name: str) -> None:
    job, _ = load(name)
    assert all(stock.length_in != 80 for stock in job.stock.rods)
    assert job.tools.pit_depth_in != 50
