"""How long a key press takes until the section stands repainted, beside a bare widget's text in the same run.

    python tests/bench/section_repaint.py [--presses 200]

A press counts from the key to the screen updated (headless driver, so without the terminal's own time). The
bare app replaces the text of one ``Static`` of the same size. Prints medians, 99th percentiles, ratios, and
the drawing alone.
"""

# ruff: noqa: T201 - a benchmark that prints

from __future__ import annotations

import argparse
import asyncio
import statistics
import time
from typing import Any, NamedTuple

from textual.app import App, ComposeResult
from textual.widgets import Static

from crewtui.trade.aim.rod_line import Section, angle_for_deg
from crewtui.trade.ground.band import RodHabit, rod_band
from crewtui.trade.ground.line_verdict import judge_line
from crewtui.trade.ground.lines import Line
from crewtui.trade.pictures.section import PitSide, SectionPicture, WallSide, section_picture
from crewtui.tui.app.looks import SUN, THEMES
from crewtui.tui.widgets.section_widget import SectionView, draw_section

WALL = WallSide(
    type="block", way_in=8, grade_to_top_in=10, slab_to_top_in=92, joist_clearance_in=10, course_in=8
)
PIT = PitSide(seat_in=138, along_rod_in=12, depth_in=56, plate_height_in=12)
SECTION = Section(mark_depth_in=28, way_in=8, seat_in=138, drop_in=6.9)
HABIT = RodHabit(rod_diameter_in=0.75, past_seat_in=12, drift_sd_deg=1.118, side_sd_deg=1.118)
LINES = (
    Line(name="main", kind="gas", points=((0, 70), (200, 90))),
    Line(name="water", kind="potable water", points=((104, 0), (104, 300)), depth_in=44),
)
SIZES = ((40, 12), (80, 24), (118, 30), (150, 40))


def picture(depth_in: float) -> SectionPicture:
    """Return the picture for an aim, lines judged again, as the screen does at every key."""
    held_deg = angle_for_deg(SECTION, depth_in)
    band = rod_band(SECTION, held_deg, along_in=100, habit=HABIT)
    return section_picture(
        WALL,
        PIT,
        mark_depth_in=28,
        drop_in=6.9,
        held_deg=held_deg,
        tail_length_in=60,
        least_angle_deg=angle_for_deg(SECTION, 36),
        greatest_angle_deg=angle_for_deg(SECTION, 47),
        frost_in=30,
        ran_deg=(4.6,),
        lines=[judge_line(line, band, least_clearance_in=6) for line in LINES],
        title="A-3",
    )


class Clocked(App[None]):
    """Notes when the screen was last written to."""

    shown_at = 0.0
    presses = 0

    def _display(self, *args: Any, **more: Any) -> None:
        super()._display(*args, **more)
        self.shown_at = time.perf_counter()


class Drawn(Clocked):
    """The section, a new aim at every key."""

    def __init__(self) -> None:
        super().__init__()
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = SUN

    def compose(self) -> ComposeResult:
        """One view."""
        yield SectionView(picture(42.0))

    def on_key(self) -> None:
        """Show another aim."""
        self.presses += 1
        self.query_one(SectionView).show(picture(38.0 + self.presses % 16 / 2))


class Bare(Clocked):
    """One text of the same size."""

    def compose(self) -> ComposeResult:
        """One text."""
        yield Static("", id="text")

    def on_key(self) -> None:
        """Show another text."""
        self.presses += 1
        line = str(self.presses % 10) * self.size.width
        self.query_one("#text", Static).update("\n".join([line] * self.size.height))


class Press(NamedTuple):
    """One key press, in milliseconds."""

    until_shown: float
    work: float
    """Of the processor."""


async def presses_of(kind: type[Clocked], size: tuple[int, int], presses: int) -> list[Press]:
    """Return how long each key took until the last update of the screen, and how much work it was."""
    app = kind()
    found = []
    async with app.run_test(size=size) as pilot:
        for press in range(presses + 10):
            start, work = time.perf_counter(), time.process_time()
            await pilot.press("a")
            taken = Press((app.shown_at - start) * 1000, (time.process_time() - work) * 1000)
            if press >= 10:  # the first ones fill caches
                found.append(taken)
    return found


def drawing_ms(size: tuple[int, int], times: int) -> float:
    """Return the median milliseconds of judging the lines, building the picture and drawing it."""
    found = []
    for turn in range(times):
        start = time.perf_counter()
        draw_section(picture(38.0 + turn % 16 / 2), *size)
        found.append((time.perf_counter() - start) * 1000)
    return statistics.median(found)


def line_of(size: tuple[int, int], presses: int) -> str:
    """Return one line of the table."""
    drawn = asyncio.run(presses_of(Drawn, size, presses))
    bare = asyncio.run(presses_of(Bare, size, presses))
    cells = [f"{size[0]}x{size[1]}"]
    for pick in (lambda press: press.until_shown, lambda press: press.work):
        mine, theirs = sorted(map(pick, drawn)), sorted(map(pick, bare))
        late = int(len(mine) * 0.99)
        medians = statistics.median(mine), statistics.median(theirs)
        cells += [
            f"{medians[0]:.1f}",
            f"{mine[late]:.1f}",
            f"{medians[1]:.1f}",
            f"{medians[0] / medians[1]:.2f}",
        ]
    cells.append(f"{drawing_ms(size, presses):.1f}")
    return "| " + " | ".join(cells) + " |"


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description="Key to repaint of the section beside a bare text.")
    parser.add_argument("--presses", type=int, default=200)
    presses = parser.parse_args().presses
    print("ms: key to shown (median, 99th, bare, ratio), work (median, 99th, bare, ratio), drawing alone\n")
    print("| pane | shown | 99th | bare | ratio | work | 99th | bare | ratio | drawing |")
    print("|---" * 10 + "|")
    for size in SIZES:
        print(line_of(size, presses), flush=True)


if __name__ == "__main__":
    main()
