"""What is wrong with a job file, each as one sentence with file, key, value and what would be right."""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Iterable
from typing import Any, Final

from msgspec import Struct

from crewtui.foreign import cleaned

_LONGEST: Final = 60
_MOST_SHOWN: Final = 40


class Problem(Struct, frozen=True, kw_only=True):
    """One thing wrong with a job file."""

    file: str
    key: str
    """Path of the key, such as ``walls[0].thickness``; empty for the file as a whole."""
    value: str = ""
    """The value as it stands in the file, shortened; empty where there is none."""
    message: str
    """One sentence: what is wrong and what would be right."""
    nearest: str | None = None
    """The valid key or word that is nearest to a misspelt one."""
    where: str = ""
    """The wall or anchor that the key belongs to, by its name."""
    line: int = 0
    """The line that it stands on, from 1; 0 where it stands on none."""

    def __str__(self) -> str:
        """Return the whole as one line; what the file's names bring along cannot move the cursor."""
        place = f"{self.key} ({self.where})" if self.where else self.key
        file = f"{self.file}, line {self.line}" if self.line else self.file
        return cleaned(f"{file}: {place}: {self.message}" if place else f"{file}: {self.message}")


class JobFileError(ValueError):
    """A job file cannot be used; ``problems`` has everything that is wrong with it."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = tuple(problems)
        lines = [str(problem) for problem in self.problems[:_MOST_SHOWN]]
        if len(self.problems) > _MOST_SHOWN:
            lines.append(f"and {len(self.problems) - _MOST_SHOWN} more.")
        super().__init__("\n".join(lines))


def is_clean(text: str, *, lines: bool = False) -> bool:
    """Return whether the text can go to a terminal: no control, escape, direction or invisible characters."""
    return all(
        char.isprintable() or unicodedata.category(char) == "Zs" or (lines and char in "\n\t")
        for char in text
    )


def shown(value: Any) -> str:
    """Return a value as it would stand in the file, on one line and short."""
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list | tuple):
        return "a list"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        text = cleaned(value)
        return f'"{text[:_LONGEST]}..."' if len(text) > _LONGEST else f'"{text}"'
    if isinstance(value, int) and abs(value) > 10**_LONGEST:
        return "a number of more than 60 digits"
    return str(value)[: 2 * _LONGEST]


def nearest(word: str, choices: Iterable[str]) -> str | None:
    """Return the choice that the word was most likely meant to be, or None."""
    found = difflib.get_close_matches(word[:_LONGEST].casefold(), list(choices), n=1, cutoff=0.6)
    return found[0] if found else None


def listed(words: Iterable[str]) -> str:
    """Return words as a list in a sentence, each in quotes."""
    quoted = [f'"{word}"' for word in words]
    return quoted[0] if len(quoted) == 1 else ", ".join(quoted[:-1]) + f" or {quoted[-1]}"


def path_of(parts: Iterable[str | int]) -> str:
    """Return a key's path as a person reads it: ``walls[0].thickness``."""
    text = ""
    for part in parts:
        if isinstance(part, int):
            text += f"[{part}]"
        else:
            name = cleaned(part)[:_LONGEST]
            text += f".{name}" if text else name
    return text


def named(data: Any, parts: tuple[str | int, ...]) -> str:
    """Return which wall, anchor or line a key belongs to, by the name that the file gives it."""
    kinds = {"walls": ("wall", "name"), "anchors": ("anchor", "id"), "lines": ("line", "name")}
    if len(parts) < 2 or parts[0] not in kinds or not isinstance(parts[1], int):  # noqa: PLR2004 - table and place in it
        return ""
    kind, key = kinds[str(parts[0])]
    try:
        name = data[parts[0]][parts[1]][key]
    except (LookupError, TypeError):
        return ""
    return f"{kind} {shown(name)}" if isinstance(name, str) else ""
