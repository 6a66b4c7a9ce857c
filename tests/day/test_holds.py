from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from day_help import (
    MORNING,
    Hands,
    asks_reason,
    clear_hazards,
    make_job,
    open_day,
    plain_figures,
    read_watch_marks,
    refused,
    saved,
    sign,
)
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.journal import entries as e
from crewtui.day.safety.hazard_rows import hazard_rows, questions
from crewtui.day.safety.holds import RENEWED_AFTER_RAIN, RENEWED_DAILY
from crewtui.day.session.day import Day
from crewtui.day.state.conditions import CONDITIONS, applies
from crewtui.day.steps.hand_over import hand_over
from crewtui.day.steps.outcomes import NeedsReason, Refused, Saved
from crewtui.job.tables import hazards, steps


def held_by(day: Day, step: str, anchor: str | None = "A-1") -> set[str]:
    return {hold.id for hold in day.holds_on(step, anchor)}


def sign_all_but(day: Day, *left: str) -> None:
    for hazard in day.hazards:
        for anchor in (None,) if hazard.scope == "job" else tuple(day.state.anchors):
            if hazard.id not in left:
                sign(day, hazard, anchor)


# The data files.


def test_every_condition_that_a_step_or_a_hazard_names_exists() -> None:
    named = {name for item in (*steps.load(), *hazards.load()) for name in item.conditions}
    assert named <= CONDITIONS.keys()


def test_every_hazard_that_is_renewed_exists() -> None:
    assert {hazard.id for hazard in hazards.load()} >= RENEWED_DAILY
    assert RENEWED_DAILY >= RENEWED_AFTER_RAIN


def test_what_a_hazard_holds_is_a_phase_or_a_step() -> None:
    known = {step.id for step in steps.load()} | {step.phase for step in steps.load()}
    assert {name for hazard in hazards.load() for name in hazard.holds} <= known


# Depths: strict and inclusive limits, each on its boundary.


@pytest.mark.parametrize(
    ("depth", "on"),
    [
        ("47", set()),
        ("48", {"way-out"}),
        ("49", {"way-out", "air"}),
        ("59", {"way-out", "air"}),
        ("60", {"way-out", "air", "protection"}),
        ("71", {"way-out", "air", "protection"}),
        ("72", {"way-out", "air", "protection", "edge-guard"}),
    ],
)
def test_a_pit_s_depth_switches_on_what_the_rules_say(tmp_path: Path, depth: str, on: set[str]) -> None:
    day = open_day(tmp_path)
    sign_all_but(day, "way-out", "air", "protection", "edge-guard")
    saved(day.measure("A-1", "pit-depth", depth, reason="as it came"))
    assert held_by(day, "pit-size") == on
    saved(day.safety.answer_pit_entry("A-1", somebody=True))
    assert held_by(day, "pit-size") == on
    saved(day.safety.answer_pit_entry("A-1", somebody=False))
    assert held_by(day, "pit-size") == on & {"edge-guard"}, "nobody goes in: only the edge's guard stays"


def test_inches_and_millimeters_switch_at_the_same_depth(tmp_path: Path) -> None:
    day = open_day(tmp_path, make_job(job={"units": "metric"}))
    sign_all_but(day, "way-out", "air")
    saved(day.measure("A-1", "pit-depth", "1219.2", reason="as it came"))
    assert held_by(day, "pit-size") == {"way-out"}


def test_the_planned_depth_counts_until_the_pit_is_measured(tmp_path: Path) -> None:
    day = open_day(tmp_path, make_job(tools={"pit_depth": 72}))
    assert applies(("pit 6 ft or more",), day.state, "A-1")
    saved(day.measure("A-1", "pit-depth", "50", reason="as it came"))
    assert not applies(("pit 6 ft or more",), day.state, "A-1")
    assert applies(("pit 6 ft or more",), day.state, None), "some other pit still is to be"


def test_bad_air_is_asked_once_and_unanswered_is_yes(tmp_path: Path) -> None:
    day = open_day(tmp_path)
    sign_all_but(day, "air")
    assert held_by(day, "pit-size") == {"air"}
    saved(day.safety.answer_fact("bad air expected", answer=False))
    assert held_by(day, "pit-size") == set()
    assert isinstance(day.safety.answer_fact("good air", answer=True), Refused)
    answers = {item.fact: item.answer for item in questions(day.state)}
    assert answers["bad air expected"] is False
    assert "private lines" not in answers, "it is a step of the morning, asked by kind"
    assert {item.fact for item in questions(day.state) if item.seen} == {
        "sign of cave-in",
        "water in the pit",
        "loose fill found",
    }


def test_a_sign_of_cave_in_holds_at_any_depth(tmp_path: Path) -> None:
    day = open_day(tmp_path)
    sign_all_but(day, "cave-in-seen")
    saved(day.safety.answer_fact("bad air expected", answer=False))
    saved(day.measure("A-1", "pit-depth", "40", reason="as it came"))
    assert held_by(day, "pit-size") == set()
    saved(
        day.safety.answer_hazard("no-cave-in-sign", in_place=False, initials="Invented Person", anchor="A-1")
    )
    assert held_by(day, "pit-size") == {"no-cave-in-sign", "cave-in-seen"}
    assert held_by(day, "pit-size", "A-2") == set()


@pytest.mark.parametrize(("out", "bottom", "held"), [(150, 20, True), (150, 60, False), (400, 20, False)])
def test_a_pit_below_a_footing_close_by_is_held(
    tmp_path: Path, out: float, bottom: float, held: bool
) -> None:
    footing = {"name": "deck", "wall": "north", "along": 90, "out": out, "bottom_depth": bottom}
    day = open_day(tmp_path, make_job(footings=[footing]))
    sign_all_but(day, "near-footing")
    assert ("near-footing" in held_by(day, "pit-depth")) == held


def test_a_bow_past_the_company_s_limit_holds_the_drilling(tmp_path: Path) -> None:
    job = make_job(rules={"shore_bow_in": {"value": 2.0, "said_by": "Invented Engineer"}})
    anchors = (job.anchors[0].model_copy(update={"bow_in": 2.5}), *job.anchors[1:])
    day = open_day(tmp_path, job.model_copy(update={"anchors": anchors}))
    sign_all_but(day, "shoring")
    assert held_by(day, "drilled-angle") == {"shoring"}
    assert held_by(day, "drilled-angle", "A-2") == set()
    saved(day.safety.release_hold("shoring", "A-1", initials="Invented Person"))
    assert held_by(day, "drilled-angle") == set()


# The ticket.


@pytest.mark.parametrize(
    ("ticket", "hold"),
    [
        (None, "ticket-missing"),
        ({"valid_to": datetime(2026, 5, 4, 11, 59, tzinfo=UTC)}, "ticket-expired"),
        ({"valid_from": datetime(2026, 5, 4, 12, 1, tzinfo=UTC)}, "ticket-early"),
        ({"utilities": []}, "ticket-utilities"),
        ({"utilities": [{"name": "Gas", "response": "ongoing"}]}, "ticket-responses"),
    ],
)
def test_a_ticket_that_does_not_hold_good_holds_digging_and_driving(
    tmp_path: Path, ticket: Any, hold: str
) -> None:
    day = open_day(tmp_path, make_job(ticket=ticket))
    clear_hazards(day)
    read_watch_marks(day)
    for step in day.steps_of("anchor"):
        digs = step.phase in {"pit", "drive"} and not step.makes_safe
        assert held_by(day, step.id) == ({hold} if digs else set()), step.id
    assert isinstance(day.safety.override_hold(hold, "A-1", name="x", reason="rock there"), Refused)
    assert isinstance(day.safety.release_hold(hold, "A-1", initials="x"), Refused)


def test_a_ticket_is_good_to_the_minute_in_any_time_zone(tmp_path: Path) -> None:
    clock = Hands()
    day = open_day(tmp_path, make_job(ticket={"valid_to": datetime(2026, 5, 4, 12, tzinfo=UTC)}), clock=clock)
    clear_hazards(day)
    assert held_by(day, "sod") == set(), "07:00 at five hours behind is the last moment"
    assert next(row for row in day.rows("A-1") if row.id == "sod").mark == "open"
    clock.on(minutes=1)
    assert held_by(day, "sod") == {"ticket-expired"}
    row = next(row for row in day.rows("A-1") if row.id == "sod")
    assert row.mark == "held"
    assert "expired on 2026-05-04 07:00" in row.hold


def test_what_was_dug_while_the_ticket_was_good_is_in_order_when_entered_later(tmp_path: Path) -> None:
    clock = Hands()
    day = open_day(tmp_path, make_job(ticket={"valid_to": datetime(2026, 5, 4, 14, tzinfo=UTC)}), clock=clock)
    clear_hazards(day)
    clock.on(hours=4)
    asks_reason(day.answer("A-1", "sod"))
    saved(day.answer("A-1", "sod", done_at=MORNING + timedelta(hours=1)))
    assert day.state.deviations == ()


def test_what_was_done_before_a_hazard_was_signed_is_held_when_entered_later(tmp_path: Path) -> None:
    clock = Hands()
    day = open_day(tmp_path, clock=clock)
    clock.on(hours=4)
    clear_hazards(day)
    saved(day.answer("A-1", "sod"))
    asked = asks_reason(day.answer("A-2", "sod", done_at=MORNING + timedelta(hours=1)))
    assert "ppe" in {hold.id for hold in asked.holds}
    for hold in asked.holds:
        at = MORNING + timedelta(minutes=30)
        saved(day.safety.answer_hazard(hold.id, in_place=True, initials="IL", anchor=hold.anchor, done_at=at))
    saved(day.answer("A-2", "sod", done_at=MORNING + timedelta(hours=1)))


# The drop.


def test_a_drop_that_nobody_gave_holds_drilling_and_driving(tmp_path: Path) -> None:
    job = make_job()
    anchors = (job.anchors[0].model_copy(update={"drop_in": None}), *job.anchors[1:])
    day = open_day(tmp_path, job.model_copy(update={"anchors": anchors}))
    clear_hazards(day)
    assert held_by(day, "drilled-angle") == {"drop-unknown"}
    assert held_by(day, "pit-depth") == set()
    saved(day.measure("A-1", "drop", "0"))
    assert held_by(day, "drilled-angle") == set()
    saved(day.site.move_anchor("A-2", {"setback_in": 170}, reason="root"))
    assert held_by(day, "drilled-angle", "A-2") == {"drop-unknown"}


def test_a_yard_that_is_a_plane_has_a_drop_everywhere(tmp_path: Path) -> None:
    job = make_job()
    anchors = (job.anchors[0].model_copy(update={"drop_in": None, "yard_slope": 0.05}), *job.anchors[1:])
    day = open_day(tmp_path, job.model_copy(update={"anchors": anchors}))
    clear_hazards(day)
    saved(day.site.move_anchor("A-1", {"setback_in": 170}, reason="root"))
    assert held_by(day, "drilled-angle") == set()


# Releasing, renewing, setting aside.


def test_a_release_is_signed_can_be_taken_back_and_is_nobody_s_default(tmp_path: Path) -> None:
    day = open_day(tmp_path)
    assert "ppe" in held_by(day, "sod")
    assert "initials" in refused(day.safety.release_hold("ppe", "A-1", initials="  "))
    saved(day.safety.release_hold("ppe", "A-1", initials="IL"))
    assert "ppe" not in held_by(day, "sod", "A-3")
    row = next(item for item in hazard_rows(day.state, day.hazards, None) if item.id == "ppe")
    assert (row.mark, row.who, row.at) == ("in place", "IL", MORNING)
    saved(day.take_back())
    assert "ppe" in held_by(day, "sod")
    assert "holds nothing here" in refused(day.safety.release_hold("nonsense", "A-1", initials="IL"))


def test_an_override_is_possible_only_where_the_rule_lets_it_and_is_a_deviation(tmp_path: Path) -> None:
    day = open_day(tmp_path)
    assert "never set aside" in refused(day.safety.override_hold("ppe", "A-1", name="x", reason="rock there"))
    assert "Who allowed" in refused(
        day.safety.override_hold("owners-side", "A-1", name="", reason="rock there")
    )
    assert "Why" in refused(day.safety.override_hold("owners-side", "A-1", name="x", reason=""))
    saved(day.safety.override_hold("owners-side", "A-1", name="Invented Lead", reason="house stands empty"))
    assert "owners-side" not in held_by(day, "sod", "A-2")
    assert [item.kind for item in day.state.deviations] == ["override"]
    row = next(item for item in hazard_rows(day.state, day.hazards, "A-1") if item.id == "owners-side")
    assert row.mark == "set aside"


def test_rain_reopens_the_inspection_of_open_pits_only(tmp_path: Path) -> None:
    day = open_day(tmp_path)
    clear_hazards(day)
    for anchor in ("A-1", "A-2"):
        saved(day.safety.answer_pit_entry(anchor, somebody=True))
    saved(day.answer("A-1", "sod"))
    before = held_by(day, "pit-size", "A-1")
    saved(day.safety.reopen_inspection("rain"))
    assert held_by(day, "pit-size", "A-1") == before | {"inspection", "no-cave-in-sign"}
    assert held_by(day, "pit-size", "A-2") == set()
    saved(day.safety.release_hold("inspection", "A-1", initials="Invented Person"))
    saved(day.safety.release_hold("no-cave-in-sign", "A-1", initials="Invented Person"))
    assert held_by(day, "pit-size", "A-1") == before


def test_the_inspection_is_of_its_day(tmp_path: Path) -> None:
    clock = Hands()
    with open_day(tmp_path, clock=clock) as day:
        clear_hazards(day)
        saved(day.safety.answer_pit_entry("A-1", somebody=True))
        assert held_by(day, "pit-size") == set()
    clock.on(hours=3)
    with open_day(tmp_path, clock=clock) as day:
        assert held_by(day, "pit-size") == set(), "opened again on the same day"
    clock.on(days=1)
    with open_day(tmp_path, clock=clock) as day:
        assert {"inspection", "no-cave-in-sign"} <= held_by(day, "pit-size")
        assert "covers-at-hand" not in held_by(day, "pit-size")
        yesterday = MORNING + timedelta(hours=2)
        saved(day.answer("A-1", "sod", done_at=yesterday))


def test_a_hazard_that_does_not_apply_says_so(tmp_path: Path) -> None:
    day = open_day(tmp_path)
    rows = {item.id: item.mark for item in hazard_rows(day.state, day.hazards, "A-1")}
    assert rows["edge-guard"] == "does not apply"
    assert rows["ppe"] == "open"
    assert rows["lifting"] == "warning"
    saved(day.safety.answer_hazard("ppe", in_place=False, initials="IL"))
    rows = {item.id: item.mark for item in hazard_rows(day.state, day.hazards, "A-1")}
    assert rows["ppe"] == "not in place"
    assert "ppe" in held_by(day, "sod")
    assert "at an anchor" in refused(day.safety.answer_hazard("edge-guard", in_place=True, initials="IL"))


# Truth and safety.


def test_what_was_done_while_held_is_entered_with_a_reason_and_is_a_deviation(tmp_path: Path) -> None:
    day = open_day(tmp_path)
    asked = asks_reason(day.answer("A-1", "sod"))
    assert asked.sentence.startswith("Held: ")
    entry = saved(day.answer("A-1", "sod", reason="was cut before we came")).entry
    assert isinstance(entry, e.StepDone)
    assert set(entry.while_held) == {hold.id for hold in asked.holds}
    assert {item.kind for item in day.state.deviations} == {"while held"}
    assert next(row for row in day.rows("A-1") if row.id == "sod").mark == "deviation"


def test_nothing_ever_holds_what_makes_safe_even_at_a_dropped_anchor(tmp_path: Path) -> None:
    day = open_day(tmp_path, make_job(ticket=None))
    saved(day.answer("A-1", "sod", reason="was cut"))
    saved(day.site.drop_anchor("A-1", reason="rock"))
    assert hand_over(day.state, day.clock()).open_pits == ("A-1",)
    for step in day.steps:
        if not step.makes_safe:
            continue
        anchor = "A-1" if step.scope == "anchor" else None
        assert day.holds_on(step.id, anchor) == ()
        text = "8" if step.measure == "count" else "0"
        outcome = (
            day.measure(anchor, step.id, text)
            if step.kind == "value"
            else day.answer(anchor, step.id, step.choices[0] if step.choices else "yes")
        )
        assert isinstance(outcome, Saved), (step.id, outcome)
    assert "A-1" not in hand_over(day.state, day.clock()).open_pits


ANSWERS = {"value": "50", "check": "yes", "text": "Invented Person"}


Draw = Callable[[st.SearchStrategy[Any]], Any]


def _sign_all(day: Day, _draw: Draw, anchor: str) -> None:
    for hold in day.standing_holds(anchor):
        if hold.release != "fact":
            day.safety.release_hold(hold.id, anchor, initials="IL")


def _answer_a_hazard(day: Day, draw: Draw, anchor: str) -> None:
    hazard = draw(st.sampled_from(day.hazards))
    day.safety.answer_hazard(hazard.id, in_place=draw(st.booleans()), initials="IL", anchor=anchor)


def _drive(day: Day, draw: Draw, anchor: str) -> None:
    way = e.Way(kind=draw(st.sampled_from(["search", "deepen", "re-drill"])), words="x")
    day.rods.take_way(anchor, depth_found_in=None, held_angle_deg=5, way=way, reason="rock there")


def _move(day: Day, draw: Draw, anchor: str) -> None:
    out_in = draw(st.sampled_from([144.0, 150.0, 170.0]))
    day.site.move_anchor(anchor, {"setback_in": out_in, "drop_in": 7.0}, reason="rock there")


def _step(day: Day, draw: Draw, anchor: str) -> None:
    _enter_and_judge(day, draw(st.sampled_from(day.steps_of("anchor"))), anchor)


ACTS: tuple[Callable[[Day, Draw, str], object], ...] = (
    _step,
    _step,
    _step,
    _sign_all,
    _answer_a_hazard,
    _drive,
    _move,
    lambda day, draw, anchor: day.safety.answer_pit_entry(anchor, somebody=draw(st.booleans())),
    lambda day, draw, _: day.safety.answer_fact("bad air expected", answer=draw(st.booleans())),
    lambda day, _draw, _: day.safety.reopen_inspection("rain"),
    lambda day, _draw, _: day.safety.marks_faded(),
    lambda day, _draw, _: day.take_back(),
    lambda day, draw, anchor: day.measure(
        anchor, "watch-mark", draw(st.sampled_from(["0", "1/8", "1/2"])), reason="rock there"
    ),
    lambda day, _draw, anchor: day.answer(anchor, "core", "core with loose fill in it", reason="rock there"),
    lambda day, draw, _: day.safety.enter_exposure(
        "chipping hammer", draw(st.sampled_from(["10 min", "5 h"]))
    ),
    lambda day, draw, _: day.safety.judge_soil(
        draw(st.sampled_from(["rock", "A", "C"])), name="x", undisturbed=draw(st.booleans())
    ),
)
"""What may happen on a day, in any order."""


@given(data=st.data())
@settings(max_examples=50, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_in_no_reachable_state_is_a_held_step_done_in_order_or_making_safe_blocked(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    draw = data.draw
    yard = [(0, 0), (1400, 0), (1400, 160), (0, 160)]
    ticket = draw(st.sampled_from([None, {}, {"utilities": []}, {"area": {"north": yard}}]))
    tables = {
        "tools": {"pit_depth": draw(st.sampled_from([47, 48, 49, 59, 60, 72]))},
        "ground": {"soil_type": draw(st.sampled_from(["rock", "B", "C", None]))},
        "property_line": {"north": [(0, 165), (1400, 165)]},
    }
    figures = draw(st.sampled_from([plain_figures, figures_for]))
    folder = tmp_path_factory.mktemp("reach")
    with open_day(folder, make_job(2, ticket=ticket, **tables), figures=figures) as day:
        for _ in range(draw(st.integers(4, 16))):
            draw(st.sampled_from(ACTS))(day, draw, draw(st.sampled_from(["A-1", "A-2"])))
            if draw(st.booleans()):
                day.take_back(draw(st.integers(1, day.state.last_n)))
        assert day.state.shared.unplaced == (), "no intent saves what is then left out"
        for step, anchor in product(day.steps_of("anchor"), ("A-1", "A-2")):
            if step.makes_safe:
                assert day.holds_on(step.id, anchor) == ()
                assert isinstance(_enter(day, step, anchor, reason="rock there"), Saved)


def _enter(day: Day, step: steps.StepDef, anchor: str, *, reason: str) -> Any:
    if step.kind == "value":
        text = "5" if step.measure in {"angle", "count"} else "40 in" if step.measure == "length" else "80"
        if step.quantity == "watch_moved_in":
            text = "0"
        if step.quantity in {"side_offset_in", "pull_in_in", "second_pull_in_in", "bow_after_in", "drop_in"}:
            text = "1 in"
        then = step.then[0] if step.then else ""
        return day.measure(anchor, step.id, text, then=then, reason=reason, sure=True)
    return day.answer(anchor, step.id, step.choices[0] if step.choices else "yes", reason=reason)


def _enter_and_judge(day: Day, step: steps.StepDef, anchor: str) -> None:
    holds = day.holds_on(step.id, anchor)
    plain = _enter(day, step, anchor, reason="")
    if holds:
        assert isinstance(plain, NeedsReason)
        assert plain.holds == holds
        plain = _enter(day, step, anchor, reason="done all the same")
        assert isinstance(plain, Saved)
        assert getattr(plain.entry, "while_held", ()) == tuple(hold.id for hold in holds)
        assert any(item.n == plain.entry.n and item.kind == "while held" for item in day.state.deviations)
    elif isinstance(plain, Saved):
        assert getattr(plain.entry, "while_held", ()) == ()
