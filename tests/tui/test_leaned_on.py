"""A glove on a key, on every pane: at most what one press does."""

from __future__ import annotations

import pytest
from gloves import lean
from textual.pilot import Pilot

from crewtui.tui.app import key_gate
from crewtui.tui.app.application import CrewApp
from crewtui.tui.app.day_screen import DayScreen
from crewtui.tui.keys.commands import COMMANDS, PANES, PaneName

SMALL = (80, 24)
TIMES = 20
HANDS_S = key_gate.FIRST_REPEAT_S
MOVES = (
    "up",
    "down",
    "left",
    "pageup",
    "pagedown",
    "home",
    "end",
    "tab",
    "shift+tab",
    "backspace",
    "delete",
    "5",
)
EVERYWHERE = [
    *MOVES,
    *(key for _, key, _ in PANES),
    *(key for command in COMMANDS if command.panes is None for key in command.keys),
]


@pytest.fixture(autouse=True)
def heavy_hands(quick_hands: None, monkeypatch: pytest.MonkeyPatch) -> None:  # noqa: ARG001 - it comes first
    monkeypatch.setattr(key_gate, "FIRST_REPEAT_S", HANDS_S)


async def home(pilot: Pilot[int]) -> DayScreen:
    for _ in range(6):
        if isinstance(pilot.app.screen, DayScreen):
            return pilot.app.screen
        await lean(pilot, "escape", 1)
    raise AssertionError(pilot.app.screen)


async def lean_on(pilot: Pilot[int], pane: PaneName, keys: list[str]) -> None:
    app = pilot.app
    assert isinstance(app, CrewApp)
    (await home(pilot)).go(pane="steps")
    for value in ("156", "6", "1/4"):
        for sign in (*value, "enter"):
            await lean(pilot, {"/": "slash"}.get(sign, sign), 1)
    for key in keys:
        (await home(pilot)).go(pane=pane)
        before = len(app.day.journal.entries)
        await lean(pilot, key, TIMES)
        made = app.day.journal.entries[before:]
        assert len(made) <= 1, (pane, key, made)
        assert not any(entry.kind == "signed" for entry in made)
        assert app.is_running
    await home(pilot)


@pytest.mark.parametrize("pane", [name for name, _, _ in PANES])
async def test_a_key_leaned_on_in_its_pane_does_at_most_what_one_press_does(
    app: CrewApp, pane: PaneName
) -> None:
    keys = [
        key
        for command in COMMANDS
        if command.panes is not None and command.works_in(pane)
        for key in command.keys
    ]
    async with app.run_test(size=SMALL) as pilot:
        await lean_on(pilot, pane, keys)


@pytest.mark.parametrize("part", range(4))
async def test_a_key_leaned_on_anywhere_does_at_most_what_one_press_does(app: CrewApp, part: int) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await lean_on(pilot, "steps", EVERYWHERE[part::4])
