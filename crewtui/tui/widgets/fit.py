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
