"""No value is shown by its key or as a bare number: each has its label, and the job's own unit."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from pathlib import Path

import pytest

from crewtui.day.journal import entries as e
from crewtui.day.session.entry_words import Wording
from crewtui.day.state.fold import apply, start
from crewtui.day.steps.fill_in_rows import blanks
from crewtui.job.file.load import load_job
from crewtui.job.file.model import Anchor, Ground, Rod, Tools, Wall
from crewtui.job.file.rule_overrides import resolve
from crewtui.job.tables import quantities, rules, steps
from crewtui.record.sheets.office_report import office_tables
from crewtui.record.signed.read_form import read_form

METRIC = Path(__file__).parents[2] / "sample_jobs" / "poured-deep-frost-metric.toml"
AT = datetime(2026, 11, 30, 9, 0, tzinfo=UTC)
A_KEY = re.compile(r"\b\w+_(in|deg|lbf_ft|ksi)\b")
NUMBERS = [
    name
    for name, field in Anchor.model_fields.items()
    if "float" in str(field.annotation) and name not in {"id", "wall"}
]


@pytest.mark.parametrize("name", NUMBERS)
def test_what_the_site_changes_is_said_in_words(name: str) -> None:
    job = load_job(METRIC)
    entry = e.AnchorMoved(
        n=1, done_at=AT, typed_at=AT, anchor="E1", values={name: 0.25 if name == "yard_slope" else 54.25},
        reason="a root",
    )  # fmt: skip
    state = apply(start(job, resolve(job)), entry)
    log = Wording({}, "metric").say(entry)
    told = log if name in {"yard_slope", "drop_in"} else state.anchors["E1"].deviations[0].text
    for words in (log, told):
        assert not A_KEY.search(words), words
        assert "54.25" not in words
        assert re.search(r"1378 mm|25\.0 %|74 N·m", words), words


@pytest.mark.parametrize("quantity", quantities.load().values(), ids=lambda one: one.key)
def test_an_aim_is_said_in_words(quantity: quantities.Quantity) -> None:
    entry = e.AimChanged(
        n=1, done_at=AT, typed_at=AT, anchor="E1", values={quantity.key: 7.0}, because="rock there"
    )
    words = Wording({}, "metric").say(entry)
    assert quantity.label in words
    assert not A_KEY.search(words)


@pytest.mark.parametrize("model", [Anchor, Wall, Ground, Rod, Tools])
def test_every_measure_of_the_job_file_is_a_quantity(model: type) -> None:
    table = model.__name__.casefold()
    for name, field in model.model_fields.items():  # type: ignore[attr-defined]
        if name.endswith(("_in", "_deg", "_lbf_ft", "_ksi")) and "float" in str(field.annotation):
            assert quantities.kept_in(table, name) is not None, (table, name)


def test_what_can_be_filled_in_is_called_as_everywhere() -> None:
    job = load_job(METRIC)
    for blank in blanks(start(job, resolve(job))):
        quantity = quantities.kept_in(blank.table, blank.key)
        assert quantity is None or blank.label == quantity.label
        assert not A_KEY.search(blank.label)


def test_the_office_reads_labels_and_the_job_s_own_units() -> None:
    data = {
        "job": {"units": "metric"},
        "rule": [
            {"key": rule.key, "label": rule.label, "value": rule.value, "default": rule.value, "said_by": "O"}
            for rule in rules.defaults().values()
            if rule.value is not None
        ],
        "deviation": [{"step": step.id, "kind": "outside limits", "text": "x"} for step in steps.load()],
        "hold": [{"id": "marks-on-ground", "said": "asked for again"}, {"id": "drop-unknown", "said": "x"}],
    }
    found = {table.title: table.rows for table in office_tables(read_form(data))}
    for (_, value, *_), rule in zip(found["Limits set by the company"], data["rule"], strict=True):
        assert rule["key"].endswith("_in") is value.endswith(" mm"), (rule["key"], value)  # type: ignore[index]
    assert [row[1] for row in found["Deviations"]] == [", ".join(step.label for step in steps.load())]
    assert [row[0] for row in found["Holds released or set aside, and what was judged"]][1] == "drop unknown"
    assert "marks-on-ground" not in str(found)
