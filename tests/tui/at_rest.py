"""Waiting until the app has come to rest, exactly: when no part of it has anything left to do.

The framework's own wait looks whether the processor idles, for 20 ms at the least and twice a key. That is
most of the time of a run of screen tests; and on a busy machine a program that gets no turn looks idle too.
"""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from time import monotonic
from typing import Any
from weakref import WeakSet

import pytest
from textual.app import App
from textual.message_pump import MessagePump
from textual.pilot import Pilot

LOOKS = 4
"""So many looks in a row find nothing to do: what one part sends another is under way for a turn or two."""
GIVES_UP_S = 30.0

_driven: WeakSet[App[Any]] = WeakSet()


async def at_rest(_least_s: float = 0.0, _most_s: float = 0.0) -> None:
    """Wait until nothing is under way in any app that a test drives; in place of the framework's wait."""
    gives_up = monotonic() + GIVES_UP_S
    calm = 0
    while calm < LOOKS and monotonic() < gives_up:
        await asyncio.sleep(0)
        calm = calm + 1 if all(map(_rests, _driven)) else 0


def _rests(app: App[Any]) -> bool:
    """Whether an app has nothing to do; what is only to be painted is painted at once."""
    if not app.is_running or not app.screen_stack:
        return True
    gate = getattr(app, "_gate", None)
    if gate is not None and gate._at_work is not None and not gate._at_work.done():
        return False
    if app._animator._animations or app._animator._scheduled or app._resize_timer is not None:
        return False
    if any(map(_has_messages, _nodes(app))):
        return False
    screen = app.screen
    due = screen._layout_required or screen._scroll_required or screen._repaint_required
    if due or screen._recompose_required or screen._dirty_widgets or screen._callbacks:
        screen._on_timer_update()
        return False
    return True


def _nodes(app: App[Any]) -> Iterator[MessagePump]:
    yield app
    for screen in app.screen_stack:
        yield from screen.walk_children(with_self=True)


def _has_messages(node: MessagePump) -> bool:
    return bool(node.message_queue_size or node._next_callbacks)


def drive_at_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let every pilot wait so."""
    begin = Pilot.__init__

    def watched(pilot: Pilot[Any], app: App[Any]) -> None:
        begin(pilot, app)
        _driven.add(app)

    monkeypatch.setattr(Pilot, "__init__", watched)
    monkeypatch.setattr("textual.app.wait_for_idle", at_rest)
    monkeypatch.setattr("textual.pilot.wait_for_idle", at_rest)
