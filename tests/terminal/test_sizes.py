"""A window of any size: never a crash, never something lost, and back again as it was."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

import pytest
from driver import Terminal, crewtui
from lead import Lead, looks

Open = Callable[..., Terminal]

SIZES: Final = [(20, 5), (200, 60), (60, 20), (1, 1), (300, 80), (59, 20), (60, 19), (120, 36), (10, 40)]
PANES: Final = "asfgrhvdc"
PAGES: Final = {
    "questions": (
        ("d", "\r", "Competent person today, by name"),
        ("s", "t", "When was it really done?"),
        ("s", "m", "on site"),
        ("s", "o", "What happened?"),
        ("s", "q", "Leave?"),
        ("s", "156\r6\r2\r", "not as it should be"),
        ("s", "i4 1/2", "4 1/2 "),
    ),
    "pages": (
        ("s", "b", "read it out"),
        ("s", "j", "Everything entered"),
        ("s", "k", "Keys"),
        ("s", "!", "EMERGENCY - STOP"),
        ("s", "w41", "The rod stands at 41 in"),
    ),
}
"""Pane, keys, and what shows then; on the last of each something is typed that is not saved."""


@pytest.mark.parametrize("panes", [PANES[:5], PANES[5:]])
def test_every_pane_comes_back_from_a_window_of_any_size(open_job: Open, panes: str) -> None:
    terminal = open_job()
    lead = Lead(terminal)
    lead.look_at("s")
    terminal.type("15").press("down").until("not saved")
    for pane in panes:
        stood = lead.look_at(pane).caught_up().row[:78].rstrip()
        for columns, rows in SIZES:
            terminal.resize(columns, rows).painted(quiet_s=0.02)
        terminal.resize(50, 15).until("This window is 50x15: crewtui needs 60x20.")
        terminal.resize(80, 24).until(f"[{pane}]", "saved ", "leave")
        terminal.until_true(lambda: lead.row[:78].rstrip() == stood, what=stood)  # noqa: B023 - within the loop
    lead.look_at("s").caught_up().move_to("Set-back")
    assert "15" in lead.row
    assert lead.press(*"156", "enter") == "saved"


@pytest.mark.parametrize("pages", PAGES.values(), ids=PAGES)
def test_every_page_and_question_comes_back_from_a_window_of_any_size(
    open_job: Open, pages: tuple[tuple[str, str, str], ...]
) -> None:
    terminal = open_job()
    for number, (pane, keys, text) in enumerate(pages, 1):
        Lead(terminal).look_at(pane)
        terminal.type(keys).until(text, "Esc", gone="q leave").painted()
        before = looks(terminal)
        for columns, rows in SIZES:
            terminal.resize(columns, rows).painted(quiet_s=0.02)
        terminal.resize(80, 24).until_true(lambda: looks(terminal) == before, what=f"as before:\n{before}\n")  # noqa: B023 - within the loop
        if number < len(pages):
            terminal.press("esc").until("q leave")


def test_in_a_window_too_small_only_the_emergency_page_and_leaving_work(open_job: Open) -> None:
    terminal = open_job()
    lead = Lead(terminal)
    lead.look_at("s")
    assert lead.enter("156") == "saved"
    terminal.type("7").until("not saved")
    terminal.resize(50, 15).until("This window")
    terminal.press(*"ux56\rn m\tdh", "down", "backspace", "enter", "!").until("EMERGENCY - STOP")
    terminal.resize(80, 24).until("Esc back")
    terminal.press("q").until("[s]", "3 entries")
    terminal.until_true(lambda: "7 " in lead.row and "not saved" in lead.row, what="what was typed")
    terminal.resize(30, 10).until("This window")
    terminal.press("q").until("Leave?")
    terminal.press("down", "enter")
    assert terminal.ended() == 0


def test_opened_in_a_window_too_small_it_says_so_and_then_shows_the_day(run: Open, job: Path) -> None:
    terminal = run(crewtui("open", str(job)), columns=40, rows=12)
    terminal.until("This window is 40x12")
    terminal.resize(80, 24).until("[d]", "saved ")
