"""Big letters and digits out of block characters, to be read from two steps away."""

from __future__ import annotations

from typing import Final

_ROWS: Final = 5
_COLUMNS: Final = 3

# Three pixels by five for each sign, a row a number in binary (4 = left pixel, 1 = right pixel). Signs that
# look alike at this size are cut apart: O is round, 0 square; S bends, 5 has corners; N has its stroke.
_SIGNS: Final[dict[str, tuple[int, ...]]] = {
    "0": (7, 5, 5, 5, 7), "1": (2, 6, 2, 2, 7), "2": (7, 1, 7, 4, 7), "3": (7, 1, 3, 1, 7),
    "4": (5, 5, 7, 1, 1), "5": (7, 4, 7, 1, 7), "6": (7, 4, 7, 5, 7), "7": (7, 1, 1, 2, 2),
    "8": (7, 5, 7, 5, 7), "9": (7, 5, 7, 1, 7), "A": (2, 5, 7, 5, 5), "B": (6, 5, 6, 5, 6),
    "C": (7, 4, 4, 4, 7), "D": (6, 5, 5, 5, 6), "E": (7, 4, 6, 4, 7), "F": (7, 4, 6, 4, 4),
    "G": (7, 4, 5, 5, 7), "H": (5, 5, 7, 5, 5), "I": (7, 2, 2, 2, 7), "J": (1, 1, 1, 5, 7),
    "K": (5, 5, 6, 5, 5), "L": (4, 4, 4, 4, 7), "M": (17, 27, 21, 17, 17), "N": (9, 13, 11, 9, 9),
    "O": (2, 5, 5, 5, 2), "P": (7, 5, 7, 4, 4), "Q": (7, 5, 5, 7, 1), "R": (7, 5, 6, 5, 5),
    "S": (3, 4, 2, 1, 6), "T": (7, 2, 2, 2, 2), "U": (5, 5, 5, 5, 7), "V": (5, 5, 5, 5, 2),
    "W": (17, 17, 21, 27, 17), "X": (5, 5, 2, 5, 5), "Y": (5, 5, 2, 2, 2), "Z": (7, 1, 2, 4, 7),
    "-": (0, 0, 7, 0, 0), ".": (0, 0, 0, 0, 2), ",": (0, 0, 0, 2, 4), "/": (1, 1, 2, 4, 4),
    "°": (2, 5, 2, 0, 0), "%": (5, 1, 2, 4, 5), "+": (0, 2, 7, 2, 0), "'": (2, 2, 0, 0, 0),
    '"': (5, 5, 0, 0, 0), " ": (0, 0, 0, 0, 0),
}  # fmt: skip
_WIDTHS: Final = {".": 1, ",": 2, "'": 1, " ": 2, "N": 4, "M": 5, "W": 5}
"""Pixels across, of signs that are narrower or wider than three."""
_UNKNOWN: Final = (7, 1, 3, 0, 2)


def _pixels(text: str) -> list[list[bool]]:
    rows: list[list[bool]] = [[] for _ in range(_ROWS)]
    for sign in text.upper():
        bits = _SIGNS.get(sign, _UNKNOWN)
        width = _WIDTHS.get(sign, _COLUMNS)
        first = 1 if width < _COLUMNS else 0
        across = max(width, _COLUMNS)
        for row, value in enumerate(bits):
            pixel = [bool(value >> (across - 1 - column) & 1) for column in range(across)]
            rows[row] += [*pixel[first : first + width], False]
    return rows


def small(text: str) -> list[str]:
    """Return ``text`` as three lines of half blocks, four columns a sign."""
    rows = [*_pixels(text), []]
    rows[-1] = [False] * len(rows[0])
    lines = []
    for top in range(0, _ROWS + 1, 2):
        pairs = zip(rows[top], rows[top + 1], strict=True)
        lines.append("".join(" ▄▀█"[2 * upper + lower] for upper, lower in pairs).rstrip())
    return lines


def big(text: str, *, columns: int = 2) -> list[str]:
    """Return ``text`` as five lines of full blocks, each pixel ``columns`` wide."""
    return ["".join(("█" if pixel else " ") * columns for pixel in row).rstrip() for row in _pixels(text)]
