"""The hazards on the screen, key by key: what holds a step, the one key to it, the morning's count."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from gallery import day_screen, half_done
from textual.pilot import Pilot
from textual.widgets import Input

from crewtui.day.session.day import Day
from crewtui.day.state.exposures import shift_exposure
from crewtui.tui.app.application import CrewApp
from crewtui.tui.app.day_screen import DayScreen
from crewtui.tui.pages.emergency_page import EmergencyPage
from crewtui.tui.panes.hazards_pane import HazardsPane
from crewtui.tui.panes.pit_rows import PIT_ENTRY, PIT_SLOPE, PIT_SOIL
from crewtui.tui.widgets.chrome import SayingView
from crewtui.tui.widgets.dialogs import GO_BACK, AskChoice, AskText
from crewtui.tui.widgets.pages import WordsPage
from crewtui.tui.widgets.rows import RowList

SMALL = (80, 24)
MOST_KEYS = 96
"""For the morning's hazards, two initials under each: at one and a quarter seconds a key, two minutes."""


def screen_of(app: CrewApp) -> DayScreen:
    return next(screen for screen in app.screen_stack if isinstance(screen, DayScreen))


def pane_of(app: CrewApp) -> HazardsPane:
    return screen_of(app).pane_at(HazardsPane)


def said(app: CrewApp) -> str:
    return " ".join(words for _, words in screen_of(app).query_one(SayingView).saying.lines)


class Hand:
    """Presses keys and counts them."""

    def __init__(self, pilot: Pilot[int]) -> None:
        self.pilot, self.count = pilot, 0

    async def press(self, *keys: str) -> None:
        for key in keys:
            self.count += 1
            await self.pilot.press(key)
        await self.pilot.pause()

    async def type(self, text: str) -> None:
        await self.press(*[{" ": "space"}.get(sign, sign) for sign in text])


async def go_down(rows: RowList, hand: Hand, key: str) -> None:
    """Press the down key until the cursor stands there."""
    for _ in range(60):
        if rows.cursor_key == key:
            return
        await hand.press("down")
    raise AssertionError(f"{key} is not below {rows.cursor_key}")


async def sign(app: CrewApp, hand: Hand) -> None:
    """Sign the row under the cursor with initials, or with the name that is offered."""
    await hand.press("enter")
    if isinstance(app.screen, AskText):
        assert app.screen.query_one(Input).value == "", "initials are typed each time"
        await hand.type("ss")
    else:
        assert isinstance(app.screen, AskChoice)
        assert app.screen.query_one(RowList).cursor_key == GO_BACK
        await hand.press("down")
    await hand.press("enter")


async def test_a_lead_in_a_hurry_clears_the_morning_in_two_minutes(app: CrewApp) -> None:
    """Everything that holds at all five anchors: what is asked once, each pit, initials, the names."""
    async with app.run_test(size=SMALL) as pilot:
        hand = Hand(pilot)
        day = app.day
        # Asked once a job: no bad air, nothing chipped.
        await hand.press("d")
        rows = screen_of(app).in_front
        assert isinstance(rows, RowList)
        for fact in ("bad air expected", "indoor chipping"):
            await go_down(rows, hand, f"fact {fact}")
            await hand.press("enter", "down", "enter")
        await hand.press("h")
        pane = pane_of(app)
        await go_down(pane, hand, PIT_ENTRY)
        for anchor in ("N1", "N2", "N3", "N4", "N5"):
            assert pane.cursor_key == PIT_ENTRY
            await hand.press("enter", "down", "enter", "n")
            assert day.state.anchors[anchor].pit_entry is False
        while moments := [row.key for row in pane.rows if row.key in pane._pages]:
            await hand.press("home")
            await go_down(pane, hand, moments[0])
            await sign(app, hand)
        while True:
            open_rows = [row.key for row in pane.rows if row.mark == "held" and row.key in pane._hazards]
            if not open_rows:
                break
            await go_down(pane, hand, open_rows[0])
            await sign(app, hand)
        for anchor in ("N1", "N2", "N3", "N4", "N5"):
            for step in ("sod", "pit-depth", "plate-on", "first-torque"):
                by_hazard = {hold.id for hold in day.holds_on(step, anchor) if hold.held_by == "hazard"}
                assert by_hazard == set(), (anchor, step)
        assert hand.count <= MOST_KEYS, hand.count
        assert all(one.initials for one in day.state.shared.holding.hazards.values())


async def test_h_on_a_held_step_leads_to_what_holds_it(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        hand = Hand(pilot)
        await hand.press("s")
        screen_of(app).steps_pane.go_to("drilled-angle")
        await hand.press("h")
        assert pane_of(app).cursor_key == app.day.holds_on("drilled-angle", "N1")[0].id


async def test_enter_on_what_only_a_reading_releases_leads_to_its_step(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        hand = Hand(pilot)
        await hand.press("h")
        pane_of(app).go_to("watch-mark")
        await pilot.pause()
        assert "Enter leads there" in said(app)
        await hand.press("enter")
        assert screen_of(app).pane == "steps"
        assert screen_of(app).steps_pane.cursor_key == "watch-mark"
        await hand.press("0", "enter")
        assert app.day.state.anchors["N1"].value("watch_moved_in") == 0


async def test_leaning_on_enter_signs_no_hazard_and_lets_nobody_out_of_the_pit(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        hand = Hand(pilot)
        await hand.press("h")
        pane = pane_of(app)
        pane.go_to("ppe")
        await sign(app, hand)
        before = len(app.day.journal.entries)
        for hazard in ("hearing", "inspection"):
            pane.go_to(hazard)
            await hand.press(*["enter"] * 10)
            assert len(app.day.journal.entries) == before
            if app.screen is not screen_of(app):
                await hand.press("escape")
        pane.go_to(PIT_ENTRY)
        await hand.press(*["enter"] * 10)
        assert app.day.state.anchors["N1"].pit_entry is True
        assert len(app.day.journal.entries) == before + 1


async def test_the_slope_is_drawn_and_the_soil_judged_by_name(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        hand = Hand(pilot)
        await hand.press("h")
        pane_of(app).go_to(PIT_SLOPE)
        await hand.press("enter")
        assert isinstance(app.screen, WordsPage)
        assert "81 in + 14 in + 81 in" in app.screen._words
        drawn = [line for line in app.screen._words.splitlines() if line.startswith(".")]
        gaps = [line.count(" ") for line in drawn]
        assert gaps == sorted(gaps, reverse=True)
        assert all(len(line) == len(drawn[0]) <= 78 for line in drawn)
        await hand.press("escape")
        pane_of(app).go_to(PIT_SOIL)
        await hand.press("enter", "down", "enter")
        assert isinstance(app.screen, AskChoice)
        await hand.press("enter")
        assert app.day.state.job.ground.soil_type is None, "Enter alone judges nothing in anybody's name"
        await hand.press("enter", "down", "enter", "down", "enter")
        assert app.day.state.job.ground.soil_type == "B"
        await hand.press("enter", "down", "down", "enter")
        assert isinstance(app.screen, AskChoice), "type A asks whether the ground was ever dug"
        await hand.press("down", "enter", "down", "down", "enter")
        assert isinstance(app.screen, AskText)
        await hand.type("kim")
        await hand.press("enter")
        assert app.day.state.job.ground.undisturbed
        pane_of(app).go_to(PIT_SLOPE)
        await pilot.pause()
        assert "54 in" in said(app), "a hammer shakes it: type A counts as B"


async def test_time_on_a_tool_is_entered_and_what_it_asks_is_shown(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        hand = Hand(pilot)
        await hand.press("d")
        rows = screen_of(app).in_front
        assert isinstance(rows, RowList)
        rows.go_to("exposure add")
        await hand.press("enter", "enter")
        await hand.type("4 h 30")
        await hand.press("enter")
        assert shift_exposure(app.day.state).dust.total_hours == 4.5
        rows.go_to("exposure noise")
        await pilot.pause()
        assert "Table D-2" in said(app)
        assert "!" in {row.mark for row in rows.rows if row.key == "exposure noise"}


async def test_faded_marks_hold_again(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        hand = Hand(pilot)
        app.day.safety.answer_hazard("marks-on-ground", in_place=True, initials="ss")
        await hand.press("o", "end", "enter")
        assert "marks-on-ground" in {hold.id for hold in app.day.holds_on("sod", "N1")}


async def test_the_emergency_page_reads_out_the_address_that_was_filled_in_on_site(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        hand = Hand(pilot)
        app.day.site.set_up("job", {"address": "7 Invented Street"})
        await hand.press("e")
        assert isinstance(app.screen, EmergencyPage)
        assert "7 Invented Street" in app.screen.words


async def test_a_limit_that_the_company_loosened_is_shown(
    open_day: Callable[[str], Day], tmp_path: Path
) -> None:
    open_day("block-wall").close()
    (tmp_path / "block-wall.journal.jsonl").unlink()
    job = tmp_path / "block-wall.toml"
    looser = '\nspacing_greatest = { value = "7 ft", said_by = "Kim Sample" }\n'
    job.write_text(job.read_text(encoding="utf-8") + looser, encoding="utf-8")
    app = CrewApp(open_day("block-wall"))
    async with app.run_test(size=SMALL) as pilot:
        await Hand(pilot).press("h")
        (row,) = [row for row in pane_of(app).rows if row.key.startswith("loosened ")]
        assert row.label.endswith("84 in, looser than 72 in, says Kim Sample")


async def test_a_step_held_for_people_in_the_pit_leads_to_who_goes_in(tmp_path: Path) -> None:
    day = half_done(tmp_path)
    app = CrewApp(day)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = day_screen(pilot)
        screen.go(anchor="N3", pane="steps")
        held = next(row for row in day.rows("N3") if row.holds and row.holds[0].asks_entry)
        screen.steps_pane.go_to(held.id)
        await pilot.press("enter")
        await pilot.pause()
        if app.screen is not screen:  # Asked first what Enter shall do.
            await pilot.press("enter")
            await pilot.pause()
        assert screen.pane == "hazards"
        assert screen.in_front.cursor_key == PIT_ENTRY
    day.close()
