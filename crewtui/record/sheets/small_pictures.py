"""Small copies of a record's pictures for a page: only those that are as signed, without place or camera."""

from __future__ import annotations

from base64 import b64encode
from pathlib import Path

from msgspec import Struct

from crewtui.disk.picture_files import small_copy
from crewtui.disk.their_files import ReadError
from crewtui.foreign import prose
from crewtui.record.house import record_look
from crewtui.record.signed.form import PhotographTaken, Record
from crewtui.record.signed.pictures import pictures_beside


class SmallPicture(Struct, frozen=True, kw_only=True):
    """A picture on the page, complete in itself."""

    words: str
    address: str
    """The picture itself, as a ``data:`` address."""


def small_pictures(record: Record, record_path: Path) -> tuple[SmallPicture, ...]:
    """Return a small copy of each picture that is there, is as signed, and can be shown here."""
    found, made = [], dict[str, bytes]()
    for one in pictures_beside(record, record_path):
        if one.state != "as signed":
            continue
        try:
            content = made.get(one.row.sha256) or small_copy(one.content)
        except ReadError:
            continue
        made[one.row.sha256] = content
        address = f"data:image/jpeg;base64,{b64encode(content).decode('ascii')}"
        found.append(SmallPicture(words=_words(one.row), address=address))
    return tuple(found)


def _words(row: PhotographTaken) -> str:
    where = f"{prose(row.anchor)}: " if row.anchor else ""
    return f"{where}{prose(row.of)}, {record_look.moment(row.done_at)}"
