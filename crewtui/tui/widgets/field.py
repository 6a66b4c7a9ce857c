"""A line of text to be typed, in which the emergency key still works."""

from __future__ import annotations

from textual.widgets import Input

from crewtui.tui.widgets.rows import EMERGENCY_SIGN


class Field(Input):
    """A text field; only a secret may hold the emergency sign itself.

    What stands in it is added to, as initials are; with ``replaces`` the first key replaces it all, as a name
    that was only offered.
    """

    def __init__(
        self, value: str = "", *, password: bool = False, max_length: int = 0, replaces: bool = False
    ) -> None:
        super().__init__(value, password=password, max_length=max_length, select_on_focus=replaces)

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Whether a key is typed here, and so is no command."""
        typed = super().check_consume_key(key, character)
        return typed and (self.password or character != EMERGENCY_SIGN)
