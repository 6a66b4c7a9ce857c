"""Files that a record stands in: read within bounds whatever they hold."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any, Final

GREATEST_BYTES: Final = 16 * 1024 * 1024
"""No record is larger; 500 anchors make about 6 MB."""

GREATEST_NESTING: Final = 32
"""Brackets inside each other, and parts of one dotted key; a parser of TOML goes deep or slow past it."""

_SHOWN_CHARACTERS: Final = 300

_STRINGS_AND_COMMENTS: Final = re.compile(
    r'"""(?:[^"\\]+|\\[\s\S]|"(?!""))*+(?:"{3,5}|\\?\Z)'
    r"|'''(?:[^']+|'(?!''))*+(?:'{3,5}|\Z)"
    r'|"(?:[^"\\\n]+|\\[^\n])*+"?'
    r"|'[^'\n]*+'?"
    r"|\#[^\n]*+"
)
"""Possessive, and unclosed ones run on: the time stays in proportion to the text, whatever the text is."""

_LONG_KEY: Final = re.compile(rf'(?<![\w"-])(?:[\w"-]++[ \t]*+\.[ \t]*+){{{GREATEST_NESTING}}}')
_UNSAFE: Final = re.compile(
    "[\x00-\x1f\x7f-\x9f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ud800-\udfff]"
)


class ReadError(ValueError):
    """A file could not be read as what it should be; str() is one sentence that does not name the file."""


def shown(text: object) -> str:
    """Return text from a file as it may reach a terminal: one line, no control characters, none reversed."""
    line = _UNSAFE.sub("\N{REPLACEMENT CHARACTER}", str(text))
    return line if len(line) <= _SHOWN_CHARACTERS else line[: _SHOWN_CHARACTERS - 1] + "…"


def read_bounded(path: Path, greatest_bytes: int = GREATEST_BYTES) -> bytes:
    """Return a file's bytes, or ReadError when it is none, cannot be read, or is too large."""
    try:
        if not path.exists():
            raise ReadError("there is no such file")
        if not path.is_file():
            raise ReadError("it is no file")
        with path.open("rb") as file:
            content = file.read(greatest_bytes + 1)
    except OSError as error:
        raise ReadError(f"it cannot be opened ({error.strerror or error})") from error
    except ValueError as error:
        raise error if isinstance(error, ReadError) else ReadError("its name is no file name") from error
    if len(content) > greatest_bytes:
        raise ReadError(f"it is larger than {greatest_bytes:,} bytes, more than it can need")
    return content


def parse_toml(content: bytes) -> dict[str, Any]:
    """Return the tables of a TOML file as mail and editors may have left it, or ReadError.

    A byte order mark, UTF-16 with its mark, and CRLF line ends are read. Depth is bounded before the parser
    sees it.
    """
    text = _decoded(content)
    bare = _STRINGS_AND_COMMENTS.sub('""', text)
    if _deepest(bare) > GREATEST_NESTING or _LONG_KEY.search(bare):
        raise ReadError(f"it nests more than {GREATEST_NESTING} deep")
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise ReadError(f"it is no TOML: {shown(error)}") from error


def read_toml(path: Path, greatest_bytes: int = GREATEST_BYTES) -> dict[str, Any]:
    """Return the tables of a TOML file, or ReadError."""
    return parse_toml(read_bounded(path, greatest_bytes))


def _decoded(content: bytes) -> str:
    encoding = "utf-16" if content[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    try:
        return content.decode(encoding)
    except UnicodeDecodeError as error:
        raise ReadError(f"it is no text: byte {error.start + 1} is not {error.encoding.upper()}") from error


def _deepest(bare: str) -> int:
    depth = deepest = 0
    for bracket in re.findall(r"[\[\]{}]", bare):
        depth = max(0, depth + (1 if bracket in "[{" else -1))
        deepest = max(deepest, depth)
    return deepest
