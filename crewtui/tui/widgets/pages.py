"""Whole-screen pages: words, the keys, everything entered, and the big readout."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from msgspec import Struct
from rich.text import Text
from textual import events
from textual.app import ComposeResult, RenderResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from crewtui.day.session.views import LogLine
from crewtui.tui.keys.key_card import key_lines
from crewtui.tui.widgets.chrome import KeyBar
from crewtui.tui.widgets.fit import clip
from crewtui.tui.widgets.lettering import big, small
from crewtui.tui.widgets.over import Over


class WordsPage(Over[None]):
    """A page of words over the whole screen; the arrows scroll it, Esc leads back."""

    DEFAULT_CSS = """
    WordsPage { background: $paper; color: $ink; }
    WordsPage .title { background: $band; text-style: bold; padding: 0 1; height: auto; }
    WordsPage VerticalScroll { padding: 0 1; scrollbar-size-vertical: 1; scrollbar-gutter: stable; }
    WordsPage .words { height: auto; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q,enter,ctrl+j", "go_back", show=False)]

    def __init__(self, title: str, words: str, *, extra_keys: Sequence[str] = ()) -> None:
        """Show these words; ``extra_keys`` also lead back."""
        super().__init__()
        self._title, self._words, self._extra = title, words, frozenset(extra_keys)

    def compose(self) -> ComposeResult:
        """Lay out the page."""
        yield Static(self._title, classes="title", markup=False)
        with VerticalScroll():
            yield Static(self._words, classes="words", markup=False)
        bar = KeyBar()
        bar.items = (("Esc", "back"), ("up/down", "scroll"))
        yield bar

    def on_mount(self) -> None:
        """Let the arrows scroll at once."""
        self.query_one(VerticalScroll).focus()

    def key_handled_as_back(self, key: str) -> bool:
        """Whether that key leads back too."""
        return key in self._extra

    def on_key(self, event: events.Key) -> None:
        """Take the key that opened the page as the way back."""
        if self.key_handled_as_back(event.key):
            event.stop()
            self.action_go_back()

    def action_go_back(self) -> None:
        """Leave the page; a key that is leaned on leaves it once."""
        if self.app.screen is self:
            self.dismiss()


def keys_page(here: Sequence[tuple[str, str]], row: str) -> WordsPage:
    """Return the page that explains every key, those of the row under the cursor first."""
    lines = [f"On this row: {row}" if row else "Here", *(f"  {key:<12} {label}" for key, label in here), ""]
    return WordsPage("Keys", "\n".join((*lines, *key_lines())), extra_keys=("k", "question_mark"))


def log_page(lines: Sequence[LogLine]) -> WordsPage:
    """Return the page of everything entered, the newest first."""
    said = [
        f"{line.done_at:%m-%d %H:%M}  {line.n:>4}  {'TAKEN BACK: ' if line.taken_back else ''}{line.words}"
        for line in lines
    ]
    return WordsPage("Everything entered, the newest first", "\n".join(said), extra_keys=("j",))


class Shout(Struct, frozen=True, kw_only=True):
    """One figure to be called out across a basement."""

    label: str
    text: str


class BigFigures(Widget):
    """Figures as large as the screen allows."""

    DEFAULT_CSS = "BigFigures { background: $paper; color: $ink; padding: 0 1; height: 1fr; }"

    def __init__(self, shouts: Sequence[Shout]) -> None:
        super().__init__()
        self._shouts = tuple(shouts)

    def render(self) -> RenderResult:
        """Paint each figure with its label above it."""
        width, height = self.content_size.width, self.content_size.height
        text = Text(no_wrap=True, end="")
        each = height // max(1, len(self._shouts))
        for index, shout in enumerate(self._shouts):
            lines = next(
                (drawn for drawn in _drawings(shout.text) if len(drawn) < each and _width(drawn) <= width),
                [clip(shout.text, width)],
            )
            block = [clip(shout.label, width), *lines]
            block += [""] * (each - len(block))
            text.append(block[0], "bold underline")
            text.append("\n" + "\n".join(block[1:each]), "bold")
            if index < len(self._shouts) - 1:
                text.append("\n")
        return text


def _width(lines: Sequence[str]) -> int:
    return max(len(line) for line in lines)


def _drawings(text: str) -> list[list[str]]:
    return [big(text, columns=4), big(text, columns=3), big(text), small(text)]


class ReadoutPage(Over[None]):
    """Angle, tail height and mark in big digits; the same key leads back."""

    DEFAULT_CSS = """
    ReadoutPage { background: $paper; color: $ink; }
    ReadoutPage .title { background: $band; text-style: bold; padding: 0 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,b,q,enter,ctrl+j", "go_back", show=False)]

    def __init__(self, title: str, shouts: Sequence[Shout]) -> None:
        super().__init__()
        self._title, self._shouts = title, shouts

    def compose(self) -> ComposeResult:
        """Lay out the page."""
        yield Static(self._title, classes="title", markup=False)
        yield BigFigures(self._shouts)
        bar = KeyBar()
        bar.items = (("b", "back"), ("Esc", "back"))
        yield bar

    def action_go_back(self) -> None:
        """Leave the page; a key that is leaned on leaves it once."""
        if self.app.screen is self:
            self.dismiss()
