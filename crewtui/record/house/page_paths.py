"""Where the pages made of a record or a day stand: beside it, under its name."""

from __future__ import annotations

from pathlib import Path
from typing import Final, Literal

Reader = Literal["owner", "office"]
_ENDINGS: Final[dict[Reader, str]] = {"owner": ".html", "office": ".office.html"}


def sheet_path(record: Path, reader: Reader = "owner") -> Path:
    """Return where the page of a record stands."""
    return record.with_name(f"{record.name.removesuffix('.toml')}{_ENDINGS[reader]}")


def draft_path(job_path: Path) -> Path:
    """Return where the draft of a day's sheet stands, beside the job file."""
    return job_path.with_name(f"{job_path.stem}.draft.html")


__all__ = ["Reader", "draft_path", "sheet_path"]
