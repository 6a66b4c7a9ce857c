"""The live calculators under whatever is planned and typed: never a crash, never a silence, never a wrong shout."""

# ruff: noqa: E501 - tables of strategies read best in long rows

from __future__ import annotations

import math
from typing import Any

import pytest
from day_help import job_data
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.state.fold import fold
from crewtui.day.state.state import DayState
from crewtui.day.steps import typed_value
from crewtui.day.steps.calculators import UNKNOWN, calculate, readout
from crewtui.job.file.model import Job
from crewtui.job.file.rule_overrides import resolve
from crewtui.job.tables import quantities, steps

lengths = st.one_of(
    st.floats(0.01, 12_000),
    st.floats(1, 200),
    st.sampled_from([0.01, 0.75, 8, 28, 36, 42, 50, 80, 144, 12_000]),
)
either_sign = st.one_of(st.floats(-12_000, 12_000), st.floats(-20, 60), st.just(0.0))
torques = st.floats(0.1, 2_000)
anchors = st.fixed_dictionaries(
    {},
    optional={
        "setback": lengths, "mark_depth": lengths, "drop": either_sign, "bow": either_sign, "grade_to_top": lengths,
        "least_depth": lengths, "aim_depth": lengths, "torque": torques, "free_room": lengths,
        "plate": st.fixed_dictionaries({"width": lengths, "height": lengths}),
    },
)  # fmt: skip
walls = st.fixed_dictionaries(
    {"type": st.sampled_from(["poured concrete", "block", "clay tile"])},
    optional={"thickness": lengths, "slab_to_top": lengths, "grade_to_top": lengths, "base_to_grade": lengths,
              "joist_clearance": lengths},
)  # fmt: skip
tools = st.fixed_dictionaries(
    {},
    optional={
        "pit": st.sampled_from(["auger", "hand"]), "pit_along_rod": lengths, "pit_across": lengths,
        "pit_depth": lengths, "hole_diameter": lengths, "sleeve_inside": lengths, "hammer_length": lengths,
        "wrench_least": st.floats(0.1, 100), "wrench_greatest": st.floats(101, 2_000), "wrench_length": lengths,
        "extension": lengths, "extension_angle": st.floats(-89, 89),
    },
)  # fmt: skip
rods = st.fixed_dictionaries(
    {},
    optional={
        "diameter": st.one_of(st.floats(0.01, 1_000), st.sampled_from([0.5, 0.625, 0.75, 1])),
        "threads_per_inch": st.floats(0.01, 80), "coupling_length": lengths, "coupling_corners": lengths,
        "nut_height": lengths, "plate_thickness": lengths, "yield_ksi": st.floats(0.1, 300),
    },
)  # fmt: skip
stocks = st.lists(st.fixed_dictionaries({"length": lengths, "count": st.integers(0, 100)}), max_size=3)
typed = st.dictionaries(
    st.sampled_from(sorted(one.key for one in quantities.inputs())),
    st.one_of(
        st.text(max_size=12),
        st.sampled_from(
            ["28", "28 1/2", "28 1/", "0", "-3", "1e9", "12 ft", "9999", "89.9", "-89.9", "1000 m", "½"]
        ),
    ),
    max_size=4,
)


def state_of(data: dict[str, Any]) -> DayState:
    job = Job.model_validate(data)
    return fold(job, resolve(job), ())


def one_anchor(**given_values: Any) -> DayState:
    data = job_data(1)
    data["anchors"][0].update(given_values)
    return state_of(data)


@settings(max_examples=120, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    anchor=anchors,
    wall=walls,
    tool=tools,
    rod=rods,
    stock=stocks,
    texts=typed,
    system=st.sampled_from(["imperial", "metric"]),
)
def test_no_job_and_no_text_crashes_them_and_what_is_missing_is_said(  # noqa: PLR0917 - drawn by name
    anchor: dict[str, Any], wall: dict[str, Any], tool: dict[str, Any], rod: dict[str, Any],
    stock: list[dict[str, Any]], texts: dict[str, str], system: str,
) -> None:  # fmt: skip
    data = job_data(1)
    data["job"]["units"] = system
    del data["anchors"][0]["drop"]
    for table, values in (
        (data["anchors"][0], anchor),
        (data["walls"][0], wall),
        (data["tools"], tool),
        (data["rod"], rod),
    ):
        table.update(values)
    data["stock"] = {"rods": stock}
    try:
        state = state_of(data)
    except ValidationError:
        assume(False)
    sheet = calculate(state, "A-1", texts)
    assert all(math.isfinite(row.value) for part in sheet.parts for row in part.rows if row.value is not None)
    assert all(row.text.isprintable() and row.text for part in sheet.parts for row in part.rows)
    assert all(fault.endswith(".") for part in sheet.parts for item in part.inputs if (fault := item.fault))
    figures = figures_for(state, "A-1", typed=sheet.typed)
    for subject, found in (
        ("mark", figures.mark), ("aim", figures.section), ("aim", figures.held_angle_deg), ("torque", figures.torque),
    ):  # fmt: skip
        assert found is not None or figures.said.get(subject), f"nothing is said of a missing {subject}"
    assert figures.rod is not None or figures.said.get("rod") or figures.said.get("aim")
    assert len(readout(state, "A-1")) == 5


@pytest.mark.parametrize("system", ["imperial", "metric"])
def test_a_result_that_is_taken_over_reads_back_as_it_is_shown(system: str) -> None:
    data = job_data(1)
    data["job"]["units"] = system
    data["anchors"][0] |= {"setback": "12 ft", "drop": "7 in", "mark_depth": "28 in"}
    data["walls"][0] |= {
        "thickness": "8 in",
        "slab_to_top": "92 in",
        "grade_to_top": "10 in",
        "length": "100 ft",
    }
    data["walls"][0] |= {"block_course": "8 in", "block_length": "16 in"}
    data["anchors"][0]["along"] = "5 ft"
    data["rod"] |= {"diameter": "3/4 in", "coupling_length": "2 1/4 in", "coupling_corners": "1.1 in"}
    data["stock"] = {"rods": [{"length": "80 in", "count": 20}]}
    data["tools"] = {"pit": "auger", "pit_depth": "50 in"}
    state = state_of(data)
    rows = [row for part in calculate(state, "A-1", {}).parts for row in part.rows if row.quantity]
    assert {row.quantity for row in rows} >= {
        "mark_depth_in",
        "held_angle_deg",
        "drilled_angle_deg",
        "first_torque_lbf_ft",
    }
    for row in rows:
        step = steps.by_id(row.step)
        assert step.quantity == row.quantity
        assert row.value is not None
        half = {"length": 1 / 16, "angle": 0.05, "torque": 0.5}[step.measure]
        read = typed_value.read_value(step, row.text, state, state.anchors["A-1"])
        assert read == pytest.approx(row.value, abs=half + 1e-9)


def test_no_angle_is_called_out_where_there_is_no_window() -> None:
    ordinary = dict(readout(one_anchor(), "A-1"))
    assert ordinary["Hold"].endswith("°")
    crossed = readout(one_anchor(least_depth=49), "A-1")
    assert crossed[0] == ("Hold: no window", UNKNOWN)
    assert crossed[1][1] == UNKNOWN
    uphill = readout(one_anchor(drop=-30, aim_depth=41), "A-1")
    assert uphill[0][1] == UNKNOWN
    assert readout(one_anchor(drop=None), "A-1")[0] == ("Hold", UNKNOWN)


def test_a_value_that_only_another_unit_makes_likely_is_asked_back_and_not_used() -> None:
    state = one_anchor()
    sheet = calculate(state, "A-1", {"setback_in": "12"})
    item = next(item for item in sheet.part("aim").inputs if item.key == "setback_in")
    assert "12 ft" in item.fault
    assert sheet.typed == {}
    assert calculate(state, "A-1", {"setback_in": "12 ft"}).typed == {"setback_in": 144.0}


def test_an_extension_may_stand_square_to_the_handle() -> None:
    state = one_anchor()
    texts = {"extension_in": "6", "extension_angle_deg": "90°"}
    rows = {row.key: row for row in calculate(state, "A-1", texts).part("torque").rows}
    assert rows["setting"].value == pytest.approx(rows["target"].value)
    fault = next(
        item.fault
        for item in calculate(state, "A-1", {"extension_angle_deg": "200"}).part("torque").inputs
        if item.key == "extension_angle_deg"
    )
    assert "180" in fault


def test_a_torque_that_is_only_tried_is_not_called_the_plans() -> None:
    rows = {
        row.key: row for row in calculate(one_anchor(), "A-1", {"torque_lbf_ft": "75"}).part("torque").rows
    }
    assert "typed here" in rows["target"].label
    assert rows["target"].value == 75.0
