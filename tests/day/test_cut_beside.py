"""The cut list in a process of its own: the same answers, called off at once, its failures its own."""

from __future__ import annotations

import io
import sys
import time
from pathlib import Path

import pytest
from msgspec import msgpack

from crewtui.day.state.fold import fold
from crewtui.day.truck import cut_process
from crewtui.day.truck.cut_process import CutListBeside, NoCutListError
from crewtui.day.truck.day_cut_list import CutQuestion, cut_question
from crewtui.job.file.load import load_job
from crewtui.job.file.rule_overrides import resolve
from crewtui.trade.truck.cut_alone import CutAsked, answer, read_answer

SAMPLES = Path(__file__).parents[2] / "sample_jobs"
METRIC = "poured-deep-frost-metric"


def question_of(sample: str) -> CutQuestion:
    job = load_job(SAMPLES / f"{sample}.toml")
    return cut_question(fold(job, resolve(job), ()))


@pytest.mark.parametrize("sample", ["block-wall", METRIC, "clay-tile-tight"])
def test_the_answer_is_the_one_given_here(sample: str) -> None:
    question = question_of(sample)
    found = list(CutListBeside(question, looks_s=(0.3, 3.0)).answers())
    here = question.answer(time_limit_s=3.0)
    beside = found[-1][0]
    assert [last for _, last in found] == [False] * (len(found) - 1) + [True]
    assert (beside.rods, beside.stock) == (here.rods, here.stock)
    if beside.proven and here.proven:
        assert (len(beside.lengths), beside.enough) == (len(here.lengths), here.enough)


def test_called_off_it_ends_at_once_and_without_a_word() -> None:
    beside = CutListBeside(question_of(METRIC), looks_s=(0.05, 60.0))
    answers = beside.answers()
    _, last = next(answers)
    if not last:
        began = time.monotonic()
        beside.call_off()
        assert list(answers) == []
        assert time.monotonic() - began < 30


def test_called_off_before_it_began_gives_nothing() -> None:
    beside = CutListBeside(question_of("block-wall"))
    beside.call_off()
    assert list(beside.answers()) == []


@pytest.mark.parametrize("command", [("/no/such/program",), (sys.executable, "-c", "raise SystemExit(3)")])
def test_a_solver_that_fails_is_one_sentence(
    monkeypatch: pytest.MonkeyPatch, command: tuple[str, ...]
) -> None:
    monkeypatch.setattr(cut_process, "_COMMAND", command)
    with pytest.raises(NoCutListError, match=r"^The cut list could not be worked out \(.*the day goes on\.$"):
        list(CutListBeside(question_of("block-wall")).answers())


def test_an_answer_cut_short_is_none() -> None:
    asked = CutAsked(rods=(), stock=(), kerf_in=0.125, worth_keeping_in=24, system="imperial", looks_s=(1.0,))
    sink = io.BytesIO()
    answer(io.BytesIO(msgpack.encode(asked)), sink)
    whole = sink.getvalue()
    found = read_answer(io.BytesIO(whole))
    assert found is not None
    assert found.proven
    for end in (0, 2, 4, len(whole) - 1):
        assert read_answer(io.BytesIO(whole[:end])) is None
