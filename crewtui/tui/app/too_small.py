"""What stands over everything in a window too small to work in: the data are safe, and what to do."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Static

from crewtui.tui.keys.arrangement import LEAST_COLUMNS, LEAST_ROWS, too_small


class TooSmall(Screen[None]):
    """One sentence; whatever is below, and what is typed there, stays as it is."""

    DEFAULT_CSS = """
    TooSmall { background: $paper; color: $ink; }
    TooSmall Static { width: 1fr; height: 1fr; content-align: center middle; text-align: center; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("q", "app.quit", show=False)]

    def compose(self) -> ComposeResult:
        """Lay out the sentence."""
        yield Static(markup=False)

    def on_mount(self) -> None:
        """Say it."""
        self._say()

    def on_resize(self) -> None:
        """Say it of the new size."""
        self._say()

    def on_screen_resume(self) -> None:
        """Go once the window has grown, where a page stood over this meanwhile."""
        self.let_go()

    def let_go(self) -> None:
        """Uncover what is below if there is room for it."""
        if self.app.screen is self and not too_small(*self.app.size):
            self.dismiss()

    def _say(self) -> None:
        size = self.app.size
        self.query_one(Static).update(
            f"This window is {size.width}x{size.height}: crewtui needs {LEAST_COLUMNS}x{LEAST_ROWS}."
            " All that shows as saved is saved, and what is typed stays.\n\n! EMERGENCY   q leave"
        )
