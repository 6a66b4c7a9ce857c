"""The day's keys as the framework wants them, made from the table of commands."""

from __future__ import annotations

from collections.abc import Iterator

from textual.binding import Binding

from crewtui.tui.keys.commands import COMMANDS, PANES

_BOUND_ELSEWHERE = frozenset({"choose", "emergency"})
"""By the lists of rows, and by the app over everything."""


def bindings() -> Iterator[Binding]:
    """Yield a binding for each pane and each command."""
    for name, key, title in PANES:
        yield Binding(key, f"show('{name}')", title, show=False)
    seen = set(_BOUND_ELSEWHERE)
    for command in COMMANDS:
        if command.name not in seen:
            seen.add(command.name)
            yield Binding(",".join(command.keys), f"press('{command.name}')", command.label, show=False)
    yield Binding("tab", "turn(1)", show=False)
    yield Binding("shift+tab", "turn(-1)", show=False)
    yield Binding("escape", "show('anchors')", show=False)
