"""Reading the wall at an anchor: distances from a plumb or laser line, typed row by row."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar, Final

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Static

from crewtui.day.journal.chained import JournalError
from crewtui.day.session.day import Day
from crewtui.day.session.reading_form import ReadingForm
from crewtui.day.state.wall_reading import Visit
from crewtui.day.steps.outcomes import NeedsChoice, NeedsReason, Refused, Saved
from crewtui.tui.pages.whole_words import whole_words
from crewtui.tui.widgets.chrome import KeyBar, Saying, SayingView
from crewtui.tui.widgets.dialogs import DO_IT, confirm
from crewtui.tui.widgets.over import Over
from crewtui.tui.widgets.rows import Row, RowList

SAVE, MORE = "save", "more"
_CHOICES: Final = frozenset({"when", "line"})
_HELP: Final = {
    "when": "Enter turns it: before or after tightening. Read both, from the same line, on the same day.",
    "line": "Enter turns it. A plumb line hangs still; a laser line stands upright.",
    "h": "Height above the slab. Read at the same heights each time, so that readings compare.",
    "o": "From the line to the wall, square to it. A wall that comes inward comes nearer to the line.",
    MORE: "More than three heights find the most inward place.",
    "resolution": "How finely the tape is read; the doubt of every figure follows from it.",
    "repeats": "Set the line up anew and read one place again, three times: 4 3/4, 4 13/16, 4 3/4.",
    "line_offset": "How far off the wall the line is fixed; the next visit hangs it there again.",
    "fixed_to": "A point that stays, such as a nail in the joist. Without it only bow and lean compare.",
    "base_from_string": "From a string between the corners at the floor to the wall: did the base slide?",
    "string_at_corners": "From that string to the wall at the corners, the same at both.",
    SAVE: "Enter saves the reading. Nothing above is on the disk before.",
}


class Readings(Over[str]):
    """One reading at one anchor; dismisses with what was saved in words, or with nothing."""

    DEFAULT_CSS = """
    Readings { background: $paper; color: $ink; }
    Readings .title { background: $band; text-style: bold; padding: 0 1; }
    Readings RowList { height: 1fr; }
    Readings SayingView { height: 7; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q", "leave", show=False),
        Binding("y", "why", show=False),
    ]

    def __init__(self, day: Day, anchor: str, *, earlier: Mapping[str, Visit] | None = None) -> None:
        super().__init__()
        self.form = ReadingForm(day, anchor, earlier=earlier)
        self.wrong = ""

    def compose(self) -> ComposeResult:
        """Lay out the page."""
        title = f"{self.form.anchor}: the wall, read from an upright line"
        yield Static(title, classes="title", markup=False)
        yield RowList()
        yield SayingView()
        bar = KeyBar()
        bar.items = (("0-9", "type"), ("Enter", "next row"), ("y", "why"), ("Esc", "back"))
        yield bar

    def on_mount(self) -> None:
        """Stand on the first distance."""
        self.rebuild(cursor="o0")
        self.set_focus(self.query_one(RowList))

    # Rows.

    def rebuild(self, *, cursor: str | None = None) -> None:
        """Show the reading as typed."""
        form, values = self.form, self.form.values
        unit = "mm" if form.system == "metric" else "in"
        rows = [
            Row(key="when", label="Read", value=f"{form.when} tightening"),
            Row(key="line", label="From a", value=form.line),
            Row(key="title offsets", label="FROM THE LINE TO THE WALL, FROM THE SLAB UP", heading=True),
        ]
        for number, (height, offset) in enumerate(zip(form.heights, form.offsets, strict=True)):
            label = f"At {height} up" if height else "At a height to be typed below"
            rows.append(_typed(f"o{number}", label, offset, unit))
        rows.append(Row(key="title heights", label="HEIGHTS ABOVE THE SLAB", heading=True))
        rows += [
            _typed(f"h{number}", f"Height {number + 1}", height, unit)
            for number, height in enumerate(form.heights)
        ]
        rows += [
            Row(key=MORE, label="One more height", note="Enter"),
            Row(key="title base", label="THE BASE, FROM A STRING BETWEEN THE CORNERS", heading=True),
            _typed("base_from_string", "String to the wall here", values["base_from_string"], unit),
            _typed("string_at_corners", "String to it at the corners", values["string_at_corners"], unit),
            Row(key="title line", label="THE LINE", heading=True),
            _typed("resolution", "Tape read to", values["resolution"], unit),
            _typed("repeats", "One place, read again", values["repeats"], "three or more", free_text=True),
            _typed("line_offset", "Line fixed off the wall by", values["line_offset"], unit),
            _typed("fixed_to", "Line fixed to", values["fixed_to"], "words", free_text=True),
            Row(key="title save", label="THE READING", heading=True),
            Row(
                key=SAVE,
                label="Save this reading",
                mark="next" if form.ready else "",
                tone="coming" if form.ready else "quiet",
                note="not on the disk yet" if form.typed else "",
                note_tone="deviation",
            ),
        ]
        self.query_one(RowList).set_rows(rows, cursor=cursor)
        self._say()

    def _say(self) -> None:
        lines = [("held", self.wrong)] if self.wrong else []
        lines += self.form.says()
        key = self.query_one(RowList).cursor_key
        lines.append(("quiet", _HELP.get(key) or _HELP.get(key[:1], "")))
        self.query_one(SayingView).saying = Saying(lines=tuple(lines))

    def on_row_list_cursor_moved(self, message: RowList.CursorMoved) -> None:
        """Say what the row is."""
        message.stop()
        self.wrong = ""
        self._say()

    def on_row_list_typed(self, message: RowList.Typed) -> None:
        """Forget the last refusal."""
        message.stop()
        self.wrong = ""
        self._say()

    def on_row_list_entered(self, message: RowList.Entered) -> None:
        """Take a value and go on to the next row."""
        message.stop()
        self.wrong = self.form.put(message.key, message.text)
        if self.wrong:
            self._say()
            return
        message.rows.clear_draft(message.key)
        self.rebuild(cursor=self._after(message.key))

    def _after(self, key: str) -> str:
        """Return the row to go to: the next distance, the base where it was read before, then saving."""
        offsets = [f"o{number}" for number in range(len(self.form.offsets))]
        if key in offsets:
            empty = [f"o{number}" for number, text in enumerate(self.form.offsets) if not text]
            return empty[0] if empty else "base_from_string" if self.form.with_base else SAVE
        order = {"base_from_string": "string_at_corners", "string_at_corners": SAVE}
        return order.get(key, key)

    def on_row_list_chosen(self, message: RowList.Chosen) -> None:
        """Turn a choice, add a height, or save."""
        message.stop()
        if message.key in _CHOICES:
            self.form.turn(message.key)
            self.rebuild()
        elif message.key == MORE:
            self.form.add_height()
            self.rebuild(cursor=f"h{len(self.form.heights) - 1}")
        elif message.key == SAVE:
            self._save(message.rows)

    def _save(self, rows: RowList) -> None:
        if rows.drafts:
            self.wrong = "A row is typed and not entered: press Enter on it first."
            self._say()
            return
        try:
            outcome = self.form.save()
        except JournalError as error:
            self.wrong = f"NOT SAVED: {error}"
        else:
            if isinstance(outcome, Saved):
                self.dismiss(outcome.words)
                return
            if isinstance(outcome, Refused | NeedsReason | NeedsChoice):
                self.wrong = outcome.sentence
        self._say()

    def action_why(self) -> None:
        """Show all the words about the row under the cursor."""
        row, saying = self.query_one(RowList).cursor_row, self.query_one(SayingView).saying
        self.app.push_screen(whole_words(row, saying))

    def action_leave(self) -> None:
        """Go back; what was typed and not saved is asked about."""
        if not self.form.typed and not self.query_one(RowList).drafts:
            self.dismiss("")
            return

        def answered(choice: str | None) -> None:
            if choice == DO_IT:
                self.dismiss("")

        words = "What is typed here is not on the disk."
        self.app.push_screen(confirm("Leave the reading?", words, do_it="Leave it unsaved"), answered)


def _typed(key: str, label: str, value: str, unit: str, *, free_text: bool = False) -> Row:
    return Row(key=key, label=label, value=value, note=unit, typed=True, free_text=free_text)


__all__ = ["Readings"]
