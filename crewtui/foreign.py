"""Text that is not ours (names, ids, file names, notes) as it may be written: terminal, page, table, log.

An escape sequence would move the cursor or recolor the screen, a direction mark would turn a name or a number
round, and a line break would forge a line of the program's own. Each such character is written as its code.
"""

from __future__ import annotations

import unicodedata
from typing import Final

LONGEST_SHOWN: Final = 300


def cleaned(text: str) -> str:
    """Return the text with each control, direction or invisible character as its code, U+202E as u202e."""
    if text.isprintable():
        return text
    return "".join(char if char.isprintable() else _code(char) for char in text)


def shown(text: object, longest: int = LONGEST_SHOWN) -> str:
    """Return anything on one line of bounded length, for a sentence."""
    whole = str(text)
    line = cleaned(whole[: longest + 1])
    return line if len(line) <= longest else line[: longest - 1] + "…"


def prose(text: object) -> str:
    """Return any text whole, its runs of blanks and line breaks as one blank each."""
    return cleaned(" ".join(str(text).split()))


def _code(char: str) -> str:
    if unicodedata.category(char) == "Zs":
        return " "
    return f"\\u{ord(char):04x}" if ord(char) <= 0xFFFF else f"\\U{ord(char):08x}"  # noqa: PLR2004 - four digits
