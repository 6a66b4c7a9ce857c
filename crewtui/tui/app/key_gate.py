"""Keys one at a time: each waits until all that the key before it set going has come to rest.

The framework hands a key to whatever is in focus at the moment it arrives, while what the key before it does
is still under way in other queues: an entry being made, another pane coming to the front, a question opening.
Keys typed without a pause would go to the wrong row, or nowhere. Here they wait in line, so that a burst does
what the same keys do one by one. A key that is leaned on counts once where a repeat would enter something.
"""

from __future__ import annotations

import asyncio
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import suppress
from time import monotonic
from typing import Any, Final
from weakref import WeakSet

from textual.app import App
from textual.events import Key, Paste
from textual.message_pump import MessagePump

GIVES_UP_S: Final = 3.0
"""What has not come to rest after so long is waited for no more: one part's fault must not lock the keys."""
LEANED_ON_S: Final = 0.2
"""A key again within this, with no other between, is leaned on: keyboards repeat every 0.03 to 0.1 s."""
FIRST_REPEAT_S: Final = 1.0
"""A keyboard waits up to so long before it repeats a key for the first time."""
REPEATS_S: Final = 0.1
"""Time between repeats on a slow keyboard: the first repeat is known by the second one after it."""
_PASSES: Final = 200
"""Looks at the queues one after the other, before there is a pause between them."""
_PAUSE_S: Final = 0.002
_ENTERS: Final = {"enter": "enter", "ctrl+j": "enter", "space": "space", "u": "u"}
"""Keys of which a repeat would enter one thing more, or take one back."""
_BY_PAGE: Final = frozenset({"pageup", "pagedown"})
"""Keys that go as far as what is in sight."""


class KeyGate:
    """Lets one key or paste at a time through to the app."""

    def __init__(self, app: App[Any], *, leaned_on: Callable[[str], None]) -> None:
        """``leaned_on`` hears which key was let go as a repeat."""
        self._app, self._leaned_on = app, leaned_on
        self._waiting: deque[Key | Paste] = deque()
        self._turn: Key | Paste | None = None
        self._arrived = asyncio.Event()
        self._at_work: asyncio.Task[None] | None = None
        self._last = ("", 0.0)
        self._given_up: WeakSet[MessagePump] = WeakSet()

    def keeps(self, event: Key | Paste) -> bool:
        """Whether the event waits, or is let go; one that waits is posted again when its turn has come."""
        if event is self._turn:
            self._turn = None
            return False
        if self._at_work is not None and not self._at_work.done():
            self._waiting.append(event)
            self._arrived.set()
            return True
        waits = (
            bool(self._waiting)
            or self._may_be_repeat(event)
            or any(self._busy(but_app=True))
            or self._lays_out(event)
        )
        if waits:
            self._waiting.append(event)
        else:
            self._remember(event)
        self._at_work = asyncio.create_task(self._work())
        return waits

    async def _work(self) -> None:
        """Let those that wait through, one after the other."""
        while self._app.is_running:
            await self._rest(lambda: any(self._busy()))
            if not self._waiting:
                return
            await self._rest(lambda: self._lays_out(self._waiting[0]))
            event = self._waiting.popleft()
            if await self._is_repeat(event):
                self._leaned_on(self._last[0])
            else:
                self._turn = event
                self._app.post_message(event)

    # Coming to rest.

    async def _rest(self, busy: Callable[[], bool]) -> None:
        """Wait until nothing is under way any more."""
        gives_up = monotonic() + GIVES_UP_S
        passes = 0
        while self._app.is_running and busy():
            passes += 1
            await asyncio.sleep(0 if passes < _PASSES else _PAUSE_S)
            if monotonic() > gives_up:
                self._given_up.update(self._busy())
                return
        self._given_up = WeakSet(pump for pump in self._given_up if pump.message_queue_size)

    def _busy(self, *, but_app: bool = False) -> Iterator[MessagePump]:
        """Yield what has messages to deal with; ``but_app`` while the app itself is dealing with a key."""
        if not but_app and self._app.message_queue_size:
            yield self._app
        for screen in self._app.screen_stack:
            for node in screen.walk_children(with_self=True):
                if node.message_queue_size and node not in self._given_up:
                    yield node

    def _lays_out(self, event: Key | Paste) -> bool:
        """Whether the key's reach depends on a layout that is still to come."""
        by_page = isinstance(event, Key) and event.key in _BY_PAGE
        return by_page and self._app.screen._layout_required  # noqa: SLF001 - no public word for it

    # Leaning.

    def _may_be_repeat(self, event: Key | Paste) -> bool:
        """Whether it comes again so soon that it may be a repeat, of a key that enters something."""
        key, at = self._last
        return isinstance(event, Key) and _ENTERS.get(event.key) == key and event.time - at < FIRST_REPEAT_S

    async def _is_repeat(self, event: Key | Paste) -> bool:
        """Whether the keyboard repeats the key; a first repeat shows by the second that follows at once."""
        before = self._last
        again = self._may_be_repeat(event) and not self._types(event)
        self._remember(event)
        if not again:
            return False
        if event.time - before[1] < LEANED_ON_S:
            return True
        self._arrived.clear()
        if not self._waiting:
            with suppress(TimeoutError):
                await asyncio.wait_for(self._arrived.wait(), REPEATS_S)
        return (
            bool(self._waiting)
            and self._may_be_repeat(self._waiting[0])
            and (self._waiting[0].time - event.time < LEANED_ON_S)
        )

    def _types(self, event: Key | Paste) -> bool:
        """Whether the key is typed where the focus is, and so is no command."""
        focused = self._app.focused
        return (
            isinstance(event, Key)
            and focused is not None
            and focused.check_consume_key(event.key, event.character)
        )

    def _remember(self, event: Key | Paste) -> None:
        key = _ENTERS.get(event.key, "") if isinstance(event, Key) else ""
        self._last = (key, event.time)
