"""Readings of the wall as entries: what is kept, what is asked back, what two visits say."""

from __future__ import annotations

import math
import statistics
from pathlib import Path

import pytest
from day_help import Hands, make_job, open_day, refused, saved
from scipy import stats

from crewtui.day.journal import entries as e
from crewtui.day.session.day import Day
from crewtui.day.state.wall_reading import (
    TAPE_ALONE,
    Visit,
    between,
    between_visits,
    error_words,
    last_of,
    overall,
    profile_words,
    uncertainty,
    visits_in,
    wall_profile,
)

Heights = tuple[tuple[str, str], ...]
STRAIGHT: Heights = (("4", "6"), ("46", "6"), ("88", "6"))
BOWED: Heights = (("4", "6"), ("46", "4 3/4"), ("88", "5 1/2"))


def read(day: Day, anchor: str = "A-1", when: str = "before", heights: Heights = BOWED, **more: str) -> None:
    saved(day.walls.read_wall(anchor, when, heights, **more))


def test_bow_and_lean_follow_from_three_heights(tmp_path: Path) -> None:
    with open_day(tmp_path) as day:
        outcome = saved(day.walls.read_wall("A-1", "before", BOWED, resolution="1/16"))
        assert "bow 1 in (±1/16 in), top 1/2 in (±1/16 in) inward" in outcome.words
        reading = visits_in(day.state)["A-1"]["before"].reading
        assert reading.bow_in.value == pytest.approx(1.0)
        assert reading.lean_in.value == pytest.approx(0.5)
        assert reading.warnings, "the base was not measured, and that is said"
        assert "bow_after_in" not in day.state.anchors["A-1"].as_built


def test_the_reading_after_tightening_answers_the_step_and_is_there_after_opening_again(
    tmp_path: Path,
) -> None:
    with open_day(tmp_path) as day:
        read(day, when="before")
        read(day, when="after", heights=(("4", "6"), ("46", "5"), ("88", "5 1/2")))
    with open_day(tmp_path, clock=Hands()) as day:
        now = day.state.anchors["A-1"]
        assert now.value("bow_after_in") == pytest.approx(0.75)
        assert now.as_built["bow_after_in"].step == "readings"
        assert {row.mark for row in day.rows("A-1") if row.id == "readings"} == {"value"}
        assert set(now.readings) == {"before", "after"}
        saved(day.take_back())
        assert set(day.state.anchors["A-1"].readings) == {"before"}
        assert day.state.anchors["A-1"].value("bow_after_in") is None


def test_the_base_is_read_from_a_string_line(tmp_path: Path) -> None:
    with open_day(tmp_path) as day:
        read(day, base_from_string="1 1/2", string_at_corners="2")
        base = visits_in(day.state)["A-1"]["before"].reading.base_in
        assert base is not None
        assert base.value == pytest.approx(0.5)
        assert "both distances" in refused(
            day.walls.read_wall("A-1", "before", BOWED, base_from_string="1 1/2")
        )


@pytest.mark.parametrize(
    ("heights", "words"),
    [
        (BOWED[:2], "three heights"),
        ((("4", "6"), ("4", "6"), ("88", "6")), "same height"),
        ((("4", "6"), ("46", ""), ("88", "6")), "missing"),
        ((("4", "6"), ("46", "5"), ("120", "6")), "not on the wall"),
        ((("4", "6"), ("46", "-5"), ("88", "6")), "not negative"),
        ((("4", "6"), ("46", "abc"), ("88", "6")), "abc"),
        ((("4", "60"), ("46", "5"), ("88", "60")), "look at the units"),
    ],
)
def test_what_is_no_reading_is_asked_back(
    tmp_path: Path, heights: tuple[tuple[str, str], ...], words: str
) -> None:
    with open_day(tmp_path) as day:
        before = len(day.journal.entries)
        assert words in refused(day.walls.read_wall("A-1", "before", heights))
        assert len(day.journal.entries) == before


def test_another_time_or_line_is_refused_in_words(tmp_path: Path) -> None:
    with open_day(tmp_path) as day:
        assert refused(day.walls.read_wall("A-1", "later", BOWED))
        assert refused(day.walls.read_wall("A-1", "before", BOWED, line="a hunch"))
        assert refused(day.walls.read_wall("A-1", "before", BOWED, resolution="0"))


def test_a_metric_job_reads_millimeters(tmp_path: Path) -> None:
    with open_day(tmp_path, make_job(job={"units": "metric"})) as day:
        read(day, heights=(("100", "150"), ("1150", "125"), ("2200", "150")), resolution="1")
        reading = visits_in(day.state)["A-1"]["before"].reading
        assert reading.bow_in.value == pytest.approx(25 / 25.4)
        assert reading.resolution_in == pytest.approx(1 / 25.4)


def test_no_engineer_is_called_without_a_limit_and_one_with_a_name_is(tmp_path: Path) -> None:
    with open_day(tmp_path) as day:
        assert "engineer" not in saved(day.walls.read_wall("A-1", "before", BOWED)).words
    (tmp_path / "other").mkdir()
    limit = {"engineer_bow_in": {"value": 1, "said_by": "R. Sample, P.E. (invented)"}}
    with open_day(tmp_path / "other", make_job(rules=limit)) as day:
        words = saved(day.walls.read_wall("A-1", "before", BOWED)).words
        assert "Call the engineer" in words
        assert "set by R. Sample" in words
        small = (("4", "6"), ("46", "5 3/4"), ("88", "6"))
        assert "engineer" not in saved(day.walls.read_wall("A-2", "before", small)).words


def test_an_anchor_moved_along_is_read_again(tmp_path: Path) -> None:
    with open_day(tmp_path) as day:
        read(day)
        saved(day.site.move_anchor("A-1", {"along_in": 80.0, "drop_in": 7.0}, reason="a pipe"))
        assert not day.state.anchors["A-1"].readings


def test_the_profile_of_a_wall_runs_along_it(tmp_path: Path) -> None:
    with open_day(tmp_path) as day:
        read(day, "A-3", heights=STRAIGHT)
        read(day, "A-1")
        found = wall_profile(day.state, "north", "before")
        assert found is not None
        assert [one.anchor for one in found.stations] == ["A-1", "A-3"]
        assert found.largest_bow_at == "A-1"
        assert wall_profile(day.state, "north", "after") is None
    worst, tolerance, base = profile_words(found, "imperial")
    assert "most bowed in at A-1, 1 in" in worst
    assert "no limit for a bowed wall" in tolerance
    assert "1/4 in over this height" in tolerance
    assert "Missing at A-1, A-3" in base


def test_two_visits_say_better_worse_or_within_the_reading_error(tmp_path: Path) -> None:
    with open_day(tmp_path, make_job(4)) as day:
        for number in (1, 2, 3):
            read(day, f"A-{number}", resolution="1/16")
        old = visits_in(day.state)
        read(day, "A-1", heights=(("4", "6"), ("46", "4 1/4"), ("88", "5 1/2")), resolution="1/16")
        read(day, "A-2", heights=(("4", "6"), ("46", "5 1/2"), ("88", "5 3/4")), resolution="1/16")
        read(day, "A-4")
        found = {one.anchor: one for one in between_visits(old, visits_in(day.state), "imperial")}
    assert {ident: one.word for ident, one in found.items()} == {
        "A-1": "worse", "A-2": "better", "A-3": "within the reading error", "A-4": "not comparable",
    }  # fmt: skip
    assert "bow 1 in to 1 1/2 in, +1/2 in (±1/16 in): worse" in found["A-1"].words
    assert overall(list(found.values())) == (
        "worse: A-1; better: A-2; within the reading error: A-3; not comparable: A-4"
    )


def test_single_distances_compare_only_from_the_same_fixed_line(tmp_path: Path) -> None:
    fixed = {"fixed_to": "nail in the joist", "line_offset": "6"}
    with open_day(tmp_path) as day:
        read(day, when="before", **fixed)
        read(day, when="after", **fixed)
        visits = visits_in(day.state)["A-1"]
        assert visits["before"].same_line(visits["after"])
        read(day, when="after", fixed_to="nail in the joist", line_offset="7")
        moved = last_of(visits_in(day.state)["A-1"])
        assert isinstance(moved, Visit)
        assert not visits["before"].same_line(moved)


def test_an_uncertainty_is_never_shown_smaller_than_it_is() -> None:
    assert uncertainty(0.0626, "imperial") == "±1/8 in"
    assert uncertainty(0.0625, "imperial") == "±1/16 in"
    assert uncertainty(1.01 / 25.4, "metric") == "±2 mm"


def test_a_reading_that_no_longer_fits_is_left_out_and_the_day_still_opens(tmp_path: Path) -> None:
    with open_day(tmp_path) as day:
        at = day.clock()
        same = e.HeightRead(height_in=4, offset_in=6)
        entry = e.WallRead(
            done_at=at, typed_at=at, anchor="A-1", when="before", line="plumb line",
            heights=(same, same, same), resolution_in=0.1,
        )  # fmt: skip
        day.put(entry)
        assert day.state.shared.unplaced == (day.state.last_n,)


def test_what_decides_the_word_is_said_first_and_the_difference_adds_up_as_shown(tmp_path: Path) -> None:
    fixed = {"fixed_to": "nail in the joist", "line_offset": "6", "resolution": "1/32"}
    with open_day(tmp_path) as day:
        read(day, when="before", heights=(("4", "6"), ("46", "5 7/32"), ("88", "6")), **fixed)
        read(day, when="after", heights=(("4", "6"), ("46", "5 7/16"), ("88", "5 7/8")), **fixed)
        visits = visits_in(day.state)["A-1"]
    found = between(visits["before"], visits["after"], "imperial")
    assert found.word == "worse"
    assert found.words[0].endswith("worse")
    bow = next(words for words in found.words if words.startswith("bow"))
    # 25/32 and 1/2 in, shown as 3/4 (to even) and 1/2.
    assert bow == "bow 3/4 in to 1/2 in, -1/4 in (±1/16 in): better"
    offset = next(words for words in found.words if words.startswith("offset at 88 in up"))
    assert offset == "offset at 88 in up 6 in to 5 7/8 in, +1/8 in (±1/16 in): worse"


def test_one_place_read_again_gives_the_spread_of_line_and_face_and_every_word_holds_it(
    tmp_path: Path,
) -> None:
    again = (4.75, 4.8125, 4.6875)
    with open_day(tmp_path) as day:
        read(day, "A-1", resolution="1/16")
        read(day, "A-2", resolution="1/16", repeats="4 3/4, 4 13/16, 4 11/16")
        found = {anchor: visits["before"].reading for anchor, visits in visits_in(day.state).items()}
    entry = day.state.anchors["A-2"].readings["before"]
    assert entry.repeats_in == again
    # Apart from the program: the standard deviation by n - 1, and Student's t of two degrees from scipy.
    spread = statistics.stdev(again) * stats.t.ppf(0.975, 2) / 2
    assert entry.repeat_sd_in == pytest.approx(spread, rel=2e-3)
    alone, whole = found["A-1"].bow_in.uncertainty, found["A-2"].bow_in.uncertainty
    assert whole / alone == pytest.approx(math.hypot(1 / 16 / 12**0.5, spread) / (1 / 16 / 12**0.5), rel=2e-3)
    assert error_words(found["A-1"], "imperial").startswith(TAPE_ALONE)
    assert "tape, line and block face" in error_words(found["A-2"], "imperial")


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("4 3/4", "at least 3 times"),
        ("4, 5", "at least 3 times"),
        ("4, x, 5", "x"),
        ("4, -1, 5", "zero or more"),
    ],
)
def test_repeats_that_are_none_are_asked_back(tmp_path: Path, typed: str, words: str) -> None:
    with open_day(tmp_path) as day:
        assert words in refused(day.walls.read_wall("A-1", "before", BOWED, repeats=typed))


def test_the_company_s_own_spread_counts_where_nobody_repeats(tmp_path: Path) -> None:
    rules = {"wall_repeat_in": {"value": 0.1, "said_by": "Invented Office"}}
    with open_day(tmp_path, make_job(1, rules=rules)) as day:
        read(day)
        assert visits_in(day.state)["A-1"]["before"].reading.repeat_sd_in == 0.1
