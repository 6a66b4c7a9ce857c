"""Keys without pauses do what the same keys do one by one."""

from __future__ import annotations

import json
import random
import shutil
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest
from driver import Terminal, crewtui
from lead import Lead, looks

Open = Callable[..., Terminal]

LAST = ("!", "c")
"""End every burst: the emergency page, and on it what is pressed nowhere else."""
LAST_SHOWS = "PIT CAVED IN"
"""Once it shows, all keys before have been dealt with."""
TIMES = ("prev", "check", "done_at", "typed_at", "session")
DAYS = {
    "values, panes in between, taken back": [
        *"s156\r6\r1/4\rn156\rf", "down", *"s6 3/4\rdhs1/4\r", "tab", "shift+tab", *"n156\r6\ru6 1/2\rul",
    ],
    "questions": [
        *"\rPat Sample\rs13\r", "home", "backspace", *"156\r6\r2\ra pipe in the way\rm\r100\rmoved\rn156\r",
    ],
    "pages": [
        *"s15!\r6\rqnw41", "esc", *"6\rh", "pgdn", *"\rSS\rsi4 1/2\r4\r4 1/4\r", "esc", "down",
        *"\r6 1/2\rw", "down", *"1/2\r", "esc", *"1/4\r",
    ],
}  # fmt: skip
FUZZ = [
    *"sfghvdcranpbijkoxwmtl", *"0123456789/ .", *["\r"] * 6, "tab", "up", "down", "down", "home", "end",
    "pgdn", "backspace", "u",
]  # fmt: skip
NEVER_TWICE = {"\r", " ", "u"}


def play(run: Open, folder: Path, sample: Path, keys: Sequence[str], *, at_once: bool) -> tuple[Any, str]:
    """Return the day's journal without its times, and the screen at the end."""
    folder.mkdir()
    job = Path(shutil.copy(sample, folder))
    journal = job.with_name(f"{job.stem}.journal.jsonl")
    terminal = run(crewtui("open", str(job))).until("saved ", "EMERGENCY")
    if at_once:
        terminal.press(*keys, *LAST)
    else:
        for key in (*keys, *LAST):
            terminal.press(key).painted(quiet_s=0.02)
    terminal.until(LAST_SHOWS).press("q").until("I only looked").press("n").until_true(
        lambda: "I only looked" not in terminal.text, what="the day again"
    )
    shown = looks(terminal.painted())
    terminal.kill()
    lines = journal.read_text(encoding="utf-8").splitlines()
    return [{k: v for k, v in json.loads(line).items() if k not in TIMES} for line in lines], shown


@pytest.mark.parametrize("keys", DAYS.values(), ids=DAYS)
def test_a_burst_is_the_same_day_as_the_same_keys_one_by_one(
    run: Open, tmp_path: Path, job: Path, keys: list[str]
) -> None:
    slowly, looked = play(run, tmp_path / "slowly", job, keys, at_once=False)
    at_once, looks_at_once = play(run, tmp_path / "at once", job, keys, at_once=True)
    assert at_once == slowly
    assert looks_at_once == looked


@pytest.mark.parametrize("seed", range(2))
def test_any_keys_at_all(run: Open, tmp_path: Path, job: Path, seed: int) -> None:
    chance = random.Random(seed)  # noqa: S311 - keys, not secrets
    keys: list[str] = ["s"]
    while len(keys) < 40:
        key = chance.choice(FUZZ)
        if not (key in NEVER_TWICE and key == keys[-1]):
            keys.append(key)
    slowly, looked = play(run, tmp_path / "slowly", job, keys, at_once=False)
    at_once, looks_at_once = play(run, tmp_path / "at once", job, keys, at_once=True)
    assert at_once == slowly, keys
    assert looks_at_once == looked, keys


def test_the_next_anchor_stands_at_the_step_just_done(open_job: Open) -> None:
    lead = Lead(open_job())
    lead.terminal.type("s156\r6\r1/4\rn").until("8 ft 4 in along")
    lead.terminal.until_true(lambda: lead.step.startswith("Marks in and out"), what="the step just done")
    assert lead.saved == 4


def test_keys_typed_before_the_first_screen_are_not_lost(run: Open, job: Path) -> None:
    terminal = run(crewtui("open", str(job)))
    terminal.type("s156\r").until("saved ", "Saved: N1: Set-back")
