"""Whether the pictures that a record names are still those that were signed for."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from crewtui.disk.picture_files import PICTURE
from crewtui.disk.their_files import ReadError, read_bounded
from crewtui.foreign import shown
from crewtui.record.signed.form import PhotographTaken, Record

PictureState = Literal["as signed", "altered", "missing"]


class PictureFound(Struct, frozen=True, kw_only=True):
    """One picture of a record, and what lies in its place."""

    row: PhotographTaken
    state: PictureState
    words: str
    content: bytes = b""
    """As it was signed for; nothing where it is another or missing."""


def pictures_beside(
    record: Record, record_path: Path, *, with_content: bool = True
) -> tuple[PictureFound, ...]:
    """Return what lies in the place of each picture: the job's folder of pictures beside the record.

    Without content where only the hashes are asked for: many records take no more memory.
    """
    folder = record_path.parent / f"{Path(record.job.file).stem}.pictures"
    found = (_found(row, folder) for row in record.photograph)
    return tuple(one if with_content else replace(one, content=b"") for one in found)


def _found(row: PhotographTaken, folder: Path) -> PictureFound:
    name = shown(row.file)
    if not row.file or Path(row.file).name != row.file or row.file in {".", ".."} or "\\" in row.file:
        return PictureFound(row=row, state="missing", words=f"{name} is no name of a picture.")
    try:
        content = read_bounded(folder / row.file, PICTURE)
    except ReadError as error:
        words = f"{name} is not here to be looked at: {error}, in {shown(folder.name)}."
        return PictureFound(row=row, state="missing", words=words)
    if hashlib.sha256(content).hexdigest() != row.sha256:
        words = (
            f"{name} is not the picture that was signed for: it was changed, or another was put in its place."
        )
        return PictureFound(row=row, state="altered", words=words)
    return PictureFound(row=row, state="as signed", words=f"{name} is as signed.", content=content)
