"""Fitting text into columns of character cells."""

from __future__ import annotations

from typing import Final

from rich.cells import cell_len, set_cell_size

ELLIPSIS: Final = "…"


def clip(text: str, width: int) -> str:
    """Return ``text`` in at most ``width`` cells on one line, with a mark where something was left out."""
    text = " ".join(text.split("\n"))
    if width <= 0:
        return ""
    if cell_len(text) <= width:
        return text
    return set_cell_size(text, width - 1).rstrip() + ELLIPSIS


def fill(text: str, width: int) -> str:
    """Return ``text`` in exactly ``width`` cells: clipped, or filled up with spaces."""
    return set_cell_size(clip(text, width), max(0, width))


def wrap(text: str, width: int) -> list[str]:
    """Break ``text`` between words into lines of at most ``width`` cells; a longer word is broken itself."""
    width = max(1, width)
    if cell_len(text) <= width:
        return [text]
    lines: list[str] = [""]
    for word in text.split():
        room = width - cell_len(lines[-1]) - bool(lines[-1])
        if cell_len(word) <= room:
            lines[-1] += f" {word}" if lines[-1] else word
            continue
        if lines[-1]:
            lines.append("")
        while cell_len(word) > width:
            lines[-1] = set_cell_size(word, width)
            word = word[len(lines[-1].rstrip()) :]  # noqa: PLW2901 - what is left of it
            lines.append("")
        lines[-1] = word
    return lines


__all__ = ["ELLIPSIS", "clip", "fill", "wrap"]
