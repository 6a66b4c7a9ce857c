"""A window too small to work in, as a real terminal tells of it; any size is in tests/tui."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from driver import Terminal, crewtui
from lead import Lead

Open = Callable[..., Terminal]


def test_in_a_window_too_small_only_the_emergency_page_and_leaving_work(open_job: Open) -> None:
    terminal = open_job()
    lead = Lead(terminal)
    lead.look_at("s")
    assert lead.enter("156") == "saved"
    terminal.type("7").until("NOT SAVED")
    terminal.resize(50, 15).until("This window")
    terminal.press(*"ux56\rn m\tdh", "down", "backspace", "enter", "!").until("EMERGENCY - STOP")
    terminal.resize(80, 24).until("Esc leave")
    terminal.press("q").until("nothing: I only looked").press("n").until("[s ", "2 entries")
    terminal.until_true(
        lambda: "7 " in lead.row and "NOT SAVED" in terminal.text,
        what="what was typed",
    )
    terminal.resize(30, 10).until("This window")
    terminal.press("q").until("Leave?")
    terminal.press("down", "enter")
    assert terminal.ended() == 0


def test_opened_in_a_window_too_small_it_says_so_and_then_shows_the_day(run: Open, job: Path) -> None:
    terminal = run(crewtui("open", str(job)), columns=40, rows=12)
    terminal.until("This window is 40x12")
    terminal.resize(80, 24).until("[d ", "saved ")
