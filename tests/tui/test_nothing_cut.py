"""No label, limit, value or reason is cut on any pane, at any size, on a job with long names either."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from fixed_clock import SAMPLES, Watch
from gallery import day_screen, half_done, painted, text_of
from rich.cells import cell_len

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.tui.app.application import CrewApp
from crewtui.tui.keys.commands import PANES
from crewtui.tui.widgets.fit import ELLIPSIS, wrap
from crewtui.tui.widgets.row_layout import Row, columns_for, lay_out_row

SIZES = ((80, 24), (120, 36), (160, 45), (200, 50))
LONG = "north-east basement wall"


def long_names(folder: Path) -> Day:
    """Open a metric job whose walls and anchors have the longest names that a crew would write."""
    text = (SAMPLES / "poured-deep-frost-metric.toml").read_text(encoding="utf-8")
    text = text.replace('"east"', f'"{LONG}"')
    text = re.sub(r"\beast =", f'"{LONG}" =', text)
    for number in range(1, 7):
        text = text.replace(f'"E{number}"', f'"E{number}-garage-9"')
    job = folder / "long.toml"
    job.write_text(text, encoding="utf-8")
    return Day.open(job, clock=Watch(), figures=figures_for)


def two_walls(folder: Path) -> Day:
    """Open a job of two walls at a corner, with ids of twelve letters."""
    text = (SAMPLES / "two-walls-stoop.toml").read_text(encoding="utf-8")
    for name in ("N1", "N2", "N3", "N4", "E1", "E2"):
        text = text.replace(f'"{name}"', f'"{name}-porch-7th"')
    job = folder / "walls.toml"
    job.write_text(text, encoding="utf-8")
    return Day.open(job, clock=Watch(), figures=figures_for)


def fresh(folder: Path) -> Day:
    """Open a sample on which nothing is entered."""
    job = Path(shutil.copy(SAMPLES / "clay-tile-tight.toml", folder))
    return Day.open(job, clock=Watch(), figures=figures_for)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("opened", [half_done, fresh, long_names, two_walls])
async def test_nothing_is_cut_on_any_pane(tmp_path: Path, size: tuple[int, int], opened: object) -> None:
    with opened(tmp_path) as day:  # type: ignore[operator]
        async with CrewApp(day).run_test(size=size) as pilot:
            screen = day_screen(pilot)
            for name, _, _ in PANES:
                screen.go(pane=name)
                await pilot.pause()
                cut = [line for line in text_of(painted(pilot)) if ELLIPSIS in line]
                assert not cut, (name, cut)


async def test_the_frame_takes_at_most_nine_rows_and_three_steps_ahead_are_in_view(tmp_path: Path) -> None:
    with half_done(tmp_path) as day:
        async with CrewApp(day).run_test(size=(80, 24)) as pilot:
            screen = day_screen(pilot)
            screen.go(anchor="N2", pane="steps")
            await pilot.pause()
            pane = screen.steps_pane
            assert 24 - pane.region.height <= 9
            before = pane.region.height
            step = pane.cursor_key
            lines = text_of(painted(pilot))
            at = next(n for n, line in enumerate(lines) if line.startswith(">"))
            keys = [row.key for row in pane.rows if row.stops]
            ahead = [pane.step_at(key) for key in keys[keys.index(step) + 1 :][:3]]
            assert all(any(one.label in line for line in lines[at:]) for one in ahead if one is not None)
            await pilot.press("7")
            assert pane.region.height == before, "nothing above or below jumps while a value is typed"


@pytest.mark.parametrize("width", [30, 40, 59, 80, 120])
def test_a_row_is_laid_out_whole_at_any_width(width: int) -> None:
    rows = [
        Row(key="a", label="Mark below grade, grade carried inside", hint="660 to 762 mm", typed=True),
        Row(key="b", label="First torque at the nut", value="80 lbf·ft (108 N·m), clicked", note="a reason"),
        Row(key="c", label="A word of warning that is longer than the widest list of any screen. " * 2),
    ]
    for row in rows:
        lines = lay_out_row(row, columns_for(rows, width), None)
        said = "".join("".join(part.text for part in line) for line in lines)
        for words in (row.label, row.value or row.hint, row.note):
            assert all(word in said for word in words.split()), (width, words)
        assert all(sum(cell_len(part.text) for part in line) < width for line in lines)


def test_words_are_wrapped_within_their_width() -> None:
    assert wrap("one two three", 7) == ["one two", "three"]
    assert wrap("abcdefghij k", 4) == ["abcd", "efgh", "ij k"]
