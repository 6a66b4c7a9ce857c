"""Contrast of two colours: WCAG 2.2, relative luminance and contrast ratio (its own definitions)."""

from __future__ import annotations

from collections.abc import Iterator

from rich.color import Color
from textual.strip import Strip


def luminance(colour: str) -> float:
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


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


def _hex(colour: Color) -> str:
    return colour.get_truecolor().hex
