"""Where the words of a row stand: in columns on one line, or whole on the lines below where they are long."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final, Literal, NamedTuple

from msgspec import Struct
from rich.cells import cell_len

from crewtui.tui.widgets.fit import fill, wrap

Tone = Literal["plain", "done", "held", "deviation", "coming", "quiet"]
Mark = Literal["", "done", "next", "held", "open", "ask", "!"]
"""What stands in front of a row: done, next, held by something, still open, asked now, or to be looked at.

A row that only leads somewhere has none; Enter is named in the keys.
"""
MARKS: Final = 6
"""Columns of the cursor sign and the mark, with the blank after it."""
LEAST_VALUE: Final = 12
MOST_VALUE: Final = 16
"""Of a value's column; a longer value takes the room of its own row's note, or a line below."""
_NEEDED_VALUE: Final = 15
"""Of limits as they are shown: 5.4° to 9.7°, 104 to 113 N·m."""
_SCROLL_BAR: Final = 1
UNSAVED: Final = "NOT SAVED: Enter"
UNSAVED_SHORT: Final = "unsaved"
"""Beside what is typed and not entered; the short word where the column has no room for the other."""


class Row(Struct, frozen=True, kw_only=True):
    """One line: a mark in words, a label, a value, and what there is to say beside it."""

    key: str
    label: str
    mark: Mark = ""
    sign: str = ""
    """Stands in the mark's place in a list of other things than work: a key, how a way on fits."""
    tone: Tone = "plain"
    value: str = ""
    hint: str = ""
    """Stands in the value's place while there is none: its limits."""
    note: str = ""
    note_tone: Tone = "quiet"
    heading: bool = False
    still: bool = False
    """It only says or draws something: the cursor goes past it."""
    typed: bool = False
    """A value is typed onto it."""
    free_text: bool = False
    """Any character opens the editor, not only a number's."""

    @property
    def stops(self) -> bool:
        """Whether the cursor stops on it."""
        return not (self.heading or self.still)


class Columns(NamedTuple):
    """Widths of label, value and note."""

    label: int
    value: int
    note: int


class RowPart(NamedTuple):
    """A run of characters and what it is: mark, label, value, hint, note, unsaved, or nothing.

    A ``draft`` is blanks as wide as the field that is typed into.
    """

    text: str
    role: str


Line = list[RowPart]


def columns_for(rows: Iterable[Row], width: int) -> Columns:
    """Share the width between label, value and note, as the rows' words need it."""
    body = [row for row in rows if row.stops]
    valued = [row for row in body if row.value or row.typed or row.hint] or body
    label = max((cell_len(row.label) for row in valued), default=0)
    value = max((cell_len(row.value or row.hint) for row in body), default=0)
    rest = max(0, width - MARKS - 2)
    if any(row.typed for row in body):
        value = max(value, LEAST_VALUE)
    value = min(value, MOST_VALUE, max(LEAST_VALUE, rest // 2))
    label = max(0, min(label, rest - value))
    return Columns(label, value, max(0, rest - label - value))


def needed_width(rows: Sequence[Row]) -> int:
    """Return the width at which label, value and limits of every row stand on one line."""
    valued = [row for row in rows if row.stops and (row.value or row.typed or row.hint)]
    label = max((cell_len(row.label) for row in valued), default=0)
    return MARKS + label + 1 + _NEEDED_VALUE + _SCROLL_BAR


def lay_out_row(row: Row, columns: Columns, draft: str | None) -> list[Line]:
    """Return the row's lines, without the cursor sign: on one line if its words fit there."""
    width = MARKS - 1 + sum(columns) + 2
    if row.heading:
        return [
            [RowPart(text, "heading")]
            for text in wrap(f"{row.label}   {row.note}" if row.note else row.label, width)
        ]
    mark = RowPart(f"{fill(row.mark or row.sign, 4)} ", "mark")
    value = RowPart(row.value, "value") if row.value else RowPart(row.hint, "hint")
    note = RowPart(row.note, "note")
    if draft is not None:
        return _with_draft(row, columns, mark, draft)
    if not value.text and not row.typed:
        return _without_value(row, columns, mark)
    room = columns.value + 1 + columns.note
    used = cell_len(value.text) + (1 + cell_len(note.text) if note.text else 0)
    together = max(columns.value, cell_len(value.text)) + (1 + cell_len(note.text) if note.text else 0)
    if cell_len(row.label) <= columns.label and used <= room:
        gap = columns.value - cell_len(value.text) if together <= room else 0
        blank = " " * (max(0, gap) + 1) if note.text else ""
        return [[mark, *_label(row.label, columns.label), value, RowPart(blank, ""), note]]
    return _broken(row, columns, mark, value, note)


def _label(text: str, width: int) -> Line:
    return [RowPart(fill(text, width) + " ", "label")]


def _without_value(row: Row, columns: Columns, mark: RowPart) -> list[Line]:
    """Lay out a row of label and note: beside each other if both fit, else one under the other."""
    room = sum(columns) + 2
    label, note = cell_len(row.label), cell_len(row.note)
    if label + bool(note) + note <= room:
        at = min(max(columns.label, label), room - note - 1) if note else label
        return [[mark, *_label(row.label, at), RowPart(row.note, "note")]]
    return _broken(row, columns, mark, RowPart("", "value"), RowPart(row.note, "note"))


def _broken(row: Row, columns: Columns, mark: RowPart, value: RowPart, note: RowPart) -> list[Line]:
    """Lay a row out over several lines: its label, its value where that fits, the rest below."""
    room = sum(columns) + 2
    labels = wrap(row.label, room)
    lines: list[Line] = [[mark, RowPart(labels[0], "label")]]
    lines += [[_indent(), RowPart(text, "label")] for text in labels[1:]]
    below: list[RowPart] = []
    if value.text:
        last = cell_len(labels[-1])
        at = min(max(columns.label, last), room - 1 - cell_len(value.text))
        if at >= last:
            lines[-1] += [RowPart(" " * (at - last + 1), ""), value]
        else:
            below += [RowPart(text, value.role) for text in wrap(value.text, room - 2)]
    if note.text:
        below += [RowPart(text, note.role) for text in wrap(note.text, room - 2)]
    return [*lines, *([_indent(), RowPart("  ", ""), part] for part in below)]


def _indent() -> RowPart:
    return RowPart(" " * (MARKS - 1), "")


def _with_draft(row: Row, columns: Columns, mark: RowPart, draft: str) -> list[Line]:
    """Lay out a row that is typed on: what is typed, and in words that it is not saved."""
    room = columns.value + 1 + columns.note
    typed = cell_len(draft) + 1
    line: Line = [mark, *_label(row.label, columns.label)]
    if cell_len(row.label) > columns.label:
        labels = wrap(row.label, sum(columns) + 2)
        lines: list[Line] = [[mark, RowPart(labels[0], "label")]]
        lines += [[_indent(), RowPart(text, "label")] for text in labels[1:]]
        line, room = [_indent()], sum(columns) + 2
    else:
        lines = []
    for words in (UNSAVED, UNSAVED_SHORT):
        field = room - len(words) - 1
        if typed <= field:
            blank = " " * min(field, max(columns.value, typed))
            return [*lines, [*line, RowPart(blank, "draft"), RowPart(f" {words}", "unsaved")]]
    blank = " " * min(room, max(columns.value, typed))
    return [*lines, [*line, RowPart(blank, "draft")], [_indent(), RowPart(f"  {UNSAVED}", "unsaved")]]


__all__ = [
    "MARKS",
    "Columns",
    "Line",
    "Mark",
    "Row",
    "RowPart",
    "Tone",
    "columns_for",
    "lay_out_row",
    "needed_width",
]
