from __future__ import annotations

from datetime import timedelta

import pytest
from day_help import MORNING, make_job
from hypothesis import given, settings
from hypothesis import strategies as st

from crewtui.day.journal import entries as e
from crewtui.day.state.fold import apply, fold, start, taken_back
from crewtui.day.state.state import DayState
from crewtui.job.file.rule_overrides import resolve

JOB = make_job()
RULES = resolve(JOB)


def numbered(*entries: e.Entry) -> tuple[e.Entry, ...]:
    return tuple(entry.model_copy(update={"n": n}) for n, entry in enumerate(entries, start=1))


def folded(*entries: e.Entry) -> DayState:
    return fold(JOB, RULES, numbered(*entries))


T = {"done_at": MORNING, "typed_at": MORNING}


def value(quantity: str, number: float, anchor: str = "A-1", **more: object) -> e.ValueMeasured:
    return e.ValueMeasured.model_validate(
        {
            **T,
            "anchor": anchor,
            "step": quantity,
            "quantity": quantity,
            "value": number,
            "text": f"{number}",
            **more,
        }
    )


def back(of: int) -> e.TakenBack:
    return e.TakenBack(**T, of=of)


def test_a_day_begins_with_the_plan() -> None:
    state = folded()
    assert list(state.anchors) == ["A-1", "A-2", "A-3"]
    assert state.anchors["A-1"].as_built == {}
    assert state.deviations == ()


def test_the_last_measurement_of_a_value_is_the_one_as_built() -> None:
    state = folded(value("setback_in", 144), value("setback_in", 146.5))
    assert state.anchors["A-1"].value("setback_in") == 146.5
    assert state.anchors["A-2"].value("setback_in") is None


def test_an_entry_taken_back_is_as_if_it_had_not_been() -> None:
    kept = folded(value("setback_in", 144))
    state = folded(value("setback_in", 144), value("setback_in", 150), back(2))
    assert state.anchors["A-1"].value("setback_in") == 144
    assert state.anchors["A-1"].as_built == kept.anchors["A-1"].as_built
    assert state.taken_back == {2}


def test_a_taking_back_can_be_taken_back() -> None:
    state = folded(value("setback_in", 144), back(1), back(2))
    assert state.anchors["A-1"].value("setback_in") == 144


def test_a_taking_back_of_something_later_does_nothing() -> None:
    assert taken_back(numbered(back(2), value("setback_in", 144))) == frozenset()


def test_a_deviation_stands_until_the_step_is_measured_within_its_limits() -> None:
    off = value("depth_found_in", 33, outside=True, limit="36 in to 43 1/2 in", reason="rock")
    assert [item.text for item in folded(off).deviations] == ["33 (36 in to 43 1/2 in)"]
    assert folded(off, value("depth_found_in", 38)).deviations == ()


def test_what_was_done_while_held_stays_a_deviation() -> None:
    held = value("depth_found_in", 38, while_held=("ticket-expired",), reason="was done")
    state = folded(held, value("depth_found_in", 39))
    assert [item.kind for item in state.deviations] == ["while held"]


def drive(depth: float | None, *, way: e.Way | None = None, attempt: int = 1) -> e.DriveAttempted:
    return e.DriveAttempted(
        **T,
        anchor="A-1",
        attempt=attempt,
        held_angle_deg=5.3,
        depth_found_in=depth,
        side_offset_in=1.0,
        way=way,
    )


def test_an_accepted_drive_is_as_built() -> None:
    now = folded(drive(40, way=e.Way(kind="accept", words="accepted"))).anchors["A-1"]
    assert now.value("depth_found_in") == 40
    assert now.value("held_angle_deg") == 5.3
    assert len(now.drives) == 1


def test_a_steeper_hole_sets_the_aim_and_asks_again_for_what_it_makes_untrue() -> None:
    way = e.Way(kind="re-drill", words="re-drill at 8.6°", values={"angle_deg": 8.6})
    now = folded(
        value("mark_depth_in", 28),
        value("drilled_angle_deg", 5.3),
        value("depth_found_in", 33),
        drive(33, way=way),
    ).anchors["A-1"]
    assert now.aim == {"angle_deg": 8.6}
    assert now.value("mark_depth_in") == 28
    for gone in ("drilled_angle_deg", "held_angle_deg", "depth_found_in", "side_offset_in"):
        assert now.value(gone) is None
    assert now.drives[0].depth_found_in == 33
    assert now.drives[0].as_built["drilled_angle_deg"].value == 5.3


@pytest.mark.parametrize("kind", ["accept", "re-drill", "same hole", "deepen", "widen", "search"])
def test_a_drive_of_an_older_journal_is_what_its_values_and_its_way_on_make_today(kind: str) -> None:
    way = e.Way(kind=kind, words=kind, values={"pit_depth_in": 60.0} if kind == "deepen" else {})
    depth = None if kind == "search" else 33.0
    older = folded(drive(depth, way=way)).anchors["A-1"]
    told = {"held_angle_deg": 5.3, "depth_found_in": depth, "side_offset_in": None if depth is None else 1.0}
    values = tuple(value(key, told[key]) for key in told if told[key] is not None)
    today = folded(*values, e.WayTaken(**T, anchor="A-1", way=way, found=depth is not None)).anchors["A-1"]
    said = ("attempt", "held_angle_deg", "depth_found_in", "way", "open")
    assert [[getattr(one, key) for key in said] for one in today.drives] == [
        [getattr(one, key) for key in said] for one in older.drives
    ]
    same = ("aim", "pit_entry", "answers", "deviations")
    assert [getattr(today, key) for key in same] == [getattr(older, key) for key in same]
    if depth is not None:
        numbers = [{key: one.value for key, one in now.as_built.items()} for now in (older, today)]
        assert numbers[0] == numbers[1]


def test_another_setback_has_its_own_drop() -> None:
    way = e.Way(kind="farther out", words="pit 24 in farther out", values={"setback_in": 168})
    now = folded(value("drop_in", 7), drive(33, way=way)).anchors["A-1"]
    assert now.here("setback_in") == 168
    assert now.here("drop_in") is None
    assert now.plan.drop_in is None
    assert now.drives[0].plan.drop_in == 7, "where it ran is judged on the ground as it was"


@pytest.mark.parametrize("kind", ["search", "deepen", "widen", "farther out"])
def test_searching_deepening_and_widening_ask_again_who_goes_into_the_pit(kind: str) -> None:
    nobody = e.PitEntryAnswered(**T, anchor="A-1", somebody=False)
    assert folded(nobody).anchors["A-1"].pit_entry is False
    state = folded(nobody, drive(33, way=e.Way(kind=kind, words=kind)))
    assert state.anchors["A-1"].pit_entry is None
    assert state.anchors["A-1"].somebody_in_pit


def test_a_rod_not_found_asks_again_and_is_no_depth() -> None:
    nobody = e.PitEntryAnswered(**T, anchor="A-1", somebody=False)
    now = folded(nobody, drive(None, way=e.Way(kind="search", words="search"))).anchors["A-1"]
    assert now.pit_entry is None
    assert now.value("depth_found_in") is None
    assert now.drives[0].depth_found_in is None


def test_a_deeper_pit_asks_again_and_a_first_or_shallower_one_does_not() -> None:
    nobody = e.PitEntryAnswered(**T, anchor="A-1", somebody=False)
    assert folded(nobody, value("pit_depth_in", 50)).anchors["A-1"].pit_entry is False
    assert (
        folded(nobody, value("pit_depth_in", 50), value("pit_depth_in", 49)).anchors["A-1"].pit_entry is False
    )
    assert (
        folded(value("pit_depth_in", 50), nobody, value("pit_depth_in", 54)).anchors["A-1"].pit_entry is None
    )


def test_a_drive_measured_step_by_step_counts_as_one() -> None:
    now = folded(value("held_angle_deg", 5.2), value("depth_found_in", 38)).anchors["A-1"]
    (found,) = now.drives
    assert (found.attempt, found.held_angle_deg, found.depth_found_in) == (1, 5.2, 38)


def test_anchors_are_moved_added_and_dropped_by_entries_alone() -> None:
    plate = {"plate_width_in": 14, "plate_height_in": 10}
    state = folded(
        e.AnchorMoved(**T, anchor="A-1", values={"along_in": 100, **plate}, reason="pipe"),
        e.AnchorAdded(**T, anchor="A-9", wall="north", values={"along_in": 500}, reason="crack"),
        e.AnchorDropped(**T, anchor="A-2", reason="root"),
    )  # fmt: skip
    assert state.anchors["A-1"].plan.along_in == 100
    assert state.anchors["A-1"].plan.plate is not None
    assert state.anchors["A-1"].plan.plate.width_in == 14
    assert state.anchors["A-1"].planned == JOB.anchors[0]
    assert [now.id for now in state.live()] == ["A-1", "A-3", "A-9"]
    assert state.anchors["A-9"].planned is None
    assert [item.kind for item in state.deviations] == ["site change"] * 3


def test_entries_that_fit_nothing_are_counted_and_do_no_harm() -> None:
    state = folded(
        value("setback_in", 144, anchor="Z-9"),
        e.AnchorMoved(**T, anchor="A-1", values={"nonsense_in": 1}, reason="rock there"),
        e.AnchorMoved(**T, anchor="A-1", values={"setback_in": -5}, reason="rock there"),
        e.AnchorAdded(**T, anchor="A-1", wall="north", values={"along_in": 5}, reason="rock there"),
        e.AnchorAdded(**T, anchor="A-8", wall="west", values={"along_in": 5}, reason="rock there"),
        e.SetUp(**T, table="wall", name="west", values={"thickness_in": 8}),
        e.SetUp(**T, table="ground", values={"frost_depth_in": "very deep"}),
    )
    assert state.shared.unplaced == (1, 2, 3, 4, 5, 6, 7)
    assert state.last_n == 7


def test_values_filled_in_on_site_are_the_job_from_then_on() -> None:
    state = folded(
        e.SetUp(**T, table="ground", values={"frost_depth_in": 40}),
        e.SetUp(**T, table="wall", name="north", values={"thickness_in": 10}),
        e.SetUp(**T, table="anchor", name="A-1", values={"free_room_in": 90}),
    )
    assert state.job.ground.frost_depth_in == 40
    assert state.job.wall("north").thickness_in == 10
    assert state.anchors["A-1"].plan.free_room_in == 90


def test_a_new_day_is_another_date_and_not_another_start() -> None:
    def opened(hours: float) -> e.DayOpened:
        at = MORNING + timedelta(hours=hours)
        return e.DayOpened(done_at=at, typed_at=at, program="p", job="T-1", job_sha256="")

    assert folded(opened(0), opened(3)).shared.day_began_n == 1
    assert folded(opened(0), opened(3), opened(24)).shared.day_began_n == 3


QUANTITIES = ["setback_in", "drop_in", "pit_depth_in", "depth_found_in", "held_angle_deg"]
WAYS = ["accept", "re-drill", "farther out", "search", "unheard of"]
SOME = st.one_of(
    st.builds(
        value,
        st.sampled_from(QUANTITIES),
        st.floats(1, 80),
        st.sampled_from(["A-1", "A-2", "A-9"]),
        outside=st.booleans(),
    ),
    st.builds(
        lambda step, bad: e.StepDone(
            **T, anchor="A-1", step=step, answer="no" if bad else "yes", deviates=bad
        ),
        st.sampled_from(["sod", "wax"]),
        st.booleans(),
    ),
    st.builds(lambda somebody: e.PitEntryAnswered(**T, anchor="A-1", somebody=somebody), st.booleans()),
    st.builds(
        lambda kind, depth: drive(depth, way=e.Way(kind=kind, words=kind)),
        st.sampled_from(WAYS),
        st.none() | st.floats(20, 48),
    ),
    st.builds(
        lambda place: e.AnchorMoved(**T, anchor="A-2", values={"along_in": place}, reason="rock there"),
        st.floats(1, 90),
    ),
    st.builds(back, st.integers(1, 12)),
)


@given(entries=st.lists(SOME, max_size=14))
@settings(max_examples=60, deadline=None)
def test_adding_one_by_one_and_adding_up_anew_give_the_same_state(entries: list[e.Entry]) -> None:
    listed = numbered(*entries)
    state = start(JOB, RULES)
    for count, entry in enumerate(listed, start=1):
        undoes = isinstance(entry, e.TakenBack)
        state = fold(JOB, RULES, listed[:count]) if undoes else apply(state, entry)
    assert state == fold(JOB, RULES, listed)


@given(entries=st.lists(SOME, max_size=10))
@settings(max_examples=40, deadline=None)
def test_taking_everything_back_leaves_the_plan(entries: list[e.Entry]) -> None:
    done = numbered(*(entry for entry in entries if not isinstance(entry, e.TakenBack)))
    undone = numbered(*done, *(back(entry.n) for entry in reversed(done)))
    state = fold(JOB, RULES, undone)
    assert state.anchors == start(JOB, RULES).anchors
    assert state.shared == start(JOB, RULES).shared


def test_two_hundred_anchors_of_thirty_entries_add_up() -> None:
    job = make_job(200)
    entries = numbered(
        *(value(f"q{k % 25}_in", float(k), anchor=f"A-{a}") for k in range(30) for a in range(1, 201))
    )
    state = start(job, RULES)
    for entry in entries:
        state = apply(state, entry)
    assert all(len(now.as_built) == 25 for now in state.anchors.values())
