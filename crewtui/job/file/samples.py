"""The invented sample jobs, which come with the program."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Final

_PACKAGE: Final = Path(__file__).parents[2]
_FOLDERS: Final = (_PACKAGE / "sample_jobs", _PACKAGE.parent / "sample_jobs")
"""As installed, and as the source has them."""
_ABOUT: Final = 1
"""The line of a sample that says what it is of; the one above it says that all of it is invented."""


@cache
def samples() -> dict[str, bytes]:
    """Return every sample's text by its name, as its file has it."""
    folder = next(each for each in _FOLDERS if each.is_dir())
    return {path.stem: path.read_bytes() for path in sorted(folder.glob("*.toml"))}


def about(name: str) -> str:
    """Return what a sample is of, in one sentence."""
    line = samples()[name].decode("utf-8").split("\n")[_ABOUT]
    return line.removeprefix("# ").partition(". ")[0].rstrip(".") + "."
