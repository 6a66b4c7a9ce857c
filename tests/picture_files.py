"""Picture files as a camera writes them, small and invented."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from PIL import Image

_MAKER, _EXIF, _GPS = 0x010F, 0x8769, 0x8825


def picture(path: Path, taken_at: datetime | None, *, shade: int = 120, placed: bool = False) -> Path:
    """Write a JPEG of one shade, with the camera's time as EXIF has it, and a place if asked for."""
    image = Image.new("RGB", (48, 32), (shade, shade, 90))
    exif = Image.Exif()
    exif[_MAKER] = "Invented"
    if taken_at is not None:
        exif.get_ifd(_EXIF)[0x9003] = f"{taken_at:%Y:%m:%d %H:%M:%S}"
    if placed:
        exif.get_ifd(_GPS)[1] = "N"
        exif.get_ifd(_GPS)[2] = (41.0, 30.0, 0.0)
    path.parent.mkdir(parents=True, exist_ok=True)
    image.save(path, exif=exif)
    return path
