"""A page or question over the day, which leaves once, and only itself."""

from __future__ import annotations

from typing import TypeVar

from textual.await_complete import AwaitComplete
from textual.screen import ModalScreen

Result = TypeVar("Result")


class Over(ModalScreen[Result]):
    """What is put over the day, and is taken away with or without a result."""

    def dismiss(self, result: Result | None = None) -> AwaitComplete:
        """Leave, where this is in front.

        The framework takes away whatever is in front, also for a page that has left already: a key that came
        while a slow machine was still leaving it would take the day itself away.
        """
        if self.app.screen is not self:
            return AwaitComplete()
        return super().dismiss(result)
