"""Filling in the job's values on a site whose job file lacks them: a list, typed onto row by row."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar, Final

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Static

from crewtui.day.journal.chained import JournalError
from crewtui.day.session.day import Day
from crewtui.day.steps.fill_in_rows import Blank, blanks
from crewtui.day.steps.listing import LISTINGS, Listing, listing_of
from crewtui.day.steps.outcomes import NeedsReason, Saved
from crewtui.tui.pages.whole_words import whole_words
from crewtui.tui.questions.listing_questions import ask_listing
from crewtui.tui.widgets.chrome import KeyBar, Saying, SayingView
from crewtui.tui.widgets.dialogs import AskText
from crewtui.tui.widgets.over import Over
from crewtui.tui.widgets.rows import Row, RowList

_LISTING: Final = "listing "


class FillIn(Over[None]):
    """Every plain value of the job; what is typed is an entry, and the job file stays as it is."""

    DEFAULT_CSS = """
    FillIn { background: $paper; color: $ink; }
    FillIn .title { background: $band; text-style: bold; padding: 0 1; }
    FillIn RowList { height: 1fr; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q", "dismiss", show=False)]

    def __init__(self, day: Day) -> None:
        super().__init__()
        self.day = day
        self.blanks: dict[str, Blank] = {}
        self.wrong = self.said = ""

    def compose(self) -> ComposeResult:
        """Lay out the page."""
        yield Static(
            "The job's values. The job file stays as it is; each value typed is an entry.", classes="title"
        )
        yield RowList()
        yield SayingView(more=" … Enter: all")
        bar = KeyBar()
        bar.items = (("0-9 a-z", "type"), ("Enter", "save; read whole"), ("Esc", "back"))
        yield bar

    def on_mount(self) -> None:
        """Show the values."""
        self.rebuild()
        self.set_focus(self.query_one(RowList))

    def rebuild(self) -> None:
        """Show the values as they stand."""
        rows = [Row(key="title listed", label="ADD WHAT THE JOB FILE DOES NOT LIST", heading=True)]
        rows += [
            Row(key=_LISTING + one.table, label=one.label, note=f"Enter; {one.costs}") for one in LISTINGS
        ]
        self.blanks = {}
        part = ""
        for blank in blanks(self.day.state):
            title = f"{blank.table} {blank.name}".strip()
            if title != part:
                part = title
                rows.append(Row(key=f"part {title}", label=title.upper(), heading=True))
            key = f"{title} {blank.key}"
            self.blanks[key] = blank
            missing = not blank.text
            rows.append(
                Row(
                    key=key,
                    label=blank.label,
                    tone="quiet" if missing else "plain",
                    value=blank.text,
                    hint="nobody gave it" if missing else "",
                    note="kept; the rest of it is still needed" if blank.drafted else blank.unit,
                    typed=True,
                    free_text=True,
                )
            )
        self.query_one(RowList).set_rows(rows)
        self._say()

    def _say(self) -> None:
        lines = [("held", self.wrong)] if self.wrong else [("done", self.said)] if self.said else []
        row = self.query_one(RowList).cursor_row
        if row is not None and row.key.startswith(_LISTING):
            lines.append(
                ("plain", f"{row.label}: Enter asks for it. Until then {row.note.partition('; ')[2]}.")
            )
        elif row is not None:
            unit = f", in {row.note}" if row.note else ""
            lines.append(("plain", f"{row.label}{unit}: {row.value or 'nobody gave it'}"))
        self.query_one(SayingView).saying = Saying(lines=tuple(lines))

    def on_row_list_cursor_moved(self) -> None:
        """Say what the row is."""
        self.wrong = self.said = ""
        self._say()

    def on_row_list_typed(self) -> None:
        """Forget the last refusal."""
        self.wrong = ""
        self._say()

    def on_row_list_chosen(self, message: RowList.Chosen) -> None:
        """Ask for what is to be listed, or show the value whole."""
        message.stop()
        if message.key.startswith(_LISTING):
            listing = listing_of(message.key.removeprefix(_LISTING))
            ask_listing(self.app, self.day, listing, lambda values: self._list(listing, values))
            return
        self.app.push_screen(whole_words(message.rows.cursor_row, self.query_one(SayingView).saying))

    def _list(self, listing: Listing, values: Mapping[str, Any]) -> None:
        """Enter what was asked, and say that it stands."""
        try:
            outcome = self.day.site.list_thing(listing.table, values)
        except JournalError as error:
            self.wrong = f"NOT SAVED: {error}"
        else:
            self.wrong = "" if isinstance(outcome, Saved) else outcome.sentence
            self.said = f"Saved: {listing.label.lower()}." if isinstance(outcome, Saved) else ""
        self.rebuild()

    def on_row_list_entered(self, message: RowList.Entered) -> None:
        """Enter what was typed."""
        message.stop()
        blank = self.blanks[message.key]
        text = {"yes": True, "no": False}.get(message.text.strip().lower(), message.text)
        self._enter(message.rows, message.key, blank, {blank.key: text})

    def _enter(self, rows: RowList, key: str, blank: Blank, values: Mapping[str, Any], **said: str) -> None:
        """Enter a value; where it replaces the plan's, ask why and who agreed."""
        try:
            outcome = self.day.site.set_up(blank.table, values, name=blank.name, **said)
        except JournalError as error:
            self.wrong = f"NOT SAVED: {error}"
            self._say()
            return
        if isinstance(outcome, Saved):
            rows.clear_draft(key)
            self.rebuild()
        elif isinstance(outcome, NeedsReason):
            self._ask_why(rows, key, blank, values, outcome.sentence)
        else:
            self.wrong = outcome.sentence
            self._say()

    def _ask_why(
        self, rows: RowList, key: str, blank: Blank, values: Mapping[str, Any], sentence: str
    ) -> None:
        def agreed(reason: str, name: str | None) -> None:
            if name is not None:
                self._enter(rows, key, blank, values, reason=reason, agreed_by=name)

        def why(reason: str | None) -> None:
            if reason is not None:
                who = AskText("Who agreed to change the plan?", sentence, label="Name:")
                self.app.push_screen(who, lambda name: agreed(reason, name))

        self.app.push_screen(AskText(f"{blank.label}: the plan changes", sentence, label="Why:"), why)
