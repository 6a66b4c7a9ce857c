"""Terminals of other kinds: sixteen colors, none at all, and a number pad in each of its ways of sending."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from driver import Terminal
from lead import Lead

Open = Callable[..., Terminal]

RGB = re.compile(rb"[34]8;2;(\d+);(\d+);(\d+)(?=[m;])")
KITTY_1 = 57400
"""The number that a keyboard of the kitty protocol sends for the number pad's 1 (its own specification)."""
WAYS = {
    "plain": ("156", "\r"),
    "application keypad": ("\x1bOq\x1bOu\x1bOv", "\x1bOM"),
    "kitty protocol": ("".join(f"\x1b[{KITTY_1 - 1 + number}u" for number in (1, 5, 6)), "\x1b[57414u"),
}


@pytest.mark.parametrize("way", WAYS)
def test_a_number_comes_from_the_number_pad(open_job: Open, way: str) -> None:
    typed, enter = WAYS[way]
    terminal = open_job().until("saved ").press("s").until("[s ")
    terminal.type(typed)
    terminal.until("156")
    terminal.type(enter)
    terminal.until("saved", "2 entries", "13 ft")


@pytest.mark.parametrize("down", ["\x1bOB", "\x1b[57420u"])
def test_the_pads_arrows_move(open_job: Open, down: str) -> None:
    lead = Lead(open_job()).look_at("s").caught_up()
    assert "Set-back" in lead.row
    lead.terminal.type(down)
    lead.caught_up()
    assert "Drop of the ground" in lead.row


@pytest.mark.parametrize("look", ["sun", "basement"])
def test_without_color_everything_is_gray_and_words_say_it_all(open_job: Open, look: str) -> None:
    terminal = open_job(look=look, environment={"NO_COLOR": "1"}).until("saved ").press("h").until("[h ")
    terminal.until(">held")
    colors = {tuple(map(int, found)) for found in RGB.findall(bytes(terminal.output))}
    assert colors
    assert all(max(rgb) - min(rgb) <= 1 for rgb in colors), colors


@pytest.mark.parametrize("look", ["sun", "basement"])
@pytest.mark.parametrize("name", ["linux", "xterm-16color", "vt100"])
def test_a_terminal_of_few_colors_shows_the_same_words(open_job: Open, look: str, name: str) -> None:
    terminal = open_job(look=look, environment={"TERM": name, "COLORTERM": ""}).until("saved ")
    terminal.press("h").until("[h ", ">held")
    assert not RGB.search(bytes(terminal.output))
    row = next(y for y, line in enumerate(terminal.lines) if line.startswith(">"))
    for y in (0, row):
        for cell in terminal.screen.buffer[y].values():
            assert cell.data == " " or cell.fg != cell.bg, (y, cell)
