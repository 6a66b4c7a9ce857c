"""The one rule for files: only plain ones are opened, never through a link, and never so that it could block.

What lies in a job's folder may come from anybody's stick. A pipe or a device in place of a file would hang
the program or feed it without end; a link would let it read or overwrite a file that is none of its own.
"""

from __future__ import annotations

import errno
import os
import stat
import tempfile
from contextlib import suppress
from pathlib import Path
from typing import Final

import platformdirs

HOME_VARIABLE: Final = "CREWTUI_HOME"

_SAFELY: Final = (
    getattr(os, "O_NOFOLLOW", 0)
    | getattr(os, "O_NONBLOCK", 0)
    | getattr(os, "O_CLOEXEC", 0)
    | getattr(os, "O_NOCTTY", 0)
    | getattr(os, "O_BINARY", 0)
)
_OTHER_KINDS: Final = (
    (stat.S_ISLNK, "a link"),
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISSOCK, "a socket"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
)


class NotPlainError(OSError):
    """What stands there is no plain file; ``kind`` says in words what it is."""

    def __init__(self, path: Path, kind: str) -> None:
        super().__init__(errno.EINVAL, f"it is {kind}, not a plain file", str(path))
        self.kind = kind


def check_plain(path: Path, *, writes: bool) -> None:
    """Raise NotPlainError where what stands there is no plain file of ours; a place that is free is fine."""
    try:
        held = path.lstat()
    except (FileNotFoundError, NotADirectoryError):
        return
    _refuse_other(path, held, writes=writes)


def _kind(mode: int) -> str:
    return (
        "" if stat.S_ISREG(mode) else next((word for is_it, word in _OTHER_KINDS if is_it(mode)), "strange")
    )


def open_own(path: Path, flags: int, mode: int = 0o644) -> int:
    """Return a handle on a plain file; NotPlainError for anything else, OSError as ``os.open`` raises it.

    A file that would be written and has a second name elsewhere is not opened: that name may be anybody's.
    """
    writes = bool(flags & (os.O_WRONLY | os.O_RDWR))
    check_plain(path, writes=writes)
    handle = os.open(path, flags | _SAFELY, mode)
    try:
        _refuse_other(path, os.fstat(handle), writes=writes)
    except BaseException:
        os.close(handle)
        raise
    return handle


def _refuse_other(path: Path, held: os.stat_result, *, writes: bool) -> None:
    kind = _kind(held.st_mode)
    if not kind and writes and held.st_nlink > 1:
        kind = "one file under two names (a hard link)"
    if kind:
        raise NotPlainError(path, kind)


def write_whole(path: Path, content: bytes, *, private: bool = False) -> None:
    """Write a file so that it is there whole or not at all: beside it first, flushed, then moved into place.

    A private file can be read by its owner only, from its first byte on, where the platform has such rights.
    """
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
    part = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if not private and os.name == "posix":
            part.chmod(0o644)
        part.replace(path)
    except BaseException:
        with suppress(OSError):
            part.unlink()
        raise
    flush_folder(path.parent)


def flush_folder(folder: Path) -> None:
    """Flush a folder's own list of files where the platform can; Windows does it with the file.

    Some network, USB and other mounts refuse it and hold the file all the same: the file itself is flushed.
    """
    if os.name != "posix":
        return
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def home_folder() -> Path:
    """Return the user's own folder, for keys and the company's file; ``CREWTUI_HOME`` names another."""
    chosen = os.environ.get(HOME_VARIABLE)
    return Path(chosen) if chosen else platformdirs.user_data_path("crewtui", appauthor=False)


def cache_folder() -> Path:
    """Return where what can be worked out anew is kept; under ``CREWTUI_HOME`` where that names a folder."""
    chosen = os.environ.get(HOME_VARIABLE)
    return Path(chosen) / "cache" if chosen else platformdirs.user_cache_path("crewtui", appauthor=False)
