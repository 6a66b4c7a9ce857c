"""The folder in which a job's pictures are kept, beside job file and record: copies, never altered."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from crewtui.disk.own_files import write_whole

FOLDER_ENDING: Final = ".pictures"
_MOST_NAMES: Final = 1_000


def pictures_folder(job_file: Path) -> Path:
    """Return the folder of a job's pictures."""
    return job_file.with_name(f"{job_file.stem}{FOLDER_ENDING}")


def keep_copy(folder: Path, name: str, content: bytes) -> str:
    """Write a copy and return its name there; another of that name stays. OSError if it cannot."""
    folder.mkdir(exist_ok=True)
    stem, ending = Path(name).stem, Path(name).suffix
    for number in range(1, _MOST_NAMES):
        found = folder / (name if number == 1 else f"{stem}-{number}{ending}")
        if not found.exists():
            write_whole(found, content)
            return found.name
        if found.is_file() and found.read_bytes() == content:
            return found.name
    raise OSError(f"{folder.name} holds {_MOST_NAMES} pictures of the name {name}")
