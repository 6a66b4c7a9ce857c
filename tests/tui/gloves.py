"""A key that is held down, as a keyboard sends it."""

from __future__ import annotations

from textual.events import Key
from textual.pilot import Pilot

from crewtui.tui.app.application import CrewApp

CHARACTERS = {"enter": "\r", "space": " ", "exclamation_mark": "!", "question_mark": "?", "slash": "/"}


async def lean(pilot: Pilot[int], key: str, times: int) -> None:
    """Hold a key down: the keyboard waits before its first repeat, then repeats it quickly."""
    app, character = pilot.app, key if len(key) == 1 else CHARACTERS.get(key)
    start = Key(key, character).time
    for number in range(times):
        event = Key(key, character)
        event.time = start + (0.5 + (number - 1) * 0.033 if number else 0)
        event.set_sender(app)
        app.post_message(event)
    await at_rest(pilot)


async def at_rest(pilot: Pilot[int]) -> None:
    """Wait until every key has been dealt with."""
    assert isinstance(pilot.app, CrewApp)
    gate = pilot.app._gate
    await pilot.pause()
    while gate._at_work is not None and not gate._at_work.done():
        await pilot.pause(0.01)
