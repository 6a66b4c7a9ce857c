"""Questions that the screen asks: a choice or a text. Esc always answers "go back", and nothing is done."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar, Final

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from crewtui.tui.chrome import KeyBar
from crewtui.tui.field import Field
from crewtui.tui.rows import Row, RowList

GO_BACK: Final = "go back"
DO_IT: Final = "do it"

_BOX_CSS: Final = """
    align: center middle;
    background: $paper 70%;
    & > Vertical {
        width: 76; max-width: 100%; height: auto; max-height: 100%;
        background: $paper; color: $ink; border: heavy $rule; padding: 0 1;
    }
    & .title { text-style: bold; background: $band; width: 1fr; height: auto; }
    & VerticalScroll { height: auto; max-height: 9; scrollbar-size-vertical: 1; }
    & .said { height: auto; }
    & .wrong { color: $held; text-style: bold; height: auto; }
    & RowList { height: auto; max-height: 9; }
    & Input { border: none; height: 1; background: $typing; color: $ink; padding: 0 1; }
    & Input:focus { border: none; }
    & KeyBar { dock: none; }
"""


class ChoiceList(RowList):
    """Rows as high as they are many."""

    def get_content_height(self, container: object, viewport: object, width: int) -> int:
        """One line a row."""
        del container, viewport, width
        return max(1, len(self.rows))


class AskChoice(ModalScreen[str | None]):
    """One of several answers; dismisses with its key, or None on Esc."""

    DEFAULT_CSS = f"AskChoice {{ {_BOX_CSS} }}"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "go_back", show=False)]

    def __init__(self, title: str, words: str, choices: Sequence[tuple[str, str, str]]) -> None:
        """Take (key, label, note) of each choice; the cursor starts on the first."""
        super().__init__()
        self._title, self._words = title, words
        self._rows = [Row(key=key, label=label, note=note) for key, label, note in choices]

    def compose(self) -> ComposeResult:
        """Lay out the box."""
        with Vertical():
            yield Static(self._title, classes="title", markup=False)
            if self._words:
                with VerticalScroll(can_focus=False):
                    yield Static(self._words, classes="said", markup=False)
            yield ChoiceList()
            bar = KeyBar()
            bar.items = (("Enter", "choose"), ("Esc", "go back"))
            yield bar

    def on_mount(self) -> None:
        """Fill the list."""
        rows = self.query_one(RowList)
        rows.set_rows(self._rows)
        rows.focus()

    def on_row_list_chosen(self, message: RowList.Chosen) -> None:
        """Answer."""
        message.stop()
        self.dismiss(message.key)

    def action_go_back(self) -> None:
        """Leave without an answer."""
        self.dismiss(None)


class AskText(ModalScreen[str | None]):
    """One line of text; dismisses with it, or None on Esc."""

    DEFAULT_CSS = f"AskText {{ {_BOX_CSS} }}"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "go_back", show=False)]

    def __init__(
        self,
        title: str,
        words: str = "",
        *,
        initial: str = "",
        check: Callable[[str], str | None] | None = None,
        needed: str = "Write a few words first; Esc goes back.",
        secret: bool = False,
    ) -> None:
        """Show ``check``'s sentence instead of closing while it returns one."""
        super().__init__()
        self._title, self._words, self._initial = title, words, initial
        self._check, self._needed, self._secret = check, needed, secret

    def compose(self) -> ComposeResult:
        """Lay out the box."""
        with Vertical():
            yield Static(self._title, classes="title", markup=False)
            if self._words:
                with VerticalScroll(can_focus=False):
                    yield Static(self._words, classes="said", markup=False)
            yield Field(self._initial, password=self._secret, max_length=400)
            yield Static("", classes="wrong", markup=False)
            bar = KeyBar()
            bar.items = (("Enter", "save"), ("Esc", "go back"))
            yield bar

    def on_mount(self) -> None:
        """Type into the field at once."""
        self.query_one(Input).focus()

    def on_input_submitted(self, message: Input.Submitted) -> None:
        """Answer, unless there is something to say first."""
        message.stop()
        text = message.value.strip()
        wrong = self._needed if not text else (self._check(text) if self._check else None)
        if wrong:
            self.query_one(".wrong", Static).update(wrong)
        else:
            self.dismiss(text)

    def action_go_back(self) -> None:
        """Leave without an answer."""
        self.dismiss(None)


def confirm(title: str, words: str, *, do_it: str) -> AskChoice:
    """Return a question whose first answer is to go back, so that a key leaned on does no harm."""
    return AskChoice(title, words, ((GO_BACK, "Go back", ""), (DO_IT, do_it, "")))
