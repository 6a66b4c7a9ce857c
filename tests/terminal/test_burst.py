"""Keys without pauses, pastes, a glove on a key, a window of any size: it keeps running."""

from __future__ import annotations

import string
from collections.abc import Callable

import pytest
from driver import Terminal
from lead import Lead

Open = Callable[..., Terminal]

LEANED_ON = 50
OPENS_A_DAY = 1
"""Entries in a day that was only opened."""
SIZES = [(20, 5), (200, 60), (60, 20), (1, 1), (300, 80), (80, 24), (59, 19), (120, 36), (10, 40)]
TOO_SMALL = "too small"


def lean(terminal: Terminal, key: str) -> None:
    terminal.press(*[key] * LEANED_ON)


def answers(lead: Lead) -> None:
    """The program still does what it is told: a value typed is a value saved."""
    lead.look_at("s").move_to("Set-back")
    before = lead.saved
    assert lead.enter("156") == "saved"
    assert lead.saved == before + 1


def test_a_whole_line_of_keys_at_once_is_what_the_same_keys_one_by_one_are(open_job: Open) -> None:
    terminal = open_job()
    lead = Lead(terminal)
    lead.look_at("s")
    terminal.type("156\r6\r1/4\rn")
    terminal.until_true(lambda: lead.saved == OPENS_A_DAY + 3, what="three entries")
    terminal.until("8 ft 4 in along")
    for row, value in (("Set-back", "156"), ("Drop of", "6 3/4")):
        lead.move_to(row)
        terminal.type(value + "\r")
    terminal.until_true(lambda: lead.saved == OPENS_A_DAY + 5, what="two more entries")


def test_a_paste_of_many_lines_types_the_first_and_enters_nothing(open_job: Open) -> None:
    terminal = open_job()
    lead = Lead(terminal)
    lead.look_at("s")
    terminal.paste("156\n6\nq\n" + "u\n" * 200)
    terminal.until("156", "not saved")
    assert lead.saved == OPENS_A_DAY
    assert "Set-back" in lead.row
    assert lead.press("enter") == "saved"


def test_a_paste_where_nothing_is_typed_does_nothing(open_job: Open) -> None:
    terminal = open_job()
    lead = Lead(terminal)
    terminal.paste("x\ny\n" * 100)
    answers(lead)


def test_a_paste_into_a_question_stays_one_line_and_waits_for_enter(open_job: Open) -> None:
    terminal = open_job()
    lead = Lead(terminal)
    assert lead.press("enter") == "asked"
    terminal.paste("Pat Sample\nand more\n").until("Pat Sample")
    lead.press("enter")
    terminal.until("Saved: Competent person")


@pytest.mark.parametrize(
    "key", [*string.ascii_lowercase, "!", "?", "tab", "space", "enter", "esc", "5", "backspace"]
)
def test_a_key_leaned_on_enters_at_most_what_one_press_does(open_job: Open, key: str) -> None:
    terminal = open_job()
    lead = Lead(terminal)
    lead.look_at("s")
    lead.enter("156")
    before = lead.saved
    lean(terminal, key)
    lead_home(lead)
    assert lead.saved <= before + 1


def lead_home(lead: Lead) -> None:
    """Esc leads home from everywhere."""
    for _ in range(4):
        lead.terminal.press("esc")
        lead.terminal.painted()
    lead.terminal.until("[a]")


@pytest.mark.parametrize("pane", "asfgrhvdc")
def test_a_window_of_any_size_in_every_pane(open_job: Open, pane: str) -> None:
    terminal = open_job()
    lead = Lead(terminal)
    lead.look_at(pane)
    for size in SIZES:
        terminal.resize(*size).painted()
    terminal.resize(80, 24).until(f"[{pane}]", "saved ")
    answers(lead)
