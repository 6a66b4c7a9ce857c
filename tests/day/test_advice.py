"""What the program advises can be taken where it stands: weighed, agreed to, and no deviation."""

from __future__ import annotations

from pathlib import Path

from day_help import job_data, open_day, refused, saved

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.journal import entries as e
from crewtui.day.session.aim_intents import WHO_AGREED
from crewtui.day.session.day import Day
from crewtui.day.steps.advice import Advice
from crewtui.job.file.model import Job
from crewtui.units import show_angle


def job(**anchor: float) -> Job:
    """Return a job of two anchors with a pit deep enough for another aim."""
    data = job_data(2, tools={"pit_depth": 58})
    data["anchors"] = [{**one, **anchor} for one in data["anchors"]]
    return Job.model_validate(data)


def aim(**values: float) -> Advice:
    return Advice(key="test", anchor="A-1", words="Aim elsewhere", values=values)


def held(day: Day) -> str:
    return show_angle(figures_for(day.state, "A-1").held_angle_deg or 0.0)


def test_before_and_after_are_what_the_figures_say_before_and_after_it_is_taken(tmp_path: Path) -> None:
    with open_day(tmp_path, job(), figures=None) as day:
        weighed = day.aim.weigh(aim(aim_depth_in=46.0, mark_depth_in=30.0))
        said = {change.label: (change.before, change.after) for change in weighed.changes}
        before = held(day)
        saved(day.aim.take_advice(weighed.advice))
        assert said["Angle to hold"] == (before, held(day))
        assert said["Mark below grade"] == ("28 in", "30 in")
        assert said["Aimed for, at the pit"][1] == "46 in"
        assert figures_for(day.state, "A-1").aim_depth_in == 46.0


def test_to_weigh_enters_nothing(tmp_path: Path) -> None:
    with open_day(tmp_path, job(), figures=None) as day:
        n, state = len(day.journal.entries), day.state
        day.aim.weigh(aim(aim_depth_in=46.0))
        assert len(day.journal.entries) == n
        assert day.state is state


def test_what_was_advised_and_done_is_no_deviation_and_asks_for_no_reason(tmp_path: Path) -> None:
    with open_day(tmp_path, job(), figures=None) as day:
        saved(day.aim.take_advice(aim(aim_depth_in=46.0)))
        for step, value in (("drop", "7"), ("mark-depth", "28"), ("drilled-angle", held(day))):
            day.measure("A-1", step, value, reason="the ticket is not looked at here")
        kinds = {item.kind for item in day.state.deviations}
        assert kinds <= {"while held"}


def test_a_name_is_asked_for_where_the_plan_is_left_and_nowhere_else(
    tmp_path: Path,
) -> None:
    with open_day(tmp_path, job(aim_depth=44), figures=None) as day:
        advice = aim(aim_depth_in=46.0)
        assert day.aim.weigh(advice).leaves == ("the plan's depth to aim for, 44 in",)
        assert refused(day.aim.take_advice(advice)) == WHO_AGREED
        assert refused(day.aim.take_advice(advice, agreed_by="  ")) == WHO_AGREED
        entry = saved(day.aim.take_advice(advice, agreed_by="Invented Engineer")).entry
        assert isinstance(entry, e.AimChanged)
        assert (entry.agreed_by, entry.advised) == ("Invented Engineer", True)
        assert (
            day.aim.weigh(aim(aim_depth_in=47.0)).leaves == ()
        )  # an aim of the site's own is nobody's to keep


def test_the_company_s_own_aim_is_left_by_a_name_too(tmp_path: Path) -> None:
    data = job_data(
        2, tools={"pit_depth": 58}, rules={"aim_depth_in": {"value": 43, "said_by": "Invented Office"}}
    )
    with open_day(tmp_path, Job.model_validate(data), figures=None) as day:
        assert day.aim.weigh(aim(aim_depth_in=46.0)).leaves == ("Invented Office's depth to aim for, 43 in",)


def test_it_says_which_holds_and_rules_it_brings_and_what_it_asks_again(tmp_path: Path) -> None:
    with open_day(tmp_path, job(), figures=None) as day:
        day.measure("A-1", "drop", "7", reason="not looked at here")
        farther = day.aim.weigh(aim(setback_in=168.0))
        assert "The drop of the ground at the pit is not known." in farther.brings
        assert any("Drop" in label for label in farther.asks_again)
        deeper = day.aim.weigh(aim(pit_depth_in=61.0))
        assert any(words.startswith("5 ft or deeper") for words in deeper.brings)
        assert day.aim.weigh(aim(aim_depth_in=46.0)).brings == ()


def test_it_is_told_in_the_log_and_can_be_taken_back(tmp_path: Path) -> None:
    with open_day(tmp_path, job(aim_depth=44), figures=None) as day:
        was = held(day)
        words = saved(day.aim.take_advice(aim(aim_depth_in=46.0), agreed_by="Invented Engineer")).words
        assert "as advised: Aim elsewhere; agreed by Invented Engineer" in words
        saved(day.take_back())
        assert held(day) == was
