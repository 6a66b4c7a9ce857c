"""The plan on paper and as JSON, and the plan's check, over the sample jobs and by the command line."""

from __future__ import annotations

import json
import re
import shutil
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from crewtui import cli
from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.day.state.fold import start
from crewtui.day.state.state import DayState
from crewtui.day.truck.loading import worked_out
from crewtui.job.check.finding import Finding
from crewtui.job.file.load import load_job
from crewtui.job.file.rule_overrides import resolve
from crewtui.job.file.template import template
from crewtui.record.office import plan_check
from crewtui.record.sheets.plan_sheet import plan_as_json, plan_sheet, printable
from crewtui.units import show_length

SAMPLES = sorted((Path(__file__).parents[2] / "sample_jobs").glob("*.toml"))
NOW = datetime(2031, 4, 5, 7, 30, tzinfo=UTC)

pytestmark = pytest.mark.usefixtures("own_home")


@pytest.fixture
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CREWTUI_HOME", str(tmp_path / "home"))


def state_of(path: Path) -> DayState:
    job = load_job(path)
    return start(job, resolve(job))


QUICK = ("--seconds", "0.3")


def sheet(state: DayState) -> str:
    return plan_sheet(state, worked_out(state, time_limit_s=0.3))


@pytest.fixture(params=SAMPLES, ids=lambda path: path.stem)
def sample(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    copy = tmp_path / request.param.name
    shutil.copy(request.param, copy)
    return copy


def test_no_angle_stands_on_paper_where_none_serves(tmp_path: Path) -> None:
    text = SAMPLES[0].read_text(encoding="utf-8")
    path = tmp_path / "shallow.toml"
    path.write_text(re.sub(r"(?m)^pit_depth = .*$", "pit_depth = 30", text), encoding="utf-8")
    before, after = sheet(state_of(SAMPLES[0])), sheet(state_of(path))
    assert "Angle to hold" in before
    assert "No window" in after
    for words in ("Angle to hold", "Tail above hole", "Stop mark on the rod"):
        assert words not in after


def test_there_are_samples() -> None:
    assert len(SAMPLES) >= 3


def test_the_sheet_fits_80_plain_columns_and_has_every_anchor(sample: Path) -> None:
    state = state_of(sample)
    text = sheet(state)
    assert text.isascii()
    assert max(map(len, text.splitlines())) <= 80
    for anchor in state.anchors:
        assert f"ANCHOR {anchor} " in text
        assert f"-- steps: {anchor} -" in text
    assert "govern" in text
    assert "____________" in text


def test_the_sheet_shows_the_figures_that_the_day_works_to(sample: Path) -> None:
    state = state_of(sample)
    text = sheet(state)
    parts = text.split("ANCHOR ")[1:]
    for part, anchor in zip(parts, state.anchors, strict=True):
        figures = figures_for(state, anchor)
        if figures.held_angle_deg is not None:
            assert f"{figures.held_angle_deg:.1f} deg" in part
        if figures.torque is not None:
            assert f"{figures.torque.torque_lbf_ft:.0f} lbf-ft" in part
        for words in figures.warnings:
            assert printable(words).split()[0] in part


def test_the_cut_list_and_the_load_out_can_be_worked_by(sample: Path) -> None:
    state = state_of(sample)
    loaded = worked_out(state, time_limit_s=0.3)
    text = plan_sheet(state, loaded)
    cut = text.partition("CUT LIST")[2].partition("ANCHOR")[0]
    for stock in loaded.cuts.lengths:
        for piece in stock.pieces:
            words = f"{show_length(piece.length_in, state.job.job.units, step=16)} for {piece.anchor}"
            assert words in " ".join(cut.split())
    for line in loaded.load.lines:
        assert printable(f"[ ] {line.said}") in " ".join(text.split())
    for line in loaded.short:
        assert f"! SHORT: {line.said}" in " ".join(text.split())
    for stock in loaded.cuts.lengths:
        for piece in stock.pieces:
            own = text.partition(f"ANCHOR {piece.anchor} ")[2].partition("ANCHOR ")[0]
            assert show_length(piece.length_in, state.job.job.units, step=16) in " ".join(own.split()), (
                "its sheet names the same pieces"
            )


def test_json_carries_the_cut_list_and_the_load_out(sample: Path) -> None:
    state = state_of(sample)
    loaded = worked_out(state, time_limit_s=0.3)
    data = json.loads(json.dumps(plan_as_json(state, loaded), allow_nan=False))
    cuts, load = data["cut_list"], data["load_out"]
    assert len(cuts["lengths"]) == len(loaded.cuts.lengths)
    assert {"length_in", "offcut_in", "missing", "cuts", "pieces"} <= set(cuts["lengths"][0])
    assert {"anchor", "number", "of", "length_in"} == set(cuts["lengths"][0]["pieces"][0])
    assert cuts["proven"] is loaded.cuts.proven
    assert [line["key"] for line in load["lines"]] == [line.key for line in loaded.load.lines]
    assert all(
        line["there"] is None or line["spare"] == line["there"] - line["needed"] for line in load["lines"]
    )


def keys_of(value: Any) -> set[str]:
    if isinstance(value, dict):
        return set(value) | {key for inner in value.values() for key in keys_of(inner)}
    if isinstance(value, list):
        return {key for inner in value for key in keys_of(inner)}
    return set()


def test_json_carries_every_figure_with_its_unit(sample: Path) -> None:
    state = state_of(sample)
    data = json.loads(json.dumps(plan_as_json(state, worked_out(state, time_limit_s=0.3)), allow_nan=False))
    assert [row["id"] for row in data["anchors"]] == list(state.anchors)
    assert {"held_angle_deg", "from_end_in", "needed_in", "torque_lbf_ft", "setting_lbf_ft"} <= keys_of(data)
    first = data["anchors"][0]
    assert first["inputs"]["setback_in"]["source"] in {"plan", "company rule"}


def test_what_the_journal_has_measured_is_used_unless_told_otherwise(
    sample: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ticks = iter(range(1000))
    with Day.open(sample, clock=lambda: NOW + timedelta(seconds=next(ticks))) as day:
        anchor = next(day.state.live()).id
        day.measure(anchor, "setback", "13 ft 1/2", reason="a root")
        before = sorted(path.name for path in sample.parent.iterdir())
        assert cli.run(["plan", str(sample), "--json", *QUICK]) == 0, "a day that is open can be printed"
    built = json.loads(capsys.readouterr().out)["anchors"][0]["inputs"]["setback_in"]
    assert (built["value"], built["source"]) == (156.5, "as built")
    assert cli.run(["plan", str(sample), "--json", "--as-planned", *QUICK]) == 0
    assert json.loads(capsys.readouterr().out)["anchors"][0]["inputs"]["setback_in"]["source"] != "as built"
    assert cli.run(["plan", str(sample), *QUICK]) == 0
    assert "(built)" in capsys.readouterr().out
    assert set(before) >= {path.name for path in sample.parent.iterdir()} - {"home"}, "nothing is written"


def test_check_says_the_worst_first_and_each_sentence_once(
    sample: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    findings = plan_check.check(load_job(sample), now=NOW)
    order = [plan_check.ORDER.index(each.severity) for each in findings]
    assert order == sorted(order)
    assert len(set(findings)) == len(findings)
    code = cli.run(["check", str(sample)])
    text = capsys.readouterr().out
    assert code in {0, 1}
    assert max(map(len, text.splitlines())) <= 80
    assert "govern" in text


def test_a_plan_without_a_window_is_stopped(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "j.toml"
    text = template(NOW.date())
    path.write_text(f"{text}\n[rules]\n" if "\n[rules]" not in text else text, encoding="utf-8")
    job = load_job(path)
    tools = job.tools.model_copy(update={"pit_depth_in": 30.0})
    anchors = tuple(anchor.model_copy(update={"drop_in": 6.0}) for anchor in job.anchors)
    found = plan_check.check(job.model_copy(update={"tools": tools, "anchors": anchors}), now=NOW)
    assert plan_check.exit_code(found) == 1
    assert any(each.severity == "stop" and each.anchor for each in found)
    del capsys


def test_grouping_names_every_anchor_that_a_sentence_is_true_of() -> None:
    findings = (
        Finding("caution", "aim", "same", anchor="A-1"),
        Finding("caution", "aim", "same", anchor="A-2"),
        Finding("remark", "aim", "same", anchor="A-3"),
        Finding("remark", "job", "of the job"),
    )
    found = [(finding.severity, anchors) for finding, anchors in plan_check.grouped(findings)]
    assert found == [("caution", ("A-1", "A-2")), ("remark", ("A-3",)), ("remark", ())]


def test_check_as_json(sample: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code = cli.run(["check", str(sample), "--json"])
    data = json.loads(capsys.readouterr().out)
    assert data["exit_code"] == code
    asked = {"severity", "subject", "anchor", "words", "file", "line", "key", "value"}
    assert all(asked == set(row) for row in data["findings"])
    lines = sample.read_text(encoding="utf-8").splitlines()
    for row in data["findings"]:
        if row["value"] is not None:
            assert row["key"].rsplit(".", 1)[-1] in lines[row["line"] - 1]


def test_new_writes_a_job_that_opens_and_never_over_another(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "j-1.toml"
    assert cli.run(["new", str(path)]) == 0
    content = path.read_bytes()
    assert load_job(path).anchors
    assert cli.run(["new", str(path)]) == 2
    assert path.read_bytes() == content
    assert cli.run(["new", str(tmp_path / "j-1.txt")]) == 2
    assert cli.run(["new", str(tmp_path / "none" / "j-1.toml")]) == 2
    assert cli.run(["plan", str(path)]) == 0
    capsys.readouterr()


@pytest.mark.parametrize("command", ["plan", "check", "open"])
def test_a_job_file_that_cannot_be_read_is_refused_with_everything_that_is_wrong(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    for stream in (sys.stdin, sys.stderr):
        monkeypatch.setattr(stream, "isatty", lambda: True, raising=False)
    path = tmp_path / "j-1.toml"
    assert cli.run([command, str(tmp_path / "nowhere" / "j-1.toml")]) == 2
    path.write_text(template(NOW.date()).replace("lead =", "leed ="), encoding="utf-8")
    assert cli.run([command, str(path)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "leed" in said.err
    assert all(line.startswith("crewtui: ") for line in said.err.splitlines())


def test_signs_that_a_plain_printer_lacks_are_written_with_those_it_has() -> None:
    assert printable("90 lbf·ft at 5.3°, 3 × 4 − 1 … ½") == "90 lbf-ft at 5.3 deg, 3 x 4 - 1 ...  1/2"
    assert printable("a\x1b[31mb\u202e") == "a\\u001b[31mb\\u202e"
