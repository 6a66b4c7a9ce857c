"""A visit on the screen by keys: the wall read first, its series drawn, nothing of pits or tickets shown."""

from __future__ import annotations

import shutil
from datetime import timedelta
from pathlib import Path

import pytest
from day_help import saved
from fixed_clock import Clock

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.job.file.load import read_job
from crewtui.record.house.house import house_of
from crewtui.record.house.next_visit import next_visit
from crewtui.record.signed.hand_in import hand_in
from crewtui.record.signed.known_keys import KnownKeys
from crewtui.record.signed.signing_keys import SigningKey
from crewtui.record.signed.verify import verify
from crewtui.tui.app.application import CrewApp
from crewtui.tui.app.summaries import tabs_for
from crewtui.tui.pages.readings_page import Readings
from crewtui.tui.pages.series_page import SeriesPage
from crewtui.tui.panes.day_pane import DayPane
from crewtui.tui.panes.steps_pane import StepsPane
from crewtui.tui.panes.wall_pane import SERIES, WallPane

SAMPLE = Path(__file__).parents[2] / "sample_jobs" / "block-wall.toml"
KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
WHY = {"reason": "as it came out, the engineer was called", "sure": True}


@pytest.fixture
def visit_app(tmp_path: Path) -> CrewApp:
    first = tmp_path / "install.toml"
    shutil.copy(SAMPLE, first)
    with Day.open(first, clock=Clock(), figures=figures_for) as day:
        for now in tuple(day.state.live()):
            for step, text in (("drop", "7 in"), ("held-angle", "8"), ("depth-found", "41 in")):
                saved(day.measure(now.id, step, text, **WHY))
            heights = (("4", "6"), ("44", "4 3/4"), ("84", "6"))
            saved(day.walls.read_wall(now.id, "after", heights, resolution="1/16"))
        record = hand_in(day, KEY, lead="Lee Sample").path
    path = tmp_path / "visit.toml"
    house = house_of([verify(record, KnownKeys())])
    today = house.days[0].done_on + timedelta(days=1)
    path.write_text(next_visit(house, path, today=today).text, encoding="utf-8")
    assert read_job(path.read_bytes(), file=path.name).job.day == "visit"
    return CrewApp(Day.open(path, clock=Clock(), figures=figures_for))


async def test_enter_on_the_first_line_reads_the_wall_at_the_heights_of_last_time(visit_app: CrewApp) -> None:
    async with visit_app.run_test(size=(80, 24)) as pilot:
        await pilot.press("s", "enter")
        await pilot.pause()
        page = visit_app.screen
        assert isinstance(page, Readings)
        assert page.form.heights == ["4 in", "44 in", "84 in"]


async def test_only_what_is_asked_at_an_anchor_stands_in_its_steps(visit_app: CrewApp) -> None:
    async with visit_app.run_test(size=(80, 24)) as pilot:
        await pilot.press("s")
        await pilot.pause()
        rows = visit_app.screen.query_one(StepsPane).rows
        assert not [row for row in rows if row.mark == "done"], (
            "N1 is nobody's to turn: its phase is not there"
        )
        assert not [tab.wrong for tab in tabs_for(visit_app.screen) if tab.wrong]  # type: ignore[arg-type]


async def test_the_wall_leads_to_the_series_and_arrows_lead_through_it(visit_app: CrewApp) -> None:
    async with visit_app.run_test(size=(80, 24)) as pilot:
        await pilot.press("v")
        await pilot.pause()
        pane = visit_app.screen.query_one(WallPane)
        pane.go_to(SERIES)
        await pilot.press("enter")
        await pilot.pause()
        page = visit_app.screen
        assert isinstance(page, SeriesPage)
        await pilot.press("right", "b")
        assert (page.at, page.quantity) == (1, "lean")
        await pilot.press("escape")
        assert not isinstance(visit_app.screen, SeriesPage)


async def test_what_is_read_today_stands_in_the_series_at_once(visit_app: CrewApp) -> None:
    heights = (("4", "6"), ("44", "4 1/2"), ("84", "6"))
    saved(visit_app.day.walls.read_wall("N1", "before", heights, resolution="1/16"))
    async with visit_app.run_test(size=(80, 24)) as pilot:
        await pilot.press("v")
        await pilot.pause()
        visit_app.screen.query_one(WallPane).go_to(SERIES)
        await pilot.press("enter")
        await pilot.pause()
        page = visit_app.screen
        assert isinstance(page, SeriesPage)
        n1 = page.series.anchors[0]
        assert [(point.record, point.value_in) for point in n1.points["bow"]][-1] == ("today", 1.5)
        assert page.series.days[-1].done_on == visit_app.day.clock().date()


async def test_the_day_of_a_visit_asks_nothing_about_pits_and_tickets(visit_app: CrewApp) -> None:
    async with visit_app.run_test(size=(80, 24)) as pilot:
        await pilot.press("d")
        await pilot.pause()
        keys = {row.key for row in visit_app.screen.query_one(DayPane).rows}
        assert "no ticket" not in keys
        assert not any(row.mark == "held" for row in visit_app.screen.query_one(DayPane).rows)
