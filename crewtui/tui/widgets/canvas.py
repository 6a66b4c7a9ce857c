"""A grid of characters, and shallow lines on it finer than a row: a line has glyphs for its levels in a cell.

Only glyphs of width one that the plain fonts of every system carry: letters, box lines, half blocks. (Braille
dots would be finer still, but common monospaced fonts lack them.)
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple


class Piece(NamedTuple):
    """A run of characters of one role."""

    text: str
    role: str


class Pen(NamedTuple):
    """How a line is drawn: its glyphs from high to low in a cell, and which columns show."""

    levels: str
    role: str
    pattern: tuple[bool, ...] = (True,)


class Canvas:
    """Characters and their roles, by row and column; what is drawn later stands over what was there."""

    def __init__(self, columns: int, rows: int) -> None:
        self.columns, self.rows = columns, rows
        self._glyphs = [[" "] * columns for _ in range(rows)]
        self._roles = [[""] * columns for _ in range(rows)]

    def put(self, column: int, row: int, glyph: str, role: str) -> None:
        """Set one glyph; outside the grid nothing happens."""
        if 0 <= column < self.columns and 0 <= row < self.rows:
            self._glyphs[row][column] = glyph
            self._roles[row][column] = role

    def line(self, start: tuple[float, float], end: tuple[float, float], pen: Pen) -> None:
        """Draw from (column, row) to (column, row), both with their fractions, left to right.

        Each column shows the level that the line passes at its middle; where it passes several rows, all.
        """
        across = end[0] - start[0]
        if across <= 0:
            return
        slope = (end[1] - start[1]) / across
        steep = abs(slope) > 1.0
        first, last = max(0, math.floor(start[0])), min(self.columns - 1, math.ceil(end[0]) - 1)
        for column in range(first, last + 1):
            if not pen.pattern[(column - math.floor(start[0])) % len(pen.pattern)]:
                continue
            middle = min(max(column + 0.5, start[0]), end[0])
            height = start[1] + (middle - start[0]) * slope
            row = math.floor(height)
            self.put(column, row, pen.levels[int((height - row) * len(pen.levels))], pen.role)
            if steep:
                ends = sorted((height - slope / 2, height + slope / 2))
                for between in range(max(0, math.floor(ends[0])), min(self.rows, math.floor(ends[1]) + 1)):
                    self.put(column, between, pen.levels[len(pen.levels) // 2], pen.role)

    def free(self, column: int, row: int, length: int) -> bool:
        """Return whether that many cells of a row hold nothing yet."""
        if not (0 <= row < self.rows and column >= 0 and column + length <= self.columns):
            return False
        return all(glyph == " " for glyph in self._glyphs[row][column : column + length])

    def write(self, column: int, row: int, text: str, role: str) -> None:
        """Write text over whatever stands there; what does not fit is cut."""
        for offset, glyph in enumerate(text):
            self.put(column + offset, row, glyph, role)

    def place(self, spots: Sequence[tuple[int, int]], text: str, role: str) -> bool:
        """Write text at the first spot that is free with a blank on either side; False where none is."""
        for column, row in spots:
            if column < 0 or column + len(text) > self.columns:
                continue
            left, right = max(0, column - 1), min(self.columns, column + len(text) + 1)
            if self.free(left, row, right - left):
                self.write(column, row, text, role)
                return True
        return False

    def pieces(self) -> list[list[Piece]]:
        """Return the rows as runs of one role each."""
        return [_runs(glyphs, roles) for glyphs, roles in zip(self._glyphs, self._roles, strict=True)]


def _runs(glyphs: list[str], roles: list[str]) -> list[Piece]:
    found: list[Piece] = []
    start = 0
    for column in range(1, len(roles) + 1):
        if column == len(roles) or roles[column] != roles[start]:
            found.append(Piece("".join(glyphs[start:column]), roles[start]))
            start = column
    return found


__all__ = ["Canvas", "Pen", "Piece"]
