"""The top of the day's screen: the step now, the figures to work to, and the anchor, in five lines."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import ClassVar, Final

from msgspec import Struct
from rich.cells import cell_len
from rich.style import Style
from rich.text import Text
from textual.app import RenderResult
from textual.reactive import reactive
from textual.widget import Widget

from crewtui.tui.widgets.fit import clip, fill, wrap
from crewtui.tui.widgets.lettering import small

ROWS: Final = 5
_LETTERS: Final = 3
_GAP: Final = 3
_LEAST_NOTES: Final = 15
"""Columns of progress and saved state beside large figures; one that leaves fewer is said in words."""
_WHOLE_NOTES: Final = 27
"""Columns from which the place stands there too."""
_LARGE: Final = re.compile(r"-?\d+(?:\.\d+)?°?")
_WHOLE_AND_PART: Final = re.compile(r"(\d+)/(\d+)")


class HeaderFigure(Struct, frozen=True):
    """One figure in large type: its label, itself, and what it is measured over."""

    label: str
    text: str
    detail: str = ""


class Header(Struct, frozen=True, kw_only=True):
    """What the top of the screen says."""

    ident: str = ""
    """The anchor's id, in large letters."""
    title: str = ""
    limits: str = ""
    first: tuple[str, ...] = ("",)
    """What comes before it, or what holds it; the first of them that fits is said."""
    first_tone: str = "quiet"
    figures: tuple[HeaderFigure, ...] = ()
    where: str = ""
    progress: str = ""
    saved: str = ""
    """Saved state in words, always there."""
    alarm: bool = False
    """Something could not be saved."""


class HeaderView(Widget):
    """Title and limits; what comes first; then large: the anchor, and the figures to work to."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "header--alarm", "header--coming", "header--held", "header--quiet", "header--done",
        "header--deviation",
    }  # fmt: skip
    DEFAULT_CSS = """
    HeaderView { height: 5; background: $band; color: $ink; padding: 0 1; }
    HeaderView > .header--alarm { background: $alarm; color: $alarm-ink; text-style: bold; }
    HeaderView > .header--coming { color: $coming; text-style: bold; }
    HeaderView > .header--held { color: $held; text-style: bold; }
    HeaderView > .header--deviation { color: $deviation; text-style: bold; }
    HeaderView > .header--done { color: $done; text-style: bold; }
    HeaderView > .header--quiet { color: $quiet; }
    """
    header: reactive[Header] = reactive(Header())

    def _style(self, tone: str) -> Style:
        return self.get_component_rich_style(f"header--{tone}", partial=True)

    def render(self) -> RenderResult:
        """Paint the five lines."""
        width, header = self.content_size.width, self.header
        first = next((words for words in header.first if cell_len(words) <= width), header.first[-1])
        lines = [self._title(width), Text(clip(first, width), style=self._style(header.first_tone))]
        blocks = [_ident(header.ident, width), *(_block(figure) for figure in header.figures)]
        while len(blocks) > 1 and width - _taken(blocks) < _LEAST_NOTES:
            blocks.pop()
        in_words = header.figures[len(blocks) - 1 :]
        notes = self._notes(width - _taken(blocks), ", ".join(f"{one.label} {one.text}" for one in in_words))
        for number in range(_LETTERS):
            line = Text(no_wrap=True, end="")
            for block in blocks:
                line.append(fill(block[number], _width(block) + _GAP), "bold")
            line.append_text(notes[number])
            lines.append(line)
        return Text("\n", end="", no_wrap=True).join(lines)

    def _title(self, width: int) -> Text:
        header = self.header
        limits = header.limits
        room = width - cell_len(limits) - 2 if limits else width
        line = Text(fill(header.title, max(0, room)), style="bold", no_wrap=True, end="")
        if limits:
            line.append(f"  {limits}", "bold")
        return line

    def _notes(self, room: int, figures: str) -> list[Text]:
        """Return the three lines beside the letters: figures in words or the place, progress, saved state."""
        header = self.header
        quiet = self._style("quiet")
        saved_style = self._style("alarm") if header.alarm else quiet
        if room < _WHOLE_NOTES:
            time, _, many = header.saved.partition(", ")
            said = [figures or header.progress, time, many or header.progress]
            return [
                Text(clip(words, room), style=style)
                for words, style in zip(said, (quiet, saved_style, quiet), strict=True)
            ]
        place = wrap(header.where, room)
        second = header.progress if len(place) == 1 else " ".join(place[1:])
        said = [figures, header.progress] if figures else [place[0], second]
        styles = [Style(bold=True) if figures else quiet, quiet]
        lines = [Text(clip(words, room), style=style) for words, style in zip(said, styles, strict=True)]
        return [*lines, Text(clip(header.saved, room), style=saved_style)]


def _taken(blocks: Sequence[Sequence[str]]) -> int:
    return sum(_width(block) + _GAP for block in blocks)


def _width(block: Sequence[str]) -> int:
    return max((cell_len(line) for line in block), default=0)


def _ident(ident: str, width: int) -> list[str]:
    letters = small(ident)
    if _width(letters) > width // 4:
        return ["", ident, ""]
    return letters


def _block(figure: HeaderFigure) -> list[str]:
    """Return a figure as three lines: whole numbers large, fractions and units beside them."""
    columns: list[list[str]] = []
    at = 0
    text = figure.text
    while at < len(text):
        large = _LARGE.match(text, at)
        part = _WHOLE_AND_PART.match(text, at)
        if part is not None and at == 0:
            large, part = part, None
        if large is not None and part is None:
            columns.append(small(large[0]))
            at = large.end()
            continue
        end = at
        while end < len(text) and (_WHOLE_AND_PART.match(text, end) or not _LARGE.match(text, end)):
            found = _WHOLE_AND_PART.match(text, end)
            end = found.end() if found is not None else end + 1
        said = text[at:end].strip()
        if said:
            columns.append(["", said, ""])
        at = end
    if columns and columns[-1][0] == "":
        columns[-1] = [figure.label, columns[-1][1], figure.detail]
    else:
        columns.append([figure.label, "", figure.detail])
    return _beside(columns)


def _beside(columns: Sequence[Sequence[str]]) -> list[str]:
    lines = ["", "", ""]
    for number, column in enumerate(columns):
        wide = _width(column)
        last = number == len(columns) - 1
        for row in range(_LETTERS):
            gap = " " if number else ""
            lines[row] += gap + (column[row] if last else fill(column[row], wide))
    return lines


__all__ = ["ROWS", "Header", "HeaderFigure", "HeaderView"]
