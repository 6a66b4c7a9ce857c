from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from crewtui.job.check.plan_findings import Finding, check_plan
from crewtui.job.file.load import load_job
from crewtui.job.file.model import Anchor, Job, LaterTightening, RuleOverride
from crewtui.job.file.rule_overrides import resolve
from crewtui.trade.ground.area import inside

SAMPLES = Path(__file__).parents[2] / "sample_jobs"
SQUARE = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))


def sound() -> Job:
    """Return a job with nothing wrong: the block sample with its fourth anchor nearer and its drop taken."""
    job = load_job(SAMPLES / "block-wall.toml")
    anchors = [changed(anchor, drop_in=anchor.drop_in or 7.5) for anchor in job.anchors]
    anchors[3] = changed(anchors[3], along_in=240.0)
    return job.model_copy(update={"anchors": tuple(anchors)})


def changed(part: Any, **values: Any) -> Any:
    return type(part).model_validate({**part.model_dump(), **values})


def with_anchor(**values: Any) -> Job:
    job = sound()
    first: Anchor = changed(job.anchors[0], **values)
    return job.model_copy(update={"anchors": (first, *job.anchors[1:])})


def with_part(name: str, **values: Any) -> Job:
    job = sound()
    return job.model_copy(update={name: changed(getattr(job, name), **values)})


def found(job: Job, *, now: datetime | None = None) -> tuple[Finding, ...]:
    return check_plan(job, resolve(job), now=now)


def only(job: Job, *, now: datetime | None = None) -> Finding:
    findings = found(job, now=now)
    assert len(findings) == 1, findings
    return findings[0]


def test_a_sound_plan_has_no_findings() -> None:
    assert found(sound()) == ()


def test_a_missing_drop_is_noted_and_asked_on_site() -> None:
    finding = only(with_anchor(drop_in=None))
    assert (finding.severity, finding.anchor) == ("remark", "N1")
    assert "never assumed" in finding.words


def test_anchors_too_far_apart_are_told_with_both_and_the_limit() -> None:
    job = sound()
    anchors = (*job.anchors[:3], changed(job.anchors[3], along_in=246.0), job.anchors[4])
    words = only(job.model_copy(update={"anchors": anchors})).words
    assert words.startswith("From N3 to N4 it is 74 in, more than 72 in")


def test_exactly_at_the_limit_is_enough() -> None:
    job = sound()
    anchors = (*job.anchors[:3], changed(job.anchors[3], along_in=244.0), job.anchors[4])
    assert found(job.model_copy(update={"anchors": anchors})) == ()


def test_a_corner_too_far_names_the_corner() -> None:
    assert "the start corner" in only(with_anchor(along_in=37.0)).words


def test_anchors_too_close_are_told() -> None:
    assert any("less than 36 in" in f.words for f in found(with_anchor(along_in=69.0)))


def test_too_few_anchors_for_the_wall_are_told() -> None:
    job = sound()
    few = found(job.model_copy(update={"anchors": job.anchors[:3]}))
    assert any("needs 5 or more" in finding.words for finding in few)


def test_an_anchor_off_its_wall_stops() -> None:
    findings = found(with_anchor(along_in=400.0))
    assert (findings[0].severity, findings[0].anchor) == ("stop", "N1")
    assert "not on the wall" in findings[0].words


def test_a_wall_without_anchors_is_noted() -> None:
    job = sound()
    walls = (*job.walls, changed(job.walls[0], name="south"))
    assert "has no anchors" in only(job.model_copy(update={"walls": walls})).words


def test_a_plate_over_an_opening_is_told_with_the_clear_places() -> None:
    job = sound()
    wall = changed(job.walls[0], openings=[{"name": "pipe", "start_in": 30, "end_in": 34}])
    words = only(job.model_copy(update={"walls": (wall,)})).words
    assert "pipe" in words
    assert "Clear places are at" in words


@pytest.mark.parametrize(("bed_in", "head_in"), [(0.3, 4.0), (4.0, 0.2), (4.0, 7.5)])
def test_a_mark_on_a_joint_or_a_web_is_told(bed_in: float, head_in: float) -> None:
    findings = found(with_anchor(bed_joint_in=bed_in, head_joint_in=head_in))
    assert {f.subject for f in findings} == {"mark"}


def test_joints_that_cannot_be_are_told_and_do_not_raise() -> None:
    findings = found(with_anchor(bed_joint_in=40.0, head_joint_in=4.0))
    assert findings[0].subject == "mark"


def test_joints_that_are_not_given_are_noted() -> None:
    assert only(with_anchor(bed_joint_in=None)).severity == "remark"


def test_heights_that_do_not_fit_are_told() -> None:
    job = sound()
    wall = changed(job.walls[0], base_to_grade_in=70.0)
    assert "do not fit" in only(job.model_copy(update={"walls": (wall,)})).words


def test_a_plan_shallower_than_its_own_least_stops() -> None:
    finding = only(with_anchor(least_depth_in=44.0, aim_depth_in=42.0))
    assert (finding.severity, finding.subject) == ("stop", "depth")


def test_a_set_back_that_only_another_unit_makes_likely_is_asked_back() -> None:
    assert "another unit" in only(with_anchor(setback_in=13.0)).words


def test_a_pit_that_meets_the_deck_stops() -> None:
    assert "deck" in only(with_anchor(obstacle="deck", obstacle_reach_in=149.5)).words
    assert found(with_anchor(obstacle="deck", obstacle_reach_in=149.0)) == ()


def test_a_mark_outside_the_band_is_told() -> None:
    assert "outside the company's band" in only(with_anchor(mark_depth_in=31.0)).words
    assert found(with_anchor(mark_depth_in=30.0)) == ()


def test_a_hole_smaller_than_the_rod_stops() -> None:
    findings = found(with_part("tools", hole_diameter_in=0.7))
    assert any("smaller than the rod" in f.words for f in findings)


# The ticket.


def test_no_ticket_stops() -> None:
    finding = only(sound().model_copy(update={"ticket": None}))
    assert (finding.severity, finding.subject) == ("stop", "ticket")


@pytest.mark.parametrize(
    ("day", "words"),
    [(date(2026, 10, 31), "after the day planned"), (date(2028, 1, 1), "before the day planned")],
)
def test_a_ticket_that_does_not_cover_the_day_stops(day: date, words: str) -> None:
    finding = only(with_part("job", date=day))
    assert finding.severity == "stop"
    assert words in finding.words


def test_first_and_last_day_of_the_ticket_count() -> None:
    for day in (date(2026, 11, 1), date(2027, 12, 31)):
        assert found(with_part("job", date=day)) == ()


def test_the_ticket_is_judged_by_the_moment_and_its_offset() -> None:
    ticket = sound().ticket
    assert ticket is not None
    second = timedelta(seconds=1)
    assert found(sound(), now=ticket.valid_to.astimezone(UTC)) == ()
    assert "ran out" in only(sound(), now=(ticket.valid_to + second).astimezone(UTC)).words
    assert only(sound(), now=ticket.valid_from - second).severity == "caution"
    assert found(sound(), now=ticket.valid_from) == ()


@pytest.mark.parametrize("response", ["not answered", "ongoing"])
def test_an_answer_that_is_not_in_stops(response: str) -> None:
    utilities = [{"name": "gas", "kind": "gas", "response": response}]
    finding = only(with_part("ticket", utilities=utilities))
    assert finding.severity == "stop"
    assert "gas" in finding.words


def test_a_ticket_without_utilities_or_area_is_told() -> None:
    assert only(with_part("ticket", utilities=())).severity == "caution"
    assert only(with_part("ticket", area={})).severity == "remark"


def test_a_pit_past_the_tickets_area_stops() -> None:
    area = {"north": [[-24, 0], [360, 0], [360, 162.9], [-24, 162.9]]}
    findings = found(with_part("ticket", area=area))
    assert {f.anchor for f in findings} == {"N1", "N2", "N3", "N4", "N5"}
    touching = {"north": [[-24, 0], [360, 0], [360, 163], [-24, 163]]}
    assert found(with_part("ticket", area=touching)) == ()


def test_a_pit_past_the_property_line_stops() -> None:
    job = sound().model_copy(update={"property_line": {"north": ((-60.0, 100.0), (420.0, 400.0))}})
    assert [(f.severity, f.anchor) for f in found(job)] == [("stop", "N1")]


@pytest.mark.parametrize(
    ("point", "answer"),
    [
        ((5.0, 5.0), True),
        ((0.0, 5.0), True),
        ((10.0, 10.0), True),
        ((10.1, 5.0), False),
        ((-1.0, 0.0), False),
    ],
)
def test_inside_counts_the_edge(point: tuple[float, float], *, answer: bool) -> None:
    assert inside(point, SQUARE) is answer


# What is missing, and rules.


@pytest.mark.parametrize("key", ["plan", "address", "competent_person"])
def test_what_the_office_left_out_of_the_card_is_told(key: str) -> None:
    assert only(with_part("job", **{key: ""})).subject in {"plan", "contacts"}


def test_no_contacts_no_frost_no_yield_are_told() -> None:
    assert only(sound().model_copy(update={"contacts": ()})).subject == "contacts"
    assert only(with_part("ground", frost_depth_in=None)).subject == "ground"
    assert only(with_part("rod", yield_ksi=None)).subject == "rod"


def test_fill_is_never_soil_of_type_a() -> None:
    assert "never A" in only(with_part("ground", soil_type="A")).words


def test_a_loosened_rule_is_said_with_both_figures_and_who_said_so() -> None:
    job = sound()
    rules = {**job.rules, "lift_greatest_in": RuleOverride(value=8.0, said_by="Office")}
    words = only(job.model_copy(update={"rules": rules})).words
    assert "8 in by Office, less strict than 6 in" in words


def test_the_worst_comes_first() -> None:
    job = with_anchor(drop_in=None, mark_depth_in=31.0).model_copy(update={"ticket": None})
    assert [finding.severity for finding in found(job)] == ["stop", "caution", "remark"]


@pytest.mark.parametrize("of_anchor", [None, 60.0, 80.0, 95.0])
@pytest.mark.parametrize("greatest", [59.0, 60.0, 79.9, 80.0, 94.0, 95.0])
def test_later_tightening_stops_at_no_less_than_the_torque_of_an_anchor(
    of_anchor: float | None, greatest: float
) -> None:
    job = with_anchor(torque_lbf_ft=of_anchor)
    later = {"said_by": "Sheet S-1 (invented)", "when": "each spring", "greatest_torque_lbf_ft": greatest}
    job = job.model_copy(update={"tightening": LaterTightening.model_validate(later)})
    said = {one.anchor: one for one in found(job) if one.subject == "torque"}
    targets = {one.id: one.torque_lbf_ft or 80.0 for one in job.anchors}
    assert set(said) == {ident for ident, target in targets.items() if target > greatest}
    assert all(one.severity == "stop" and "engineer" in one.words for one in said.values())


def two_walls() -> Job:
    """Return the sound job with an anchor round the corner, from where nothing in the yard is measured."""
    job = sound()
    east = changed(job.walls[0], name="east")
    return job.model_copy(
        update={
            "walls": (*job.walls, east),
            "anchors": (*job.anchors, changed(job.anchors[0], id="E1", wall="east")),
        }
    )


def test_what_is_measured_from_one_wall_cannot_be_judged_at_another_and_that_is_said() -> None:
    said = [one for one in found(two_walls()) if one.subject == "yard"]
    assert [one.severity for one in said] == ["caution"]
    (words,) = (one.words for one in said)
    assert words.startswith("Cannot be judged for the anchors at east:")
    job = two_walls()
    for line in job.lines:
        assert line.name in words
    for footing in job.footings:
        assert footing.name in words
    assert ("the property line" in words) is bool(job.property_line)


def test_a_wall_without_anchors_and_what_is_measured_from_it_too_are_not_asked_about() -> None:
    job = two_walls()
    without = job.model_copy(update={"anchors": job.anchors[:-1]})
    assert not [one for one in found(without) if one.subject == "yard"]
    edge = {wall.name: ((0.0, 400.0), (600.0, 400.0)) for wall in job.walls}
    both = job.model_copy(update={"property_line": edge, "lines": (), "footings": ()})
    assert not [one for one in found(both) if one.subject == "yard"]
