"""A list of rows with one editor: numbers are typed straight onto the row under the cursor."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from itertools import accumulate
from typing import ClassVar, Final

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from crewtui.tui.keys.arrangement import too_small
from crewtui.tui.widgets.fit import fill
from crewtui.tui.widgets.row_layout import (
    MARKS,
    Columns,
    Line,
    Mark,
    Row,
    Tone,
    columns_for,
    lay_out_row,
    needed_width,
)

STARTS_TYPING: Final = frozenset("0123456789.,-½¼¾⅛⅜⅝⅞")
"""What opens the editor on a measured row; a letter there is a command until typing has begun."""
EMERGENCY_SIGN: Final = "!"
NEVER_TYPED: Final = frozenset((EMERGENCY_SIGN, "?", "="))
"""The emergency page and the help work in the middle of a number too."""
_LONGEST: Final = 60
_AHEAD: Final = 3
"""So many rows below the cursor's stay in view: what comes next."""


class RowList(ScrollView, can_focus=True):
    """Rows under a cursor; posts what is typed, entered and chosen, and decides nothing."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "rows--cursor", "rows--cursor-away", "rows--heading", "rows--done", "rows--held", "rows--deviation",
        "rows--coming", "rows--quiet", "rows--typing", "rows--value", "rows--caret", "rows--unsaved",
    }  # fmt: skip
    DEFAULT_CSS = """
    RowList { background: $paper; color: $ink; scrollbar-size-vertical: 1; scrollbar-gutter: stable; }
    RowList { overflow-x: hidden; }
    RowList > .rows--cursor { background: $here; color: $here-ink; text-style: bold; }
    RowList > .rows--cursor-away { background: $band; }
    RowList > .rows--heading { background: $band; color: $ink; text-style: bold; }
    RowList > .rows--done { color: $done; }
    RowList > .rows--held { color: $held; text-style: bold; }
    RowList > .rows--deviation { color: $deviation; text-style: bold; }
    RowList > .rows--coming { color: $coming; text-style: bold; }
    RowList > .rows--quiet { color: $quiet; }
    RowList > .rows--value { text-style: bold; }
    RowList > .rows--typing { background: $typing; color: $ink; text-style: bold; }
    RowList > .rows--unsaved { color: $deviation; text-style: bold; }
    RowList > .rows--caret { background: $ink; color: $paper; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
        Binding("pageup", "page(-1)", show=False),
        Binding("pagedown", "page(1)", show=False),
        Binding("home", "edge(-1)", show=False),
        Binding("end", "edge(1)", show=False),
        Binding("enter,ctrl+j", "choose", show=False),
        Binding("space", "choose", show=False),
    ]

    class CursorMoved(Message):
        """The cursor stands on another row."""

        def __init__(self, rows: RowList, key: str) -> None:
            self.rows, self.key = rows, key
            super().__init__()

        @property
        def control(self) -> RowList:
            """The list it happened in."""
            return self.rows

    class Typed(CursorMoved):
        """A character was typed or taken away on a row; the draft may be empty."""

        def __init__(self, rows: RowList, key: str, text: str) -> None:
            self.text = text
            super().__init__(rows, key)

    class Entered(Typed):
        """Enter was pressed on a row with a draft."""

    class Chosen(CursorMoved):
        """Enter or Space was pressed on a row without a draft."""

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - the framework's own name
        super().__init__(id=id, classes=classes)
        self.rows: tuple[Row, ...] = ()
        self.cursor_key = ""
        self.drafts: dict[str, str] = {}
        self.editing = False
        self._caret = 0
        self._columns = Columns(0, 0, 0)
        self._placed: list[list[Line]] = []
        self._tops: list[int] = [0]
        """The first line of each row, and one past the last line."""

    # What is shown.

    def set_rows(self, rows: Iterable[Row], *, cursor: str | None = None) -> None:
        """Show these rows; the cursor stays on its key, or goes to ``cursor``, or to the first row."""
        self.rows = tuple(rows)
        keys = {row.key for row in self.rows if row.stops}
        if cursor is not None and cursor in keys:
            if cursor != self.cursor_key:
                self.editing = False
            self.cursor_key = cursor
        elif self.cursor_key not in keys:
            self.editing = False
            self.cursor_key = next((row.key for row in self.rows if row.stops), "")
        self.drafts = {key: text for key, text in self.drafts.items() if key in keys}
        self._lay_out()
        self._show_cursor()

    def _lay_out(self) -> None:
        """Place every row's words at the width there is."""
        width = self.scrollable_content_region.width or self.size.width
        self._columns = columns_for(self.rows, width)
        self._placed = [lay_out_row(row, self._columns, self.drafts.get(row.key)) for row in self.rows]
        self._tops = [0, *accumulate(len(lines) for lines in self._placed)]
        self.virtual_size = Size(self.size.width, self._tops[-1])
        self.refresh()

    @property
    def needs_columns(self) -> int:
        """The width at which label, value and limits stand on one line."""
        return needed_width(self.rows)

    @property
    def cursor_row(self) -> Row | None:
        """The row under the cursor."""
        return next((row for row in self.rows if row.key == self.cursor_key), None)

    @property
    def _cursor_index(self) -> int:
        return next((index for index, row in enumerate(self.rows) if row.key == self.cursor_key), 0)

    def clear_draft(self, key: str) -> None:
        """Forget what was typed on that row, once it is saved or given up."""
        self.drafts.pop(key, None)
        if key == self.cursor_key:
            self.editing = False
        self._lay_out()

    def clear_drafts(self) -> None:
        """Forget all that was typed and not entered."""
        self.drafts.clear()
        self.editing = False
        self._lay_out()

    def go_to(self, key: str, *, quietly: bool = False) -> None:
        """Put the cursor on that row, and say so unless it is the program's own doing."""
        if any(row.key == key and row.stops for row in self.rows) and key != self.cursor_key:
            self.cursor_key = key
            self.editing = False
            self._show_cursor()
            self.refresh()
            if not quietly:
                self.post_message(self.CursorMoved(self, key))

    def _show_cursor(self, *, anew: bool = False) -> None:
        """Keep the cursor's row in sight, with the headings over it and what comes next below it.

        ``anew`` counts from the top of the list: a window that was small leaves nothing behind.
        """
        height = self.scrollable_content_region.height
        if not height or not self.rows or too_small(*self.screen.size):
            return
        index, top = self._cursor_index, 0 if anew else int(self.scroll_offset.y)
        first = index
        while first > 0 and not self.rows[first - 1].stops:
            first -= 1
        row_from, row_to = self._tops[index], self._tops[index + 1]
        line_from = max(self._tops[first], row_to - height)
        ahead = [n for n in range(index + 1, len(self.rows)) if self.rows[n].stops]
        below = self._tops[ahead[_AHEAD - 1] + 1] if len(ahead) >= _AHEAD else self._tops[-1]
        line_to = max(row_to, min(below, row_from + height - 1))
        to = top
        if line_to > top + height:
            to = line_to - height
        to = min(to, line_from)
        if to != int(self.scroll_offset.y):
            self.scroll_to(y=to, animate=False, immediate=True)

    def on_resize(self) -> None:
        """Keep the cursor in sight."""
        self._lay_out()
        self._show_cursor(anew=True)
        # The framework tells a bar that is hidden nothing, and shows it again where it last stood.
        self.vertical_scrollbar.position = self.scroll_y

    def on_focus(self) -> None:
        """Repaint the cursor."""
        self.refresh()

    def on_blur(self) -> None:
        """Repaint the cursor."""
        self.refresh()

    # Keys.

    def action_move(self, by: int) -> None:
        """Go up or down, over headings."""
        step = 1 if by > 0 else -1
        index = self._cursor_index
        for _ in range(abs(by)):
            nearest = index + step
            while 0 <= nearest < len(self.rows) and not self.rows[nearest].stops:
                nearest += step
            if not 0 <= nearest < len(self.rows):
                break
            index = nearest
        if self.rows:
            self.go_to(self.rows[index].key)

    def action_page(self, by: int) -> None:
        """Go a page up or down; past lines that the cursor does not stop on, the list moves by itself."""
        if not self.rows:
            return
        lines = by * max(1, self.scrollable_content_region.height - 2)
        at = self._tops[self._cursor_index]
        reach = sorted((at, at + lines))
        stops = [
            index
            for index, row in enumerate(self.rows)
            if row.stops and reach[0] <= self._tops[index] <= reach[1] and row.key != self.cursor_key
        ]
        if stops:
            self.go_to(self.rows[stops[-1] if by > 0 else stops[0]].key)
        else:
            self.scroll_to(y=self.scroll_offset.y + lines, animate=False, immediate=True)

    def action_edge(self, by: int) -> None:
        """Go to the first or last row."""
        self.action_move(by * max(1, len(self.rows)))

    def action_choose(self) -> None:
        """Enter what is typed on the row, or choose the row."""
        row = self.cursor_row
        if row is None:
            return
        text = self.drafts.get(row.key, "")
        self.editing = False
        self.refresh()
        if text.strip():
            self.post_message(self.Entered(self, row.key, text))
        else:
            self.post_message(self.Chosen(self, row.key))

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Whether a key is typed here, and so is no command."""
        del key
        return character is not None and self._takes(character)

    def _takes(self, character: str) -> bool:
        row = self.cursor_row
        if row is None or not row.typed or character in NEVER_TYPED or not character.isprintable():
            return False
        if self.editing:
            return True
        return character in STARTS_TYPING or (row.free_text and character != " ")

    async def _on_key(self, event: events.Key) -> None:
        key = event.key
        if key in _EDIT_KEYS and (self.editing or (key == "escape" and self.cursor_key in self.drafts)):
            self._edit(key)
        elif event.character is not None and self._takes(event.character):
            self._insert(event.character)
        elif key == "backspace" and self.drafts.get(self.cursor_key):
            self._edit(key)
        else:
            return
        event.stop()
        event.prevent_default()

    async def _on_paste(self, event: events.Paste) -> None:
        """Type the first line of what is pasted."""
        event.stop()
        row = self.cursor_row
        lines = event.text.splitlines()
        if row is None or not row.typed or not lines:
            return
        self._insert("".join(sign for sign in lines[0] if sign.isprintable() and sign not in NEVER_TYPED))

    def _insert(self, text: str) -> None:
        draft = self.drafts.get(self.cursor_key, "") if self.editing else ""
        if not self.editing:
            # What was refused, or left on its row, is typed anew and not added to.
            self.editing, self._caret = True, 0
        draft = (draft[: self._caret] + text + draft[self._caret :])[:_LONGEST]
        self._caret = min(len(draft), self._caret + len(text))
        self._changed(draft)

    def _edit(self, key: str) -> None:
        draft = self.drafts.get(self.cursor_key, "")
        if not self.editing:
            self.editing, self._caret = True, len(draft)
        if key == "escape":
            self.editing = False
            self._changed("")
            return
        if key == "backspace" and self._caret:
            draft = draft[: self._caret - 1] + draft[self._caret :]
            self._caret -= 1
        elif key == "delete":
            draft = draft[: self._caret] + draft[self._caret + 1 :]
        self._caret = {"left": max(0, self._caret - 1), "right": min(len(draft), self._caret + 1), "home": 0,
                       "end": len(draft)}.get(key, self._caret)  # fmt: skip
        self._changed(draft)

    def _changed(self, draft: str) -> None:
        key = self.cursor_key
        if draft:
            self.drafts[key] = draft
        else:
            self.drafts.pop(key, None)
            self.editing = False
        self._lay_out()
        self._show_cursor()
        self.post_message(self.Typed(self, key, draft))

    # Painting.

    def render_line(self, y: int) -> Strip:
        """Paint one line of the window."""
        line = y + int(self.scroll_offset.y)
        width = self.scrollable_content_region.width or self.size.width
        base = self.rich_style
        if line >= self._tops[-1]:
            return Strip.blank(width, base)
        index = bisect_right(self._tops, line) - 1
        strip = self._paint(self.rows[index], line - self._tops[index], self._placed[index], base, width)
        return strip.crop_extend(0, width, base)

    def _paint(self, row: Row, number: int, lines: list[Line], base: Style, width: int) -> Strip:
        def part(name: str) -> Style:
            return self.get_component_rich_style(f"rows--{name}", partial=True)

        line = lines[number]
        if row.heading:
            text = f" {line[0].text}" if number == 0 else f"   {line[0].text}"
            return Strip([Segment(fill(text, width), base + part("heading"))])
        here = row.key == self.cursor_key
        ground = base
        if here:
            ground += part("cursor" if self.has_focus else "cursor-away")
        styles = {
            "mark": self._toned(row.tone, ground),
            "value": ground + part("value"),
            "hint": ground if here else ground + part("quiet"),
            "note": ground if here and row.note_tone == "quiet" else self._toned(row.note_tone, ground),
            "unsaved": ground + part("unsaved"),
        }
        segments = [Segment((">" if here and number == 0 else "│") if here else " ", ground)]
        for text, role in line:
            if role == "draft":
                segments += self._paint_draft(self.drafts.get(row.key, ""), len(text), ground, here=here)
            elif text:
                segments.append(Segment(text, styles.get(role, ground)))
        return Strip(segments).extend_cell_length(width, ground)

    def _toned(self, tone: Tone, ground: Style) -> Style:
        if tone == "plain":
            return ground
        return ground + self.get_component_rich_style(f"rows--{tone}", partial=True)

    def _paint_draft(self, draft: str, width: int, ground: Style, *, here: bool) -> list[Segment]:
        typing = ground + self.get_component_rich_style("rows--typing", partial=True)
        caret = self.get_component_rich_style("rows--caret", partial=True)
        if not (here and self.editing):
            return [Segment(fill(draft, width), typing)]
        first = max(0, self._caret - width + 1)
        shown = (draft + " ")[first : first + width].ljust(width)
        at = self._caret - first
        return [
            Segment(shown[:at], typing),
            Segment(shown[at], typing + caret),
            Segment(shown[at + 1 :], typing),
        ]


_EDIT_KEYS: Final = frozenset({"escape", "backspace", "delete", "left", "right", "home", "end"})

__all__ = ["EMERGENCY_SIGN", "MARKS", "NEVER_TYPED", "Mark", "Row", "RowList", "Tone"]
