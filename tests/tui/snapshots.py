"""Snapshots of the main screens as text, with a mark for their colors: what changes shows as a difference.

    python tests/tui/snapshots.py

writes them to ``tests/tui/snapshots`` anew, a file for each size; a test holds every look against them. The
marks after a screen's name stand for its colors in each look, and for its grays where NO_COLOR is set.
"""

from __future__ import annotations

import asyncio
import hashlib
import os
import sys
import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Final

sys.path.insert(0, str(Path(__file__).parent))

from gallery import half_done, painted, text_of, truck_worked_out, walk
from rich.style import Style
from textual.filter import monochrome_style
from textual.strip import Strip

from crewtui.tui.app.application import CrewApp
from crewtui.tui.app.looks import LOOKS, SUN

FOLDER: Final = Path(__file__).parent / "snapshots"
SIZES: Final = ((80, 24), (120, 36), (200, 50))
GRAY: Final = "gray"
SCREENS: Final = (
    "anchors", "steps", "steps, typing", "figures", "ground", "rods", "hazards", "wall", "day", "record",
    "what now, a way", "readout", "emergency", "a reason", "a choice",
)  # fmt: skip
"""The main screens, by their names in the gallery."""

Seen = Mapping[str, tuple[list[str], dict[str, str]]]
"""Of each screen its lines, and the marks of its colors."""


async def seen(folder: Path, size: tuple[int, int]) -> Seen:
    """Return every main screen as it is painted at that size, in every look one after the other."""
    found: dict[str, tuple[list[str], dict[str, str]]] = {}
    with half_done(folder) as day:
        app = CrewApp(day, look=SUN)
        async with app.run_test(size=size) as pilot:
            await truck_worked_out(pilot)
            async for name in walk(pilot, SCREENS):
                lines, marks = text_of(painted(pilot)), {GRAY: mark(painted(pilot), gray=True)}
                for look in LOOKS:
                    app.theme = look
                    await pilot.pause()
                    marks[look] = mark(painted(pilot), gray=False)
                    assert text_of(painted(pilot)) == lines, f"{name} has other words in the look {look}"
                app.theme = SUN
                await pilot.pause()
                found[name] = lines, marks
    return found


def mark(strips: Iterable[Strip], *, gray: bool) -> str:
    """Return a short mark of the colors and weights that a screen is painted in."""
    digest = hashlib.sha256()
    for strip in strips:
        for text, style, _ in strip.simplify():
            shown = monochrome_style(style) if gray and style is not None else style
            digest.update(f"{len(text)} {_words(shown or Style())}\n".encode())
    return digest.hexdigest()[:8]


def _words(style: Style) -> str:
    return f"{style.color} {style.bgcolor} {style.bold} {style.reverse} {style.underline}"


def written(screens: Seen) -> str:
    """Return the file of one size."""
    parts: list[str] = []
    for name, (lines, marks) in screens.items():
        said = " ".join(f"{key} {value}" for key, value in sorted(marks.items()))
        parts += [f"== {name} == {said}", *(f"|{line}" for line in lines), ""]
    return "\n".join(parts)


def read(size: tuple[int, int]) -> dict[str, tuple[list[str], dict[str, str]]]:
    """Return what the file of that size holds."""
    found: dict[str, tuple[list[str], dict[str, str]]] = {}
    name = ""
    for line in path_of(size).read_text(encoding="utf-8").splitlines():
        if line.startswith("== "):
            name, _, said = line.removeprefix("== ").partition(" == ")
            words = said.split()
            found[name] = [], dict(zip(words[::2], words[1::2], strict=True))
        elif line:
            found[name][0].append(line.removeprefix("|"))
    return found


def path_of(size: tuple[int, int]) -> Path:
    """Return where the snapshots of that size are."""
    return FOLDER / f"{size[0]}x{size[1]}.txt"


def main() -> None:
    """Write every file."""
    FOLDER.mkdir(exist_ok=True)
    for size in SIZES:
        with tempfile.TemporaryDirectory() as folder:
            os.environ["CREWTUI_HOME"] = folder
            screens = asyncio.run(seen(Path(folder), size))
        path_of(size).write_text(written(screens), encoding="utf-8")


if __name__ == "__main__":
    main()
