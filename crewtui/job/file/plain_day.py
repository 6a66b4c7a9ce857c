"""A day as people write it: today, tomorrow, Monday, Nov 30, 11/30, 2026-11-30."""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import Final

_MONTHS: Final = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_DAYS: Final = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_NUMBERS: Final = re.compile(r"(\d{1,2})/(\d{1,2})(?:/(\d{4}|\d{2}))?")
_WORDS: Final = re.compile(r"(?:(\d{1,2})\s+([a-z]+)|([a-z]+)\s+(\d{1,2}))(?:,?\s+(\d{4}))?")
_BACK: Final = timedelta(days=60)
"""A day without its year lies no farther back than this: else it is next year's."""
SAID: Final = "write the day as 2026-11-30, Nov 30, 11/30, Monday, today or tomorrow"


def read_day(text: str, today: date) -> date:
    """Return the day that is meant; ValueError with a sentence where none is, or two could be."""
    plain = " ".join(text.lower().split()).rstrip(".")
    if plain in {"today", "tomorrow"}:
        return today + timedelta(days=plain == "tomorrow")
    if plain.isalpha() and plain[:3] in _DAYS and len(plain) >= 3:  # noqa: PLR2004 - as a calendar shortens them
        ahead = (_DAYS.index(plain[:3]) - today.weekday()) % 7
        return today + timedelta(days=ahead or 7)
    try:
        return date.fromisoformat(plain)
    except ValueError:
        pass
    numbers, words = _NUMBERS.fullmatch(plain), _WORDS.fullmatch(plain)
    if numbers is not None:
        return _dated(numbers[3], int(numbers[1]), int(numbers[2]), today, text)
    if words is not None:
        name, day = words[2] or words[3], words[1] or words[4]
        month = next((at for at, start in enumerate(_MONTHS, start=1) if name.startswith(start)), 0)
        if month:
            return _dated(words[5], month, int(day), today, text)
    raise ValueError(f'"{text.strip()}" is no day: {SAID}.')


def _dated(year: str | None, month: int, day: int, today: date, text: str) -> date:
    try:
        if year is not None:
            return date(int(year) + (2000 if len(year) == 2 else 0), month, day)  # noqa: PLR2004 - two digits
        found = date(today.year, month, day)
    except ValueError:
        raise ValueError(f'"{text.strip()}" is in no calendar: {SAID}.') from None
    return found if found >= today - _BACK else date(today.year + 1, month, day)


__all__ = ["SAID", "read_day"]
