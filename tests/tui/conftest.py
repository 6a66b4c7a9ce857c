from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from at_rest import drive_at_rest
from fixed_clock import SAMPLES, Clock

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.day.truck.cut_process import CutListBeside
from crewtui.day.truck.day_cut_list import CutQuestion
from crewtui.trade.truck.cutting import CutPlan
from crewtui.tui.app import key_gate, truck_work
from crewtui.tui.app.application import CrewApp


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CREWTUI_HOME", str(tmp_path / "home"))


@pytest.fixture(autouse=True)
def quick_hands(monkeypatch: pytest.MonkeyPatch) -> None:
    """Keys here come quicker than a hand's: the same one twice is meant, where a test says nothing else."""
    monkeypatch.setattr(key_gate, "FIRST_REPEAT_S", 0.0)


@pytest.fixture(autouse=True)
def exact_wait(monkeypatch: pytest.MonkeyPatch) -> None:
    drive_at_rest(monkeypatch)


_KNOWN: dict[CutQuestion, CutPlan] = {}


class Remembered(CutListBeside):
    """A cut list that was worked out once is not worked out again: a process for each test takes long."""

    def __init__(self, question: CutQuestion) -> None:
        super().__init__(question)
        self._question = question

    def answers(self) -> Iterator[tuple[CutPlan, bool]]:
        if self._question in _KNOWN:
            yield _KNOWN[self._question], True
            return
        for plan, last in super().answers():
            if last:
                _KNOWN[self._question] = plan
            yield plan, last


@pytest.fixture(autouse=True)
def known_cut_lists(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(truck_work, "CutListBeside", Remembered)


@pytest.fixture
def open_day(tmp_path: Path) -> Iterator[Callable[[str], Day]]:
    opened: list[Day] = []

    def make(sample: str = "block-wall") -> Day:
        job = tmp_path / f"{sample}.toml"
        if not job.exists():
            shutil.copy(SAMPLES / job.name, job)
        day = Day.open(job, clock=Clock(), figures=figures_for)
        opened.append(day)
        return day

    yield make
    for day in opened:
        day.close()


@pytest.fixture
def app(open_day: Callable[[str], Day]) -> CrewApp:
    return CrewApp(open_day("block-wall"))
