"""The section in the screen: wall, ground, rod, window, pit and lines, drawn again as values change."""

from __future__ import annotations

from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget

from crewtui.day.figures.pit_tape import PitTape
from crewtui.trade.pictures.section import SectionPicture
from crewtui.tui.widgets.canvas import Piece
from crewtui.tui.widgets.section_drawing import draw_section
from crewtui.tui.widgets.tape_drawing import draw_tape

Shown = SectionPicture | PitTape


class SectionView(Widget):
    """Shows a section, or a pit as a tape; draws again when the picture or the size is another."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "section--rod", "section--ran", "section--window", "section--plate", "section--frost",
        "section--ground", "section--wall", "section--pit", "section--line", "section--line-held",
        "section--label", "section--title", "section--typed",
    }  # fmt: skip
    DEFAULT_CSS = """
    SectionView { background: $paper; color: $ink; height: 1fr; }
    SectionView > .section--rod { color: $ink; text-style: bold; }
    SectionView > .section--ran { color: $deviation; text-style: bold; }
    SectionView > .section--window { color: $coming; }
    SectionView > .section--plate { color: $ink; text-style: bold; }
    SectionView > .section--frost { color: $coming; }
    SectionView > .section--ground { color: $done; }
    SectionView > .section--wall { color: $quiet; }
    SectionView > .section--pit { color: $quiet; }
    SectionView > .section--line { color: $deviation; }
    SectionView > .section--line-held { color: $held; text-style: bold; }
    SectionView > .section--label { color: $quiet; }
    SectionView > .section--typed { color: $deviation; text-style: bold; }
    SectionView > .section--title { color: $ink; text-style: bold; }
    """

    def __init__(
        self,
        picture: Shown | None = None,
        *,
        id: str | None = None,  # noqa: A002 - the framework's own name
        classes: str | None = None,
        stretched: bool = False,
    ) -> None:
        """Show a picture; a section may be drawn with its heights stretched."""
        super().__init__(id=id, classes=classes)
        self._picture = picture
        self._stretched = stretched
        self._drawn: tuple[tuple[Shown | None, int, int], list[list[Piece]]] | None = None
        self._styles: dict[str, Style] = {}

    @property
    def picture(self) -> Shown | None:
        """What is shown."""
        return self._picture

    def show(self, picture: Shown | None) -> None:
        """Show another picture; the same one again costs nothing."""
        if picture != self._picture:
            self._picture = picture
            self.refresh()

    def _rows(self) -> list[list[Piece]]:
        key = (self._picture, self.size.width, self.size.height)
        if self._drawn is None or self._drawn[0] != key:
            rows = self._draw(self._picture, key[1], key[2])
            self._drawn = (key, rows)
        return self._drawn[1]

    def _draw(self, picture: Shown | None, columns: int, rows: int) -> list[list[Piece]]:
        if picture is None:
            return []
        if isinstance(picture, PitTape):
            return draw_tape(picture, columns, rows)
        return draw_section(picture, columns, rows, stretched=self._stretched)

    def render_line(self, y: int) -> Strip:
        """Return one row of the drawing in the colors of the look."""
        rows = self._rows()
        if y >= len(rows):
            return Strip.blank(self.size.width, self.rich_style)
        return Strip([Segment(text, self._style(role)) for text, role in rows[y]], self.size.width)

    def notify_style_update(self) -> None:
        """Forget the styles of the look before."""
        self._styles.clear()
        super().notify_style_update()

    def _style(self, role: str) -> Style:
        """Return the style of a role; kept, since looking one up costs more than drawing a row."""
        style = self._styles.get(role)
        if style is None:
            named = "line-held" if role == "line-asked" else role
            style = self.get_component_rich_style(f"section--{named}") if named else self.rich_style
            self._styles[role] = style
        return style


__all__ = ["SectionView", "draw_section"]
