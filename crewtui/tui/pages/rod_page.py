"""The rod came up wrong: type what the pit shows, see every way on, choose one."""

from __future__ import annotations

from typing import ClassVar, Final

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Static

from crewtui.day.recovery.picture_of_way import picture_of_way
from crewtui.day.recovery.ways_on import (
    DEPTH,
    FIRST_ASKED,
    LEFT_OUT,
    MIDDLE,
    TOP,
    Asked,
    WayOn,
    WhatNowSheet,
)
from crewtui.tui.pages.whole_words import whole_words
from crewtui.tui.widgets.chrome import KeyBar, Saying, SayingView
from crewtui.tui.widgets.dialogs import AskText
from crewtui.tui.widgets.landing_bar import landing_bar
from crewtui.tui.widgets.over import Over
from crewtui.tui.widgets.pane import Here, Intent
from crewtui.tui.widgets.rows import Row, RowList
from crewtui.tui.widgets.section_widget import SectionView
from crewtui.units import show_length

_BESIDE_A_BAR: Final = 9
"""Columns of a way's row that are neither its own nor its bar's."""
DRAWN_FROM: Final = (120, 36)
"""Columns and rows from which the rod is drawn."""
_MEASURED_TO: Final = "measured to"
_NOT_FOUND: Final = "not found"
_STOP_MARK: Final = "stop mark"
_DRIFT: Final = "drift"
_ROD: Final = "rod "
_STOP_WORDS: Final = {None: "not said", True: "yes", False: "no"}


class WhatNow(Over[Intent | None]):
    """Everything on one rod that came up: figures change at every key press; Enter on a way enters it."""

    DEFAULT_CSS = """
    WhatNow { background: $paper; color: $ink; }
    WhatNow .title { background: $band; text-style: bold; padding: 0 1; height: 1; }
    WhatNow RowList { height: 1fr; }
    WhatNow SayingView { height: 8; }
    WhatNow #ran { display: none; height: 13; border-top: solid $rule; }
    WhatNow.-drawn #ran { display: block; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q", "go_back", show=False),
        Binding("y", "why", show=False),
    ]

    def __init__(self, here: Here, *, depth: str = "") -> None:
        """Begin with a depth that was typed already."""
        super().__init__()
        self._depth = depth
        self.here = here
        self.measured_to = MIDDLE
        self.not_found = False
        self.at_stop_mark: bool | None = None
        self.sheet: WhatNowSheet | None = None
        self._ways: dict[str, WayOn] = {}
        self._faults: dict[str, str] = {}

    def compose(self) -> ComposeResult:
        """Lay out the page."""
        yield Static(f"{self.here.anchor}: the rod came up wrong", classes="title", markup=False)
        yield RowList()
        yield SectionView(id="ran", stretched=True)
        yield SayingView()
        bar = KeyBar()
        bar.items = (
            ("0-9", "type what was found"),
            ("Enter", "see the ways on"),
            ("y", "why"),
            ("Esc", "back"),
        )
        yield bar

    def on_mount(self) -> None:
        """Type the depth at once."""
        rows = self.query_one(RowList)
        if self._depth:
            rows.drafts[DEPTH] = self._depth
        self.refigure()
        self.set_focus(rows)

    def refigure(self, *, cursor: str | None = None) -> None:
        """Work everything out anew from what is typed."""
        rows = self.query_one(RowList)
        sheet = self.here.day.rods.what_now(
            self.here.anchor,
            rows.drafts,
            measured_to=self.measured_to,
            not_found=self.not_found,
            at_stop_mark=self.at_stop_mark,
        )
        self.sheet = sheet
        head = f"{self.here.anchor}: {sheet.title or 'the rod came up wrong'}"
        self.query_one(".title", Static).update(f"{head}   NOT SAVED until a way is taken")
        self._ways = {way.key: way for way in sheet.ways}
        self._faults = {item.key: item.fault for item in sheet.asked if item.fault}
        rows.set_rows(self._rows(sheet), cursor=cursor)
        self._say()

    def on_resize(self) -> None:
        """Draw the rod where there is room for it, and the bars as wide as there is."""
        self.set_class(self.size.width >= DRAWN_FROM[0] and self.size.height >= DRAWN_FROM[1], "-drawn")
        if self.sheet is not None:
            self.refigure()

    def _draw(self, way: WayOn | None) -> None:
        """Draw the rod as it ran, and as the way under the cursor would run; else as the first way would."""
        recovery = self.sheet.recovery if self.sheet is not None else None
        view = self.query_one("#ran", SectionView)
        view.display = self.has_class("-drawn") and recovery is not None
        if recovery is None or self.sheet is None or not view.display:
            return
        shown = way if way is not None else self._ways.get(self.sheet.first)
        figured = shown.figured if shown is not None else None
        view.show(picture_of_way(self.here.day.state, self.here.anchor, recovery, figured))

    def _rows(self, sheet: WhatNowSheet) -> list[Row]:
        rows = [Row(key="title found", label="FOUND IN THE PIT", heading=True)]
        rows += [self._asked_row(item) for item in sheet.asked if item.key in FIRST_ASKED]
        if sheet.facts:
            rows += [
                Row(key=f"fact {n}", label=f"{fact.label}: {fact.text}", tone=fact.tone, still=True)  # type: ignore[arg-type]
                for n, fact in enumerate(sheet.facts)
            ]
        if sheet.ways:
            head = _columns("WAYS ON, least work", "hold", "hole", "dig", "rod")
            rows.append(
                Row(key="title ways", label=f"{head}{self._bar_head(sheet)}", tone="coming", still=True)
            )
            rows += self._way_rows(sheet)
        rows.append(Row(key="title more", label="MORE ABOUT IT", heading=True))
        rows += [self._asked_row(item) for item in sheet.asked if item.key not in FIRST_ASKED]
        rows += self._choices()
        used = "used in the aim: Enter stops using it" if sheet.drift_used else "Enter uses it in the aim"
        rows.append(Row(key="title drift", label="DRIFT OF THIS WALL", heading=True))
        rows.append(
            Row(key=_DRIFT, label=sheet.drift_words, note=used if sheet.drift.offered else "not offered yet")
        )
        rows += [
            Row(
                key=f"{_ROD}{rod.n}",
                label=f"{rod.anchor} {rod.text}",
                tone="quiet" if rod.why_not else "plain",
                note=f"left out: {rod.why_not}" if rod.why_not else "counts: Enter leaves it out",
            )
            for rod in sheet.rods
        ]
        return rows

    def _bar_head(self, sheet: WhatNowSheet) -> str:
        """Return what the bars show: the two limits that stand in each."""
        if sheet.least_in is None or sheet.greatest_in is None:
            return "lands"
        least, greatest = (show_length(one, self.here.system) for one in (sheet.least_in, sheet.greatest_in))
        return f"|{least}, |{greatest}"

    def _way_rows(self, sheet: WhatNowSheet) -> list[Row]:
        """Return every way on in columns, with a bar of where it lands; one that fails says why below."""
        rows = []
        for way in sheet.ways:
            columns = _columns(_name(way), way.hold, way.hole, way.dig, way.rod)
            ends = (sheet.least_in, sheet.greatest_in, way.chance_in, way.repeats_in)
            least, greatest, chance, repeats = ends
            note = way.note
            if way.given is None:
                columns = _name(way)
            elif None not in ends:
                room = self.size.width - _BESIDE_A_BAR - len(columns)
                columns += landing_bar(least, greatest, chance, repeats, room)  # type: ignore[arg-type]
                note = ""
            rows.append(
                Row(
                    key=way.key,
                    label=columns.rstrip(),
                    sign=way.mark,
                    tone=way.tone,  # type: ignore[arg-type]
                    note=note,
                )
            )
        return rows

    def _asked_row(self, item: Asked) -> Row:
        return Row(
            key=item.key,
            label=item.label,
            value=item.text,
            note=item.fault or item.note,
            note_tone="held" if item.fault else "quiet",
            typed=True,
            free_text=item.key == LEFT_OUT,
        )

    def _choices(self) -> list[Row]:
        said: list[tuple[str, str, str]] = [
            (_MEASURED_TO, "The depth was measured to the rod's", self.measured_to),
            (_NOT_FOUND, "The rod does not show", "yes" if self.not_found else "no"),
        ]
        if self.not_found:
            said.append((_STOP_MARK, "The stop mark came to the wall", _STOP_WORDS[self.at_stop_mark]))
        return [Row(key=key, label=label, value=value, note="Enter changes") for key, label, value in said]

    def _say(self) -> None:
        rows = self.query_one(RowList)
        way = self._ways.get(rows.cursor_key)
        fault = self._faults.get(rows.cursor_key)
        row = rows.cursor_row
        lines: tuple[tuple[str, str], ...] = ()
        if way is not None:
            lines = (("plain", f"{_capital(way.label)}: {way.note}"), *way.lines)
        elif fault:
            lines = (("held", fault),)
        elif rows.cursor_key == _DRIFT and self.sheet is not None:
            lines = (
                ("plain", self.sheet.drift_words),
                *(("deviation", w) for w in self.sheet.drift.warnings),
            )
        elif row is not None:
            first = self._ways.get(self.sheet.first) if self.sheet is not None else None
            lines = (("plain", row.label),)
            if first is not None:
                lines = (*lines, ("coming", f"First way on: {first.label}: {first.note}."))
        self.query_one(SayingView).saying = Saying(lines=lines)
        self._show_keys(way)
        self._draw(way)

    def _show_keys(self, way: WayOn | None) -> None:
        """Say what Enter does on this row: which drive it saves, and with which way on."""
        row = self.query_one(RowList).cursor_row
        if way is not None and way.given is not None:
            number = len(self.here.day.state.anchors[self.here.anchor].settled) + 1
            does = f"save drive {number} and take this way"
        elif way is not None:
            does = "say why it fails"
        elif row is not None and row.typed:
            does = "go to the ways on"
        else:
            does = "change it"
        typed = (("0-9", "type what was found"),) if row is not None and row.typed else ()
        keys = (*typed, ("Enter", does), ("y", "why"), ("Esc", "back"))
        self.query_one(KeyBar).items = keys

    def on_row_list_typed(self, message: RowList.Typed) -> None:
        """Follow what is typed."""
        message.stop()
        self.refigure()

    def on_row_list_cursor_moved(self, message: RowList.CursorMoved) -> None:
        """Say what the row under the cursor means."""
        message.stop()
        self._say()

    def on_row_list_entered(self, message: RowList.Entered) -> None:
        """Go on from a typed value to the first way."""
        message.stop()
        if message.key in self._faults:
            self._say()
            return
        if message.key == DEPTH or self._ways:
            self._to_ways()

    def _to_ways(self) -> None:
        self.refigure(cursor=self.sheet.first if self.sheet is not None else None)

    def on_row_list_chosen(self, message: RowList.Chosen) -> None:
        """Change a choice, or enter the way under the cursor."""
        message.stop()
        if message.key == _MEASURED_TO:
            self.measured_to = TOP if self.measured_to == MIDDLE else MIDDLE
        elif message.key == _NOT_FOUND:
            self.not_found = not self.not_found
        elif message.key == _STOP_MARK:
            self.at_stop_mark = not self.at_stop_mark
        elif message.key == _DRIFT:
            self._use_drift()
            return
        elif message.key.startswith(_ROD):
            self._count(int(message.key.removeprefix(_ROD)))
            return
        elif (row := self.query_one(RowList).cursor_row) is not None and row.typed and self._ways:
            self._to_ways()
            return
        else:
            self._choose(message.key)
            return
        self.refigure()

    def _choose(self, key: str) -> None:
        way = self._ways.get(key)
        if way is None or way.given is None:
            self.action_why()
            return
        day, anchor = self.here.day, self.here.anchor
        self.dismiss(
            Intent(method=day.rods.take_way, args=(anchor,), given=way.given, takes_reason=True, dated=True)
        )

    def _use_drift(self) -> None:
        if self.sheet is None or not self.sheet.drift.offered:
            return
        day, drift = self.here.day, self.sheet.drift
        given = {"on": not self.sheet.drift_used}
        self.dismiss(Intent(method=day.aim.accept_drift, args=(drift.wall, drift.mean_deg), given=given))

    def _count(self, n: int) -> None:
        """Leave a rod out of the drift with a reason, or let it count again."""
        rod = next((rod for rod in self.sheet.rods if rod.n == n), None) if self.sheet is not None else None
        if rod is None or (rod.why_not and not rod.may_count):
            return
        method = self.here.day.rods.count_drive
        if rod.may_count:
            self.dismiss(Intent(method=method, args=(rod.anchor, n), given={"counts": True}))
            return

        def answered(reason: str | None) -> None:
            if reason is not None:
                given = {"counts": False, "reason": reason}
                self.dismiss(Intent(method=method, args=(rod.anchor, n), given=given))

        words = "A rock, a bent rod: what has nothing to do with how this crew's rods run on this wall."
        title = f"Why does {rod.anchor} not count for the drift?"
        self.app.push_screen(AskText(title, words, needed="A reason is needed; Esc goes back."), answered)

    def action_why(self) -> None:
        """Show all the words about the row under the cursor."""
        row, saying = self.query_one(RowList).cursor_row, self.query_one(SayingView).saying
        self.app.push_screen(whole_words(row, saying))

    def action_go_back(self) -> None:
        """Leave without entering anything."""
        self.dismiss(None)


def _columns(name: str, hold: str, hole: str, dig: str, rod: str) -> str:
    """Return a way's columns; the heading over them is laid out by the same."""
    return f"{name:<20} {hold or '-':>5}  {hole or '-':<5}  {dig or '-':<7}  {rod or '-':<8}  "


def _name(way: WayOn) -> str:
    return _capital(way.label.partition(", hold ")[0])


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
