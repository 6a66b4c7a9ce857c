"""The pictures of the docs, made by the program's own export on the block sample with a fixed clock.

    python tests/tui/pictures.py

writes them to ``docs/pictures`` anew; a test holds the words of each against what the program shows now.
"""

from __future__ import annotations

import asyncio
import html
import os
import re
import shutil
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Final

sys.path.insert(0, str(Path(__file__).parent))

from fixed_clock import SAMPLES, Watch
from gallery import half_done
from textual.pilot import Pilot

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.tui.app.application import CrewApp
from crewtui.tui.app.day_screen import DayScreen

FOLDER: Final = Path(__file__).parents[2] / "docs" / "pictures"
SMALL, WIDE = (80, 24), (120, 36)


@dataclass(frozen=True, slots=True)
class Picture:
    """One picture: its file's name, the keys that lead there, and the terminal's size."""

    name: str
    keys: tuple[str, ...]
    size: tuple[int, int] = SMALL
    upto: str = ""
    """The step up to which N2 is worked through, with N1 done; empty for a day that begins now."""


PICTURES: Final = (
    Picture("first", ("d",)),
    Picture("briefing", ("d", "home", "up", "enter")),
    Picture("hazards", ("h",)),
    Picture("steps", ("s", *"156", "enter", *"6")),
    Picture("tightening", (), WIDE, upto="wall-plate-on"),
    Picture("figures", ("f",)),
    Picture("ground", ("g",)),
    Picture("rods", ("r",)),
    Picture("what-now", (*"33", "enter", "up", "enter"), WIDE, upto="held-angle"),
    Picture("wall", ("v",)),
    Picture("complete", ("c",)),
    Picture("emergency", ("exclamation_mark",)),
    Picture("main", tuple("41"), WIDE, upto="held-angle"),
)


async def taken(picture: Picture) -> str:
    """Return the picture as SVG, of a day that begins now."""
    with tempfile.TemporaryDirectory() as folder:
        watch = Watch()
        if picture.upto:
            opened = half_done(Path(folder), upto=(("N1", "closed"), ("N2", picture.upto)))
        else:
            job = Path(shutil.copy(SAMPLES / "block-wall.toml", folder))
            opened = Day.open(job, clock=watch, figures=figures_for)
        with opened as day:
            app = CrewApp(day)
            async with app.run_test(size=picture.size) as pilot:
                await _worked_out(pilot)
                for key in picture.keys:
                    watch.go_on(minutes=1)
                    await pilot.press(key)
                await _worked_out(pilot)
                return plain(app.export_screenshot(title="crewtui"))


async def _worked_out(pilot: Pilot[int]) -> None:
    """Wait until the cut list stands, so that every picture is of the same moment."""
    screen = next(one for one in pilot.app.screen_stack if isinstance(one, DayScreen))
    for _ in range(1_000):
        await pilot.pause(0.02)
        if screen.truck.latest is not None and not screen.truck.latest.working:
            break
    await pilot.pause()


def words(svg: str) -> list[str]:
    """Return what is written in a picture, line by line, without where and how."""
    found = re.findall(r"<text[^>]*>([^<]*)", svg)
    return [html.unescape(text).replace("\N{NO-BREAK SPACE}", " ") for text in found]


def plain(svg: str) -> str:
    """Return the picture in whatever font of one width is there, nothing fetched and no window round it."""
    svg = re.sub(r"@font-face \{.*?\}\s*", "", svg, flags=re.DOTALL)
    svg = re.sub(r"<!-- .*? -->\s*", "", svg, flags=re.DOTALL)
    svg = re.sub(r'<text class="[^"]*-title".*?</text>\s*', "", svg, flags=re.DOTALL)
    svg = re.sub(r'<g transform="[^"]*">\s*(?:<circle[^>]*/>\s*)+</g>', "", svg)
    return re.sub(r"font-family: [^;]*;", 'font-family: "DejaVu Sans Mono", Consolas, monospace;', svg)


def main() -> None:
    """Write every picture."""
    os.environ["CREWTUI_HOME"] = str(Path(tempfile.mkdtemp()))
    FOLDER.mkdir(exist_ok=True)
    for picture in PICTURES:
        svg = asyncio.run(taken(picture))
        (FOLDER / f"{picture.name}.svg").write_text(svg + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
