"""Files that come from others: judged by kind, size, depth and count before they are parsed.

A parser's time and memory go by what stands in a file, not by what is in it for us: a file of a few megabytes
of brackets would keep it busy for minutes. What no file of its kind needs is refused in a sentence, at once.
"""

from __future__ import annotations

import errno
import os
import re
import stat
from pathlib import Path
from typing import Any, Final

import tomli
from msgspec import Struct

from crewtui.foreign import shown

_WITHOUT_WAITING: Final = (
    getattr(os, "O_NONBLOCK", 0)
    | getattr(os, "O_CLOEXEC", 0)
    | getattr(os, "O_NOCTTY", 0)
    | getattr(os, "O_BINARY", 0)
)


class Bounds(Struct, frozen=True, kw_only=True):
    """What a file of one kind may have at most; far more than any real one has."""

    most_bytes: int
    most_deep: int = 32
    """Brackets inside each other, and parts of one dotted key."""
    most_headers: int
    """Lines in brackets, such as ``[[anchor]]``."""
    most_items: int
    """Keys, list items, headers and dots together."""


RECORD: Final = Bounds(most_bytes=12_000_000, most_headers=60_000, most_items=500_000)
"""Five hundred anchors, the most that a job has, make about 8 MB, 43,000 headers and 400,000 items."""
JOB: Final = Bounds(most_bytes=2_000_000, most_headers=10_000, most_items=60_000)
"""Five hundred anchors are about 700 headers and 15,000 items."""
KEYS: Final = Bounds(most_bytes=1_000_000, most_headers=5_000, most_items=30_000)
"""An office with a thousand leads has a thousand headers and four thousand items."""


class ReadError(ValueError):
    """A file could not be read as what it should be; str() is one sentence that does not name the file."""


class UnreadableFileError(ReadError):
    """A file is there and may be anything: the system does not let it be looked into."""


def read_bounded(path: Path, bounds: Bounds = RECORD) -> bytes:
    """Return a plain file's bytes; ReadError when it is none or too large, UnreadableError if it is shut."""
    handle = _opened(path)
    try:
        held = os.fstat(handle)
        if not stat.S_ISREG(held.st_mode):
            raise ReadError("it is no plain file but a folder, a pipe or a device")
        if held.st_size > bounds.most_bytes:
            raise ReadError(_too_large(bounds))
        with os.fdopen(handle, "rb", closefd=False) as file:
            content = file.read(bounds.most_bytes + 1)
    except OSError as error:
        raise UnreadableFileError(f"it cannot be read ({error.strerror or error})") from error
    finally:
        os.close(handle)
    if len(content) > bounds.most_bytes:
        raise ReadError(_too_large(bounds))
    return content


def _opened(path: Path) -> int:
    try:
        return os.open(path, os.O_RDONLY | _WITHOUT_WAITING)
    except (FileNotFoundError, NotADirectoryError) as error:
        raise ReadError("there is no such file") from error
    except IsADirectoryError as error:
        raise ReadError("it is a folder, not a file") from error
    except OSError as error:
        if error.errno == errno.ENAMETOOLONG:
            raise ReadError("there is no such file; its name is too long for one") from error
        if error.errno == errno.ELOOP:
            raise ReadError("it is a link that leads in a circle") from error
        raise UnreadableFileError(f"it cannot be opened ({error.strerror or error})") from error
    except ValueError as error:
        raise ReadError("its name is no file name") from error


def parse_toml(content: bytes, bounds: Bounds = RECORD) -> dict[str, Any]:
    """Return the tables of a TOML file as mail and editors may have left it, or ReadError.

    A byte order mark, UTF-16 with its mark, and CRLF line ends are read.
    """
    if len(content) > bounds.most_bytes:
        raise ReadError(_too_large(bounds))
    text = _decoded(content)
    too_much = beyond(text, bounds)
    if too_much:
        raise ReadError(too_much)
    try:
        return tomli.loads(text)
    except (ValueError, RecursionError) as error:
        raise ReadError(f"it is no TOML: {shown(error)}") from error


def read_toml(path: Path, bounds: Bounds = RECORD) -> dict[str, Any]:
    """Return the tables of a TOML file, or ReadError."""
    return parse_toml(read_bounded(path, bounds), bounds)


def beyond(text: str, bounds: Bounds) -> str:
    """Return why a text of TOML holds more than its bounds let it, or nothing; no parser has seen it yet."""
    bare = _STRINGS_AND_COMMENTS.sub('""', text) if '"' in text or "'" in text or "#" in text else text
    long_key = rf'(?<![\w"-])(?:[\w"-]++[ \t]*+\.[ \t]*+){{{bounds.most_deep}}}'
    brackets = bare.count("[") + bare.count("{")
    if brackets > bounds.most_items:
        return f"it has {brackets:,} brackets, and no file of its kind has more than {bounds.most_items:,}"
    if _is_deeper(bare, bounds.most_deep) or re.search(long_key, bare):
        return f"it nests more than {bounds.most_deep} deep"
    headers = len(_HEADER.findall(bare))
    if headers > bounds.most_headers:
        return f"it has {headers:,} tables, and no file of its kind has more than {bounds.most_headers:,}"
    items = headers + bare.count("=") + bare.count(",") + bare.count(".")
    if items > bounds.most_items:
        return f"it has {items:,} keys and items, and no file of its kind has more than {bounds.most_items:,}"
    return ""


_HEADER: Final = re.compile(r"(?m)^[ \t]*\[")
_STRINGS_AND_COMMENTS: Final = re.compile(
    r'"""(?:[^"\\]+|\\[\s\S]|"(?!""))*+(?:"{3,5}|\\?\Z)'
    r"|'''(?:[^']+|'(?!''))*+(?:'{3,5}|\Z)"
    r'|"(?:[^"\\\n]+|\\[^\n])*+"?'
    r"|'[^'\n]*+'?"
    r"|\#[^\n]*+"
)
"""Possessive, and unclosed ones run on: the time stays in proportion to the text, whatever the text is."""


def _too_large(bounds: Bounds) -> str:
    return f"it is larger than {bounds.most_bytes:,} bytes, more than it can need"


def _decoded(content: bytes) -> str:
    encoding = "utf-16" if content[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    try:
        return content.decode(encoding)
    except UnicodeDecodeError as error:
        raise ReadError(f"it is no text: byte {error.start + 1} is not {error.encoding.upper()}") from error


def _is_deeper(bare: str, most_deep: int) -> bool:
    depth = 0
    for bracket in re.finditer(r"[\[\]{}]", bare):
        depth = max(0, depth + (1 if bracket[0] in "[{" else -1))
        if depth > most_deep:
            return True
    return False
