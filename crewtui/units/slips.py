"""Slips of typing that would read as another value: found before reading, with what was meant perhaps."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

FRACTION_SIGNS: Final = "".join(
    char
    for char in map(chr, range(0x00BC, 0x215F))
    if unicodedata.decomposition(char).startswith("<fraction>")
)
"""One half to seven eighths, as single characters."""
_BEHIND_FRACTION: Final = re.compile(rf"(\d*)[ -]?([{FRACTION_SIGNS}]) ?(?=[\d.,/{FRACTION_SIGNS}])")
_THOUSANDS: Final = re.compile(r"(?<![\d.,])\d+(?:'\d{3,}|(?:[_ ]\d{3})+(?![\d/]))+")
_ON_A_TAPE: Final = frozenset({*range(2, 11), 12, 16, 32, 64, 100, 128, 256, 512, 1024})
"""Lower numbers of fractions that tapes and tables have; 1/22 is a half typed with a digit too many."""
_LONGEST_MEANT: Final = 24


def slip_in(text: str) -> str:
    """Return what is amiss with a text whose marks are spelled one way, in words; else nothing."""
    if found := _BEHIND_FRACTION.search(text):
        return "goes on behind its fraction" + perhaps(f"{found[1]} {written_out(found[2])}")
    if found := _THOUSANDS.search(text):
        return "may part thousands" + perhaps(re.sub("['_ ]", "", found[0]))
    return ""


def perhaps(meant: str) -> str:
    """Return the half sentence that offers what was meant; nothing where that is too long to be right."""
    meant = meant.strip()
    return f", perhaps {meant} is meant" if 0 < len(meant) <= _LONGEST_MEANT else ""


def written_out(sign: str) -> str:
    """Return a fraction's single character as 1/2."""
    return unicodedata.normalize("NFKC", sign).replace("\u2044", "/")


def is_on_a_tape(under: int) -> bool:
    """Return whether fractions of so many parts are used; else the lower number is a slip."""
    return under in _ON_A_TAPE


def fraction_meant(whole: str, over: str, under: str) -> str:
    """Return the fraction that a lower number with digits too many was meant to be, or nothing."""
    for end in range(len(under) - 1, 0, -1):
        if is_on_a_tape(int(under[:end])) and int(over) < int(under[:end]):
            return f"{whole} {over}/{under[:end]}"
    return ""
