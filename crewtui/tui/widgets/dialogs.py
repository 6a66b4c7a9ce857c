"""Questions that the screen asks: a choice or a text. Esc always answers "go back", and nothing is done."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar, Final

from rich.cells import cell_len
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.widgets import Input, Static

from crewtui.tui.widgets.chrome import KeyBar
from crewtui.tui.widgets.field import Field
from crewtui.tui.widgets.over import Over
from crewtui.tui.widgets.rows import Row, RowList

GO_BACK: Final = "go back"
DO_IT: Final = "do it"
WRONG: Final = "wrong"
NOTED: Final = "noted"
ASKED: Final = "asked"
"""Where a question says what is not right, what an answer means, and what is typed."""

_BEHIND: Final = "$paper 12%"
"""What stands behind a question stays legible: its contrast is computed too."""
_CHROME_ROWS: Final = 7
"""Rows of a question that are neither words nor answers: its border, what is said below, the keys."""
_LEAST_ROWS: Final = 3
_MOST_CHOICES: Final = 9
_COLUMNS: Final = 76
_SIDES: Final = 4
"""Of the box: border and padding."""
_MARGINS: Final = 12
"""Columns of a list of answers that hold neither label nor note."""


class Question(Over[str | None]):
    """A box over the screen; its keys stand over the screen's own, so that only keys that work show.

    Words that are longer than the box are read on with Tab.
    """

    DEFAULT_CSS = f"""
    Question {{
        align: center middle;
        background: {_BEHIND};
        & > Vertical {{
            width: {_COLUMNS}; max-width: 100%; height: auto; max-height: 100%;
            background: $paper; color: $ink; border: heavy $rule; padding: 0 1;
        }}
        & .title {{ text-style: bold; background: $band; width: 1fr; height: auto; }}
        & VerticalScroll {{ height: auto; scrollbar-size-vertical: 1; }}
        & .said {{ height: auto; }}
        & .{ASKED} {{ height: 1; text-style: bold; }}
        & .{NOTED} {{ height: auto; color: $quiet; }}
        & .{WRONG} {{ color: $held; text-style: bold; height: auto; }}
        & RowList {{ height: auto; max-height: 9; }}
        & Input {{ border: none; height: 1; background: $typing; color: $ink; padding: 0 1; }}
        & Input:focus {{ border: none; }}
        & KeyBar {{ min-height: 3; }}
    }}
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "go_back", show=False),
        Binding("tab", "read_on", show=False),
        Binding("pagedown", "read_on", show=False),
        Binding("pageup", "read_back", show=False),
    ]
    does: ClassVar[str]
    """What Enter does, in a word."""

    def __init__(self, title: str, words: str) -> None:
        super().__init__()
        self._title, self._words = title, words

    def head(self) -> ComposeResult:
        """Lay out title and words."""
        yield Static(self._title, classes="title", markup=False)
        if self._words:
            with VerticalScroll(can_focus=False):
                yield Static(self._words, classes="said", markup=False)

    def on_resize(self) -> None:
        """Give the words what the answers leave."""
        for scroll in self.query(VerticalScroll):
            columns = max(1, min(_COLUMNS, self.size.width) - _SIDES)
            taken = -(-cell_len(self._title) // columns) + self.answer_rows
            scroll.styles.max_height = max(_LEAST_ROWS, self.size.height - _CHROME_ROWS - taken)
        self.call_after_refresh(self._show_keys)

    @property
    def answer_rows(self) -> int:
        """Rows that the answer takes."""
        return 1

    def _show_keys(self) -> None:
        longer = any(scroll.max_scroll_y for scroll in self.query(VerticalScroll))
        on = (("Tab", "read on"),) if longer else ()
        out = () if any(field.password for field in self.query(Input)) else (("!", "EMERGENCY"),)
        self.query_one(KeyBar).items = (("Enter", self.does), *on, ("Esc", "go back"), *out)

    def action_read_on(self) -> None:
        """Go on in the words; after their end, back to their beginning."""
        for scroll in self.query(VerticalScroll):
            at_end = scroll.scroll_offset.y >= scroll.max_scroll_y
            to = 0 if at_end else scroll.scroll_offset.y + max(1, scroll.size.height - 1)
            scroll.scroll_to(y=to, animate=False)

    def action_read_back(self) -> None:
        """Go back in the words."""
        for scroll in self.query(VerticalScroll):
            scroll.scroll_to(y=scroll.scroll_offset.y - max(1, scroll.size.height - 1), animate=False)

    def action_go_back(self) -> None:
        """Leave without an answer."""
        self.dismiss(None)


class ChoiceList(RowList):
    """Rows as high as they are many."""

    def get_content_height(self, container: object, viewport: object, width: int) -> int:
        """One line a row."""
        del container, viewport, width
        return max(1, len(self.rows))


class AskChoice(Question):
    """One of several answers; dismisses with its key, or None on Esc."""

    does = "choose"

    def __init__(self, title: str, words: str, choices: Sequence[tuple[str, str, str]]) -> None:
        """Take (key, label, note) of each choice; the cursor starts on the first."""
        super().__init__(title, words)
        self._rows = [
            Row(key=key, label=label, note=f"- {note}" if note else "") for key, label, note in choices
        ]

    def compose(self) -> ComposeResult:
        """Lay out the box."""
        with Vertical():
            yield from self.head()
            yield ChoiceList()
            yield Static("", classes=NOTED, markup=False)
        yield KeyBar()

    @property
    def answer_rows(self) -> int:
        """Rows that the answers take."""
        return min(_MOST_CHOICES, len(self._rows))

    def on_mount(self) -> None:
        """Fill the list."""
        rows = self.query_one(RowList)
        rows.set_rows(self._rows)
        rows.focus()

    def on_resize(self) -> None:
        """Say whole what the list has no room for."""
        super().on_resize()
        self._say_note()

    def on_row_list_cursor_moved(self, message: RowList.CursorMoved) -> None:
        """Say the answer's note whole where it is cut."""
        message.stop()
        self._say_note()

    def _say_note(self) -> None:
        rows = self.query_one(RowList)
        row = rows.cursor_row
        whole = row is None or cell_len(row.label) + cell_len(row.note) + _MARGINS <= rows.size.width
        words = "" if row is None or whole else f"{row.label} {row.note}".rstrip()
        self.query_one(f".{NOTED}", Static).update(words)

    def on_row_list_chosen(self, message: RowList.Chosen) -> None:
        """Answer."""
        message.stop()
        self.dismiss(message.key)


class AskText(Question):
    """One line of text; dismisses with it, or None on Esc."""

    does = "save"

    @property
    def answer_rows(self) -> int:
        """Rows that the answer takes: its field, and the word over it."""
        return 1 + bool(self._label)

    def __init__(
        self,
        title: str,
        words: str = "",
        *,
        label: str = "",
        initial: str = "",
        check: Callable[[str], str | None] | None = None,
        needed: str = "Write a few words first; Esc goes back.",
        secret: bool = False,
        replaces: bool = False,
        may_be_empty: bool = False,
    ) -> None:
        """Show ``check``'s sentence instead of closing while it returns one; ``label`` says what is typed."""
        super().__init__(title, words)
        self._label = label
        self._initial, self._check, self._needed, self._secret = initial, check, needed, secret
        self._replaces, self._may_be_empty = replaces, may_be_empty

    def compose(self) -> ComposeResult:
        """Lay out the box."""
        with Vertical():
            yield from self.head()
            if self._label:
                yield Static(self._label, classes=ASKED, markup=False)
            yield Field(self._initial, password=self._secret, max_length=400, replaces=self._replaces)
            yield Static("", classes=WRONG, markup=False)
        yield KeyBar()

    def on_mount(self) -> None:
        """Type into the field at once."""
        self.query_one(Input).focus()

    def on_input_submitted(self, message: Input.Submitted) -> None:
        """Answer, unless there is something to say first."""
        message.stop()
        text = message.value.strip()
        if not text:
            wrong = None if self._may_be_empty else self._needed
        else:
            wrong = self._check(text) if self._check else None
        if wrong:
            self.query_one(f".{WRONG}", Static).update(wrong)
            if self._secret:
                message.input.value = ""  # Nobody mends dots: what does not serve is typed anew.
        else:
            self.dismiss(text)


def confirm(title: str, words: str, *, do_it: str) -> AskChoice:
    """Return a question whose first answer is to go back, so that a key leaned on does no harm."""
    return AskChoice(title, words, ((GO_BACK, "Go back", ""), (DO_IT, do_it, "")))
