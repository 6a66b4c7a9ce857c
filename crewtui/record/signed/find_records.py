"""Finding the records in files and folders: each once, however they are linked, and what stayed shut."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path
from typing import Final

from msgspec import Struct, field

from crewtui.record.signed.sign import RECORD_ENDING
from crewtui.record.signed.verify import Verdict, not_judged

MOST_DEEP: Final = 60
"""Folders inside each other; past it a path is too long for some systems."""


class RecordFound(Struct):
    """What was found in the paths that were named."""

    files: list[Path] = field(default_factory=list)
    """In order of their names, folder by folder."""
    unjudged: list[Verdict] = field(default_factory=list)
    """What could not be looked into: it may hold records too."""


def find_records(paths: Iterable[Path]) -> RecordFound:
    """Return each file named, and of each folder every record below it.

    A folder is entered once, by whichever way: links that lead in circles come to an end.
    """
    found = RecordFound()
    entered: set[tuple[int, int]] = set()
    for path in paths:
        if is_folder(path):
            _walk(path, found, entered)
        else:
            found.files.append(path)
    return found


def leads_out(path: Path, named: Iterable[Path]) -> bool:
    """Return whether a record that was found lies outside all that was named: a link led to it."""
    there = path.resolve()
    return not any(there.is_relative_to(top.resolve()) for top in named) and path not in set(named)


def is_folder(path: Path) -> bool:
    """Return whether it is a folder; a name that is too long for a file is none."""
    try:
        return path.is_dir()
    except OSError:
        return False


def _walk(top: Path, found: RecordFound, entered: set[tuple[int, int]]) -> None:
    waiting = [(top, 0)]
    while waiting:
        folder, depth = waiting.pop()
        if depth > MOST_DEEP:
            found.unjudged.append(not_judged(folder, f"it lies more than {MOST_DEEP} folders deep"))
            continue
        try:
            held = folder.stat()
            if (held.st_dev, held.st_ino) in entered:
                continue
            entered.add((held.st_dev, held.st_ino))
            with os.scandir(folder) as entries:
                names = sorted(entries, key=lambda entry: entry.name)
        except OSError as error:
            why = f"the folder cannot be opened ({error.strerror or error})"
            found.unjudged.append(not_judged(folder, why))
            continue
        inner = []
        for entry in names:
            path = folder / entry.name
            try:
                is_folder = entry.is_dir()
            except OSError as error:
                found.unjudged.append(not_judged(path, f"it cannot be looked at ({error.strerror or error})"))
                continue
            if is_folder:
                inner.append((path, depth + 1))
            elif entry.name.casefold().endswith(RECORD_ENDING):
                found.files.append(path)
        waiting += reversed(inner)
