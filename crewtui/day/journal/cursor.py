"""Where the cursor stood, in a side file: a comfort, no part of the truth, and no loss if it is lost."""

from __future__ import annotations

import contextlib
import json
from pathlib import Path


def _path(journal: Path) -> Path:
    return journal.with_name(f"{journal.name}.cursor")


def keep(journal: Path, last_n: int, anchor: str | None, step: str | None) -> None:
    """Keep the place, for as long as the journal has no further entry; a disk that fails is no matter."""
    path = _path(journal)
    fresh = path.with_name(f"{path.name}.new")
    with contextlib.suppress(OSError):
        fresh.write_text(json.dumps({"n": last_n, "anchor": anchor, "step": step}), encoding="utf-8")
        fresh.replace(path)


def kept(journal: Path, last_n: int) -> tuple[str | None, str | None] | None:
    """Return the kept place, or None where there is none or an entry is newer."""
    try:
        with _path(journal).open("rb") as file:
            data = json.loads(file.read(4096))
    except (OSError, ValueError, RecursionError):
        return None
    if not isinstance(data, dict) or data.get("n") != last_n:
        return None
    anchor, step = data.get("anchor"), data.get("step")
    if not isinstance(anchor, str | None) or not isinstance(step, str | None):
        return None
    return anchor, step
