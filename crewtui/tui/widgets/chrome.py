"""What stands on every screen: the big anchor id with its two lines, the row of panes, the keys."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar, Final

from msgspec import Struct
from rich.text import Text
from textual.app import RenderResult
from textual.reactive import reactive
from textual.widget import Widget

from crewtui.tui.widgets.fit import clip
from crewtui.tui.widgets.lettering import small


class Banner(Struct, frozen=True, kw_only=True):
    """What the top of the screen says."""

    ident: str = ""
    """The anchor's id, in big letters."""
    where: str = ""
    next_step: str = ""
    saved: str = ""
    """Saved state in words, always there."""
    alarm: bool = False
    """Something could not be saved."""


class BannerView(Widget):
    """Three lines: big id at the left; where, what next and saved state beside it."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"banner--alarm", "banner--next", "banner--quiet"}
    DEFAULT_CSS = """
    BannerView { height: 3; background: $band; color: $ink; padding: 0 1; }
    BannerView > .banner--alarm { background: $alarm; color: $alarm-ink; text-style: bold; }
    BannerView > .banner--next { color: $coming; text-style: bold; }
    BannerView > .banner--quiet { color: $quiet; }
    """
    banner: reactive[Banner] = reactive(Banner())

    def render(self) -> RenderResult:
        """Paint the three lines."""
        width = self.content_size.width
        letters = small(self.banner.ident)
        big_width = max((len(line) for line in letters), default=0)
        if big_width > width // 3:
            letters, big_width = (
                ["", self.banner.ident[: width // 3], ""],
                min(len(self.banner.ident), width // 3),
            )
        room = max(0, width - big_width - 3)
        styles = [
            self.get_component_rich_style("banner--quiet", partial=True),
            self.get_component_rich_style("banner--next", partial=True),
            self.get_component_rich_style(
                "banner--alarm" if self.banner.alarm else "banner--quiet", partial=True
            ),
        ]
        text = Text(no_wrap=True, end="")
        words = (self.banner.where, self.banner.next_step, self.banner.saved)
        for index, (line, said, style) in enumerate(zip(letters, words, styles, strict=True)):
            text.append(line.ljust(big_width + (3 if big_width else 0)), "bold")
            text.append(clip(said, room), style)
            if index < len(letters) - 1:
                text.append("\n")
        return text


class Tab(Struct, frozen=True, kw_only=True):
    """One pane's place in the row of panes: its key, title and one-line summary."""

    key: str
    title: str
    summary: str = ""
    active: bool = False
    held: bool = False


class PaneBar(Widget):
    """The panes with a word on each: which is in front, and what the others hold; in as many lines as fit."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"panebar--active", "panebar--key", "panebar--held"}
    DEFAULT_CSS = """
    PaneBar { height: auto; background: $paper; color: $quiet; padding: 0 1; }
    PaneBar > .panebar--active { background: $here; color: $here-ink; text-style: bold; }
    PaneBar > .panebar--key { color: $ink; text-style: bold; }
    PaneBar > .panebar--held { color: $held; text-style: bold; }
    """
    tabs: reactive[tuple[Tab, ...]] = reactive(())

    def watch_tabs(self, before: tuple[Tab, ...], now: tuple[Tab, ...]) -> None:
        """Take more or fewer lines where the words need it."""
        width = self.content_size.width
        if width and len(tab_lines(_words(before), width)) != len(tab_lines(_words(now), width)):
            self.refresh(layout=True)

    def get_content_height(self, container: object, viewport: object, width: int) -> int:
        """As many lines as the words need at this width."""
        del container, viewport
        return len(tab_lines(_words(self.tabs), width))

    def render(self) -> RenderResult:
        """Paint the tabs, each as wide as its words need."""
        key = self.get_component_rich_style("panebar--key", partial=True)
        active = self.get_component_rich_style("panebar--active", partial=True)
        held = self.get_component_rich_style("panebar--held", partial=True)
        width, words = self.content_size.width, _words(self.tabs)
        lines = []
        for line in tab_lines(words, width):
            text = Text(no_wrap=True, end="")
            room = width + 1 - _TAB_KEY * len(line)
            for index, most in zip(line, share_out([len(words[n]) for n in line], room), strict=True):
                tab, shown = self.tabs[index], clip(words[index], most).ljust(most)
                if tab.active:
                    text.append(f"[{tab.key}]{shown}", active)
                else:
                    text.append(f" {tab.key} ", key)
                    text.append(shown, held if tab.held else "")
                text.append(" " if index != line[-1] else "")
            lines.append(text)
        return Text("\n", end="", no_wrap=True).join(lines)


def _words(tabs: Sequence[Tab]) -> list[str]:
    return [f"{tab.title} {tab.summary}".rstrip() for tab in tabs]


_TAB_KEY: Final = 4
"""Columns of a tab's key, with the blank after the tab."""


_TAB_LINES: Final = (2, 3)
"""Lines of tabs: two, or three on a narrow screen."""


def tab_lines(words: Sequence[str], width: int) -> list[list[int]]:
    """Break the tabs into as few lines as show every word; returns which stand on each line."""
    lines: list[list[int]] = [[]]
    for count in _TAB_LINES:
        each = max(1, -(-len(words) // count))
        lines = [list(range(len(words)))[at : at + each] for at in range(0, len(words), each)]
        if all(sum(len(words[n]) + _TAB_KEY for n in line) - 1 <= width for line in lines):
            break
    return lines or [[]]


def share_out(needs: Sequence[int], width: int) -> list[int]:
    """Give each column what it needs and an even part of the rest; where it is too much, the widest yield."""
    widths = list(needs)
    while sum(widths) > max(0, width):
        widths[widths.index(max(widths))] -= 1
    spare = (width - sum(widths)) // max(1, len(widths))
    return [each + max(0, spare) for each in widths]


class KeyBar(Widget):
    """The keys that work now, over as many lines as they need; none is ever cut."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"keybar--key"}
    DEFAULT_CSS = """
    KeyBar { height: auto; max-height: 3; background: $band; color: $ink; padding: 0 1; dock: bottom; }
    KeyBar > .keybar--key { text-style: bold reverse; }
    """
    items: reactive[tuple[tuple[str, str], ...]] = reactive(())
    room_for: reactive[tuple[tuple[str, str], ...]] = reactive(())
    """As many lines are kept as these would need: what stands above does not jump when fewer keys work."""

    def watch_items(self) -> None:
        """Lay the screen out anew only where the keys need more lines or fewer: it takes long."""
        width = self.content_size.width
        if not width or self.get_content_height(None, None, width) != self.content_size.height:
            self.refresh(layout=True)

    watch_room_for = watch_items

    def render(self) -> RenderResult:
        """Paint the keys."""
        key_style = self.get_component_rich_style("keybar--key", partial=True)
        text = Text(no_wrap=True, end="")
        for number, line in enumerate(lay_out(self.items, self.content_size.width or self.size.width)):
            if number:
                text.append("\n")
            for key, label in line:
                text.append(key, key_style)
                text.append(f" {label}  ")
        return text

    def get_content_height(self, container: object, viewport: object, width: int) -> int:
        """As many lines as the keys need at this width."""
        del container, viewport
        return max(1, len(lay_out(self.items, width)), len(lay_out(self.room_for, width)))


GAPS: Final = 3
"""Columns between a key, its label, and the next key."""


def lay_out(items: Sequence[tuple[str, str]], width: int) -> list[list[tuple[str, str]]]:
    """Break the keys into lines that fit ``width``; an item is never broken."""
    lines: list[list[tuple[str, str]]] = [[]]
    used = 0
    for item in items:
        need = len(item[0]) + len(item[1]) + GAPS
        if lines[-1] and used + need - 2 > width:
            lines.append([])
            used = 0
        lines[-1].append(item)
        used += need
    return lines


class Saying(Struct, frozen=True, kw_only=True):
    """What the lower part of a pane says about the row under the cursor."""

    lines: tuple[tuple[str, str], ...] = ()
    """(tone, words), the most pressing first."""


MORE: Final = " … y: all"
"""At the end of words that go on, with the key that shows them whole."""


class SayingView(Widget):
    """A few lines of words about the row under the cursor, wrapped, never cut short without a sign."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "saying--held", "saying--deviation", "saying--coming", "saying--done", "saying--quiet",
    }  # fmt: skip
    DEFAULT_CSS = """
    SayingView { height: 5; background: $paper; color: $ink; padding: 0 1; border-top: solid $rule; }
    SayingView > .saying--held { color: $held; text-style: bold; }
    SayingView > .saying--deviation { color: $deviation; text-style: bold; }
    SayingView > .saying--coming { color: $coming; text-style: bold; }
    SayingView > .saying--done { color: $done; }
    SayingView > .saying--quiet { color: $quiet; }
    """
    saying: reactive[Saying] = reactive(Saying())
    heed: reactive[str] = reactive("")
    """Words above all else, which stay until the next key, whatever else comes to be said."""

    def __init__(self, *, more: str = MORE) -> None:
        super().__init__()
        self._more = more

    @property
    def lines(self) -> tuple[tuple[str, str], ...]:
        """Return all that is said now, the most pressing first."""
        return (("held", self.heed), *self.saying.lines) if self.heed else self.saying.lines

    def render(self) -> RenderResult:
        """Paint the words."""
        text = Text(end="")
        for index, (tone, words) in enumerate(self.lines):
            if index:
                text.append("\n")
            style = "" if tone == "plain" else self.get_component_rich_style(f"saying--{tone}", partial=True)
            text.append(words, style)
        return self._fitted(text)

    def _fitted(self, text: Text) -> Text:
        """Wrap the words; where they are more than fit, the last line says so."""
        width, height = self.content_size.width, self.content_size.height
        if width <= len(self._more) or not height:
            return text
        lines = list(text.wrap(self.app.console, width))
        if len(lines) > height:
            lines = lines[:height]
            lines[-1].rstrip()
            lines[-1].truncate(width - len(self._more))
            lines[-1].append(self._more)
        return Text("\n", end="", no_wrap=True).join(lines)
