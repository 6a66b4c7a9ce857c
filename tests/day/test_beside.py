"""What happens beside the anchors: notes, calls, people, tools, inspections, walks; entered, undone, read."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from day_help import MORNING, Hands, asks_reason, clear_hazards, make_job, open_day, refused, saved

from crewtui.day.journal.beside_entries import PeopleSeen
from crewtui.day.journal.entries import Note
from crewtui.day.session.day import Day
from crewtui.day.state.crew_hours import people_here, people_known, person_hours, phase_hours
from crewtui.day.state.walks_done import agreed
from crewtui.job.tables import walks

SEEN = "rod and plate in the open pit"
PERMIT = {"number": "BP-0042", "inspections": [{"what": SEEN}]}


@pytest.fixture
def hands() -> Hands:
    return Hands()


@pytest.fixture
def day(tmp_path: Path, hands: Hands) -> Day:
    return open_day(tmp_path, clock=hands)


def again(day: Day, folder: Path, hands: Hands) -> Day:
    """Close the day and open it anew: what the journal adds up to."""
    state = day.state
    day.close()
    reopened = open_day(folder, clock=hands)
    assert reopened.state.shared.beside == state.shared.beside
    return reopened


# Notes and calls.


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("rock at the rim", ("A-1", None, False, "rock at the rim")),
        ("owner: sod is thin here", ("A-1", None, True, "sod is thin here")),
        ("wall: a damp spot", (None, "north", False, "a damp spot")),
        ("Job: gate sticks", (None, None, False, "gate sticks")),
        ("owner: wall: crack is old", (None, "north", True, "crack is old")),
        ("ownership of the fence is open", ("A-1", None, False, "ownership of the fence is open")),
    ],
)
def test_a_note_says_what_it_is_about(
    day: Day, typed: str, said: tuple[str | None, str | None, bool, str]
) -> None:
    entry = saved(day.beside.note_here(typed, "A-1")).entry
    assert isinstance(entry, Note)
    assert (entry.anchor, entry.wall, entry.for_owner, entry.text) == said
    assert entry.text in day.log()[0].words


@pytest.mark.parametrize("typed", ["", "   ", "owner:", "wall: "])
def test_a_note_without_words_is_asked_back(day: Day, typed: str) -> None:
    before = len(day.journal.entries)
    assert refused(day.beside.note_here(typed, "A-1")) == "Type the note."
    assert len(day.journal.entries) == before


def test_a_call_keeps_who_what_and_the_answer(day: Day) -> None:
    saved(day.beside.call_made("gas company", about="the mark at A-2", said="clear, no. 4711", anchor="A-2"))
    assert day.log()[0].words == "A-2: called gas company about the mark at A-2: clear, no. 4711"
    assert refused(day.beside.call_made(" ")) == "Who was called?"


def test_a_change_has_words_figures_and_the_owners_yes(day: Day) -> None:
    saved(day.beside.change_agreed("one anchor more", before="5", after="6", name="Owner Sample"))
    words = "change, owner asked: one anchor more: 5 before, 6 after; yes by Owner Sample"
    assert day.log()[0].words == words
    assert refused(day.beside.change_agreed("one more", name=" ")).startswith("Who said yes to it?")
    assert refused(day.beside.change_agreed(" ", name="Owner Sample")) == "What is done otherwise?"


# People.


def test_one_entry_for_the_whole_crew_and_hours_without_breaks(
    day: Day, hands: Hands, tmp_path: Path
) -> None:
    names = people_known(day.state)
    saved(day.beside.people("in"))
    hands.on(hours=4, minutes=30)
    saved(day.beside.people("break"))
    hands.on(minutes=30)
    saved(day.beside.people("back"))
    saved(day.beside.people("in", "Late Sample"))
    hands.on(hours=4)
    saved(day.beside.people("out", names[0]))
    hands.on(hours=1)
    hours = {one.who: one for one in person_hours(day.state.shared.beside.people, hands.now)}
    assert hours[names[0]].hours == pytest.approx(8.5)
    assert not hours[names[0]].still_here
    assert hours["Late Sample"].hours == pytest.approx(5)
    assert hours["Late Sample"].still_here
    assert names[0] not in people_here(day.state)
    assert "Late Sample" in people_here(again(day, tmp_path, hands).state)


@pytest.mark.parametrize("what", ["out", "break", "back"])
def test_nobody_leaves_who_has_not_come(day: Day, what: str) -> None:
    assert "cannot be said of" in refused(day.beside.people(what, "Late Sample"))


def test_what_is_said_of_people_is_one_of_four(day: Day) -> None:
    assert "in, out, break, back" in refused(day.beside.people("asleep"))
    assert refused(day.beside.people("in", " ")) == "Who? Type the name."


def test_time_of_phases_is_that_of_the_entries(day: Day, hands: Hands) -> None:
    clear_hazards(day)
    hands.on(minutes=10)
    saved(day.measure("A-1", "setback", "144"))
    hands.on(minutes=20)
    saved(day.measure("A-1", "drop", "7"))
    hands.on(hours=3)
    saved(day.answer("A-1", "sod"))
    found = {one.phase: one.hours for one in phase_hours(day.journal.entries)}
    assert found == {"mark": pytest.approx(0.5)}  # a gap of hours is nobody's work on a phase


# Tools.


def test_a_tool_runs_by_the_clock_and_its_time_counts(day: Day, hands: Hands, tmp_path: Path) -> None:
    saved(day.beside.start_tool("wall drill"))
    assert "runs already" in refused(day.beside.start_tool("wall drill"))
    day = again(day, tmp_path, hands)
    hands.on(minutes=45)
    saved(day.beside.stop_tool("wall drill"))
    assert day.state.shared.exposures[-1].hours == pytest.approx(0.75)
    assert not day.state.shared.beside.running
    assert "was not started" in refused(day.beside.stop_tool("wall drill"))
    saved(day.take_back())
    assert "wall drill" in day.state.shared.beside.running


def test_a_tool_that_nobody_stopped_is_asked_about(day: Day, hands: Hands) -> None:
    saved(day.beside.start_tool("wall drill"))
    hands.on(hours=20)
    assert "say when it was laid down" in refused(day.beside.stop_tool("wall drill"))
    saved(day.beside.stop_tool("wall drill", done_at=MORNING + timedelta(hours=2)))
    assert day.state.shared.exposures[-1].hours == pytest.approx(2)


def test_there_is_no_such_tool(day: Day) -> None:
    assert "There is no tool spoon" in refused(day.beside.start_tool("spoon"))


# Inspections.


def ids(day: Day, anchor: str = "A-1") -> list[str]:
    return [hold.id for hold in day.standing_holds(anchor) if hold.held_by == "inspection"]


def backfill(day: Day, anchor: str = "A-1", **given: str) -> object:
    return day.measure(anchor, "backfilled", "8", **given)


@pytest.fixture
def inspected(tmp_path: Path, hands: Hands) -> Day:
    day = open_day(tmp_path, make_job(permit=PERMIT), clock=hands)
    clear_hazards(day)
    return day


def test_what_the_permit_names_holds_the_backfill_until_it_passed(inspected: Day) -> None:
    assert len(ids(inspected)) == 1
    asked = asks_reason(backfill(inspected))
    assert SEEN in asked.sentence
    assert "Cover the pit meanwhile" in asked.sentence
    saved(inspected.inspections.ask_inspection(SEEN, of="building office, 555-0177", expected="14:00"))
    assert "expected 14:00" in inspected.inspections.listed()[0].words
    saved(inspected.inspections.inspected(SEEN, came=False))
    assert len(ids(inspected)) == 1
    saved(inspected.inspections.inspected(SEEN, passed=True, name="Ines Sample", anchors=["A-1"]))
    assert ids(inspected) == []
    assert ids(inspected, "A-2") != []
    saved(backfill(inspected))


def test_what_did_not_pass_holds_anew_whoever_released_it_before(inspected: Day) -> None:
    (first,) = ids(inspected)
    saved(inspected.safety.release_hold(first, "A-1", initials="Eng Sample"))
    assert ids(inspected) == []
    saved(inspected.inspections.inspected(SEEN, name="Ines Sample", found="plate not square"))
    (again_,) = ids(inspected)
    assert again_ != first
    assert "plate not square" in asks_reason(backfill(inspected)).sentence
    saved(inspected.inspections.inspected(SEEN, passed=True, name="Ines Sample"))
    assert ids(inspected) == []


def test_a_pit_that_cannot_stay_open_is_filled_with_a_reason(inspected: Day) -> None:
    saved(backfill(inspected, reason="storm coming, pit cannot stay open"))
    assert any("while held" in item.kind for item in inspected.state.deviations)


def test_what_was_done_before_the_result_is_judged_as_things_were(inspected: Day, hands: Hands) -> None:
    began = hands.now
    hands.on(hours=2)
    saved(inspected.inspections.inspected(SEEN, passed=True, name="Ines Sample"))
    asks_reason(inspected.measure("A-1", "backfilled", "8", done_at=began))


def test_an_inspection_entered_on_site_holds_the_step_that_it_names(day: Day) -> None:
    clear_hazards(day)
    saved(day.inspections.want_inspection("mark on the wall", before="drill", wanted_by="engineer"))
    held = [hold.sentence for hold in day.holds_on("core", "A-1")]
    assert any("mark on the wall" in one for one in held)
    assert "already" in refused(day.inspections.want_inspection("mark on the wall"))
    assert "no phase or step lunch" in refused(day.inspections.want_inspection("soup", before="lunch"))
    assert "Nobody wants to see" in refused(
        day.inspections.inspected("soup", passed=True, name="Cook Sample")
    )


def test_a_result_has_a_name_and_a_bad_one_says_why(inspected: Day) -> None:
    assert (
        refused(inspected.inspections.inspected(SEEN, passed=True)) == "Who came? The record keeps the name."
    )
    assert (
        refused(inspected.inspections.inspected(SEEN, name="Ines Sample"))
        == "What is not right, in their words?"
    )


def test_an_anchor_without_an_inspection_has_no_more_holds_and_no_press_more(day: Day) -> None:
    clear_hazards(day)
    assert ids(day) == []
    saved(backfill(day))


def test_a_permit_can_be_filled_in_on_site(day: Day) -> None:
    saved(day.site.set_up("permit", {"number": "BP-7", "inspections": [{"what": SEEN}]}))
    assert len(ids(day)) == 1


# Walks.


@pytest.mark.parametrize("walk", ["before", "leaving"])
def test_a_walk_is_agreed_once_everything_was_looked_at(
    day: Day, walk: walks.WalkName, tmp_path: Path, hands: Hands
) -> None:
    first, *others = walks.things(walk)
    saved(day.walks.walk_seen(walk, first.id, "a hand long, old", place="north wall, by the window"))
    assert "Not looked at yet" in refused(day.walks.walk_agreed(walk, "Owner Sample"))
    for thing in others:
        saved(day.walks.walk_seen(walk, thing.id))
    assert refused(day.walks.walk_agreed(walk, "")).startswith("Who walked along?")
    saved(day.walks.walk_agreed(walk, "Owner Sample", questions="when does the lawn grow back? spring"))
    day = again(day, tmp_path, hands)
    assert agreed(day.state, walk) is not None
    assert day.walks.walk(walk)[0].words == "north wall, by the window: a hand long, old"
    saved(day.walks.walk_seen(walk, first.id, "another one"))
    assert agreed(day.state, walk) is None


def test_what_is_on_no_walk_is_refused(day: Day) -> None:
    assert "is not on this walk" in refused(day.walks.walk_seen("before", "wrench"))
    assert "in a few words" in refused(day.walks.walk_seen("before", "lawn", " "))


def test_hours_at_the_end_of_the_calendar_are_hours() -> None:
    last = datetime(9999, 12, 31, 22, 0, tzinfo=UTC)
    seen = PeopleSeen(n=1, done_at=last, typed_at=last, people=("Invented Hand",), what="in")
    (one,) = person_hours([seen], last.replace(hour=23))
    assert one.hours == 1
    (one,) = person_hours([seen], last - timedelta(days=3))
    assert one.hours == 0
