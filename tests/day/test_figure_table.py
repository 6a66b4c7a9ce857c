"""Every figure is worded once, on the calculators and on paper."""

from __future__ import annotations

from pathlib import Path

import pytest

from crewtui.day.figures.figure_table import FIGURES
from crewtui.day.figures.figures_shown import of_paper
from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.state.fold import start
from crewtui.day.state.state import DayState
from crewtui.day.steps.calculators import calculate
from crewtui.job.file.load import load_job
from crewtui.job.file.rule_overrides import resolve
from crewtui.record.office.flat_table import COLUMNS

SAMPLES = sorted((Path(__file__).parents[2] / "sample_jobs").glob("*.toml"))


def state_of(path: Path) -> DayState:
    job = load_job(path)
    return start(job, resolve(job))


def test_no_two_figures_are_called_the_same_or_have_one_key() -> None:
    assert len({figure.label for figure in FIGURES}) == len(FIGURES)
    assert len({figure.key for figure in FIGURES}) == len(FIGURES)
    assert all(figure.calculator or figure.paper or figure.record for figure in FIGURES)
    records = [figure.record for figure in FIGURES if figure.record]
    assert len(set(records)) == len(records)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_calculators_and_paper_say_a_figure_alike(path: Path) -> None:
    state = state_of(path)
    for now in state.live():
        rows = {
            (row.key, row.label): row.text for part in calculate(state, now.id, {}).parts for row in part.rows
        }
        figures = figures_for(state, now.id)
        for paper in ("mark", "pit", "aim", "rod", "torque"):
            for found in of_paper(figures, paper, state.job.job.units):
                if found.figure.calculator is not None:
                    assert rows[found.figure.key, found.label] == found.text


def test_the_record_s_page_and_the_office_s_columns_name_every_figure_of_the_record() -> None:
    page = (Path(__file__).parents[2] / "docs" / "record-format.md").read_text(encoding="utf-8")
    row = next(line for line in page.splitlines() if line.startswith("| `figure` |"))
    columns = {name for name, _ in COLUMNS}
    for figure in FIGURES:
        if figure.record:
            assert f"`{figure.record}`" in row
            assert f"figured_{figure.record}" in columns
