"""On which line of a TOML file each key and each item of a list stands, for a person to look there."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from crewtui.job.file.problems import path_of

Parts = tuple[str | int, ...]
_BLANK: Final = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SPACES: Final = re.compile(r"[ \t]*")
_KEY: Final = re.compile(r"""[A-Za-z0-9_-]+|"(?:[^"\\\n]|\\.)*"|'[^'\n]*'""")
_TEXT: Final = re.compile(
    r'''"""(?:[^\\]|\\.)*?"{3,5}|\'\'\'.*?'{3,5}|"(?:[^"\\\n]|\\.)*"|'[^'\n]*\'''', re.DOTALL
)
_BARE: Final = re.compile(r"[^,\]\}#\n]*")


def key_lines(text: str) -> Mapping[str, int]:
    """Return the line, from 1, of each key by its path; the text is TOML that the reader has taken."""
    return _Lines(text.replace("\r\n", "\n").removeprefix("\ufeff")).found


class _Lines:
    """Goes through the text once; what is no TOML ends it, and keeps what was found."""

    def __init__(self, text: str) -> None:
        self.found: dict[str, int] = {}
        self._text, self._at = text, 0
        self._line, self._counted = 1, 0
        self._several: dict[Parts, int] = {}
        """How many tables each list of tables has so far."""
        table: Parts = ()
        self._skip(_BLANK)
        while self._at < len(text):
            before = self._at
            if self._peek("["):
                table = self._header()
            else:
                self._pair(table)
            self._skip(_BLANK)
            if self._at == before:
                return

    def _peek(self, mark: str) -> bool:
        return self._text.startswith(mark, self._at)

    def _skip(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self._text, self._at)
        if match is None:
            return ""
        self._at = match.end()
        return match.group()

    def _take(self, mark: str) -> bool:
        taken = self._peek(mark)
        self._at += len(mark) * taken
        return taken

    def _note(self, parts: Parts, at: int) -> None:
        self._line += self._text.count("\n", self._counted, at)
        self._counted = at
        self.found.setdefault(path_of(parts), self._line)

    def _names(self) -> list[str]:
        names = []
        while True:
            self._skip(_SPACES)
            name = self._skip(_KEY)
            names.append(name[1:-1] if name[:1] in {'"', "'"} else name)
            self._skip(_SPACES)
            if not name or not self._take("."):
                return names

    def _header(self) -> Parts:
        at = self._at
        several = self._take("[[")
        if not several:
            self._take("[")
        names = self._names()
        self._take("]]" if several else "]")
        parts: Parts = ()
        for name in names[:-1]:
            parts = self._last((*parts, name))
        parts = (*parts, names[-1])
        if several:
            self._note(parts, at)
            self._several[parts] = self._several.get(parts, 0) + 1
        parts = self._last(parts)
        self._note(parts, at)
        return parts

    def _last(self, parts: Parts) -> Parts:
        count = self._several.get(parts, 0)
        return (*parts, count - 1) if count else parts

    def _pair(self, table: Parts) -> None:
        at, parts = self._at, table
        for name in self._names():
            parts = (*parts, name)
            self._note(parts, at)
        if self._take("="):
            self._skip(_SPACES)
            self._value(parts)

    def _value(self, parts: Parts) -> None:
        if self._take("["):
            self._items(parts)
        elif self._take("{"):
            self._inline(parts)
        elif not self._skip(_TEXT):
            self._skip(_BARE)

    def _items(self, parts: Parts) -> None:
        place = 0
        self._skip(_BLANK)
        while self._at < len(self._text) and not self._take("]"):
            before = self._at
            self._note((*parts, place), self._at)
            self._value((*parts, place))
            self._skip(_BLANK)
            self._take(",")
            self._skip(_BLANK)
            place += 1
            if self._at == before:
                return

    def _inline(self, parts: Parts) -> None:
        self._skip(_BLANK)
        while self._at < len(self._text) and not self._take("}"):
            before = self._at
            self._pair(parts)
            self._skip(_BLANK)
            self._take(",")
            self._skip(_BLANK)
            if self._at == before:
                return
