"""What the job file does not list is added where it is found, and is judged like what it lists."""

from __future__ import annotations

from pathlib import Path

import pytest
from day_help import open_day, refused, saved

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.day.steps.listing import LISTINGS, asked_of, listing_of, values_of, wrong_with

ANSWERS = {
    "lines": {"name": "lamp feed", "kind": "electric", "private": "yes",
              "points": "7 ft 6, 0; 7 ft 6, 25 ft"},
    "openings": {"name": "window", "from": "6 ft", "to": "9 ft", "bottom": "60"},
    "in_ground": {"name": "stoop", "kind": "footing", "outline": "80, 30; 100, 30; 100, 60; 80, 60",
                  "base_depth": "48"},
    "utilities": {"name": "Sample Water", "kind": "potable water", "response": "clear", "note": "no. 7"},
    "contacts": {"role": "engineer", "phone": "555-0104", "name": "R. Sample"},
}  # fmt: skip


def listed(day: Day, table: str, **changes: str) -> dict[str, object]:
    return values_of(listing_of(table), {**ANSWERS[table], **changes}, day.state)


@pytest.mark.parametrize("table", [one.table for one in LISTINGS])
def test_what_is_listed_stands_in_the_job_as_if_the_file_had_it_and_after_opening_again(
    tmp_path: Path, table: str
) -> None:
    with open_day(tmp_path, figures=figures_for) as day:
        for question in asked_of(listing_of(table), day.state):
            text = ANSWERS[table].get(question.key, "")
            assert question.choices or not wrong_with(question, text, day.job.job.units)
        saved(day.site.list_thing(table, listed(day, table)))
        job = day.job
    assert job.ticket is not None
    lists = {"openings": job.walls[0].openings, "utilities": job.ticket.utilities}
    found = lists[table] if table in lists else getattr(job, table)
    assert found[-1].name == ANSWERS[table]["name"]
    with open_day(tmp_path, figures=figures_for) as again:
        assert again.job == job


def test_a_line_that_is_listed_holds_the_rod_that_it_crosses(tmp_path: Path) -> None:
    with open_day(tmp_path, figures=figures_for) as day:
        before = {hold.id for hold in day.standing_holds("A-1")}
        saved(day.site.list_thing("lines", listed(day, "lines")))
        new = [hold for hold in day.standing_holds("A-1") if hold.id not in before]
        assert any("lamp feed" in hold.text for hold in new)
        facts = day.facts("A-1")
        assert facts.lines is not None  # type: ignore[attr-defined]


def test_a_window_that_is_listed_is_kept_clear_of(tmp_path: Path) -> None:
    with open_day(tmp_path, figures=figures_for) as day:
        saved(day.site.list_thing("openings", listed(day, "openings", bottom="0")))
        assert any("window" in one.words for one in day.walls.standing_findings())


def test_the_same_name_again_corrects_and_does_not_double(tmp_path: Path) -> None:
    with open_day(tmp_path, figures=figures_for) as day:
        saved(day.site.list_thing("lines", listed(day, "lines")))
        saved(day.site.list_thing("lines", listed(day, "lines", points="20 ft, 0; 20 ft, 25 ft")))
        assert len(day.job.lines) == 1
        assert day.job.lines[0].points[0][0] == 240
        saved(day.take_back())
        assert day.job.lines[0].points[0][0] == 90


@pytest.mark.parametrize(
    ("table", "changes", "said"),
    [
        ("lines", {"points": "7 ft"}, "is no point"),
        ("lines", {"points": "7 ft, x; 3, 4"}, "x"),
        ("openings", {"to": "3 ft"}, "end past its beginning"),
        ("in_ground", {"outline": "1, 2; 3, 4"}, "3"),
        ("lines", {"kind": "magic"}, "magic"),
    ],
)
def test_what_does_not_fit_is_one_sentence_and_lists_nothing(
    tmp_path: Path, table: str, changes: dict[str, str], said: str
) -> None:
    with open_day(tmp_path, figures=figures_for) as day:
        before = len(day.journal.entries)
        try:
            sentence = refused(day.site.list_thing(table, listed(day, table, **changes)))
        except ValueError as error:
            sentence = str(error)
        assert said in sentence
        assert "\n" not in sentence
        assert len(day.journal.entries) == before
