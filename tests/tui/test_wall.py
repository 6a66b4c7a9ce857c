"""The wall's pane and the reading of the wall, by keys alone."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from fixed_clock import SAMPLES, Clock
from textual.pilot import Pilot
from textual.widgets import Input, Static

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.record.signed.hand_in import hand_in
from crewtui.record.signed.signing_keys import SigningKey
from crewtui.tui.app.application import CrewApp
from crewtui.tui.app.day_screen import DayScreen
from crewtui.tui.pages.readings_page import Readings
from crewtui.tui.panes.day_pane import DayPane
from crewtui.tui.panes.wall_pane import WallPage, WallPane
from crewtui.tui.widgets.dialogs import GO_BACK, AskChoice
from crewtui.tui.widgets.elevation_widget import ElevationView
from crewtui.tui.widgets.pages import WordsPage
from crewtui.tui.widgets.rows import RowList


def pane(app: CrewApp) -> WallPane:
    screen = app.screen
    assert isinstance(screen, DayScreen)
    return screen.pane_at(WallPane)


async def typed(pilot: Pilot[object], *texts: str) -> None:
    for text in texts:
        await pilot.press(*("space" if char == " " else char for char in text), "enter")
    await pilot.pause()


@pytest.mark.parametrize("size", [(80, 24), (120, 36), (160, 50)])
async def test_the_wall_is_drawn_over_its_findings(app: CrewApp, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        await pilot.press("v")
        await pilot.pause()
        drawing = app.screen.query_one(ElevationView)
        assert drawing.display
        shown = "\n".join(drawing.render_line(y).text for y in range(drawing.size.height))
        assert "N4" in shown
        assert "! " in shown
        assert {row.value for row in pane(app).rows if row.mark == "!"} == {"74 in"}


async def test_a_low_screen_keeps_the_findings_and_the_page_draws(app: CrewApp) -> None:
    async with app.run_test(size=(60, 20)) as pilot:
        await pilot.press("v")
        await pilot.pause()
        assert not app.screen.query_one("#elevation").display
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, WallPage)
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, DayScreen)


async def test_enter_on_a_finding_goes_to_its_anchor(app: CrewApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("v")
        await pilot.pause()
        pane(app).go_to("gap N3 N4")
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, AskChoice)
        assert app.screen.query_one(RowList).cursor_key == GO_BACK
        await pilot.press("down", "enter")
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, DayScreen)
        assert (screen.pane, screen.anchor_id) == ("steps", "N3")


async def test_a_finding_may_stay_once_somebody_named_says_why(app: CrewApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("v")
        await pilot.pause()
        pane(app).go_to("gap N3 N4")
        await pilot.press("enter", "end", "enter")
        await pilot.pause()
        await pilot.press("down", "enter")
        await pilot.pause()
        for text in ("letter of the engineer",):
            app.screen.query_one(Input).value = text
            await pilot.press("enter")
            await pilot.pause()
        (answered,) = app.day.state.shared.findings.values()
        assert answered.reason == "letter of the engineer"
        row = next(row for row in pane(app).rows if row.key == "gap N3 N4")
        assert row.mark == "done"
        assert answered.name in row.note


async def test_a_reading_is_typed_row_by_row_and_saved(app: CrewApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("v", "i")
        await pilot.pause()
        assert isinstance(app.screen, Readings)
        await typed(pilot, "6", "4 1/2", "5 3/4")
        assert app.screen.query_one(RowList).cursor_key == "save", (
            "the base is not asked where it was never read"
        )
        app.screen.query_one(RowList).go_to("base_from_string")
        await typed(pilot, "2", "2")
        assert app.screen.query_one(RowList).cursor_key == "save"
        assert "bow 1 3/8 in" in app.screen.form.says()[0][1]
        await pilot.press("enter")
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, DayScreen)
        assert "bow 1 3/8 in" in screen.said
        reading = screen.day.state.anchors["N1"].readings["before"]
        assert [one.offset_in for one in reading.heights] == [6, 4.5, 5.75]
        row = next(row for row in pane(app).rows if row.key == "read N1")
        assert row.mark == "done"
        assert "bow 1 3/8 in" in row.note


async def test_what_cannot_be_read_is_said_and_nothing_is_lost(app: CrewApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("v", "i")
        await typed(pilot, "6", "4..5")
        screen = app.screen
        assert isinstance(screen, Readings)
        assert screen.wrong
        assert screen.query_one(RowList).drafts == {"o1": "4..5"}
        screen.query_one(RowList).go_to("save")
        await pilot.press("enter")
        assert "not entered" in screen.wrong
        await pilot.press("escape")
        await pilot.pause()
        assert not isinstance(app.screen, Readings), "leaving unsaved is asked about"
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, Readings)


async def test_choices_turn_and_a_height_is_added(app: CrewApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("v", "i")
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, Readings)
        rows = screen.query_one(RowList)
        rows.go_to("when")
        await pilot.press("enter")
        rows.go_to("line")
        await pilot.press("enter")
        rows.go_to("more")
        await pilot.press("enter")
        await pilot.pause()
        assert (screen.form.when, screen.form.line) == ("after", "laser line")
        await typed(pilot, "60")
        assert screen.form.heights[3] == "60 in"
        await pilot.press("escape")
        await pilot.pause()
        await pilot.press("escape", "escape")


async def test_the_earlier_record_named_in_the_job_is_compared(
    tmp_path: Path, open_day: Callable[[str], Day]
) -> None:
    del open_day
    job = tmp_path / "second.toml"
    shutil.copy(SAMPLES / "block-wall.toml", job)
    text = job.read_text(encoding="utf-8")
    job.write_text(text.replace("[job]", '[job]\nearlier_record = "first.record.toml"', 1), encoding="utf-8")
    with Day.open(job, clock=Clock(), figures=figures_for) as day:
        app = CrewApp(day)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.press("v")
            await pilot.pause()
            row = next(row for row in pane(app).rows if row.key == "earlier")
            assert "cannot be used" in row.label
            pane(app).go_to("earlier")
            await pilot.pause()
            assert "first.record.toml" in pane(app).saying().lines[0][1]


async def test_the_schedule_of_tightening_is_a_page_of_the_day(app: CrewApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("d")
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, DayScreen)
        pane = screen.pane_at(DayPane)
        pane.go_to("step owner-shown")
        await pilot.pause()
        assert "page below" in pane.saying().lines[0][1]
        pane.go_to("tightening page")
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, WordsPage)
        words = str(app.screen.query_one(".words", Static).visual)
        assert "N2, N3, N4: each spring" in words
        assert "Never past 80 lbf·ft" in words


async def test_an_earlier_visit_stands_beside_each_anchor_and_its_reading(tmp_path: Path) -> None:
    offsets = (("4", "6"), ("46", "5"), ("88", "6"))
    job = tmp_path / "first.toml"
    shutil.copy(SAMPLES / "block-wall.toml", job)
    with Day.open(job, clock=Clock(), figures=figures_for) as day:
        day.walls.read_wall("N1", "after", offsets)
        record = hand_in(day, SigningKey.from_secret(bytes(32), name="Lee Sample"), lead="Lee Sample").path
    second = tmp_path / "second.toml"
    text = job.read_text(encoding="utf-8")
    second.write_text(text.replace("[job]", f'[job]\nearlier_record = "{record.name}"', 1), encoding="utf-8")
    with Day.open(second, clock=Clock(), figures=figures_for) as day:
        app = CrewApp(day)
        async with app.run_test(size=(120, 36)) as pilot:
            await pilot.press("v")
            await pilot.pause()
            row = next(row for row in pane(app).rows if row.key == "earlier")
            assert "not comparable: N1" in row.note
            await pilot.press("i")
            await pilot.pause()
            await typed(pilot, "6", "4 1/2", "6")
            said = "\n".join(words for _, words in app.screen.form.says())  # type: ignore[attr-defined]
            assert "Since the earlier visit: worse. bow 1 in to 1 1/2 in" in said
            app.screen.query_one(RowList).go_to("save")
            await pilot.press("enter")
            await pilot.pause()
            row = next(row for row in pane(app).rows if row.key == "since N1")
            assert (row.mark, row.value) == ("!", "worse")
            pane(app).go_to("earlier")
            await pilot.pause()
            assert any("Unknown key" in words for _, words in pane(app).saying().lines)
