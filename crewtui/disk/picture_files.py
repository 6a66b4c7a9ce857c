"""Picture files, as cameras and phones write them: whether one is whole, when it was taken, a small copy.

Pillow reads them, and is loaded only where a picture is looked at. A picture of a format that it does not
know here (HEIC) is kept by its bytes, with the time of its file.
"""

from __future__ import annotations

import hashlib
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta, tzinfo
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from crewtui.disk.their_files import Bounds, ReadError, read_bounded
from crewtui.foreign import shown

if TYPE_CHECKING:
    from PIL.Image import Image

PICTURE: Final = Bounds(most_bytes=100_000_000, most_headers=0, most_items=0)
"""A camera's largest picture is about half of that; a film is no picture."""
ENDINGS: Final = frozenset({".jpg", ".jpeg", ".png", ".tif", ".tiff", ".webp", ".heic", ".heif"})
_NOT_READ_HERE: Final = frozenset({b"heic", b"heix", b"mif1", b"heim", b"msf1"})
"""Brands of ISO base media files (ISO/IEC 23008-12) that hold a picture which Pillow alone does not read."""
_MOST_PIXELS: Final = 300_000_000
"""Of a JPEG, which is read through at an eighth of its size."""
_MOST_PIXELS_WHOLE: Final = 30_000_000
"""Of any other, which is unpacked whole, four bytes a pixel, and copied."""
_WIDEST: Final = 640
"""Of a small copy, in pixels."""
# EXIF 2.32 (CIPA DC-008), Exif IFD: DateTimeOriginal and OffsetTimeOriginal.
_EXIF_IFD, _TAKEN, _OFFSET = 0x8769, 0x9003, 0x9011


class PictureRead(Struct, frozen=True, kw_only=True):
    """A picture file as it was found."""

    content: bytes
    sha256: str
    taken_at: datetime
    by_camera: bool
    """Whether the camera says when; else it is the file's date."""


def read_picture(path: Path, zone: tzinfo | None) -> PictureRead:
    """Return a picture's bytes, hash and time; ReadError where it cannot be read or is no picture.

    A camera that names no offset is taken to run in ``zone``.
    """
    content = read_bounded(path, PICTURE)
    camera = None if _is_kept_as_is(content) else _time_of(content, zone)
    by_file = datetime.fromtimestamp(path.stat().st_mtime, tz=zone)
    return PictureRead(
        content=content,
        sha256=hashlib.sha256(content).hexdigest(),
        taken_at=camera or by_file,
        by_camera=camera is not None,
    )


def _is_kept_as_is(content: bytes) -> bool:
    return content[4:8] == b"ftyp" and content[8:12] in _NOT_READ_HERE


def _time_of(content: bytes, zone: tzinfo | None) -> datetime | None:
    """Return when the camera says that it was taken; None where it does not say."""
    with _opened(content) as image:
        try:
            exif = image.getexif().get_ifd(_EXIF_IFD)
        except Exception:  # noqa: BLE001 - whatever a damaged note in a whole picture does, the picture stays
            return None
    text = str(exif.get(_TAKEN, "")).strip("\0 ")
    try:
        plain = datetime.strptime(text, "%Y:%m:%d %H:%M:%S")  # noqa: DTZ007 - its offset follows
    except ValueError:
        return None
    return plain.replace(tzinfo=_offset(str(exif.get(_OFFSET, ""))) or zone)


def _offset(text: str) -> tzinfo | None:
    try:
        return datetime.strptime(text.strip("\0 "), "%z").tzinfo
    except ValueError:
        return None


@contextmanager
def _opened(content: bytes) -> Iterator[Image]:
    """Open a picture whose every part was looked at; ReadError where it is none or torn."""
    from PIL import Image  # noqa: PLC0415 - loaded only where a picture is looked at

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(BytesIO(content)) as image:
                _refuse_huge(image)
                image.draft("RGB", (_WIDEST, _WIDEST))  # A JPEG is read through at an eighth of its size.
                image.load()
                yield image
    except ReadError:
        raise
    except Exception as error:
        raise ReadError(f"it is no picture, or a torn one ({shown(error)})") from error


def _refuse_huge(image: Image) -> None:
    most = _MOST_PIXELS if image.format == "JPEG" else _MOST_PIXELS_WHOLE
    if image.width * image.height > most:
        raise ReadError("it has more pixels than any camera's picture")


def small_copy(content: bytes) -> bytes:
    """Return a small JPEG of a picture with nothing in it but the picture: no place, no time, no camera.

    ReadError where it cannot be made.
    """
    with _opened(content) as image:
        from PIL import ImageOps  # noqa: PLC0415 - as above

        upright = ImageOps.exif_transpose(image).convert("RGB")
        upright.thumbnail((_WIDEST, _WIDEST))
        bare = upright.copy()
        bare.info.clear()
        out = BytesIO()
        bare.save(out, "JPEG", quality=70)
    return out.getvalue()


SLACK: Final = timedelta(minutes=5)
"""How far ahead of this computer's clock a camera's may be."""
