"""Holds through a whole day: each on its boundary, met where it is right, released by what its rule asks."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
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
    read_watch_marks,
    refused,
    saved,
)

from crewtui.day.journal import entries as e
from crewtui.day.safety.briefing_text import briefing
from crewtui.day.safety.hazard_details import detail, lifts
from crewtui.day.safety.hazard_rows import HazardRow, hazard_rows
from crewtui.day.safety.holds import in_place
from crewtui.day.safety.locates import left_words
from crewtui.day.safety.pit_rules import PitFact, pit_seen
from crewtui.day.session.day import Day
from crewtui.day.session.hold_intents import read_hours
from crewtui.day.state.exposures import exposure_words, minutes, shift_exposure, shift_noise
from crewtui.day.steps.outcomes import AskBackError, Refused
from crewtui.day.steps.step_rows import asked_again
from crewtui.job.file.model import PlateSize
from crewtui.job.tables import hazards
from crewtui.job.tables.hazards import Hazard
from crewtui.record.signed.build import Sources, build_record
from crewtui.record.signed.progress import Progress

SOURCES = Sources(job_file="j.toml", job_sha256="1" * 64, journal_file="j.jsonl", journal_sha256="2" * 64)
NARROW = {"north": [(0, 0), (1400, 0), (1400, 150), (0, 150)]}
"""Reaches to the far rim of a 12 in pit at 144 in, and no farther."""


def held_by(day: Day, step: str, anchor: str = "A-1") -> set[str]:
    return {hold.id for hold in day.holds_on(step, anchor)}


def row(day: Day, hazard: str, anchor: str | None = "A-1") -> HazardRow:
    return next(item for item in hazard_rows(day.state, day.hazards, anchor) if item.id == hazard)


def fact_of(day: Day, key: str, anchor: str = "A-1") -> PitFact:
    return next(item for item in pit_seen(day.state, anchor).facts if item.key == key)


def record_of(day: Day) -> dict[str, Any]:
    return build_record(
        day.state, day.journal.entries, sources=SOURCES, progress=Progress(), lead="Invented Lead"
    )


# The pit by its depth, as the depth is typed.


@pytest.mark.parametrize(
    ("typed", "on", "slope"),
    [
        ("3' 11\"", set(), "70 1/2 in"),
        ("4 ft", {"way-out"}, "72 in"),
        ("4' 1\"", {"way-out", "air"}, "73 1/2 in"),
        ("4' 11\"", {"way-out", "air"}, "88 1/2 in"),
        ("5 ft", {"way-out", "air", "protection"}, "90 in"),
        ("6 ft", {"way-out", "air", "protection", "edge-guard"}, "9 ft"),
    ],
)
def test_each_depth_switches_exactly_what_its_rules_say(
    tmp_path: Path, typed: str, on: set[str], slope: str
) -> None:
    by_depth = {"way-out", "air", "protection", "edge-guard"}
    day = open_day(tmp_path)
    saved(day.measure("A-1", "pit-depth", typed, reason="as it came"))
    assert held_by(day, "plate-on") & by_depth == on
    assert fact_of(day, "slope").value == slope
    assert fact_of(day, "slope").warns == ("protection" in on)
    trade = {"way-out": "way out", "edge-guard": "edge guard"}
    rules = fact_of(day, "rules")
    said = set(rules.note.split(";")[0].split(", "))
    assert rules.value == f"{len(said)} apply"
    assert said & {"way out", "air", "protection", "edge guard"} == {trade.get(name, name) for name in on}
    assert "no depth is safe" in fact_of(day, "depth").note
    saved(day.safety.answer_pit_entry("A-1", somebody=False))
    assert held_by(day, "plate-on") & by_depth == on & {"edge-guard"}
    for step in ("backfilled", "trimmed", "closed"):
        assert held_by(day, step) == set()


def test_where_nobody_goes_in_the_inspection_stays_and_only_warns(tmp_path: Path) -> None:
    day = open_day(tmp_path)
    assert row(day, "inspection").mark == "open"
    assert row(day, "inspection").holds == ("pit-size", "plate")
    saved(day.safety.answer_pit_entry("A-1", somebody=False))
    for hazard in ("inspection", "spoil-back"):
        assert row(day, hazard).mark == "warning"
        assert row(day, hazard).holds == ()
        assert hazard not in held_by(day, "pit-size")
    assert row(day, "no-cave-in-sign").mark == "does not apply"
    assert "covers-at-hand" in held_by(day, "sod")


# The soil.


@pytest.mark.parametrize(
    ("judged", "undisturbed", "counts", "back"),
    [
        (None, False, "type C", "75 in"),
        ("C", False, "type C", "75 in"),
        ("B", False, "type B", "50 in"),
        ("A", False, "type B", "50 in"),
        ("A", True, "type B", "50 in"),
        ("rock", False, "type B", "50 in"),
        ("rock", True, "type rock", "0 in"),
    ],
)
def test_the_slope_follows_the_soil_as_judged(
    tmp_path: Path, judged: str | None, undisturbed: bool, counts: str, back: str
) -> None:
    day = open_day(tmp_path, make_job(ground={"soil_type": None}))
    assert fact_of(day, "soil").warns
    if judged is not None:
        saved(day.safety.judge_soil(judged, name="Invented Person", undisturbed=undisturbed))
    assert fact_of(day, "soil").value == counts
    assert fact_of(day, "slope").value == back


def test_only_rock_that_was_never_dug_does_without_protection(tmp_path: Path) -> None:
    day = open_day(tmp_path, make_job(tools={"pit_depth": 66}))
    saved(day.safety.judge_soil("rock", name="Invented Person"))
    assert "protection" in held_by(day, "plate-on")
    saved(day.safety.judge_soil("rock", name="Invented Person", undisturbed=True))
    assert "protection" not in held_by(day, "plate-on")
    saved(day.take_back())
    assert "protection" in held_by(day, "plate-on")
    assert "name" in refused(day.safety.judge_soil("B", name=" "))
    assert isinstance(day.safety.judge_soil("D", name="x"), Refused)


def test_the_wall_s_own_footing_counts_with_the_others(tmp_path: Path) -> None:
    job = make_job(tools={"pit_depth": 96})
    deep = job.model_copy(update={"walls": (job.walls[0].model_copy(update={"base_to_grade_in": 10.0}),)})
    day = open_day(tmp_path, deep)
    saved(day.safety.answer_pit_entry("A-1", somebody=False))
    assert fact_of(day, "footing").value == "11 ft 6 in away"
    assert "near-footing" in held_by(day, "sod"), "93 in below it, at 1-1/2 to 1, ask for 139 1/2 in"
    assert "138" not in row(day, "near-footing").detail
    saved(day.safety.release_hold("near-footing", "A-1", initials="Invented Engineer"))
    assert "near-footing" not in held_by(day, "sod")


# The ticket's days and area, the property line, the marks.


def test_what_is_left_of_the_ticket_is_counted_as_the_state_counts(tmp_path: Path) -> None:
    ticket = {"life": 5, "counted_in": "working days", "valid_from": datetime(2026, 5, 1, 12, tzinfo=UTC)}
    clock = Hands()
    day = open_day(tmp_path, make_job(ticket=ticket), clock=clock)
    assert day.job.ticket is not None
    assert left_words(day.job.ticket, clock()) == "good today and 4 more working days, to 2026-05-08 12:00"
    assert "4 more working days" in briefing(day.state, day.hazards, clock())
    clock.on(days=4, hours=5)
    assert "ticket-expired" in held_by(day, "sod"), "its life is up before its printed date"
    assert left_words(day.job.ticket, clock()).startswith("EXPIRED")


def test_a_ticket_says_when_to_call_so_that_it_stays_in_date(tmp_path: Path) -> None:
    ticket = {
        "valid_to": datetime(2026, 5, 18, 12, tzinfo=UTC),
        "notice": 3,
        "notice_counted_in": "working days",
    }
    day = open_day(tmp_path, make_job(ticket=ticket))
    assert left_words(day.job.ticket, day.clock()).endswith("; to stay in date call by 2026-05-13 12:00")


@pytest.mark.parametrize("weather", ["heat", "frost", "rain", "thaw"])
def test_weather_that_turns_asks_for_its_own_means_again(tmp_path: Path, weather: str) -> None:
    day = open_day(tmp_path)
    clear_hazards(day)

    hazard = next(one for one in day.hazards if one.id == "weather-and-light")
    assert in_place(day.state, hazard, None)
    saved(day.safety.reopen_inspection("vibration"))
    assert in_place(day.state, hazard, None)
    saved(day.safety.reopen_inspection(weather))
    assert not in_place(day.state, hazard, None)


def test_notice_that_is_not_over_holds(tmp_path: Path) -> None:
    ticket = {
        "called_at": datetime(2026, 5, 1, 15, tzinfo=UTC), "notice": 2, "notice_counted_in": "working days",
    }  # fmt: skip
    day = open_day(tmp_path, make_job(ticket=ticket))
    assert "ticket-early" in held_by(day, "sod")
    assert day.job.ticket is not None
    assert "not yet valid" in left_words(day.job.ticket, day.clock())


def test_a_pit_outside_the_ticket_s_area_holds_digging_and_driving_there_only(tmp_path: Path) -> None:
    day = open_day(tmp_path, make_job(ticket={"area": NARROW}))
    clear_hazards(day)
    read_watch_marks(day)
    assert held_by(day, "sod") == set(), "touching the edge is inside"
    saved(day.site.move_anchor("A-1", {"setback_in": 144.1, "drop_in": 7.0}, reason="root"))
    for step in ("sod", "pit-depth", "held-angle", "depth-found"):
        assert held_by(day, step) == {"pit-outside-area"}, step
    assert held_by(day, "drilled-angle") == set()
    assert held_by(day, "sod", "A-2") == set()
    assert isinstance(day.safety.release_hold("pit-outside-area", "A-1", initials="x"), Refused)
    assert isinstance(
        day.safety.override_hold("pit-outside-area", "A-1", name="x", reason="rock there"), Refused
    )
    saved(day.measure("A-1", "setback", "144", reason="as it came"))
    assert held_by(day, "sod") == set(), "as built beats plan"


def test_a_wall_that_the_ticket_does_not_have_is_held(tmp_path: Path) -> None:
    day = open_day(tmp_path, make_job(ticket={"area": {"south": NARROW["north"]}}))
    assert "area-missing" in held_by(day, "sod")


def test_past_the_property_line_somebody_named_lets_it_go_on_for_that_place_only(tmp_path: Path) -> None:
    line = {"north": [(0, 160), (1400, 160)]}
    day = open_day(tmp_path, make_job(property_line=line))
    clear_hazards(day)
    assert held_by(day, "sod") == set()
    saved(day.site.move_anchor("A-1", {"setback_in": 160.0, "drop_in": 7.0}, reason="deck"))
    (hold,) = day.holds_on("sod", "A-1")
    assert "name" in refused(day.safety.release_hold(hold.id, "A-1", initials=""))
    saved(day.safety.release_hold(hold.id, "A-1", initials="Invented Neighbor's letter"))
    assert held_by(day, "sod") == set()
    saved(day.site.move_anchor("A-1", {"setback_in": 170.0, "drop_in": 7.0}, reason="deck"))
    assert held_by(day, "sod") != set()


def test_marks_that_fade_are_asked_for_again_at_once_and_each_day(tmp_path: Path) -> None:
    clock = Hands()
    with open_day(tmp_path, clock=clock) as day:
        clear_hazards(day)
        saved(day.safety.marks_faded("rain"))
        assert held_by(day, "sod") == {"marks-on-ground"}
        saved(day.safety.release_hold("marks-on-ground", "A-1", initials="IL"))
        assert held_by(day, "sod") == set()
        assert ("marks-on-ground", "asked for again", "rain") in {
            (item["id"], item["said"], item.get("note")) for item in record_of(day)["hold"]
        }
    clock.on(days=1)
    with open_day(tmp_path, clock=clock) as day:
        assert "marks-on-ground" in held_by(day, "sod")


# The wall itself.


def test_the_watch_mark_is_read_before_each_drive_and_each_day(tmp_path: Path) -> None:
    clock = Hands()
    with open_day(tmp_path, clock=clock) as day:
        clear_hazards(day)
        assert held_by(day, "wax") == {"watch-mark"}
        assert held_by(day, "drilled-angle") == set()
        saved(day.measure("A-1", "watch-mark", "0"))
        assert held_by(day, "wax") == set()
        assert held_by(day, "wax", "A-2") == {"watch-mark"}
        way = e.Way(kind="re-drill", words="steeper", values={"angle_deg": 8.0})
        saved(day.rods.take_way("A-1", depth_found_in=33, held_angle_deg=5.3, way=way))
        assert held_by(day, "wax") == {"watch-mark"}
        saved(day.measure("A-1", "watch-mark", "1/16"))
        assert held_by(day, "wax") == set()
    clock.on(days=1)
    with open_day(tmp_path, clock=clock) as day:
        assert "watch-mark" in held_by(day, "wax")


def test_movement_past_the_stop_value_stops_the_whole_wall_and_nothing_that_makes_safe(
    tmp_path: Path,
) -> None:
    day = open_day(tmp_path)
    clear_hazards(day)
    read_watch_marks(day)
    saved(day.measure("A-1", "watch-mark", "1/8"))
    assert held_by(day, "setback", "A-2") == set(), "at the stop value is not past it"
    asked = asks_reason(day.measure("A-1", "watch-mark", "3/16"))
    assert "1/8" in asked.sentence
    saved(day.measure("A-1", "watch-mark", "3/16", reason="crack opened while drilling"))
    for step in day.steps_of("anchor"):
        held = held_by(day, step.id, "A-2")
        assert bool(held) is not step.makes_safe, step.id
    (hold,) = day.holds_on("sod", "A-2")
    assert "3/16" in hold.text
    assert isinstance(day.safety.override_hold(hold.id, "A-2", name="x", reason="rock there"), Refused)
    saved(day.safety.release_hold(hold.id, "A-2", initials="Invented Engineer"))
    assert held_by(day, "sod", "A-1") == held_by(day, "sod", "A-3") == set()
    saved(day.measure("A-3", "watch-mark", "1/4", reason="more"))
    assert held_by(day, "sod", "A-1") != set(), "what moves on is asked about anew"


def test_the_company_s_own_stop_value_counts(tmp_path: Path) -> None:
    rules = {"movement_stop_in": {"value": 0.05, "said_by": "Invented Engineer"}}
    day = open_day(tmp_path, make_job(rules=rules))
    clear_hazards(day)
    saved(day.measure("A-1", "watch-mark", "1/16", reason="rock there"))
    assert held_by(day, "sod", "A-2") == {"north moved 1/16 in"}


def test_loose_fill_in_one_core_stops_drilling_and_driving_until_somebody_knows_what_it_is(
    tmp_path: Path,
) -> None:
    day = open_day(tmp_path)
    clear_hazards(day)
    read_watch_marks(day)
    assert held_by(day, "drilled-angle", "A-2") == set()
    asks_reason(day.answer("A-1", "core", "core with loose fill in it"))
    saved(day.answer("A-1", "core", "core with loose fill in it", reason="gray flakes ran out"))
    for step in ("drilled-angle", "held-angle"):
        assert held_by(day, step, "A-2") == {"loose-fill"}, "what was signed before the find does not count"
    assert held_by(day, "sod", "A-2") == set()
    saved(day.safety.release_hold("loose-fill", "A-2", initials="Invented Laboratory: no asbestos"))
    assert held_by(day, "drilled-angle", "A-2") == set()
    saved(day.safety.answer_fact("loose fill found", answer=True))
    assert held_by(day, "drilled-angle", "A-2") == {"loose-fill"}, "another find is asked about anew"


# A night and rain.


def test_a_pit_left_open_overnight_is_looked_at_before_anybody_goes_in(tmp_path: Path) -> None:
    clock = Hands()
    with open_day(tmp_path, clock=clock) as day:
        clear_hazards(day)
        saved(day.safety.answer_pit_entry("A-1", somebody=True))
        saved(day.answer("A-1", "sod"))
        assert row(day, "left-overnight").mark == "does not apply"
    clock.on(days=1)
    with open_day(tmp_path, clock=clock) as day:
        assert {"left-overnight", "inspection"} <= held_by(day, "plate-on")
        assert "left-overnight" not in held_by(day, "plate-on", "A-2")
        assert fact_of(day, "overnight").warns
        saved(day.safety.release_hold("left-overnight", "A-1", initials="Invented Person"))
        assert "left-overnight" not in held_by(day, "plate-on")
        saved(day.safety.answer_pit_entry("A-1", somebody=False))
        saved(day.take_back(day.state.last_n - 1))
        assert row(day, "left-overnight").mark == "warning", "nobody goes in: a warning, no hold"


# Dust and noise.


def test_hours_over_all_tasks_ask_for_the_respirator_and_hold_the_drill(tmp_path: Path) -> None:
    day = open_day(tmp_path)
    clear_hazards(day)
    saved(day.safety.enter_exposure("wall drill", "2 h 30"))
    saved(day.safety.enter_exposure("power saw", "1 h 30", indoors=False))
    assert held_by(day, "drilled-angle") == set(), "four hours in all are not over four"
    assert shift_exposure(day.state).dust.factor == 0
    saved(day.safety.enter_exposure("wall drill", "6 min"))
    assert shift_exposure(day.state).dust.factor == 10
    assert "APF 10" in row(day, "respirator").detail
    saved(day.take_back())
    assert shift_exposure(day.state).dust.factor == 0


def test_chipping_indoors_asks_for_the_respirator_from_the_first_minute(tmp_path: Path) -> None:
    day = open_day(tmp_path)
    assert "respirator" not in held_by(day, "drilled-angle")
    saved(day.safety.enter_exposure("chipping hammer", "10 min"))
    assert "respirator" in held_by(day, "drilled-angle")
    saved(day.safety.release_hold("respirator", "A-1", initials="IL"))
    assert "respirator" not in held_by(day, "drilled-angle")
    assert any("APF 10" in words for words in exposure_words(day.state, day.clock()))


def test_the_noise_dose_is_projected_to_the_end_of_the_shift_and_says_by_which_table(tmp_path: Path) -> None:
    clock = Hands()
    day = open_day(tmp_path, clock=clock)
    clock.on(hours=2)
    saved(day.safety.enter_exposure("wall drill", "30 min"))
    noise = shift_noise(day.state, clock())
    assert noise.now.share == pytest.approx(0.25), "half an hour at 100 dBA of two"
    assert noise.at_this_pace.share == pytest.approx(1.0), "a quarter of an hour in each hour, eight hours"
    assert noise.without_a_pause.share == pytest.approx(0.25 + 3.0)
    assert noise.ends == MORNING + timedelta(hours=8)
    assert any("Table D-2" in words for words in exposure_words(day.state, clock()))
    saved(day.safety.enter_exposure("driving hammer", "50 min at 105 dBA"))
    assert "noise-dose" in {hold.id for hold in day.holds_on("held-angle", "A-1")}
    saved(day.safety.release_hold("noise-dose", "A-1", initials="Invented Lead"))
    assert "noise-dose" not in {hold.id for hold in day.holds_on("held-angle", "A-1")}


def test_time_of_one_person_is_that_person_s_and_the_one_with_the_most_is_shown(tmp_path: Path) -> None:
    day = open_day(tmp_path)
    saved(day.safety.enter_exposure("wall drill", "1 h by KS"))
    saved(day.safety.enter_exposure("wall drill", "30 min by PS"))
    saved(day.safety.enter_exposure("auger engine", "30 min"))
    seen = shift_exposure(day.state)
    assert seen.who == "KS"
    assert seen.dust.total_hours == pytest.approx(1.0)
    assert seen.noise.share == pytest.approx(0.5 + 0.5 / 3)


def test_yesterday_s_hours_do_not_count_and_stand_in_the_record(tmp_path: Path) -> None:
    clock = Hands()
    with open_day(tmp_path, clock=clock) as day:
        saved(day.safety.enter_exposure("chipping hammer", "3 h at 98.5 dBA"))
    clock.on(days=1)
    with open_day(tmp_path, clock=clock) as day:
        assert shift_exposure(day.state).times == ()
        saved(day.safety.enter_exposure("chipping hammer", "1 h", done_at=MORNING + timedelta(hours=4)))
        assert shift_exposure(day.state).times == ()
        found = record_of(day)["exposure"]
        assert [(item["tool"], item["hours"], item.get("level_dba")) for item in found] == [
            ("chipping hammer", 3.0, 98.5),
            ("chipping hammer", 1.0, None),
        ]


@pytest.mark.parametrize(
    ("text", "hours"),
    [
        ("45 min", 0.75),
        ("1.5 h", 1.5),
        ("1 h 30", 1.5),
        ("1h30", 1.5),
        ("1:30", 1.5),
        ("2 hours", 2.0),
        ("90m", 1.5),
    ],
)
def test_times_on_a_tool_are_read_as_people_write_them(text: str, hours: float) -> None:
    assert read_hours(text) == pytest.approx(hours)


@pytest.mark.parametrize("text", ["", "45", "0 min", "25 h", "long", "1.5", "h", "-1 h"])
def test_what_is_no_time_on_a_tool_is_asked_back(text: str) -> None:
    with pytest.raises(AskBackError):
        read_hours(text)


def test_a_tool_that_there_is_not_and_strange_text_are_refused(tmp_path: Path) -> None:
    day = open_day(tmp_path)
    assert "wall drill" in refused(day.safety.enter_exposure("broom", "1 h"))
    assert "45 min" in refused(day.safety.enter_exposure("wall drill", "at by"))
    assert isinstance(day.safety.enter_exposure("wall drill", "1 h at 999 dBA"), Refused)


def test_minutes_are_said_as_people_say_them() -> None:
    assert (minutes(0.75), minutes(1.0), minutes(1.5)) == ("45 min", "1 h 00", "1 h 30")


# Lifting, briefing, record.


def test_what_is_lifted_comes_with_its_weight_and_who_lifts(tmp_path: Path) -> None:
    job = make_job(rules={"lift_alone_greatest_lb": {"value": 14.0, "said_by": "Office"}})
    anchors = (
        job.anchors[0].model_copy(update={"plate": _plate(11.0), "wall_plate": _plate(15.0)}),
        *job.anchors[1:],
    )
    day = open_day(tmp_path, job.model_copy(update={"anchors": anchors}))
    words = {one.name: one.words for one in lifts(day.state, day.state.anchors["A-1"])}
    assert words["plate"] == "plate 11 lb"
    assert words["wall plate"] == "wall plate 15 lb, TWO LIFT"
    assert words["rod of 80 in"] == "rod of 80 in about 10 lb"
    other = {one.name: one for one in lifts(day.state, day.state.anchors["A-2"])}
    assert "about" in other["plate"].words, "figured from its size"
    assert "TWO LIFT" in detail(day.state, "lifting", None)
    assert "lifting" not in held_by(day, "plate-on"), "a warning"


def _plate(weight_lb: float) -> PlateSize:
    return PlateSize(width_in=12, height_in=12, weight_lb=weight_lb)


def test_the_briefing_is_heard_by_everybody_or_says_who_was_not_there(tmp_path: Path) -> None:
    day = open_day(tmp_path, make_job(job={"crew": ["Pat Sample", "Kim Sample"]}))
    page = briefing(day.state, day.hazards, day.clock())
    assert "Invented Lead, Pat Sample, Kim Sample" in page
    order = [page.index(title) for title in ("LOCATES", "PPE", "PIT AND TRENCH", "DUST", "LINE OF FIRE")]
    assert order == sorted(order)
    asked = asks_reason(day.answer(None, "briefing", "IL PS"))
    assert "Initials of 2 for 3 people: Invented Lead, Pat Sample, Kim Sample." in asked.sentence
    assert asked.better == "Write everybody's initials"
    row_of = next(item for item in day.rows(None, scope="before") if item.id == "briefing")
    assert "3 people, a blank between: Invented Lead, Pat Sample, Kim Sample." in row_of.how
    again = asks_reason(day.answer(None, "briefing", "IL PS", reason="IL PS KS"))
    assert "Initials are no reason" in again.sentence
    saved(day.answer(None, "briefing", "IL PS", reason="Kim comes at noon"))
    assert [item.reason for item in day.state.deviations] == ["Kim comes at noon"]
    saved(day.answer(None, "briefing", "IL PS KS"))
    assert day.state.deviations == ()
    heard = [item for item in record_of(day)["hold"] if item["id"] == "briefing"]
    assert [item["by"] for item in heard] == ["IL PS", "IL PS KS"]


def test_a_further_day_asks_again_who_heard_the_briefing_and_a_record_stays_complete(tmp_path: Path) -> None:
    clock = Hands()
    with open_day(tmp_path, clock=clock) as day:
        saved(day.answer(None, "competent-person", "Invented Person"))
        saved(day.answer(None, "briefing", "IL"))
        assert asked_again(day.state) == set()
    clock.on(days=1)
    with open_day(tmp_path, clock=clock) as day:
        assert asked_again(day.state) == {"competent-person", "briefing"}
        assert next(row for row in day.rows(None, scope="before") if row.id == "briefing").answered
        saved(day.answer(None, "briefing", "IL"))
        assert asked_again(day.state) == {"competent-person"}
        assert len([item for item in record_of(day)["hold"] if item["id"] == "briefing"]) == 2


def test_the_record_says_of_every_hold_who_released_it_and_when(tmp_path: Path) -> None:
    clock = Hands()
    day = open_day(tmp_path, clock=clock)
    clear_hazards(day)
    saved(day.safety.judge_soil("B", name="Invented Person"))
    saved(day.safety.reopen_inspection("rain"))
    clock.on(minutes=30)
    saved(day.safety.answer_hazard("inspection", in_place=True, initials="Invented Person"))
    found = record_of(day)["hold"]
    assert {item["id"] for item in found} >= {hazard.id for hazard in day.hazards}
    assert all(item["done_at"] for item in found)
    assert all(item.get("by") for item in found if item["said"] in {"in place", "released", "set aside"})
    again = [(item["said"], item["done_at"]) for item in found if item["id"] == "inspection"]
    assert [said for said, _ in again] == ["in place", "asked for again", "in place"]
    assert again[-1][1] - again[0][1] == timedelta(minutes=30)
    assert ("soil", "B", "Invented Person") in {(i["id"], i["said"], i.get("by")) for i in found}


@pytest.mark.parametrize("hazard", [one for one in hazards.load() if one.of_the_pit], ids=lambda one: one.id)
def test_what_is_seen_in_a_pit_is_not_signed_before_there_is_one(tmp_path: Path, hazard: Hazard) -> None:
    day = open_day(tmp_path)
    assert hazard.scope == "anchor"
    sentence = refused(day.safety.answer_hazard(hazard.id, in_place=True, initials="IL", anchor="A-1"))
    assert "There is no pit at A-1 yet" in sentence
    saved(day.safety.answer_hazard(hazard.id, in_place=False, initials="IL", anchor="A-1"))
    saved(day.answer("A-1", "sod", reason="begun by the outside crew"))
    saved(day.safety.answer_hazard(hazard.id, in_place=True, initials="IL", anchor="A-1"))


def test_a_hold_of_a_pit_that_is_not_there_waits_for_it(tmp_path: Path) -> None:
    day = open_day(tmp_path)
    assert row(day, "no-cave-in-sign").mark == "later"
    waiting = next(hold for hold in day.holds_on("pit-size", "A-1") if hold.id == "no-cave-in-sign")
    assert "Once the pit is begun" in waiting.way_on
    saved(day.answer("A-1", "sod", reason="begun by the outside crew"))
    assert row(day, "no-cave-in-sign").mark == "open"


def test_every_hazard_of_one_pit_that_holds_only_work_in_it_is_seen_in_it() -> None:
    """Work in the pit comes after its depth is taped; what holds the digging itself is seen before."""
    inside = {"pit-size", "plate"}
    for one in hazards.load():
        if one.group == "pit and trench" and one.scope == "anchor":
            assert one.of_the_pit == (set(one.holds) == inside), one.id


def test_lines_of_the_owner_s_that_are_in_the_job_are_not_answered_away(tmp_path: Path) -> None:
    line = {"name": "lamp feed", "wall": "north", "kind": "electric", "private": True}
    day = open_day(tmp_path, make_job(lines=[{**line, "points": [[0, 30], [900, 30]]}]))
    assert "lamp feed" in refused(day.safety.answer_fact("private lines", answer=False))
    saved(day.safety.answer_fact("private lines", answer=True))
