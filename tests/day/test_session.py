from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from day_help import (
    MORNING,
    Hands,
    asks_choice,
    asks_reason,
    clear_hazards,
    job_data,
    make_job,
    open_day,
    read_watch_marks,
    refused,
    saved,
    sign_entry,
)
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.journal import entries as e
from crewtui.day.journal.chained import JournalError, JournalHeldError, NewerJournalError
from crewtui.day.journal.seal import seal, unseal
from crewtui.day.session.day import Day, WorkPlace
from crewtui.day.state.facts import PlainFacts
from crewtui.day.state.hold import Hold
from crewtui.day.state.inputs import value_now
from crewtui.day.state.state import DayState
from crewtui.day.steps.hand_over import hand_over
from crewtui.day.steps.outcomes import NeedsChoice, NeedsReason, NeedsSure, Refused, Saved
from crewtui.job.file.model import Job
from crewtui.units import show_torque


@pytest.fixture
def day(tmp_path: Path) -> Day:
    """A day on which every hazard has been seen to."""
    opened = open_day(tmp_path)
    clear_hazards(opened)
    return opened


@pytest.fixture
def metric(tmp_path: Path) -> Day:
    opened = open_day(tmp_path, make_job(job={"units": "metric"}))
    clear_hazards(opened)
    return opened


def row(day: Day, step: str, anchor: str | None = "A-1") -> str:
    return next(item for item in day.rows(anchor) if item.id == step).mark


# Opening.


def test_opening_again_on_the_same_day_adds_nothing_and_on_the_next_day_one_entry(tmp_path: Path) -> None:
    clock = Hands()
    for hours, count in ((0, 1), (3, 1), (24, 2)):
        clock.now = MORNING + timedelta(hours=hours)
        with open_day(tmp_path, clock=clock) as day:
            assert len(day.journal.entries) == count
            assert day.reports == ()


def test_a_second_start_is_refused_and_the_first_goes_on(tmp_path: Path) -> None:
    with open_day(tmp_path) as day:
        with pytest.raises(JournalHeldError, match="already open"):
            open_day(tmp_path)
        saved(day.beside.note("still here"))


def test_a_journal_of_a_newer_version_is_refused(tmp_path: Path) -> None:
    open_day(tmp_path).close()
    path = tmp_path / "job.journal.jsonl"
    body, _ = unseal(path.read_bytes().rstrip())
    path.write_bytes(seal(body.replace(b'"format":%d' % e.FORMAT, b'"format":9')))
    with pytest.raises(NewerJournalError):
        open_day(tmp_path)


def test_a_job_file_whose_words_alone_changed_is_nothing_to_ask_about(tmp_path: Path) -> None:
    open_day(tmp_path).close()
    (tmp_path / "job.toml").write_text("# changed\n", encoding="utf-8")
    with open_day(tmp_path) as day:
        assert day.reports == ()
        assert day.edited_plan is None
        assert [entry.kind for entry in day.journal.entries] == ["day-opened"]


def test_a_job_file_opens_by_its_path(tmp_path: Path) -> None:
    path = tmp_path / "small.toml"
    path.write_text(
        """
format = 1
[job]
id = "T-3"
site = "Invented house"
date = 2026-05-04
lead = "Invented Lead"
[[walls]]
name = "north"
type = "poured concrete"
length = 300
thickness = 8
slab_to_top = 92
grade_to_top = 10
[[anchors]]
id = "A-1"
wall = "north"
along = 36
[rod]
diameter = 0.75
threads_per_inch = 10
coupling_length = 2.25
coupling_corners = 1.1
""",
        encoding="utf-8",
    )
    with Day.open(path, clock=Hands()) as day:
        assert list(day.state.anchors) == ["A-1"]
        assert day.rows("A-1")
        assert any(hold.id == "drop-unknown" for hold in day.holds_on("drilled-angle", "A-1"))
        assert any(hold.id == "ticket-missing" for hold in day.holds_on("sod", "A-1"))


# Steps and values.


def test_a_check_a_choice_and_a_text_are_answered(day: Day) -> None:
    assert saved(day.answer(None, "competent-person", "Invented Person")).words
    saved(day.answer("A-1", "sod"))
    assert row(day, "sod") == "done"
    saved(day.answer("A-1", "core", "core"))
    assert asks_choice(day.answer("A-1", "core", "mortar")).choices[0] == "core"
    assert "deviation" in asks_reason(day.answer("A-1", "core", "web")).sentence
    saved(day.answer("A-1", "core", "web", reason="no core in the band"))
    assert row(day, "core") == "deviation"


@pytest.mark.parametrize(
    ("anchor", "step", "answer", "words"),
    [
        ("A-1", "setback", "yes", "is measured"),
        ("A-1", "sod", "maybe", "yes or no"),
        (None, "competent-person", "  ", "type an answer"),
        (None, "sod", "yes", "at an anchor"),
        ("A-1", "briefing", "yes", "once for the job"),
        ("A-9", "sod", "yes", "no anchor A-9"),
        ("A-1", "nonsense", "yes", "no step nonsense"),
    ],
)
def test_an_answer_that_cannot_be_is_refused_in_a_sentence(
    day: Day, anchor: str | None, step: str, answer: str, words: str
) -> None:
    before = day.state
    assert words in refused(day.answer(anchor, step, answer))
    assert day.state is before


def test_a_value_is_read_with_its_unit_and_shown_in_the_job_s(day: Day) -> None:
    found = saved(day.measure("A-1", "setback", "12 ft")).entry
    assert isinstance(found, e.ValueMeasured)
    assert (found.value, found.text, found.outside) == (144, "12 ft", False)
    shown = next(item for item in day.rows("A-1") if item.id == "setback")
    assert (shown.mark, shown.value) == ("value", "12 ft")
    assert shown.limit == "at least 11 ft 11 in"


def test_metric_jobs_read_and_show_millimeters(metric: Day) -> None:
    found = saved(metric.measure("A-1", "setback", "3660")).entry
    assert isinstance(found, e.ValueMeasured)
    assert found.value == pytest.approx(144.0945, abs=1e-4)
    assert next(item for item in metric.rows("A-1") if item.id == "setback").value == "3660 mm"


@pytest.mark.parametrize(
    ("step", "text", "meant"),
    [("setback", "12", "12 ft"), ("setback", "3660", "3660 mm"), ("pit-depth", "1.2", "1.2 m")],
)
def test_a_bare_number_that_only_another_unit_makes_likely_is_asked_back(
    day: Day, step: str, text: str, meant: str
) -> None:
    assert meant in refused(day.measure("A-1", step, text))


def test_the_unit_typed_with_it_is_believed(day: Day) -> None:
    assert isinstance(day.measure("A-1", "setback", "12 in"), NeedsReason)


def test_metric_slips_are_asked_back(metric: Day) -> None:
    assert "144 in" in refused(metric.measure("A-1", "setback", "144"))


@pytest.mark.parametrize(
    ("step", "text", "words"),
    [
        ("depth-found", "53", "does not show"),
        ("side-offset", "1500 in", "beyond the wall"),
        ("mark-depth", "8 ft", "slab"),
        ("setback", "-12 ft", "not negative"),
        ("setback", "far", "far"),
        ("sod", "12", "answer it"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(day: Day, step: str, text: str, words: str) -> None:
    count = len(day.journal.entries)
    assert words in refused(day.measure("A-1", step, text))
    assert len(day.journal.entries) == count


def test_an_angle_beyond_a_right_angle_is_refused(day: Day) -> None:
    assert isinstance(day.measure("A-1", "held-angle", "95"), Refused)


def test_outside_its_limits_a_value_needs_a_reason_and_is_then_a_deviation(day: Day) -> None:
    read_watch_marks(day)
    asked = asks_reason(day.measure("A-1", "depth-found", "33"))
    assert "33 in is under 36 in (plan)" in asked.sentence
    assert asked.limit == "36 to 43 1/2 in"
    saved(day.measure("A-1", "depth-found", "33", reason="a rock"))
    assert row(day, "depth-found") == "deviation"
    assert [item.reason for item in day.state.deviations] == ["a rock"]


def test_limits_are_inclusive_and_a_near_miss_is_shown_as_finely_as_it_is(day: Day) -> None:
    read_watch_marks(day)
    saved(day.measure("A-1", "depth-found", "36"))
    assert "35 31/32 in is under 36 in" in asks_reason(day.measure("A-1", "depth-found", "35 31/32")).sentence


def test_a_torque_asks_whether_it_clicked_and_not_coming_up_is_a_deviation(day: Day) -> None:
    assert asks_choice(day.measure("A-1", "first-torque", "80")).choices == ("clicked", "did not come up")
    saved(day.measure("A-1", "first-torque", "80", then="clicked"))
    assert row(day, "first-torque") == "value"
    assert isinstance(day.measure("A-1", "first-torque", "80", then="did not come up"), NeedsReason)
    saved(day.measure("A-1", "second-torque", "80", then="did not come up", reason="draws through"))
    assert row(day, "second-torque") == "deviation"
    assert row(day, "second-pull-in") == "open"
    assert row(day, "second-pull-in", "A-2") == "not needed"


def test_something_done_earlier_is_dated_so_and_something_to_come_is_refused(day: Day) -> None:
    at, noon = MORNING + timedelta(hours=3), MORNING + timedelta(hours=5)
    day.clock = Hands(noon)
    entry = saved(day.answer("A-1", "sod", done_at=at)).entry
    assert (entry.done_at, entry.typed_at) == (at, noon)
    assert "still to come" in refused(day.answer("A-1", "sod", done_at=noon + timedelta(hours=1)))
    with pytest.raises(ValueError, match="offset"):
        day.answer("A-1", "sod", done_at=datetime(2026, 5, 4))  # noqa: DTZ001 - that is what is refused


# Undo.


def test_undo_says_what_it_took_back_and_goes_back_to_the_start_of_the_day(tmp_path: Path) -> None:
    day = open_day(tmp_path)
    clear_hazards(day)
    saved(day.measure("A-1", "setback", "12 ft"))
    saved(day.answer("A-2", "sod"))
    assert saved(day.take_back()).words.startswith("Undone: A-2: Sod")
    assert saved(day.take_back()).words == "Undone: A-1: Set-back, wall face to pit middle: 12 ft"
    for _ in range(1000):
        outcome = day.take_back()
        if isinstance(outcome, Refused):
            break
        saved(outcome)
    assert "Nothing is left" in refused(day.take_back())
    assert day.state.shared.holding.hazards == {}
    assert all(not now.holding.hazards and now.pit_entry is None for now in day.state.anchors.values())


def test_undo_of_one_entry_in_the_middle(day: Day) -> None:
    first = saved(day.measure("A-1", "setback", "12 ft")).entry
    saved(day.measure("A-1", "drop", "7"))
    saved(day.take_back(first.n))
    assert day.state.anchors["A-1"].value("setback_in") is None
    assert day.state.anchors["A-1"].value("drop_in") == 7
    assert isinstance(day.take_back(first.n), Refused)
    assert isinstance(day.take_back(1), Refused)


def test_undo_does_not_reach_past_yesterday_nor_past_a_signature(tmp_path: Path) -> None:
    clock = Hands()
    with open_day(tmp_path, clock=clock) as day:
        saved(day.beside.note("first day"))
    clock.on(days=1)
    with open_day(tmp_path, clock=clock) as day:
        assert isinstance(day.take_back(), Refused)
        saved(day.beside.note("second day"))
        saved(sign_entry(day, "ab" * 32, revision=1, name="Invented Lead"))
        assert "revision" in refused(day.take_back())


@given(data=st.data())
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_undo_in_any_order_is_the_same_as_reading_the_journal_anew(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    folder = tmp_path_factory.mktemp("undo")
    with open_day(folder) as day:
        for _ in range(data.draw(st.integers(1, 14))):
            what = data.draw(st.sampled_from(["measure", "answer", "back", "pit"]))
            anchor = data.draw(st.sampled_from(["A-1", "A-2"]))
            if what == "measure":
                day.measure(anchor, "drop", str(data.draw(st.integers(1, 40))), reason="rock there")
            elif what == "answer":
                day.answer(anchor, "sod", data.draw(st.sampled_from(["yes", "no"])), reason="rock there")
            elif what == "pit":
                day.safety.answer_pit_entry(anchor, somebody=data.draw(st.booleans()))
            else:
                day.take_back()
        stands = day.state
    with open_day(folder) as again:
        assert again.state == stands


def test_what_another_entry_rests_on_is_not_taken_back_before_it(day: Day) -> None:
    added = saved(day.site.add_anchor("A-9", "north", {"along_in": 500.0}, reason="a crack there")).entry.n
    saved(day.measure("A-9", "drop", "7"))
    assert "rests on it" in refused(day.take_back(added))
    saved(day.take_back())
    saved(day.take_back(added))
    held = saved(day.measure("A-1", "held-angle", "5.3", reason="rock there")).entry.n
    accept = e.Way(kind="accept", words="accepted")
    saved(day.rods.take_way("A-1", accept, depth_found_in=40, reason="rock there"))
    assert "way on: accepted" in refused(day.take_back(held))
    assert day.state.shared.unplaced == ()


@pytest.mark.parametrize("how", ["move", "fill in"])
def test_a_drop_shot_in_a_yard_that_was_a_plane_counts_from_then_on(tmp_path: Path, how: str) -> None:
    data = job_data()
    for anchor in data["anchors"]:
        del anchor["drop"]
        anchor["yard_slope"] = "1/2 in/ft"
    with open_day(tmp_path, Job.model_validate(data)) as day:
        before = value_now(day.state, day.state.anchors["A-1"], "drop_in")
        assert before.source == "plan"
        if how == "move":
            saved(day.site.move_anchor("A-1", {"drop_in": 11.0}, reason="shot on site"))
        else:
            given = {"name": "A-1", "reason": "shot on site", "agreed_by": "Invented Engineer"}
            said = saved(day.site.set_up("anchor", {"drop_in": "11"}, **given)).words
            assert "Slope of the yard of A-1: 4.2 % to none" in said
        assert value_now(day.state, day.state.anchors["A-1"], "drop_in").number == 11
        assert day.state.shared.unplaced == ()
        stands = day.state
    with open_day(tmp_path, Job.model_validate(data)) as again:
        assert again.state.anchors == stands.anchors


# Elsewhere.


def test_a_copy_of_the_day_is_saved_elsewhere_and_opens_as_the_same_day(tmp_path: Path) -> None:
    stick = tmp_path / "a stick"
    stick.mkdir()
    with open_day(tmp_path) as day:
        saved(day.measure("A-1", "drop", "7"))
        said = day.save_copy(f" '{stick}' ")
        assert str(stick) in said
        for folder, says in (
            ("", "No folder"),
            (str(stick / "none"), "is no folder"),
            (str(stick), "already"),
        ):
            with pytest.raises(JournalError, match=says):
                day.save_copy(folder)
        stands = day.state
    with open_day(stick) as copy:
        assert copy.state.anchors == stands.anchors


# Drives.


def test_a_way_on_keeps_how_the_rod_was_found_as_its_steps_do_and_sets_the_new_aim(day: Day) -> None:
    read_watch_marks(day)
    saved(day.measure("A-1", "held-angle", "5.3"))
    way = e.Way(kind="re-drill", words="re-drill at 8.6°", values={"angle_deg": 8.6})
    said = saved(day.rods.take_way("A-1", depth_found_in=33, way=way)).words
    assert said == "A-1: way on: re-drill at 8.6°"
    kinds = [(entry.kind, getattr(entry, "quantity", "")) for entry in day.journal.entries[-3:]]
    assert kinds == [
        ("value-measured", "held_angle_deg"),
        ("value-measured", "depth_found_in"),
        ("way-taken", ""),
    ]
    now = day.state.anchors["A-1"]
    assert now.aim["angle_deg"] == 8.6
    assert row(day, "depth-found") == "held", "the watch mark is read before each drive"
    saved(day.measure("A-1", "watch-mark", "0"))
    assert row(day, "depth-found") == "open"
    saved(day.take_back())
    saved(day.take_back())
    now = day.state.anchors["A-1"]
    assert now.aim == {}
    assert [(one.open, one.depth_found_in, one.way) for one in now.drives] == [(True, 33, None)]
    saved(day.take_back())
    assert day.state.anchors["A-1"].drives == ()


def test_accepting_a_shallow_rod_needs_a_reason(day: Day) -> None:
    read_watch_marks(day)
    accept = e.Way(kind="accept", words="accepted")
    asks_reason(day.rods.take_way("A-1", depth_found_in=33, held_angle_deg=5.3, way=accept))
    saved(
        day.rods.take_way("A-1", depth_found_in=33, held_angle_deg=5.3, way=accept, reason="engineer on site")
    )
    assert [item.kind for item in day.state.deviations] == ["drive"]
    assert row(day, "depth-found") == "deviation"


def test_a_drive_that_cannot_be_is_refused(day: Day) -> None:
    accept = e.Way(kind="accept", words="accepted")
    assert "which angle" in refused(day.rods.take_way("A-1", accept, depth_found_in=33))
    assert "does not show" in refused(day.rods.take_way("A-1", accept, depth_found_in=60, held_angle_deg=5))
    assert "did not show" in refused(day.rods.take_way("A-1", accept, depth_found_in=None, held_angle_deg=5))
    assert isinstance(day.rods.take_way("A-1", accept, depth_found_in=33, held_angle_deg=95), Refused)


def test_drift_and_exposed_lines(tmp_path: Path) -> None:
    line = {"name": "gas", "kind": "gas", "wall": "north", "points": [[0, 60], [300, 60]]}
    day = open_day(tmp_path, make_job(lines=[line]))
    saved(day.aim.accept_drift("north", 0.8))
    assert day.state.shared.drift["north"].on
    assert isinstance(day.aim.accept_drift("west", 0.8), Refused)
    saved(day.ground.expose_line("gas", "30 in", anchor="A-1"))
    (found,) = day.state.shared.exposed
    assert (found.line, found.depth_in, found.anchor, found.placed) == ("gas", 30, "A-1", True)
    assert isinstance(day.ground.expose_line("water", "30", anchor="A-1"), Refused)
    assert isinstance(day.ground.expose_line("gas", "deep", anchor="A-1"), Refused)
    assert isinstance(day.ground.expose_line("gas", "-3", anchor="A-1"), Refused)


# Anchors and the job on site.


def test_anchors_change_on_site_with_a_reason(day: Day) -> None:
    assert "Why" in refused(day.site.move_anchor("A-1", {"along_in": 100}, reason=" "))
    saved(day.site.move_anchor("A-1", {"along_in": 100}, reason="pipe"))
    assert day.state.anchors["A-1"].plan.along_in == 100
    assert isinstance(day.site.move_anchor("A-1", {"along_in": 9999}, reason="rock there"), Refused)
    assert isinstance(day.site.move_anchor("A-1", {"color": 1}, reason="rock there"), Refused)
    saved(day.site.add_anchor("A-9", "north", {"along_in": 700, "drop_in": 6}, reason="crack"))
    assert isinstance(day.site.add_anchor("A-9", "north", {"along_in": 700}, reason="rock there"), Refused)
    assert isinstance(day.site.add_anchor("A-8", "north", {}, reason="rock there"), Refused)
    saved(day.site.drop_anchor("A-2", reason="root"))
    assert "dropped" in refused(day.answer("A-2", "sod"))
    assert [item.word for item in day.overview()] == ["not begun", "dropped", "not begun", "not begun"]


def test_values_filled_in_are_read_in_the_job_s_units(metric: Day) -> None:
    saved(metric.site.set_up("ground", {"frost_depth_in": "1200"}))
    assert metric.job.ground.frost_depth_in == pytest.approx(1200 / 25.4)
    saved(metric.site.set_up("anchor", {"free_room_in": "2.4 m"}, name="A-1"))
    assert metric.state.anchors["A-1"].plan.free_room_in == pytest.approx(2400 / 25.4)
    assert isinstance(metric.site.set_up("ground", {"frost_depth_in": "deep"}), Refused)
    assert isinstance(metric.site.set_up("ground", {"color": "brown"}), Refused)
    assert isinstance(metric.site.set_up("wall", {"thickness_in": 8}, name="west"), Refused)
    assert isinstance(metric.site.set_up("anchor", {"free_room_in": 8}, name="Z"), Refused)


def test_a_utility_s_answer_releases_what_waited_for_it(tmp_path: Path) -> None:
    waiting = [{"name": "Gas", "kind": "gas", "response": "not answered"}]
    day = open_day(tmp_path, make_job(ticket={"utilities": waiting}))
    assert "ticket-responses" in {hold.id for hold in day.holds_on("sod", "A-1")}
    saved(day.site.answer_utility("Gas", "clear", note="by phone"))
    assert "ticket-responses" not in {hold.id for hold in day.holds_on("sod", "A-1")}
    assert isinstance(day.site.answer_utility("Water", "clear"), Refused)
    assert isinstance(day.site.answer_utility("Gas", "perhaps"), Refused)


def test_a_ticket_is_filled_in_on_site(tmp_path: Path) -> None:
    day = open_day(tmp_path, make_job(ticket=None))
    assert day.holds_on("sod", "A-1")[0].id == "ticket-missing"
    values = {
        "number": "555-0101",
        "valid_from": "2026-05-01T00:00:00Z",
        "valid_to": "2026-05-20T00:00:00Z",
        "utilities": [{"name": "Gas", "kind": "gas", "response": "marked"}],
    }
    saved(day.site.set_up("ticket", values))
    assert not [hold for hold in day.holds_on("sod", "A-1") if hold.held_by == "ticket"]


# Where the person is, and what comes next.


def test_same_step_next_anchor_goes_round_and_leaves_out_what_is_done(day: Day) -> None:
    assert day.same_step_next_anchor("sod", "A-1") == "A-2"
    saved(day.answer("A-2", "sod"))
    assert day.same_step_next_anchor("sod", "A-1") == "A-3"
    assert day.same_step_next_anchor("sod", "A-3") == "A-1"
    saved(day.answer("A-1", "sod"))
    assert day.same_step_next_anchor("sod", "A-3") is None
    assert day.same_step_next_anchor("second-pull-in", "A-1") is None


def test_the_next_step_is_the_first_that_is_open(day: Day) -> None:
    upcoming = day.next_step("A-1")
    assert upcoming is not None
    assert upcoming.id == "setback"
    saved(day.measure("A-1", "setback", "12 ft"))
    upcoming = day.next_step("A-1")
    assert upcoming is not None
    assert upcoming.id == "drop"
    assert sum(item.is_next for item in day.rows("A-1")) == 1


def test_a_day_opened_again_stands_where_the_person_was(tmp_path: Path) -> None:
    with open_day(tmp_path) as day:
        assert day.here() == WorkPlace(anchor=None, step="competent-person")
        saved(day.measure("A-2", "setback", "12 ft"))
        assert day.here() == WorkPlace(anchor="A-2", step="drop")
        day.remember("A-3", "setback")
    with open_day(tmp_path) as day:
        assert day.here() == WorkPlace(anchor="A-3", step="setback")
        saved(day.measure("A-2", "drop", "7"))
    with open_day(tmp_path) as day:
        assert day.here() == WorkPlace(anchor="A-2", step="marks"), "an entry is newer than the kept cursor"
        saved(day.take_back())
        assert day.here() == WorkPlace(anchor="A-2", step="drop")


@pytest.mark.parametrize("junk", [b"", b"\xff", b"[1]", b'{"n":1,"anchor":7,"step":[]}', b"[" * 9000])
def test_a_cursor_file_of_any_content_is_no_obstacle(tmp_path: Path, junk: bytes) -> None:
    open_day(tmp_path).close()
    (tmp_path / "job.journal.jsonl.cursor").write_bytes(junk)
    with open_day(tmp_path) as day:
        assert day.here().anchor is None


def test_the_overview_has_a_line_for_every_anchor(day: Day) -> None:
    saved(day.measure("A-1", "setback", "12 ft"))
    saved(day.site.drop_anchor("A-3", reason="root"))
    first, second, third = day.overview()
    assert (first.word, first.done, first.next_step) == ("under way", 1, "drop")
    assert (second.word, second.done, second.held_by) == ("not begun", 0, "")
    assert (third.word, third.next_step) == ("dropped", "")
    assert first.total == 25
    assert [item.done for item in day.overview(held=False)] == [1, 0, 0]


def test_the_pace_is_the_median_anchor_and_says_nothing_too_early(day: Day) -> None:
    hands = Hands()
    day.clock = hands
    assert day.pace().minutes_each is None
    for step in ("sod", "wall-plate-on"):
        for anchor in ("A-1", "A-2", "A-3"):
            hands.on(minutes=5)
            saved(day.answer(anchor, step))
    hands.on(hours=2)
    saved(day.answer("A-1", "plate-on"))
    found = day.pace()
    assert found.minutes_each == pytest.approx(125), (
        "10 minutes for 2 of 25 steps; the long break does not count"
    )
    assert found.finish_early is not None
    assert found.finish_at is not None
    assert found.finish_late is not None
    assert found.finish_early <= found.finish_at <= found.finish_late


def test_the_log_says_the_latest_first_and_what_was_taken_back(day: Day) -> None:
    saved(day.answer("A-1", "sod"))
    saved(day.take_back())
    newest, before = day.log(2)
    assert newest.words == f"entry {before.n} taken back"
    assert before.taken_back


# When something fails.


def test_a_disk_that_fails_leaves_the_state_as_it_was(day: Day, monkeypatch: pytest.MonkeyPatch) -> None:
    before = day.state

    def full(_: e.Entry) -> e.Entry:
        raise JournalError("Not saved: full.", "Make room.")

    monkeypatch.setattr(day.journal, "append", full)
    with pytest.raises(JournalError, match="Make room"):
        day.answer("A-1", "sod")
    assert day.state is before
    with pytest.raises(JournalError, match="Make room"):
        day.site.emergency("gas")


def test_what_an_emergency_was_is_kept_with_its_time_and_never_taken_back(day: Day) -> None:
    assert "what happened" in refused(day.site.emergency("  "))
    entry = saved(day.site.emergency("gas", anchor="A-1", opened_at=MORNING)).entry
    assert isinstance(entry, e.Emergency)
    assert (entry.note, entry.anchor, entry.done_at) == ("gas", "A-1", MORNING)
    assert day.state.shared.emergencies == (MORNING,)
    saved(day.take_back())
    assert day.state.shared.emergencies == (MORNING,)


def test_figures_that_cannot_be_computed_hold_the_drilling_and_say_so(tmp_path: Path) -> None:
    def broken(_: DayState, __: str) -> PlainFacts:
        raise ValueError("the wall's thickness is zero")

    day = open_day(tmp_path, figures=broken)
    clear_hazards(day)
    (hold,) = day.holds_on("drilled-angle", "A-1")
    assert "thickness is zero" in hold.text
    assert day.rows("A-1")


def test_figures_are_computed_once_until_something_changes(tmp_path: Path) -> None:
    asked: list[str] = []

    def counting(_: DayState, anchor: str) -> PlainFacts:
        asked.append(anchor)
        return PlainFacts()

    day = open_day(tmp_path, figures=counting)
    day.overview()
    day.overview()
    assert asked == ["A-1", "A-2", "A-3"]
    saved(day.measure("A-2", "drop", "5"))
    day.overview()
    assert asked == ["A-1", "A-2", "A-3", "A-2"]
    saved(day.safety.answer_hazard("ppe", in_place=True, initials="IL"))
    day.overview()
    assert len(asked) == 4, "a signature changes no figure"
    saved(day.measure("A-1", "held-angle", "5.3", reason="rock there"))
    day.overview()
    asked.clear()
    saved(day.measure("A-1", "depth-found", "38", reason="rock there"))
    day.overview()
    assert asked == ["A-1", "A-2", "A-3"], "a rod tells of the whole wall"


def test_a_figure_s_hold_is_set_aside_only_where_it_may_be(tmp_path: Path) -> None:
    def holding(_: DayState, anchor: str) -> PlainFacts:
        hold = Hold(
            id="over-yield",
            text="The torque goes over the rod's yield.",
            steps=("first tightening",),
            held_by="figures",
            way_on="Get the figure from the plan or the office.",
            anchor=anchor,
            override="with a name and reason",
        )
        return PlainFacts(holds=(hold,))

    day = open_day(tmp_path, figures=holding)
    clear_hazards(day)
    assert [hold.id for hold in day.holds_on("first-torque", "A-1")] == ["over-yield"]
    assert "from the plan or the office" in refused(
        day.safety.release_hold("over-yield", "A-1", initials="IL")
    )
    saved(day.safety.override_hold("over-yield", "A-1", name="Invented Engineer", reason="figure by phone"))
    assert day.holds_on("first-torque", "A-1") == ()
    assert day.holds_on("first-torque", "A-2") != ()
    assert [item.kind for item in day.state.deviations] == ["override"]


# The hand-over.


def test_the_hand_over_names_what_stands_open(day: Day) -> None:
    read_watch_marks(day)
    saved(day.answer("A-1", "sod"))
    saved(day.measure("A-1", "pit-depth", "50"))
    saved(
        day.rods.take_way(
            "A-2", depth_found_in=40, held_angle_deg=5.3, way=e.Way(kind="accept", words="fits")
        )
    )
    saved(day.answer("A-2", "closed", "covered and marked for tomorrow", reason="plate tomorrow"))
    page = hand_over(day.state, day.clock())
    assert page.needed
    assert page.open_pits == ("A-1", "A-2")
    assert page.uncovered == ("A-1",)
    assert page.covers_by == ""
    assert page.ticket_tomorrow == ()
    saved(day.answer(None, "covers-watched", "Invented Neighbor"))
    assert hand_over(day.state, day.clock()).covers_by == "Invented Neighbor"
    last_day = datetime(2026, 5, 19, 12, tzinfo=UTC)
    assert "expired" in hand_over(day.state, last_day + timedelta(hours=12)).ticket_tomorrow[0]


# Size.


def test_a_day_of_two_hundred_anchors_is_entered_and_taken_back(tmp_path: Path) -> None:
    day = open_day(tmp_path, make_job(200))
    before = day.overview()
    for number in range(1, 51):
        saved(day.measure(f"A-{number}", "drop", "7"))
    assert sum(row.done for row in day.overview()) == sum(row.done for row in before) + 50
    for _ in range(50):
        saved(day.take_back())
    assert day.overview() == before


@given(text=st.text(max_size=30), step=st.sampled_from(["setback", "held-angle", "threads", "first-torque"]))
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_text_typed_is_saved_or_asked_back(day: Day, text: str, step: str) -> None:
    outcome = day.measure("A-1", step, text)
    assert isinstance(outcome, Saved | Refused | NeedsReason | NeedsSure | NeedsChoice)
    assert json.loads(day.journal.file.read_bytes().splitlines()[-1])["n"] == len(day.journal.entries)


@pytest.mark.parametrize(
    ("step", "typed", "words"),
    [
        ("setback", "176", "more than planned"),
        ("thickness", "76 in", "more than planned"),
        ("pit-depth", "6' 2\"", "more than planned"),
    ],
)
def test_what_is_far_from_the_plan_is_asked_back_once_and_is_no_deviation(
    day: Day, step: str, typed: str, words: str
) -> None:
    read_watch_marks(day)
    before = len(day.journal.entries)
    asked = day.measure("A-1", step, typed)
    assert isinstance(asked, NeedsSure)
    assert words in asked.sentence
    assert len(day.journal.entries) == before
    assert not isinstance(day.measure("A-1", step, typed, sure=True), NeedsSure)
    assert not [one for one in day.state.deviations if one.step == step]


def test_with_an_extension_the_step_says_what_the_wrench_is_set_to_and_what_is_entered(
    tmp_path: Path,
) -> None:
    job = make_job(tools={"wrench_length": 18, "extension": 4})
    with open_day(tmp_path, job, figures=figures_for) as day:
        how = next(row.how for row in day.rows("A-1") if row.id == "first-torque")
        wrench = figures_for(day.state, "A-1").wrench
        assert wrench is not None
        assert f"set to {show_torque(wrench.setting_lbf_ft, 'imperial')}" in how
        assert f"{show_torque(wrench.torque_lbf_ft, 'imperial')}: enter that" in how
        typed = f"{wrench.setting_lbf_ft:g} lbf·ft"
        asked = asks_reason(day.measure("A-1", "first-torque", typed, then="clicked"))
        assert "With this extension" in asked.sentence


def test_an_unfinished_anchor_is_closed_only_with_a_reason_and_left_covered_without(
    day: Day,
) -> None:
    saved(day.answer("A-1", "sod"))
    asked = asks_reason(day.answer("A-1", "closed", "tag fixed"))
    assert "Not entered at this anchor: Set-back" in asked.sentence
    assert "and 21 more" in asked.sentence
    assert '"covered and marked for tomorrow"' in asked.sentence
    saved(day.answer("A-1", "closed", "covered and marked for tomorrow"))
    assert day.state.deviations == ()
    assert day.overview()[0].word == "covered"
    assert hand_over(day.state, day.clock()).uncovered == ()
    saved(day.answer("A-1", "closed", "tag fixed", reason="the tag is all there is to fix"))
    assert [one.step for one in day.state.deviations] == ["closed"]
    assert hand_over(day.state, day.clock()).open_pits == ("A-1",), "its pit is open, whatever the tag says"


def test_where_the_company_keeps_a_record_a_day_each_day_asks_for_its_own(tmp_path: Path) -> None:
    clock = Hands()
    rules = {"record_each": {"value": "day", "said_by": "Invented Office"}}
    job = make_job(2, rules=rules)
    with open_day(tmp_path, job, clock=clock) as day:
        assert hand_over(day.state, day.clock()).record_due
        saved(sign_entry(day, "ab" * 32, revision=1, name="Invented Lead"))
        assert not hand_over(day.state, day.clock()).record_due
    clock.on(days=1)
    with open_day(tmp_path, job, clock=clock) as day:
        assert not any("was not signed" in report for report in day.reports)
        assert hand_over(day.state, day.clock()).record_due, "a new day has a record of its own"
    clock.on(days=1)
    with open_day(tmp_path, job, clock=clock) as day:
        assert any("The record of Tue 2026-05-05 was not signed" in report for report in day.reports)
    (tmp_path / "other").mkdir()
    with open_day(tmp_path / "other", make_job(2), clock=clock) as day:
        assert not hand_over(day.state, day.clock()).record_due


def test_a_later_morning_asks_only_what_a_morning_must_until_something_is_entered(tmp_path: Path) -> None:
    clock = Hands()
    with open_day(tmp_path, clock=clock) as day:
        assert day.morning() == (), "the first day asks all of it"
        for step in ("competent-person", "briefing", "ticket", "wall-look"):
            text = "Invented Lead" if step == "competent-person" else "IL" if step == "briefing" else "yes"
            saved(day.answer(None, step, text))
        saved(day.answer(None, "private-lines", "none here"))
    clock.on(days=1)
    with open_day(tmp_path, clock=clock) as day:
        again = [row.id for row in day.morning()]
        assert again == ["competent-person", "briefing", "ticket", "wall-look"]
        saved(day.answer(None, "ticket", "yes"))
        assert day.morning() == (), "begun: nobody is sent back"
