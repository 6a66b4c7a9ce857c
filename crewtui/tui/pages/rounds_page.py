"""Tightening round by round along a wall: Enter is clicked, a length is how far the nut came in."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Static

from crewtui.day.figures.tightening_grid import RoundCell, cell_words, travel_words
from crewtui.day.state.state import TIGHTENINGS, Tightening
from crewtui.tui.widgets.chrome import KeyBar, Saying, SayingView
from crewtui.tui.widgets.dialogs import AskText
from crewtui.tui.widgets.over import Over
from crewtui.tui.widgets.pane import Here, Intent
from crewtui.tui.widgets.rows import Row, RowList
from crewtui.units import show_length, show_torque

_TITLES: dict[Tightening, str] = {"first": "FIRST, BEFORE BACKFILLING", "second": "AGAIN, AFTER BACKFILLING"}
_KEYS = (
    ("Enter", "it clicked"),
    ("0-9", "clicked; came in by"),
    ("x", "did not come up"),
    ("Esc", "back"),
)


class RoundsPage(Over[tuple[str, str] | None]):
    """The rounds of a wall; leaves with an anchor and a step where the last round is to be entered."""

    DEFAULT_CSS = """
    RoundsPage { background: $paper; color: $ink; }
    RoundsPage .title { background: $band; text-style: bold; padding: 0 1; height: auto; }
    RoundsPage RowList { height: 1fr; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q,z", "dismiss", show=False),
        Binding("x", "not_up", show=False),
    ]

    def __init__(self, here: Here, carry_out: Callable[[Intent], None]) -> None:
        super().__init__()
        self._here, self._carry_out = here, carry_out
        self._wall = here.day.state.anchors[here.anchor].wall
        self.cells: dict[str, RoundCell] = {}

    def compose(self) -> ComposeResult:
        """Lay out the page."""
        yield Static(
            f"Tightening along the wall {self._wall}: every anchor to its round before any goes further."
            " No test of the anchor.",
            classes="title",
            markup=False,
        )
        yield RowList()
        yield SayingView(more=" …")
        bar = KeyBar()
        bar.items = _KEYS
        yield bar

    def on_mount(self) -> None:
        """Stand at the round that comes next."""
        self.rebuild()
        rows = self.query_one(RowList)
        self.set_focus(rows)
        upcoming = next((key for key, cell in self.cells.items() if not cell.done), None)
        if upcoming is not None:
            rows.go_to(upcoming, quietly=True)
        self._say()

    def on_screen_resume(self) -> None:
        """Show what a question that was asked back came to."""
        if self.cells:
            self.rebuild()

    def rebuild(self) -> None:
        """Show both tightenings as they stand."""
        rows: list[Row] = []
        self.cells = {}
        for which in TIGHTENINGS:
            grid = self._here.day.tightening.grid(self._wall, which)
            upcoming = grid.upcoming
            number = 0
            for cell in grid.cells:
                if cell.round != number:
                    number = cell.round
                    title = f"{_TITLES[which]}: round {number} of {cell.of}, {cell.share:.0%}"
                    rows.append(Row(key=f"title {which} {number}", label=title, heading=True))
                key = f"{which} {number} {cell.anchor}"
                self.cells[key] = cell
                rows.append(self._row(key, cell, is_next=cell is upcoming))
        self.query_one(RowList).set_rows(rows)
        self._say()

    def _row(self, key: str, cell: RoundCell, *, is_next: bool) -> Row:
        system = self._here.system
        up = {True: "clicked", False: "did not come up", None: "entered"}[cell.clicked]
        came = f", came in {show_length(cell.came_in_in, system)}" if cell.came_in_in is not None else ""
        note = f"{up}{came}" if cell.done else "its own step: Enter" if cell.last else ""
        return Row(
            key=key,
            label=f"{cell.anchor}: {cell_words(cell, system)}",
            mark="done" if cell.done else "next" if is_next else "",
            tone="deviation"
            if cell.clicked is False
            else "done"
            if cell.done
            else "coming"
            if is_next
            else "plain",
            note=note,
            typed=not cell.last,
        )

    def _say(self) -> None:
        row = self.query_one(RowList).cursor_row
        cell = self.cells.get(row.key) if row is not None else None
        if cell is None:
            return
        system, rules = self._here.system, self._here.day.state.rules
        lines = [("plain", "Mark the rod at the nut first; hold the wrench at the middle of its grip.")]
        if cell.suits is False and cell.set_lbf_ft is not None:
            words = f"{show_torque(cell.set_lbf_ft, system)} is outside this wrench's range."
            lines.append(("held", words))
        greatest_in = rules.number("pull_in_greatest_in")
        told = travel_words(cell.travel, greatest_in, system)
        if told:
            lines.append(("plain", told))
        self.query_one(SayingView).saying = Saying(lines=tuple(lines))

    def on_row_list_cursor_moved(self, message: RowList.CursorMoved) -> None:
        """Say what the row is."""
        message.stop()
        self._say()

    def on_row_list_chosen(self, message: RowList.Chosen) -> None:
        """Enter that it clicked; the last round leads to its step."""
        message.stop()
        self._entered(message.key, "", clicked=True)

    def on_row_list_entered(self, message: RowList.Entered) -> None:
        """Enter that it clicked, and how far the nut came."""
        message.stop()
        self._entered(message.key, message.text, clicked=True)

    def action_not_up(self) -> None:
        """Enter that it did not come up, with how far the nut came."""
        key = self.query_one(RowList).cursor_key

        def answered(text: str | None) -> None:
            if text is not None:
                self._entered(key, text, clicked=False)

        if key in self.cells:
            words = "Stop turning. Tape how far the mark on the rod has come in since before the first round."
            self.app.push_screen(AskText("It did not come up", words, label="Came in by:"), answered)

    def _entered(self, key: str, text: str, *, clicked: bool) -> None:
        cell = self.cells.get(key)
        if cell is None:
            return
        if cell.last:
            self.dismiss((cell.anchor, TIGHTENINGS[cell.tightening].step))
            return
        self._carry_out(
            Intent(
                method=self._here.day.tightening.tighten_round,
                args=(cell.anchor, cell.tightening, cell.round),
                given={"clicked": clicked, "came_in": text},
                takes_reason=True,
                dated=True,
                about=f"{cell.anchor}: round {cell.round}",
            )
        )
        rows = self.query_one(RowList)
        rows.clear_draft(key)
        self.rebuild()
        below = list(self.cells)[list(self.cells).index(key) + 1 :]
        if self.cells[key].done and below:
            rows.go_to(next((one for one in below if not self.cells[one].done), key), quietly=True)
            self._say()


__all__ = ["RoundsPage"]
