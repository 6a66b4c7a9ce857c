"""One page read aloud, one set of initials a moment; what needs a name of its own keeps it."""

from __future__ import annotations

from pathlib import Path

import pytest
from day_help import open_day, refused, saved

from crewtui.day.session.day import Day
from crewtui.job.tables.hazards import MOMENTS


@pytest.fixture
def day(tmp_path: Path) -> Day:
    return open_day(tmp_path)


def held(day: Day, step: str) -> set[str]:
    return {hold.id for hold in day.holds_on(step, "A-1") if hold.held_by == "hazard"}


def test_one_set_of_initials_signs_every_line_of_a_moment_and_nothing_of_another(day: Day) -> None:
    page = day.safety.moment_page("start", "A-1")
    assert page.count == len(page.lines) > 3
    before = held(day, "wax")
    saved(day.safety.sign_moment("start", initials="IL", anchor="A-1"))
    assert day.safety.moment_page("start", "A-1").count == 0
    assert before - held(day, "wax") == set(page.job_hazards) & before
    assert "hearing" in held(day, "wax")


def test_what_is_released_with_a_name_is_not_signed_with_initials(day: Day) -> None:
    saved(day.answer("A-1", "sod", reason="begun"))
    for moment in MOMENTS:
        page = day.safety.moment_page(moment, "A-1")
        if page.count:
            saved(day.safety.sign_moment(moment, initials="IL", anchor="A-1"))
    left = held(day, "pit-size") | held(day, "plate-on")
    assert left
    named = {hazard.id for hazard in day.hazards if hazard.release == "name"}
    assert left <= named


def test_what_is_seen_in_a_pit_waits_for_the_pit(day: Day) -> None:
    page = day.safety.moment_page("dig", "A-1")
    of_the_pit = {hazard.id for hazard in day.hazards if hazard.of_the_pit}
    assert not of_the_pit & {*page.job_hazards, *page.anchor_hazards}


def test_a_moment_is_taken_back_in_one_and_signed_again_only_where_something_is_left(day: Day) -> None:
    whole = day.safety.moment_page("start", None).lines
    saved(day.safety.sign_moment("start", initials="IL"))
    assert "nothing is left" in refused(day.safety.sign_moment("start", initials="IL"))
    saved(day.take_back())
    assert day.safety.moment_page("start", None).lines == whole


def test_no_initials_sign_nothing_and_no_moment_is_made_up(day: Day) -> None:
    assert "initials" in refused(day.safety.sign_moment("start", initials=" "))
    assert "no moment" in refused(day.safety.sign_moment("noon", initials="IL"))  # type: ignore[arg-type]


def test_the_owner_s_own_lines_are_asked_once_and_the_answer_decides(day: Day) -> None:
    assert "private-lines-found" in held(day, "sod")
    saved(day.answer(None, "private-lines", "none here"))
    assert "private-lines-found" not in held(day, "sod")
    saved(day.answer(None, "private-lines", "there are some"))
    assert "private-lines-found" in held(day, "sod")
    assert day.state.deviations == ()
