"""The pictures in the docs show the program as it is."""

from __future__ import annotations

import pytest
from pictures import FOLDER, PICTURES, Picture, taken, words

OWNER_SHEET = "owner-sheet.png"
"""Made by ``tests/docs/sheet_picture.py``, which needs a browser."""


@pytest.mark.parametrize("picture", PICTURES, ids=lambda picture: picture.name)
async def test_the_picture_is_of_today_s_program(picture: Picture) -> None:
    """Made anew by ``python tests/tui/pictures.py``."""
    there = (FOLDER / f"{picture.name}.svg").read_text(encoding="utf-8")
    assert words(there) == words(await taken(picture))


def test_every_picture_stands_in_a_page() -> None:
    docs = FOLDER.parent
    pages = "".join(
        page.read_text(encoding="utf-8") for page in (*docs.glob("*.md"), docs.parent / "README.md")
    )
    names = [*(f"{one.name}.svg" for one in PICTURES), OWNER_SHEET]
    assert sorted(path.name for path in FOLDER.glob("*")) == sorted(names)
    for name in names:
        assert f"pictures/{name}" in pages, name
