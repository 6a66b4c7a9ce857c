"""A line of text to be typed, in which the emergency key still works."""

from __future__ import annotations

from textual.widgets import Input

from crewtui.tui.rows import EMERGENCY_SIGN


class Field(Input):
    """A text field; only a secret may hold the emergency sign itself."""

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Whether a key is typed here, and so is no command."""
        typed = super().check_consume_key(key, character)
        return typed and (self.password or character != EMERGENCY_SIGN)
