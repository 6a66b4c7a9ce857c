"""What holds of every screen, question and page, at every size and in both looks, as it is really painted."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest
from contrast import Shown, contrast, in_16_colors, in_gray, pairs
from gallery import day_screen, half_done, painted, text_of, walk
from rich.cells import cell_len
from textual.geometry import Region
from textual.pilot import Pilot
from textual.strip import Strip
from textual.widget import Widget
from textual.widgets import Input

from crewtui.tui.app.application import CrewApp
from crewtui.tui.app.looks import BASEMENT, SUN
from crewtui.tui.widgets.chrome import KeyBar, PaneBar
from crewtui.tui.widgets.dialogs import Question, confirm
from crewtui.tui.widgets.rows import RowList

VALUE, TEXT, LINES_BEHIND = 7.0, 4.5, 3.0
"""Least contrast of values, of all else, and of lines behind a question (WCAG 1.4.6, 1.4.3, 1.4.11)."""

TERMINALS: Mapping[str, Shown] = {"as it is": str, "16 colors": in_16_colors, "NO_COLOR": in_gray}
"""What terminals make of the colors."""


@pytest.mark.parametrize(
    ("size", "look"),
    [((60, 20), SUN), ((80, 24), SUN), ((80, 24), BASEMENT), ((120, 36), BASEMENT)],
    ids=["60x20", "80x24 sun", "80x24 basement", "120x36"],
)
async def test_every_screen_is_whole_and_legible(tmp_path: Path, size: tuple[int, int], look: str) -> None:
    wrong: list[str] = []
    with half_done(tmp_path) as day:
        async with CrewApp(day, look=look).run_test(size=size) as pilot:
            async for name in walk(pilot):
                wrong += [f"{name}: {words}" for words in (*_not_whole(pilot), *_not_legible(pilot))]
    assert not wrong, "\n".join(wrong)


# Whole.


def _not_whole(pilot: Pilot[int]) -> Iterator[str]:
    """Yield what lies outside the screen, and every key that is not painted whole."""
    screen, whole = pilot.app.screen, Region(0, 0, *pilot.app.size)
    for widget in screen.query(Widget):
        inside = whole.contains_region(widget.region)
        if _shows(widget) and widget.region.area and not inside and not _scrolls(widget):
            yield f"{widget} lies outside: {widget.region}"
    text = "\n".join(text_of(painted(pilot)))
    for bar in screen.query(KeyBar):
        yield from (
            f"key {key} {label} is cut" for key, label in bar.shown if f"{key} {label}".strip() not in text
        )
    for bar in screen.query(PaneBar):
        yield from (f"tab {tab.title} is cut" for tab in bar.tabs if f"{tab.key} {tab.title}" not in text)
    if isinstance(screen, Question):
        yield from _question_not_whole(screen)


def _question_not_whole(screen: Question) -> Iterator[str]:
    box = screen.query_one("Vertical").region
    keys = screen.query_one(KeyBar).region
    if box.overlaps(keys):
        yield "the box covers its keys"
    for part in (*screen.query(".title"), *screen.query(RowList), *screen.query(Input)):
        if not box.contains_region(part.region) or not part.region.height:
            yield f"{part} does not fit its box: {part.region} in {box}"
    for rows in screen.query(RowList):
        if rows.region.height < len(rows.rows):
            yield f"{len(rows.rows)} answers on {rows.region.height} lines"


def _shows(widget: Widget) -> bool:
    return all(node.display for node in widget.ancestors_with_self if isinstance(node, Widget))


def _scrolls(widget: Widget) -> bool:
    """Whether it lies in something that scrolls, and so may be longer than the screen."""
    return any(isinstance(node, Widget) and node.max_scroll_y for node in widget.ancestors)


# Legible.


def _not_legible(pilot: Pilot[int]) -> Iterator[str]:
    screen, strips = pilot.app.screen, painted(pilot)
    in_front = [screen.query_one("Vertical").region] if isinstance(screen, Question) else [screen.region]
    in_front += [bar.region for bar in screen.query(KeyBar)]
    for y, strip in enumerate(strips):
        x = 0
        for text, ink, ground in pairs(strip):
            x = strip.text.index(text, x)
            behind = not any(region.contains(x, y) for region in in_front)
            least = LINES_BEHIND if behind and not re.search(r"\w", text) else TEXT
            for terminal, shown in TERMINALS.items():
                found = contrast(shown(ink), shown(ground))
                if found < least:
                    yield f"{terminal}: {found:.2f} to 1, {ink} on {ground}: {text.strip()!r}"
    for rows in screen.query(RowList):
        if _shows(rows):
            yield from _values_not_legible(rows, strips)


def _values_not_legible(rows: RowList, strips: list[Strip]) -> Iterator[str]:
    """Yield values of the list, typed or entered, that are painted with less than a value's contrast."""
    region = rows.scrollable_content_region
    for y in range(rows.region.height):
        index = bisect_right(rows._tops, y + int(rows.scroll_offset.y)) - 1
        if not 0 <= index < len(rows.rows):
            return
        row = rows.rows[index]
        value = rows.drafts.get(row.key, row.value)
        for text, ink, ground in pairs(strips[rows.region.y + y].crop(region.x, region.right)):
            if value and text.strip() in value and len(text.strip()) > 1 and contrast(ink, ground) < VALUE:
                yield f"value {value!r} has {contrast(ink, ground):.2f} to 1"


# What can be read nowhere else.


@pytest.mark.parametrize("key", list("asfrhvdc"))
async def test_every_row_can_be_read_whole(tmp_path: Path, key: str) -> None:
    with half_done(tmp_path) as day:
        app = CrewApp(day)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.press(key)
            rows = day_screen(pilot).in_front
            assert isinstance(rows, RowList)
            longest = max(
                (row for row in rows.rows if row.stops),
                key=lambda row: cell_len(row.label) + cell_len(row.note),
            )
            rows.go_to(longest.key)
            await pilot.press("y")
            await pilot.pause()
            words = " ".join(str(app.screen._words).split())  # type: ignore[attr-defined]
            for part in (longest.label, longest.value, longest.note):
                assert " ".join(part.split()) in words
            await pilot.press("y")
            await pilot.pause()
            assert app.screen is day_screen(pilot)


@pytest.mark.parametrize("size", [(60, 20), (80, 24)], ids=["60x20", "80x24"])
async def test_long_words_of_a_question_are_read_on_with_tab(tmp_path: Path, size: tuple[int, int]) -> None:
    words = " ".join(f"word{n}" for n in range(200))
    with half_done(tmp_path) as day:
        app = CrewApp(day)
        async with app.run_test(size=size) as pilot:
            app.push_screen(confirm("A long question?", words, do_it="Do it"))
            await pilot.pause()
            seen = set()
            for _ in range(40):
                seen |= set(re.findall(r"word\d+", "\n".join(text_of(painted(pilot)))))
                assert "Tab read on" in "\n".join(text_of(painted(pilot)))
                assert "Go back" in "\n".join(text_of(painted(pilot)))
                await pilot.press("tab")
                await pilot.pause()
            assert len(seen) == 200


async def test_words_too_long_for_their_place_say_which_key_shows_them(tmp_path: Path) -> None:
    with half_done(tmp_path) as day:
        app = CrewApp(day)
        async with app.run_test(size=(60, 20)) as pilot:
            await pilot.press("h")
            await pilot.pause()
            assert "y: all of it" in "\n".join(text_of(painted(pilot)))
