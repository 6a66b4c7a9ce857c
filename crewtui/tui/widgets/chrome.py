"""What stands on every screen: the row of panes, the anchors, the keys, and the words about a row."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar, Final

from msgspec import Struct
from rich.cells import cell_len
from rich.text import Text
from textual.app import RenderResult
from textual.reactive import reactive
from textual.widget import Widget


class Tab(Struct, frozen=True, kw_only=True):
    """One pane's place in the row of panes: its key and title, and whether something is wrong there now."""

    key: str
    title: str
    active: bool = False
    wrong: str = ""
    """One sentence that makes sense alone; empty where nothing is wrong or asked."""
    stops: bool = False
    """What is wrong stops the next step."""


WRONG_SIGN: Final = "!"
"""Stands before the key of a tab in which something is wrong or asked now."""


class PaneBar(Widget):
    """The panes on one line, each always in its place; a sign where something is wrong."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"panebar--active", "panebar--key", "panebar--held"}
    DEFAULT_CSS = """
    PaneBar { height: auto; background: $paper; color: $quiet; padding: 0 1; }
    PaneBar > .panebar--active { background: $here; color: $here-ink; text-style: bold; }
    PaneBar > .panebar--key { color: $ink; text-style: bold; }
    PaneBar > .panebar--held { color: $held; text-style: bold; }
    """
    tabs: reactive[tuple[Tab, ...]] = reactive(())

    def get_content_height(self, container: object, viewport: object, width: int) -> int:
        """One line, or as many as the titles need on a narrow screen; what is wrong changes nothing."""
        del container, viewport
        return len(tab_lines([tab.title for tab in self.tabs], width))

    def render(self) -> RenderResult:
        """Paint the tabs."""
        key = self.get_component_rich_style("panebar--key", partial=True)
        active = self.get_component_rich_style("panebar--active", partial=True)
        held = self.get_component_rich_style("panebar--held", partial=True)
        width = self.content_size.width
        lines = []
        for line in tab_lines([tab.title for tab in self.tabs], width):
            text, before_active = Text(no_wrap=True, end=""), False
            for index in line:
                tab = self.tabs[index]
                sign = WRONG_SIGN if tab.wrong else " "
                if tab.active:
                    text.append(f"[{tab.key} {tab.title}", active)
                else:
                    text.append("]" if before_active and sign == " " else sign, active if before_active and
                                sign == " " else held if tab.stops else key)  # fmt: skip
                    text.append(tab.key, key)
                    text.append(f" {tab.title}")
                before_active = tab.active
            text.append("]" if before_active else " ", active if before_active else "")
            lines.append(text)
        first = next((tab for tab in self.tabs if tab.wrong and tab.stops), None)
        first = first or next((tab for tab in self.tabs if tab.wrong), None)
        if first is not None and len(lines) == 1:
            said = f"{WRONG_SIGN} {first.title}: {first.wrong}"
            room = width - len(lines[0]) - 2
            if len(said) <= room:
                lines[0].append(f"  {said}", held if first.stops else key)
        return Text("\n", end="", no_wrap=True).join(lines)


_TAB_KEY: Final = 3
"""Columns of a tab that are not its title's: the sign before it, its key, a blank."""


def tab_lines(titles: Sequence[str], width: int) -> list[list[int]]:
    """Break the tabs into as few lines as show every title; returns which stand on each line."""
    lines: list[list[int]] = [[]]
    used = 1
    for index, title in enumerate(titles):
        if lines[-1] and used + len(title) + _TAB_KEY > width:
            lines.append([])
            used = 1
        lines[-1].append(index)
        used += len(title) + _TAB_KEY
    return lines


class AnchorBar(Widget):
    """Every anchor on one line, each with its state; the one at hand in brackets."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"anchorbar--active", "anchorbar--name"}
    DEFAULT_CSS = """
    AnchorBar { height: 1; background: $paper; color: $quiet; padding: 0 1; }
    AnchorBar > .anchorbar--active { background: $here; color: $here-ink; text-style: bold; }
    AnchorBar > .anchorbar--name { color: $ink; text-style: bold; }
    """
    anchors: reactive[tuple[tuple[str, str, bool], ...]] = reactive(())
    """Id, state in words, and whether it is the one at hand."""

    def render(self) -> RenderResult:
        """Paint as many as fit, with those round the one at hand."""
        width, items = self.content_size.width, self.anchors
        needs = [len(ident) + len(word) + 4 for ident, word, _ in items]
        at = next((n for n, item in enumerate(items) if item[2]), 0)
        first = last = at
        used = needs[at] if needs else 0
        while True:
            if last + 1 < len(items) and used + needs[last + 1] <= width - 4:
                last += 1
                used += needs[last]
            elif first > 0 and used + needs[first - 1] <= width - 4:
                first -= 1
                used += needs[first]
            else:
                break
        text = Text("< " if first else "", no_wrap=True, end="")
        for ident, word, here in items[first : last + 1]:
            if here:
                text.append(
                    f"[{ident} {word}]", self.get_component_rich_style("anchorbar--active", partial=True)
                )
            else:
                text.append(f" {ident}", self.get_component_rich_style("anchorbar--name", partial=True))
                text.append(f" {word} ")
            text.append("  ")
        text.append(">" if last + 1 < len(items) else "")
        return text


class KeyBar(Widget):
    """The keys that do something here; on the day's screen with those that never move."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"keybar--key"}
    DEFAULT_CSS = """
    KeyBar { height: auto; max-height: 3; background: $paper; color: $ink; padding: 0 1; dock: bottom; }
    KeyBar > .keybar--key { text-style: bold reverse; }
    """
    items: reactive[tuple[tuple[str, str], ...]] = reactive(())
    fixed: reactive[tuple[tuple[str, str], ...]] = reactive(())
    """Keys at the right end, each always in its place; one with an empty label does nothing now."""

    def watch_items(self) -> None:
        """Lay the screen out anew only where the keys need more lines or fewer: it takes long."""
        width = self.content_size.width
        if not width or self.get_content_height(None, None, width) != self.content_size.height:
            self.refresh(layout=True)

    @property
    def shown(self) -> tuple[tuple[str, str], ...]:
        """The keys that there is room for: on one line the first ones, then those that never move."""
        if not self.fixed:
            return self.items
        width = self.content_size.width or self.size.width
        room = width - _width_of(self.fixed)
        found: list[tuple[str, str]] = []
        for item in self.items:
            if _width_of((*found, item)) + 1 <= room:
                found.append(item)
        return (*found, *self.fixed)

    def render(self) -> RenderResult:
        """Paint the keys."""
        key_style = self.get_component_rich_style("keybar--key", partial=True)
        text = Text(no_wrap=True, end="")
        width = self.content_size.width or self.size.width
        if self.fixed:
            left = self.shown[: len(self.shown) - len(self.fixed)]
            gap = max(0, width - _width_of(left) - _width_of(self.fixed) + GAPS - 1)
            lines = [left]
            for key, label in left:
                text.append(key, key_style)
                text.append(f" {label}  ")
            text.append(" " * (gap - (GAPS - 1)))
            for number, (key, label) in enumerate(self.fixed):
                text.append(key, key_style if key.strip() else "")
                text.append(f" {label}" + ("  " if number < len(self.fixed) - 1 else ""))
            return text
        lines = [tuple(line) for line in lay_out(self.items, width)]
        for number, line in enumerate(lines):
            if number:
                text.append("\n")
            for key, label in line:
                text.append(key, key_style)
                text.append(f" {label}  ")
        return text

    def get_content_height(self, container: object, viewport: object, width: int) -> int:
        """As many lines as the keys need at this width; one with those that never move."""
        del container, viewport
        return 1 if self.fixed else max(1, len(lay_out(self.items, width)))


GAPS: Final = 3
"""Columns between a key, its label, and the next key."""


def _width_of(items: Sequence[tuple[str, str]]) -> int:
    return sum(len(key) + len(label) + GAPS for key, label in items)


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


MORE: Final = " - y: all of it"
"""At the end of words that go on, with the key that shows them whole."""


class SayingView(Widget):
    """A few lines of words about the row under the cursor, wrapped, never cut short without a sign."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "saying--held", "saying--deviation", "saying--coming", "saying--done", "saying--quiet",
    }  # fmt: skip
    DEFAULT_CSS = """
    SayingView { height: 2; background: $band; color: $ink; border-left: thick $rule; padding: 0 1 0 0; }
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
            room = width - len(self._more)
            if cell_len(lines[-1].plain) > room:
                # Cut between words: half a word, or half a number, is worse than none.
                lines[-1].truncate(max(0, lines[-1].plain.rfind(" ", 0, room + 1)))
            lines[-1].append(self._more)
        return Text("\n", end="", no_wrap=True).join(lines)
