"""The emergency page: its first lines hold for everything, all of it on the smallest screen."""

from __future__ import annotations

from pathlib import Path

import pytest

from crewtui.job.file.emergency import FIRST, HAPPENED, emergency_words, without_number
from crewtui.job.file.load import load_job
from crewtui.job.file.model import Contact

SAMPLES = sorted((Path(__file__).parents[2] / "sample_jobs").glob("*.toml"))


def test_each_thing_that_happens_has_a_key_and_lines_of_its_own_that_fit() -> None:
    assert len({one.key for one in HAPPENED}) == len(HAPPENED)
    for one in HAPPENED:
        assert 3 <= len(one.words) <= 4
        assert all(len(line) <= 74 for line in one.words), one.title
    assert all(len(line) <= 78 for line in FIRST)


def test_no_line_tells_to_close_a_valve_or_to_fill_the_hole() -> None:
    words = " ".join((*FIRST, *(line for one in HAPPENED for line in one.words))).casefold()
    assert "close no valve" in words
    assert "leave the rod in, the hole open" in words
    assert "call from outside" in words


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_whoever_owns_what_was_struck_is_called_before_the_others(path: Path) -> None:
    job = load_job(path)
    assert without_number(job) == ()
    gas = Contact(role="Sample Gas, leaks", phone="555-0199")
    job = job.model_copy(update={"contacts": (*job.contacts, gas)})
    calls = emergency_words(job).calls(HAPPENED[0])
    assert "emergency" in calls[0]
    assert "Gas" in calls[1]


def test_a_utility_that_marked_and_has_no_number_is_named() -> None:
    job = load_job(next(path for path in SAMPLES if path.stem == "block-wall"))
    without = job.model_copy(update={"contacts": tuple(c for c in job.contacts if "Gas" not in c.role)})
    assert without_number(without) == ("Sample Gas (invented)",)
