"""A drawing as SVG, in black on white: no color carries a meaning, and every text is escaped.

One unit of a drawing is an inch of what is drawn; letters and strokes follow from its printed width.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from markupsafe import Markup

from crewtui.foreign import prose

LETTER_PT: Final = 8.5
PT_PER_IN: Final = 72.0


def letter_in(width: float, *, printed_in: float) -> float:
    """Return the height of a letter in the unit of a drawing that wide, printed that wide."""
    return LETTER_PT / PT_PER_IN * width / printed_in


class Drawing:
    """Elements of one SVG; every text is escaped, every stroke black or gray."""

    def __init__(
        self, left: float, top: float, width: float, height: float, *, printed_in: float, label: str
    ) -> None:
        self.left, self.top, self.width, self.height = left, top, width, height
        self.label = label
        self.letter = LETTER_PT / PT_PER_IN * width / printed_in
        """Height of a letter, in the drawing's own unit."""
        self.printed_in = printed_in
        self._parts: list[Markup] = []

    def pt(self, points: float) -> float:
        """Return a width of so many points in the drawing's own unit."""
        return points / PT_PER_IN * self.width / self.printed_in

    def line(
        self,
        x1: float,
        y1: float,
        x2: float,
        y2: float,
        *,
        pt: float = 0.8,
        dash: str = "",
        gray: bool = False,
    ) -> None:
        """Draw a straight line."""
        self._parts.append(
            Markup('<path d="M{} {}L{} {}"{}/>').format(
                _n(x1), _n(y1), _n(x2), _n(y2), self._pen(pt, dash, gray)
            )
        )

    def run(self, points: Sequence[tuple[float, float]], *, pt: float = 0.8, dash: str = "") -> None:
        """Draw a run of straight lines."""
        path = "L".join(f"{_n(x)} {_n(y)}" for x, y in points)
        self._parts.append(Markup('<path d="M{}"{}/>').format(path, self._pen(pt, dash, False)))

    def box(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        *,
        fill: str = "none",
        pt: float = 0.8,
        dash: str = "",
        gray: bool = False,
    ) -> None:
        """Draw a rectangle; ``fill`` is none, white, black or gray."""
        shade = {"none": "none", "white": "#fff", "black": "#000", "gray": "#ddd"}[fill]
        size = (_n(x), _n(y), _n(max(width, 0.0)), _n(max(height, 0.0)))
        self._parts.append(
            Markup('<rect x="{}" y="{}" width="{}" height="{}"{}/>').format(
                *size, self._pen(pt, dash, gray, shade)
            )
        )

    def dot(self, x: float, y: float, *, filled: bool) -> None:
        """Draw a small round mark, filled or hollow."""
        fill = "#000" if filled else "#fff"
        self._parts.append(
            Markup('<circle cx="{}" cy="{}" r="{}" fill="{}" stroke="#000" stroke-width="{}"/>').format(
                _n(x), _n(y), _n(self.pt(2.2)), fill, _n(self.pt(0.9))
            )
        )

    def words(self, x: float, y: float, text: str, *, anchor: str = "start", bold: bool = False) -> None:
        """Write text on its baseline, with a white edge so that lines behind it do not cut it."""
        weight = Markup(' font-weight="bold"') if bold else ""
        self._parts.append(
            Markup(
                '<text x="{}" y="{}" font-size="{}" text-anchor="{}"{} paint-order="stroke" stroke="#fff"'
                ' stroke-width="{}" stroke-linejoin="round">{}</text>'
            ).format(_n(x), _n(y), _n(self.letter), anchor, weight, _n(self.letter / 4), prose(text))
        )

    def _pen(self, pt: float, dash: str, gray: bool, fill: str = "none") -> Markup:
        dashes = " ".join(_n(self.pt(float(part))) for part in dash.split()) if dash else ""
        more = Markup(' stroke-dasharray="{}"').format(dashes) if dashes else Markup()
        color = "#777" if gray else "#000"
        pen = Markup(' fill="{}" stroke="{}" stroke-width="{}"').format(fill, color, _n(self.pt(pt)))
        return pen + more

    def svg(self) -> Markup:
        """Return the drawing as one element."""
        view = " ".join(_n(value) for value in (self.left, self.top, self.width, self.height))
        head = Markup(
            '<svg xmlns="http://www.w3.org/2000/svg" viewBox="{}" role="img" aria-label="{}">'
        ).format(view, prose(self.label))
        return head + Markup().join(self._parts) + Markup("</svg>")


def _n(value: float) -> str:
    """Return a number as short as it stays right to a thousandth."""
    return f"{value:.3f}".rstrip("0").rstrip(".") if math.isfinite(value) else "0"


__all__ = ["Drawing", "letter_in"]
