"""Stopped by the shell and gone on with: given back meanwhile, then painted whole, nothing lost."""

from __future__ import annotations

import os
import signal
import termios
from collections.abc import Callable

import pytest
from driver import Terminal
from lead import Lead, looks
from test_start import CURSOR_BACK, LEFT_FULL_SCREEN, NO_PASTE_MARKS

from crewtui.tui.app.signals import ENDED

Open = Callable[..., Terminal]


def by_key(terminal: Terminal) -> None:
    terminal.press("\x1a")


def by_signal(number: int) -> Callable[[Terminal], None]:
    return lambda terminal: os.kill(terminal.child.pid, number)


WORDLESS = by_signal(signal.SIGSTOP)
STOPS = {"ctrl+z": by_key, "SIGTSTP": by_signal(signal.SIGTSTP), "SIGSTOP": WORDLESS}


def echoes(terminal: Terminal) -> bool:
    """Whether the terminal shows by itself what is typed, as before and after the program."""
    return bool(termios.tcgetattr(terminal.child.child_fd)[3] & termios.ECHO)


@pytest.mark.parametrize("stop", STOPS.values(), ids=STOPS)
def test_stopped_and_gone_on_with(open_job: Open, stop: Callable[[Terminal], None]) -> None:
    terminal = open_job()
    lead = Lead(terminal)
    lead.look_at("s")
    assert lead.press("156", "enter") == "saved"
    terminal.type("6").until("NOT SAVED")
    looked, pid = looks(terminal.painted()), terminal.child.pid
    for _ in range(2):
        stop(terminal)
        terminal.until_true(lambda: os.waitpid(pid, os.WUNTRACED | os.WNOHANG)[0] == pid, what="the stop")
        if stop is not WORDLESS:
            terminal.painted()
            assert all(off in terminal.output for off in (LEFT_FULL_SCREEN, CURSOR_BACK, NO_PASTE_MARKS))
            assert echoes(terminal)
        terminal.screen.reset()
        os.kill(pid, signal.SIGCONT)
        terminal.until_true(lambda: looks(terminal) == looked, what=f"painted whole:\n{looked}\n")
        assert not echoes(terminal)
    assert lead.press(" 1/2", "enter") == "saved"
    assert lead.saved == 3
    terminal.until_true(lambda: "Marks in" in lead.row, what="the next step")
    lead.move_to("Drop of")
    assert "6 1/2 in" in lead.row
    terminal.press("q").until("Leave?").press("down", "enter")
    assert terminal.ended() == 0
    assert echoes(terminal)


def test_asked_to_end_it_gives_the_terminal_back_and_the_entries_are_on_the_disk(open_job: Open) -> None:
    terminal = open_job()
    assert Lead(terminal).look_at("s").press("156", "enter") == "saved"
    by_signal(signal.SIGTERM)(terminal)
    assert terminal.ended() == ENDED
    assert all(off in terminal.output for off in (LEFT_FULL_SCREEN, CURSOR_BACK, NO_PASTE_MARKS))
