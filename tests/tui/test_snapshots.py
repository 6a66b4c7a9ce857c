"""The main screens are as their snapshots have them; made anew by ``python tests/tui/snapshots.py``."""

from __future__ import annotations

from pathlib import Path

import pytest
from snapshots import SIZES, read, seen


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_the_main_screens_are_as_they_were_in_every_look(tmp_path: Path, size: tuple[int, int]) -> None:
    before = read(size)
    now = await seen(tmp_path, size)
    assert list(now) == list(before)
    for name, (lines, marks) in now.items():
        assert lines == before[name][0], name
        assert marks == before[name][1], f"{name} has other colors"
