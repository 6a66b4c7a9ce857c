"""Every key that the bottom line shows does something, and every other one says why it does nothing."""

from __future__ import annotations

from pathlib import Path

import pytest
from gallery import day_screen, half_done, painted, text_of
from textual.pilot import Pilot

from crewtui.tui.app import key_gate
from crewtui.tui.app.application import CrewApp
from crewtui.tui.app.day_screen import DayScreen
from crewtui.tui.keys.commands import COMMANDS, PANES
from crewtui.tui.widgets.rows import RowList

_BY_THEMSELVES = {"u", "exclamation_mark", "q"}
"""Tested elsewhere: undo would change the day under test."""
PRESSED = ["enter", *sorted({one.keys[0] for one in COMMANDS} - {"enter"} - _BY_THEMSELVES), "z"]
OFTEN = 4
"""So many kinds of row are tried: those that differ in what Enter does and which keys are shown."""


def _state(screen: DayScreen) -> tuple[object, ...]:
    rows = screen.in_front
    cursor = rows.cursor_key if isinstance(rows, RowList) else ""
    drafts = dict(rows.drafts) if isinstance(rows, RowList) else {}
    return (
        screen.pane, screen.anchor_id, cursor, tuple(drafts.items()), screen.wrong, screen.said,
        len(screen.day.journal.entries), len(screen.app.screen_stack), screen.app.theme,
        tuple(text_of(screen._compositor.render_strips())),
    )  # fmt: skip


async def _home(pilot: Pilot[int], screen: DayScreen, pane: str, row: str) -> None:
    while pilot.app.screen is not screen:
        pilot.app.pop_screen()
        await pilot.pause()
    for rows in screen.query(RowList):
        rows.clear_drafts()
    screen.wrong = screen.said = ""
    screen.go(anchor="N2", pane=pane)  # type: ignore[arg-type]
    screen.go(pane=pane)  # type: ignore[arg-type]
    if row:
        screen.in_front.go_to(row)  # type: ignore[union-attr]
    screen._repaint()
    await pilot.pause()


@pytest.mark.parametrize("pane", [name for name, _, _ in PANES])
async def test_every_key_does_something_or_says_why_not(
    tmp_path: Path, pane: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(key_gate, "FIRST_REPEAT_S", 0.0)
    silent: list[str] = []
    with half_done(tmp_path) as day:
        async with CrewApp(day).run_test(size=(80, 24)) as pilot:
            screen = day_screen(pilot)
            await _home(pilot, screen, pane, "")
            for row in _kinds(screen):
                await _home(pilot, screen, pane, row)
                for key in PRESSED:
                    await _home(pilot, screen, pane, row)
                    before = _state(screen)
                    await pilot.press(key)
                    await pilot.pause()
                    if _state(screen) == before:
                        silent.append(f"{pane}, {row}: {key}")
            assert painted(pilot)
    assert not silent, "\n".join(silent)


def _kinds(screen: DayScreen) -> list[str]:
    """Return the rows that differ in what may be done on them."""
    front = screen.in_front
    if not isinstance(front, RowList):
        return [""]
    found: dict[tuple[object, ...], str] = {}
    for row in [row for row in front.rows if row.stops]:
        front.go_to(row.key, quietly=True)
        keys = (front.does(), front.more_keys())  # type: ignore[attr-defined]
        found.setdefault(keys, row.key)
    return list(found.values())[:OFTEN]
