"""The yardstick of ``start_and_keys.py``: a bare app of the same kinds of widgets, with nothing in them."""

from __future__ import annotations

from typing import ClassVar

from rich.segment import Segment
from textual.app import App, ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.events import Key
from textual.geometry import Size
from textual.scroll_view import ScrollView
from textual.strip import Strip
from textual.widgets import Static

ROWS = 30
PANES = 9


class Lines(ScrollView, can_focus=True):
    """Rows of plain text, the first of which echoes what is typed."""

    typed = ""

    def on_mount(self) -> None:
        """Have something to scroll."""
        self.virtual_size = Size(40, ROWS)

    def render_line(self, y: int) -> Strip:
        """Paint a row."""
        text = f"row {y} {self.typed if y == 0 else 'and its value'}"
        return Strip([Segment(text)]).crop_extend(0, self.size.width, self.rich_style)

    def on_key(self, event: Key) -> None:
        """Echo a digit, in the list and beside it."""
        if event.character is not None and event.character.isdigit():
            self.typed += event.character
        elif event.key == "backspace":
            self.typed = self.typed[:-1]
        else:
            return
        event.stop()
        self.refresh()
        self.app.query_one("#drawing", Static).update("\n".join(f"{self.typed} {n}" for n in range(20)))
        self.app.query_one("#saying", Static).update(f"typed {self.typed}")


class Bare(App[None]):
    """A banner, a row of tabs, panes side by side, a line of words and a row of keys."""

    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [("q", "quit", "leave")]
    CSS = """
    #banner { height: 3; } #tabs { height: 2; } #saying { height: 4; } #keys { height: 2; }
    Lines, Vertical, #drawing { width: 1fr; height: 1fr; }
    """

    def compose(self) -> ComposeResult:
        """Lay out the screen."""
        yield Static("banner", id="banner")
        yield Static("tabs", id="tabs")
        with Horizontal():
            yield Lines(id="first")
            with Vertical():
                for number in range(PANES - 1):
                    lines = Lines()
                    lines.display = number == 0
                    yield lines
            yield Static("drawing", id="drawing", markup=False)
        yield Static("nothing typed", id="saying")
        yield Static("q leave", id="keys")

    def on_mount(self) -> None:
        """Type into the first."""
        self.set_focus(self.query_one("#first"))


if __name__ == "__main__":
    Bare().run(mouse=False)
