"""Finding anything by a few letters of its words: commands, steps, anchors, hazards, figures, people."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import ClassVar, Final

from msgspec import Struct
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Input, Static

from crewtui.day.session.named_places import NamedPlace, PlaceKind, places
from crewtui.tui.keys.commands import COMMANDS, PANE_HELP, PANES, Command, PaneName, key_word
from crewtui.tui.widgets.chrome import KeyBar
from crewtui.tui.widgets.field import Field
from crewtui.tui.widgets.over import Over
from crewtui.tui.widgets.pane import Here
from crewtui.tui.widgets.rows import Row, RowList

_OF_THE_ROW: Final = frozenset({"choose", "otherwise"})
"""They are about the row under the cursor: listed only where they work."""
_NOT_LISTED: Final = frozenset({"choose", "find"})


class FindLine(Struct, frozen=True, kw_only=True):
    """One line of the list: where it leads, and what is done there."""

    label: str
    key: str
    words: str
    pane: PaneName | None = None
    action: str = ""
    anchor: str = ""
    row: str = ""
    """The row to stand on there."""

    def says(self, letters: str) -> bool:
        """Whether each word typed begins one of its words; the key alone finds it too."""
        words = re.findall(r"\w+", f"{self.label} {self.words}".lower())
        typed = letters.lower().split()
        return (bool(self.key) and letters == self.key) or all(
            any(word.startswith(part) for word in words) for part in typed
        )


def findable(pane: PaneName) -> tuple[FindLine, ...]:
    """Return everything that can be done from that pane; what works elsewhere leads there first."""
    found = [FindLine(label=title, key=key, words=PANE_HELP[name], pane=name) for name, key, title in PANES]
    for command in COMMANDS:
        works = command.works_in(pane)
        if command.name not in _NOT_LISTED and (works or command.name not in _OF_THE_ROW):
            found.append(_of_command(command, None if works else _first_of(command)))
    return tuple(found)


def _of_command(command: Command, pane: PaneName | None) -> FindLine:
    action = "app.emergency" if command.name == "emergency" else command.name
    return FindLine(
        label=command.label, key=key_word(command.keys[0]), words=command.help, pane=pane, action=action
    )


def _first_of(command: Command) -> PaneName | None:
    """Return where it works: the steps, if it works there."""
    works = [name for name, _, _ in PANES if command.works_in(name)]
    return "steps" if "steps" in works else works[0]


FILL_IN_ROW: Final = "fill in"
"""The row of the day's pane that opens the job's values."""
_LEADS: Final[Mapping[PlaceKind, tuple[PaneName, str]]] = {
    "anchor": ("steps", ""),
    "step": ("steps", ""),
    "day step": ("day", "step "),
    "person": ("day", "step "),
    "hazard": ("hazards", ""),
    "line": ("hazards", "line "),
    "page": ("day", FILL_IN_ROW),
    "result": ("figures", "result "),
    "input": ("figures", "input "),
}
"""The pane of each kind, and what its row's key begins with there."""


def _of_place(place: NamedPlace) -> FindLine:
    pane, begins = _LEADS[place.kind]
    anchor = place.key if place.kind == "anchor" else ""
    row = "" if anchor else begins if place.kind == "page" else begins + place.key
    return FindLine(label=place.name, key="", words=place.words, pane=pane, anchor=anchor, row=row)


class FindPage(Over[FindLine | None]):
    """Type letters, arrows to choose, Enter does it; dismisses with what was chosen."""

    DEFAULT_CSS = """
    FindPage { background: $paper; color: $ink; }
    FindPage .title { background: $band; text-style: bold; padding: 0 1; height: auto; }
    FindPage Input { border: none; height: 1; background: $typing; color: $ink; padding: 0 1; }
    FindPage Input:focus { border: none; }
    FindPage RowList { height: 1fr; }
    FindPage RowList > .rows--cursor-away { background: $here; color: $here-ink; text-style: bold; }
    FindPage .said { height: 3; padding: 0 1; border-top: solid $rule; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "go_back", show=False),
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
        Binding("pageup", "move(-8)", show=False),
        Binding("pagedown", "move(8)", show=False),
        Binding("tab", "move(1)", show=False),
        Binding("shift+tab", "move(-1)", show=False),
    ]

    def __init__(self, pane: PaneName, here: Here) -> None:
        super().__init__()
        self._all = (*findable(pane), *(_of_place(place) for place in places(here.day, here.anchor)))
        self._shown: dict[str, FindLine] = {}

    def compose(self) -> ComposeResult:
        """Lay out the page."""
        yield Static("Find: type a few letters of what you want", classes="title", markup=False)
        yield Field()
        yield RowList()
        yield Static("", classes="said", markup=False)
        bar = KeyBar()
        bar.items = (("a-z", "type"), ("up/down", "choose"), ("Enter", "go there, do it"), ("Esc", "back"))
        yield bar

    def on_mount(self) -> None:
        """Type at once."""
        self.query_one(RowList).can_focus = False
        self.query_one(Input).focus()
        self._narrow("")

    def _narrow(self, letters: str) -> None:
        found = [one for one in self._all if one.says(letters.strip())]
        self._shown = {f"{number}": one for number, one in enumerate(found)}
        rows = [
            Row(key=key, label=one.label, sign=one.key, tone="coming", note=one.words)
            for key, one in self._shown.items()
        ]
        self.query_one(RowList).set_rows(rows, cursor="0" if rows else None)
        self._say()

    def _say(self) -> None:
        one = self._shown.get(self.query_one(RowList).cursor_key)
        words = f"{one.label}: {one.words}" if one is not None else "Nothing says that. Esc goes back."
        self.query_one(".said", Static).update(words)

    def on_input_changed(self, message: Input.Changed) -> None:
        """Narrow the list to what was typed."""
        message.stop()
        self._narrow(message.value)

    def on_input_submitted(self, message: Input.Submitted) -> None:
        """Choose what stands under the cursor."""
        message.stop()
        one = self._shown.get(self.query_one(RowList).cursor_key)
        if one is not None:
            self.dismiss(one)

    def on_row_list_cursor_moved(self, message: RowList.CursorMoved) -> None:
        """Say what it does."""
        message.stop()
        self._say()

    def action_move(self, by: int) -> None:
        """Go up or down the list."""
        self.query_one(RowList).action_move(by)

    def action_go_back(self) -> None:
        """Leave without doing anything."""
        self.dismiss(None)
