"""The wall seen from inside, in the screen: anchors with their state, openings, courses, marks, limits."""

from __future__ import annotations

from typing import ClassVar

from rich.segment import Segment
from textual.strip import Strip
from textual.widget import Widget

from crewtui.trade.pictures.elevation import ElevationPicture
from crewtui.tui.widgets.canvas import Piece
from crewtui.tui.widgets.elevation_drawing import draw_elevation


class ElevationView(Widget):
    """Shows one wall; draws again when the picture or the size is another."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "elevation--plate", "elevation--under-way", "elevation--done", "elevation--wrong", "elevation--band",
        "elevation--opening", "elevation--wall", "elevation--grade", "elevation--label", "elevation--title",
    }  # fmt: skip
    DEFAULT_CSS = """
    ElevationView { background: $paper; color: $ink; height: 1fr; }
    ElevationView > .elevation--plate { color: $ink; text-style: bold; }
    ElevationView > .elevation--under-way { color: $coming; text-style: bold; }
    ElevationView > .elevation--done { color: $done; text-style: bold; }
    ElevationView > .elevation--wrong { color: $held; text-style: bold; }
    ElevationView > .elevation--band { color: $coming; }
    ElevationView > .elevation--opening { color: $ink; }
    ElevationView > .elevation--wall { color: $quiet; }
    ElevationView > .elevation--grade { color: $done; }
    ElevationView > .elevation--label { color: $quiet; }
    ElevationView > .elevation--title { color: $ink; text-style: bold; }
    """

    def __init__(self, picture: ElevationPicture | None = None, *, id: str | None = None) -> None:  # noqa: A002 - the framework's own name
        super().__init__(id=id)
        self._picture = picture
        self._drawn: tuple[tuple[ElevationPicture | None, int, int], list[list[Piece]]] | None = None

    @property
    def picture(self) -> ElevationPicture | None:
        """What is shown."""
        return self._picture

    def show(self, picture: ElevationPicture | None) -> None:
        """Show another picture; the same one again costs nothing."""
        if picture != self._picture:
            self._picture = picture
            self.refresh()

    def render_line(self, y: int) -> Strip:
        """Return one row of the drawing in the colors of the look."""
        key = (self._picture, self.size.width, self.size.height)
        if self._drawn is None or self._drawn[0] != key:
            rows = [] if self._picture is None else draw_elevation(self._picture, key[1], key[2])
            self._drawn = (key, rows)
        rows = self._drawn[1]
        if y >= len(rows):
            return Strip.blank(self.size.width, self.rich_style)
        segments = [
            Segment(text, self.get_component_rich_style(f"elevation--{role}") if role else self.rich_style)
            for text, role in rows[y]
        ]
        return Strip(segments, self.size.width)


__all__ = ["ElevationView", "draw_elevation"]
