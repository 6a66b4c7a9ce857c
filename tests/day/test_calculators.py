"""The live calculators: what is typed counts everywhere at once, half-way texts never break."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from day_help import clear_hazards, job_data, open_day, saved
from hypothesis import given, settings
from hypothesis import strategies as st

from crewtui import units
from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.figures.section_of_anchor import section_picture
from crewtui.day.state.fold import start
from crewtui.day.state.state import DayState
from crewtui.day.steps.calculator_sheet import PartKey
from crewtui.day.steps.calculators import UNKNOWN, CalcRow, Sheet, calculate, readout
from crewtui.job.file.load import load_job
from crewtui.job.file.model import Job
from crewtui.job.file.rule_overrides import resolve
from crewtui.job.tables import steps as step_data

SAMPLES = Path(__file__).parents[2] / "sample_jobs"


def job_of(*, anchor: Mapping[str, Any] | None = None, **tables: Any) -> Job:
    data = job_data(1, **{"tools": {"pit": "auger", "pit_depth": 60}, **tables})
    given_values = {"setback": 150, "drop": 0, "mark_depth": 28, "aim_depth": 42, **(anchor or {})}
    data["anchors"] = [
        {
            "id": "A-1",
            "wall": "north",
            "along": 400,
            **{name: value for name, value in given_values.items() if value is not None},
        }
    ]
    return Job.model_validate(data)


def state_of(**given_values: Any) -> DayState:
    job = job_of(**given_values)
    return start(job, resolve(job))


def sheet_of(texts: Mapping[str, str] | None = None, **given_values: Any) -> Sheet:
    return calculate(state_of(**given_values), "A-1", texts or {})


def row(sheet: Sheet, part: PartKey, key: str) -> CalcRow:
    return next(one for one in sheet.part(part).rows if one.key == key)


def keys(sheet: Sheet, part: PartKey) -> set[str]:
    return {one.key for one in sheet.part(part).rows}


def field_of(sheet: Sheet, key: str) -> Any:
    return next(one for part in sheet.parts for one in part.inputs if one.key == key)


# Worked out by bisection on the angle, apart from the program: 28 in mark, 8 in wall, seat at 144 in.


def test_the_four_calculators_show_the_geometry() -> None:
    sheet = sheet_of(stock={"rods": [{"length": 88, "count": 9}]})
    assert [part.key for part in sheet.parts] == ["mark", "aim", "rod", "torque"]
    assert row(sheet, "mark", "down").text == "38 in"
    assert row(sheet, "mark", "up").text == "54 in"
    assert row(sheet, "mark", "exit").text == "28 3/4 in"
    hold = row(sheet, "aim", "hold")
    assert (hold.text, hold.big) == ("5.3°", True)
    assert hold.value == pytest.approx(5.2624, abs=1e-4)
    assert row(sheet, "aim", "depth").text == "42 in"
    assert row(sheet, "aim", "fall").text == "1 1/8 in/ft"
    assert row(sheet, "aim", "tail").text == "7 3/8 in"
    assert "80 in" in row(sheet, "aim", "tail").label
    assert row(sheet, "aim", "per-degree").text == "2 5/8 in"
    assert row(sheet, "aim", "per-degree").value == pytest.approx(2.68, abs=0.01)
    assert row(sheet, "aim", "sideways").value == pytest.approx(152 * math.tan(math.radians(1)))
    # To the pit's far side: (144 + 12 + 8) / cos.
    assert row(sheet, "aim", "stop").value == pytest.approx(164 / math.cos(math.radians(5.2624)), abs=1e-3)


def test_the_torque_stands_in_both_units_with_its_band_and_who_governs() -> None:
    sheet = sheet_of(tools={"pit": "auger", "pit_depth": 60, "wrench_length": 20, "extension": 5})
    assert row(sheet, "torque", "target").text == "80 lbf·ft"
    assert row(sheet, "torque", "other-unit").text == "108 N·m"
    # TW = TA L / (L + E): 80 x 20 / 25.
    assert row(sheet, "torque", "setting").value == pytest.approx(64)
    # T = K F d (Shigley): 80 x 12 / (0.30 x 0.75) and / (0.12 x 0.75), two digits.
    assert row(sheet, "torque", "tension").text.startswith("4.3 kip to 11 kip")
    assert "yields at" in row(sheet, "torque", "tension").text
    assert "govern" in row(sheet, "torque", "governs").text


def test_the_rod_stands_with_pieces_couplings_spare_and_trim() -> None:
    sheet = sheet_of()
    assert {"length", "pieces", "coupling-1", "spare", "trim"} <= keys(sheet, "rod")
    assert row(sheet, "rod", "pieces").text == "80 in + 80 in"
    assert row(sheet, "rod", "pieces").value == 160


def test_everything_is_in_the_jobs_own_units() -> None:
    sheet = sheet_of(job={"units": "metric"}, anchor={"mark_depth": "28 in"})
    assert row(sheet, "mark", "depth").text == "711 mm"
    assert field_of(sheet, "mark_depth_in").unit_text == "mm"
    assert field_of(sheet, "torque_lbf_ft").unit_text == "N·m"
    assert row(sheet, "torque", "target").text == "108 N·m"


# Typing.


def test_what_is_typed_counts_in_every_part_and_is_handed_to_the_drawing() -> None:
    state = state_of()
    sheet = calculate(state, "A-1", {"mark_depth_in": "30"})
    assert sheet.typed == {"mark_depth_in": 30}
    assert row(sheet, "mark", "down").text == "40 in"
    assert row(sheet, "aim", "hold").value == pytest.approx(math.degrees(math.atan2(12, 152)))
    assert field_of(sheet, "mark_depth_in").source == "typed, 30 in"
    assert section_picture(state, "A-1", typed=dict(sheet.typed)).mark[1] == 30
    assert figures_for(state, "A-1").inputs["mark_depth_in"].value == 28


def test_a_text_that_cannot_be_read_says_so_once_and_leaves_what_was_there() -> None:
    sheet = sheet_of({"mark_depth_in": "about 30", "torque_lbf_ft": "tight"})
    assert field_of(sheet, "mark_depth_in").text == "about 30"
    assert field_of(sheet, "mark_depth_in").fault.endswith(".")
    assert field_of(sheet, "mark_depth_in").source == "28 in in use"
    assert row(sheet, "mark", "depth").value == 28
    assert sheet.typed == {}


@pytest.mark.parametrize(
    ("typed", "value"),
    [("28", 28), ("28 ", 28), ("28 1", 28), ("28 1/", 28), ("28 1/2", 28.5), ("28.", 28)],
)
def test_half_way_through_typing_the_last_that_could_be_read_counts(typed: str, value: float) -> None:
    sheet = sheet_of({"mark_depth_in": typed})
    assert row(sheet, "mark", "depth").value == pytest.approx(value)


def test_a_length_that_cannot_be_negative_is_refused_in_words() -> None:
    sheet = sheet_of({"setback_in": "-150", "drop_in": "-2"})
    assert "not negative" in field_of(sheet, "setback_in").fault
    assert sheet.typed == {"drop_in": -2}


def test_a_blank_and_an_unknown_key_count_for_nothing() -> None:
    assert sheet_of({"setback_in": "  ", "nothing": "5"}) == sheet_of()


def test_each_input_stands_once_and_says_where_it_comes_from(tmp_path: Path) -> None:
    with open_day(tmp_path, job_of(), figures=figures_for) as day:
        clear_hazards(day)
        saved(day.measure("A-1", "thickness", "8 1/4", reason="rock there"))
        sheet = calculate(day.state, "A-1", {})
    names = [one.key for part in sheet.parts for one in part.inputs]
    assert len(names) == len(set(names))
    assert field_of(sheet, "thickness_in").source == "as built"
    assert field_of(sheet, "thickness_in").text == "8 1/4 in"
    assert field_of(sheet, "setback_in").source == "plan"
    assert field_of(sheet, "pit_along_rod_in").source == "company rule"
    assert field_of(sheet, "joist_clearance_in").source == "missing"


# What cannot be figured.


def test_a_missing_drop_stands_where_the_angle_would() -> None:
    sheet = sheet_of(anchor={"drop": None})
    assert "shoot or tape" in row(sheet, "aim", "hold").text
    assert row(sheet, "aim", "hold").value is None
    assert row(calculate(state_of(anchor={"drop": None}), "A-1", {"drop_in": "7"}), "aim", "hold").value


def test_no_window_says_what_would_mend_it_in_place_of_an_angle() -> None:
    sheet = sheet_of({"pit_depth_in": "40"})
    assert "hold" not in keys(sheet, "aim")
    assert "No window" in row(sheet, "aim", "window").text
    assert "deeper" in row(sheet, "aim", "mend-1").text


def test_a_deeper_pit_says_what_it_adds_and_which_rules_it_switches_on() -> None:
    sheet = sheet_of(anchor={"aim_depth": None}, tools={"pit": "auger", "pit_depth": 46})
    texts = [one.text for one in sheet.part("aim").rows if one.key.startswith("deeper")]
    assert 1 <= len(texts) <= 3
    assert any("switches on" in text for text in texts)


# Taking over.


def test_a_row_that_can_be_taken_over_reads_back_as_its_steps_value() -> None:
    steps = {step.id: step for step in step_data.load()}
    for units_of in ("imperial", "metric"):
        for part in sheet_of(job={"units": units_of}).parts:
            for one in part.rows:
                if one.quantity:
                    step = steps[one.step]
                    assert step.quantity == one.quantity
                    read = {
                        "length": units.read_length,
                        "angle": units.read_angle,
                        "torque": units.read_torque,
                    }[step.measure]
                    assert one.value is not None
                    assert read(one.text) == pytest.approx(one.value, rel=0.02)


def test_the_readout_shows_angle_tail_mark_stop_and_wrench_or_a_question() -> None:
    state = state_of(stock={"rods": [{"length": 88, "count": 9}]})
    assert readout(state, "A-1")[:3] == (
        ("Hold", "5.3°"),
        ("Tail above hole, over 80 in", "7 3/8 in"),
        ("Mark, down from top of wall", "38 in"),
    )
    labels = [label for label, _ in readout(state, "A-1")[3:]]
    assert labels == ["Stop mark, from the rod's front end", "Set the wrench to"]
    assert all(text != "?" for _, text in readout(state, "A-1"))
    texts = [text for _, text in readout(state_of(anchor={"drop": None}), "A-1")]
    assert texts[:4] == ["?", "?", "38 in", "?"]


# Any text, any input; and quickly.

NAMES = tuple(one.key for part in sheet_of().parts for one in part.inputs)
texts_typed = st.dictionaries(
    st.sampled_from(NAMES),
    st.one_of(
        st.text(max_size=12),
        st.floats(-1e5, 1e5).map(lambda value: f"{value:.3f}"),
        st.floats(0, 200).map(lambda value: f"{value:.2f}"),
    ),
    max_size=6,
)


@settings(max_examples=150, deadline=None)
@given(texts=texts_typed, metric=st.booleans())
def test_any_text_in_any_input_gives_a_whole_sheet_and_a_drawing(texts: dict[str, str], metric: bool) -> None:
    state = state_of(job={"units": "metric" if metric else "imperial"})
    sheet = calculate(state, "A-1", texts)
    assert all(part.inputs for part in sheet.parts)
    assert all(one.text for part in sheet.parts for one in part.rows)
    assert all(math.isfinite(one.value) for part in sheet.parts for one in part.rows if one.value is not None)
    for part in sheet.parts:
        for one in part.inputs:
            if one.fault:
                assert one.text == texts[one.key]
    section_picture(state, "A-1", typed=dict(sheet.typed))


@pytest.mark.parametrize("name", ["block-wall", "poured-deep-frost-metric", "clay-tile-tight"])
def test_every_anchor_of_the_samples_has_its_whole_sheet(name: str) -> None:
    job = load_job(SAMPLES / f"{name}.toml")
    state = start(job, resolve(job))
    for ident in state.anchors:
        sheet = calculate(state, ident, {"mark_depth_in": "28 in"})
        assert all(part.rows for part in sheet.parts), ident
        assert not any(row.text == UNKNOWN for part in sheet.parts for row in part.rows), ident
