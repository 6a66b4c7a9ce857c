"""Where a job's values stand: in the job's file or the company's, under which key and on which line."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cached_property
from pathlib import Path
from typing import Final

from msgspec import Struct

from crewtui.job.file.key_lines import key_lines

_LAST_PART: Final = re.compile(r"(?:\[\d+\]|\.[^.\[\]]+|^[^.\[\]]+)$")


class Moved(Struct, frozen=True):
    """A key whose value stands elsewhere than the models see it."""

    key: str
    company: bool = False
    """Whether it stands in the company's file."""
    shared: bool = False
    """Whether several anchors have it from there."""


class Place(Struct, frozen=True):
    """A place in a file, for a person to look there."""

    file: str
    key: str
    line: int
    """From 1; 0 where nothing of that name stands in the file."""
    shared: bool = False


class Places:
    """Finds the place of a key such as ``anchors[2].drop``."""

    def __init__(
        self, file: str, text: str, company: str, company_text: str, moved: Mapping[str, Moved] | None = None
    ) -> None:
        self.file, self.company = file, company
        self._text, self._company_text = text, company_text
        self._moved = moved or {}

    def with_moved(self, moved: Mapping[str, Moved]) -> Places:
        """Return the same with what stands elsewhere than the models see it."""
        return Places(self.file, self._text, self.company, self._company_text, moved)

    def of(self, key: str) -> Place:
        """Return where the key stands, or the table around it where the key itself is missing."""
        moved, rest = self._from(key)
        at = moved.key + rest
        lines = self._company_lines if moved.company else self._lines
        file = Path(self.company).name if moved.company else self.file
        return Place(file, at, _line(lines, at), moved.shared)

    def _from(self, key: str) -> tuple[Moved, str]:
        rest = ""
        whole = key
        while key:
            if key in self._moved:
                return self._moved[key], rest
            key = _shorter(key)
            rest = whole[len(key) :]
        return Moved(""), whole

    @cached_property
    def _lines(self) -> Mapping[str, int]:
        return key_lines(self._text)

    @cached_property
    def _company_lines(self) -> Mapping[str, int]:
        return key_lines(self._company_text)


def _shorter(key: str) -> str:
    return _LAST_PART.sub("", key) if _LAST_PART.search(key) else ""


def _line(lines: Mapping[str, int], key: str) -> int:
    while key:
        if key in lines:
            return lines[key]
        key = _shorter(key)
    return 0
