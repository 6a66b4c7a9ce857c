"""Contrast of two colors: WCAG 2.2, relative luminance and contrast ratio (its own definitions)."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache
from typing import Final

from rich.color import Color, ColorSystem
from rich.style import Style
from textual.filter import monochrome_style
from textual.strip import Strip


def luminance(color: str) -> float:
    channels = [int(color[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@cache
def contrast(one: str, other: str) -> float:
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def pairs(strip: Strip) -> Iterator[tuple[str, str, str]]:
    """Yield the text, ink and ground of each run on a painted line that is not blank."""
    for text, style, control in strip:
        if control or not text.strip():
            continue
        assert style is not None, text
        assert style.color is not None, text
        assert style.bgcolor is not None, text
        assert not style.dim, text
        ink, ground = _hex(style.color), _hex(style.bgcolor)
        yield (text, ground, ink) if style.reverse else (text, ink, ground)


Shown = Callable[[str], str]
"""What a terminal makes of a color."""
VGA: Final = (
    "#000000", "#aa0000", "#00aa00", "#aa5500", "#0000aa", "#aa00aa", "#00aaaa", "#aaaaaa",
    "#555555", "#ff5555", "#55ff55", "#ffff55", "#5555ff", "#ff55ff", "#55ffff", "#ffffff",
)  # fmt: skip
"""Sixteen colors in the order of the ANSI numbers: the palette of VGA's text mode, from memory."""


@cache
def in_16_colors(color: str) -> str:
    """Return what a terminal of sixteen colors shows for it, by the framework's own reduction."""
    number = Color.parse(color).downgrade(ColorSystem.STANDARD).number
    assert number is not None
    return VGA[number]


@cache
def in_gray(color: str) -> str:
    """Return what is shown for it where NO_COLOR is set, by the framework's own filter."""
    return _hex(monochrome_style(Style(color=color, bgcolor=color)).color or Color.parse(color))


def _hex(color: Color) -> str:
    return color.get_truecolor().hex
