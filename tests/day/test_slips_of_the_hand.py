"""What a slip of the hand would make of a day is asked back in words, and the truth can be entered."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
from day_help import MORNING, Hands, asks_reason, clear_hazards, job_data, make_job, open_day, refused, saved

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.day.session.intents import says_why
from crewtui.day.steps.fill_in_rows import blanks
from crewtui.day.steps.outcomes import NeedsSure
from crewtui.day.steps.step_rows import asked_again
from crewtui.job.file.model import Job, RuleOverride


@pytest.fixture
def day(tmp_path: Path) -> Day:
    return open_day(tmp_path, figures=figures_for)


@pytest.mark.parametrize(
    "text", ["", "h", "ss", "abc", "x y", "SS KS", "n", "...", "12", "PS SS KS LS", "ss ks"]
)
def test_a_key_or_initials_are_no_reason(day: Day, text: str) -> None:
    assert not says_why(text)
    asked = asks_reason(day.answer("A-1", "sod", "no", reason=text))
    if text.strip(" ."):
        assert "no reason" in asked.sentence


@pytest.mark.parametrize(
    "text", ["rock in the way", "none there", "was cut", "rain", "old pit", "Fels im Weg"]
)
def test_a_few_words_are_a_reason(text: str) -> None:
    assert says_why(text)


def test_an_answer_that_was_no_is_not_turned_round_unasked(day: Day) -> None:
    clear_hazards(day)
    saved(day.answer("A-1", "sod", "no", reason="paved here"))
    turned = day.answer("A-1", "sod")
    assert isinstance(turned, NeedsSure)
    assert "paved here" in turned.sentence
    assert day.state.anchors["A-1"].answers["sod"].answer == "no"
    saved(day.answer("A-1", "sod", sure=True))
    assert day.state.anchors["A-1"].answers["sod"].answer == "yes"


def test_a_value_that_replaces_the_plan_s_asks_why_and_who_and_is_a_deviation(tmp_path: Path) -> None:
    data = job_data(1)
    data["anchors"][0]["torque"] = 80
    with open_day(tmp_path, Job.model_validate(data), figures=figures_for) as day:
        asked = asks_reason(day.site.set_up("anchor", {"torque_lbf_ft": "180"}, name="A-1"))
        assert "80 lbf·ft" in asked.sentence
        assert "180 lbf·ft" in asked.sentence
        assert "Who agreed" in refused(
            day.site.set_up("anchor", {"torque_lbf_ft": "180"}, name="A-1", reason="new sheet of the maker")
        )
        saved(
            day.site.set_up(
                "anchor", {"torque_lbf_ft": "180"}, name="A-1", reason="new sheet", agreed_by="R. Sample"
            )
        )
        (deviation,) = day.state.deviations
        assert deviation.kind == "site change"
        assert "R. Sample" in deviation.text
        saved(day.site.set_up("anchor", {"free_room_in": "96"}, name="A-1"))
        assert len(day.state.deviations) == 1, "a blank that is filled in replaces nothing"


def test_a_ticket_is_filled_in_row_by_row_where_the_file_has_none(tmp_path: Path) -> None:
    data = job_data(1)
    del data["ticket"]
    with open_day(tmp_path, Job.model_validate(data)) as day:
        saved(day.site.set_up("ticket", {"number": "555-0100"}))
        assert day.job.ticket is None
        kept = {one.key: one for one in blanks(day.state) if one.table == "ticket"}
        assert (kept["number"].text, kept["number"].drafted) == ("555-0100", True)
        saved(day.site.set_up("ticket", {"valid_from": "2026-05-01T07:00:00-05:00"}))
        saved(day.site.set_up("ticket", {"valid_to": "2026-05-20T17:00:00-05:00"}))
        assert day.job.ticket is not None
        assert day.job.ticket.number == "555-0100"
        assert day.state.shared.drafts == {}


@pytest.mark.parametrize(
    ("table", "values", "name"),
    [
        ("ticket", {"valid_from": "tomorrow"}, ""),
        ("anchor", {"torque_lbf_ft": "-3"}, "A-1"),
        ("wall", {"thickness_in": "0"}, "north"),
        ("ground", {"soil_type": "mud"}, ""),
        ("tools", {"pit": "spade"}, ""),
        ("rod", {"diameter_in": "1e400"}, ""),
        ("job", {"units": "cubits"}, ""),
    ],
)
def test_what_does_not_fit_is_said_in_our_own_words(
    day: Day, table: str, values: dict[str, str], name: str
) -> None:
    sentence = refused(day.site.set_up(table, values, name=name, reason="a new sheet", agreed_by="R. Sample"))
    for raw in ("Input should", "Value error", "type=", "pydantic", "validation", "ensure"):
        assert raw not in sentence, sentence
    assert sentence.endswith(".")


def test_each_morning_and_after_rain_the_wall_is_looked_at_again(tmp_path: Path) -> None:
    hands = Hands()
    day = open_day(tmp_path, clock=hands)
    saved(day.answer(None, "wall-look"))
    saved(day.measure(None, "watch-base", "3 1/4"))
    assert asked_again(day.state) == frozenset()
    saved(day.safety.reopen_inspection("rain since noon"))
    assert asked_again(day.state) == {"wall-look", "watch-base"}
    saved(day.answer(None, "wall-look"))
    assert asked_again(day.state) == {"watch-base"}
    day.close()
    hands.now = MORNING + timedelta(days=1)
    with open_day(tmp_path, clock=hands) as again:
        assert "wall-look" in asked_again(again.state)


def test_a_finding_about_a_wall_is_answered_by_name_for_its_value_or_stands(tmp_path: Path) -> None:
    data = job_data(2)
    data["anchors"][1]["along"] = 90 + 74
    with open_day(tmp_path, Job.model_validate(data), figures=figures_for) as day:
        gap = next(one for one in day.walls.standing_findings() if one.id == "north: gap A-1 A-2")
        assert gap.value == "74 in"
        assert gap.answer is None
        assert "Who says" in refused(
            day.walls.answer_finding(gap.id, name="", reason="the engineer's letter")
        )
        assert "no reason" in refused(day.walls.answer_finding(gap.id, name="R. Sample", reason="h"))
        saved(day.walls.answer_finding(gap.id, name="R. Sample", reason="letter of 3 May"))
        answered = next(one for one in day.walls.standing_findings() if one.id == gap.id)
        assert answered.answer is not None
        saved(day.site.move_anchor("A-2", {"along_in": 170.0, "drop_in": 7.0}, reason="a pipe in the way"))
        moved = next(one for one in day.walls.standing_findings() if one.id == gap.id)
        assert moved.answer is None, "another value asks again"


def test_without_a_limit_of_bow_somebody_named_lets_each_wall_be_drilled_once(tmp_path: Path) -> None:
    with open_day(tmp_path, figures=figures_for) as day:
        asked = {hold.id for anchor in ("A-1", "A-2") for hold in day.holds_on("core", anchor)}
        assert "north as it stands" in asked
        saved(day.safety.release_hold("north as it stands", "A-1", initials="R. Sample"))
        for anchor in ("A-1", "A-2", "A-3"):
            assert "north as it stands" not in {hold.id for hold in day.holds_on("core", anchor)}
    limit = {"engineer_bow_in": RuleOverride(value=2.0, said_by="R. Sample, P.E. (invented)")}
    other = tmp_path / "other"
    other.mkdir()
    with open_day(other, make_job(1).model_copy(update={"rules": limit}), figures=figures_for) as day:
        assert "north as it stands" not in {hold.id for hold in day.holds_on("core", "A-1")}
