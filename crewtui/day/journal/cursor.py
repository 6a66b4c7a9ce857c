"""Where the cursor stood, in a side file: a comfort, no part of the truth, and no loss if it is lost.

It also says how many entries there were, by which a journal that was cut short or put back is noticed.
"""

from __future__ import annotations

import contextlib
import json
import os
from pathlib import Path
from typing import Any, Final

from crewtui.disk.own_files import open_own

_MOST_BYTES: Final = 4096


def _path(journal: Path) -> Path:
    return journal.with_name(f"{journal.name}.cursor")


def keep(journal: Path, last_n: int, anchor: str | None, step: str | None) -> None:
    """Keep the place, for as long as the journal has no further entry; a disk that fails is no matter."""
    _write(journal, {"n": last_n, "anchor": anchor, "step": step})


def saw(journal: Path, last_n: int) -> None:
    """Keep how many entries there are once one was added; the place kept before it is none any more."""
    _write(journal, {"seen": last_n})


def _write(journal: Path, data: dict[str, Any]) -> None:
    path = _path(journal)
    fresh = path.with_name(f"{path.name}.new")
    body = json.dumps(data).encode("utf-8")
    with contextlib.suppress(OSError):
        fresh.unlink(missing_ok=True)
        with os.fdopen(open_own(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL), "wb") as file:
            file.write(body)
        fresh.replace(path)


def kept(journal: Path, last_n: int) -> tuple[str | None, str | None] | None:
    """Return the kept place, or None where there is none or an entry is newer."""
    data = _read(journal)
    if data.get("n") != last_n:
        return None
    anchor, step = data.get("anchor"), data.get("step")
    if not isinstance(anchor, str | None) or not isinstance(step, str | None):
        return None
    return anchor, step


def entries_seen(journal: Path) -> int:
    """Return how many entries there were when the file was last written; 0 where nothing says so."""
    data = _read(journal)
    seen = data.get("seen", data.get("n"))
    return seen if type(seen) is int and seen > 0 else 0


def _read(journal: Path) -> dict[str, Any]:
    try:
        with os.fdopen(open_own(_path(journal), os.O_RDONLY), "rb") as file:
            data = json.loads(file.read(_MOST_BYTES))
    except (OSError, ValueError, RecursionError):
        return {}
    return data if isinstance(data, dict) else {}
