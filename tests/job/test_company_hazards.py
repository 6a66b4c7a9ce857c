from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from day_help import make_job, open_day, saved

from crewtui.day.safety.briefing_text import briefing
from crewtui.day.safety.hazard_rows import hazard_rows
from crewtui.day.state.conditions import CONDITIONS
from crewtui.job.file.company_hazards import for_job
from crewtui.job.file.load import JobFileError, load_job, read_job
from crewtui.job.tables import hazards
from crewtui.job.tables.condition_names import NAMES, pit_depth, unknown

SAMPLE = (Path(__file__).parents[2] / "sample_jobs" / "block-wall.toml").read_text(encoding="utf-8")
LADDER = {
    "id": "ladder-at-3-ft",
    "said_by": "Office, J. Sample",
    "text": "A ladder stands in every pit of 3 ft or more",
    "why": "Loose fill gives no step.",
    "group": "pit and trench",
    "when": "pit 3 ft or more and somebody in the pit",
    "scope": "anchor",
    "holds": ["pit-size", "plate"],
}


def problems(**hazard: Any) -> str:
    lines = [f"{key} = {value!r}".replace("'", '"') for key, value in hazard.items()]
    with pytest.raises(JobFileError) as caught:
        read_job((SAMPLE + "\n[[hazards]]\n" + "\n".join(lines)).encode(), file="job.toml")
    return str(caught.value)


def test_the_names_of_conditions_are_those_that_the_day_works_out() -> None:
    assert CONDITIONS.keys() - {""} - {name for name in CONDITIONS if pit_depth(name)} == NAMES


@pytest.mark.parametrize(
    ("name", "limit_in", "inclusive"),
    [("pit 3 ft or more", 36, True), ("pit over 3 ft", 36, False), ("pit 900 mm or more", 900 / 25.4, True)],
)
def test_any_depth_of_a_pit_is_a_condition(name: str, limit_in: float, inclusive: bool) -> None:
    found = pit_depth(name)
    assert found is not None
    assert found.limit_in == pytest.approx(limit_in)
    assert found.inclusive is inclusive


@pytest.mark.parametrize(
    "name", ["pit 3 ft", "pit over 3 ft or more", "pit 3 yd or more", "pits", "pit -1 ft or more"]
)
def test_what_is_no_condition_is_named(name: str) -> None:
    assert unknown([name, "block wall"]) == (name,)


def test_a_hazard_of_the_company_is_met_with_its_group_and_holds_from_its_own_depth(tmp_path: Path) -> None:
    job = make_job(hazards=[LADDER])
    order = [hazard.id for hazard in for_job(job)]
    group = [hazard.id for hazard in for_job(job) if hazard.group == "pit and trench"]
    assert group[-1] == "ladder-at-3-ft"
    assert order.index("ladder-at-3-ft") < order.index("power")
    day = open_day(tmp_path, job)
    saved(day.measure("A-1", "pit-depth", "36", reason="as it came"))
    assert "ladder-at-3-ft" in {hold.id for hold in day.holds_on("pit-size", "A-1")}
    saved(day.measure("A-2", "pit-depth", "35 7/8", reason="as it came"))
    assert "ladder-at-3-ft" not in {hold.id for hold in day.holds_on("pit-size", "A-2")}
    saved(day.safety.release_hold("ladder-at-3-ft", "A-1", initials="IL"))
    assert "ladder-at-3-ft" not in {hold.id for hold in day.holds_on("pit-size", "A-1")}
    row = next(row for row in hazard_rows(day.state, day.hazards, "A-1") if row.id == "ladder-at-3-ft")
    assert row.said_by == "Office, J. Sample"
    assert "A ladder stands in every pit of 3 ft or more" in briefing(day.state, day.hazards)


def test_one_of_the_program_s_own_is_made_stricter(tmp_path: Path) -> None:
    job = make_job(
        hazards=[
            {"id": "strip-behind-wall", "said_by": "Office", "override": "never", "release": "name",
             "holds": ["drill"]},
        ]
    )  # fmt: skip
    had = hazards.by_id("strip-behind-wall")
    now = next(hazard for hazard in for_job(job) if hazard.id == had.id)
    assert (now.override, now.release, now.said_by) == ("never", "name", "Office")
    assert now.holds == (*had.holds, "drill")
    assert now.text == had.text
    day = open_day(tmp_path, job)
    assert "strip-behind-wall" in {hold.id for hold in day.holds_on("drilled-angle", "A-1")}


def test_nothing_is_ever_made_looser() -> None:
    assert "never set aside" in problems(id="ppe", said_by="Office", override="with a name and reason")
    assert 'never "check"' in problems(id="inspection", said_by="Office", release="check")
    assert "its when stays" in problems(id="air", said_by="Office", when="pit over 6 ft")
    assert "its text stays" in problems(id="air", said_by="Office", text="Sniffed at")
    assert "nothing here makes it stricter" in problems(id="air", said_by="Office")


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"when": "blok wall"}, 'did you mean "block wall"?'),
        ({"holds": ["drilling"]}, "no phase or step"),
        ({"holds": ["backfilled"]}, "makes safe"),
        ({"group": "weather"}, "group"),
        ({"text": ""}, "text is missing"),
        ({"id": "Not An Id"}, "id"),
        ({"said_by": ""}, "said_by"),
        ({"holdz": ["pit"]}, "holdz"),
    ],
)
def test_what_is_wrong_with_one_is_said(changes: dict[str, Any], words: str) -> None:
    assert words in problems(**{**LADDER, **changes})


def test_one_written_twice_is_said() -> None:
    text = SAMPLE + 2 * '\n[[hazards]]\nid = "own"\nsaid_by = "x"\ntext = "Own rule of ours"\ngroup = "ppe"\n'
    with pytest.raises(JobFileError, match="as well"):
        read_job(text.encode(), file="job.toml")


def test_a_hazard_that_cannot_be_does_not_open_a_day() -> None:
    with pytest.raises(ValueError, match="no condition"):
        for_job(make_job(hazards=[{**LADDER, "when": "never mind"}]))


def test_a_file_without_hazards_has_the_program_s_own() -> None:
    job = load_job(Path(__file__).parents[2] / "sample_jobs" / "block-wall.toml")
    assert for_job(job) == hazards.load()


def test_limits_loosened_by_the_company_are_read_aloud(tmp_path: Path) -> None:
    rules = {
        "spacing_greatest_in": {"value": 84.0, "said_by": "Kim Sample"},
        "setback_in": {"value": 150.0, "said_by": "Kim"},
    }
    day = open_day(tmp_path, make_job(rules=rules))
    page = briefing(day.state, day.hazards)
    assert "84 in, looser than 72 in, says Kim Sample" in page.replace("7 ft", "84 in").replace(
        "6 ft", "72 in"
    )
    assert "150" not in page
