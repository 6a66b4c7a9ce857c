"""What happens beside the anchors, with keys: a note, a tool, people, an inspection, a walk, pictures."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

from picture_files import picture
from textual.pilot import Pilot

from crewtui.day.state.crew_hours import people_here, people_known
from crewtui.day.state.walks_done import agreed
from crewtui.tui.app.application import CrewApp
from crewtui.tui.app.day_screen import DayScreen
from crewtui.tui.panes.day_pane import DayPane
from crewtui.tui.widgets.dialogs import AskChoice, AskText

SMALL = (80, 24)
KEYS = {
    " ": "space",
    "/": "slash",
    ".": "full_stop",
    ":": "colon",
    ",": "comma",
    "-": "minus",
    "_": "underscore",
}


async def type_in(pilot: Pilot[int], text: str) -> None:
    for sign in text:
        await pilot.press(KEYS.get(sign, sign))


async def say(pilot: Pilot[int], text: str) -> None:
    """Type an answer in place of what stands there, and enter it."""
    await pilot.press("ctrl+u")
    await type_in(pilot, text)
    await pilot.press("enter")
    await pilot.pause()


async def choose(app: CrewApp, pilot: Pilot[int], key: str) -> None:
    """Go down the list to a line and choose it."""
    assert isinstance(app.screen, AskChoice)
    keys = [row.key for row in app.screen._rows]
    await pilot.press(*["down"] * keys.index(key), "enter")
    await pilot.pause()


async def test_a_note_is_one_key_and_its_words(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s", "plus")
        await say(pilot, "owner: sod is thin")
        entry = app.day.journal.entries[-1]
        assert (entry.kind, entry.anchor, entry.text, entry.for_owner) == ("note", "N1", "sod is thin", True)  # type: ignore[union-attr]
        assert isinstance(app.screen, DayScreen)


async def test_a_late_batch_has_one_time_and_the_same_key_ends_it(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s", "t")
        await say(pilot, "all 30 min ago")
        early = app.day.clock() - timedelta(minutes=30)
        for anchor in ("N1", "N2"):
            await pilot.press(*"156", "enter", "n")
            await pilot.pause()
            entry = app.day.journal.entries[-1]
            assert (entry.kind, entry.anchor) == ("value-measured", anchor)  # type: ignore[union-attr]
            assert abs(entry.done_at - early) < timedelta(minutes=2)
            assert entry.typed_at > entry.done_at
        await pilot.press("t")
        await pilot.pause()
        assert isinstance(app.screen, DayScreen), "it ends the run and asks nothing"
        await pilot.press(*"156", "enter")
        await pilot.pause()
        assert app.day.journal.entries[-1].typed_at == app.day.journal.entries[-1].done_at


async def test_esc_leaves_no_note(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        before = len(app.day.journal.entries)
        await pilot.press("plus", "a", "escape")
        assert len(app.day.journal.entries) == before


async def test_one_key_starts_a_tool_and_the_same_stops_it(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("semicolon", "enter")
        await pilot.pause()
        (tool,) = app.day.state.shared.beside.running
        await pilot.press("d", "semicolon")
        await pilot.pause()
        assert not app.day.state.shared.beside.running
        assert app.day.state.shared.exposures[-1].tool == tool


async def test_everybody_is_on_site_with_two_keys(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("asterisk", "enter")
        await pilot.pause()
        assert people_here(app.day.state) == people_known(app.day.state)


async def test_an_inspection_is_wanted_and_seen(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("asterisk")
        await choose(app, pilot, "want")
        await say(pilot, "open pit")
        await pilot.press("enter")
        await pilot.pause()
        assert any(hold.held_by == "inspection" for hold in app.day.standing_holds("N1"))
        await pilot.press("asterisk")
        await choose(app, pilot, "see open pit")
        await choose(app, pilot, "all")
        await say(pilot, "Ines Sample")
        assert not any(hold.held_by == "inspection" for hold in app.day.standing_holds("N1"))


async def test_a_walk_is_two_keys_a_thing_and_the_owners_name(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("asterisk")
        await choose(app, pilot, "before")
        await choose(app, pilot, "cracks")
        await say(pilot, "north wall: a hand long, old")
        for row in app.day.walks.walk("before")[1:]:
            await choose(app, pilot, row.id)
            assert isinstance(app.screen, AskText)
            await pilot.press("enter")
            await pilot.pause()
        await choose(app, pilot, "agreed")
        await say(pilot, "Owner Sample")
        assert agreed(app.day.state, "before") is not None
        assert app.day.walks.walk("before")[0].words == "north wall: a hand long, old"


async def test_pictures_are_listed_shifted_and_kept(app: CrewApp, tmp_path: Path) -> None:
    now = app.day.clock()
    for number in range(3):
        picture(
            tmp_path / "card" / f"{number}.jpg", now + timedelta(hours=3, minutes=number), shade=40 * number
        )
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("asterisk")
        await choose(app, pilot, "pictures")
        await say(pilot, str(tmp_path / "none"))
        assert isinstance(app.screen, AskText), "no card: it says so and asks on"
        await say(pilot, str(tmp_path / "card"))
        await choose(app, pilot, "clock")
        await say(pilot, "-4 h")
        await choose(app, pilot, "0")
        await say(pilot, "N2: crack")
        await choose(app, pilot, "all")
        kept = app.day.state.shared.beside.pictures
        assert [one.file for one in kept] == ["0.jpg", "1.jpg", "2.jpg"]
        assert (kept[0].anchor, kept[0].of) == ("N2", "crack")


async def test_a_change_is_words_figures_and_a_name(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("asterisk")
        await choose(app, pilot, "change")
        await say(pilot, "one anchor more")
        await say(pilot, "5")
        await say(pilot, "6")
        await pilot.press("enter")
        await say(pilot, "Owner Sample")
        assert "one anchor more: 5 before, 6 after; yes by Owner Sample" in app.day.log()[0].words


async def test_a_call_is_whom_and_what_they_said(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("asterisk")
        await choose(app, pilot, "call")
        await say(pilot, "gas company, mark at N2")
        await say(pilot, "comes at ten, no. 4711")
        assert app.day.log()[0].words == "N1: called gas company, mark at N2: comes at ten, no. 4711"


async def test_what_a_utility_answered_is_kept_with_its_number(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("d")
        name = app.day.job.ticket.utilities[1].name  # type: ignore[union-attr]
        app.screen.query_one(DayPane).go_to(f"utility {name}")
        await pilot.press("enter")
        await choose(app, pilot, "marked")
        assert isinstance(app.screen, AskText)
        await say(pilot, "answer 555-0142")
        found = next(one for one in app.day.job.ticket.utilities if one.name == name)  # type: ignore[union-attr]
        assert (found.response, found.note) == ("marked", "answer 555-0142")
        assert "Answer 555-0142." in str(app.screen.query_one(DayPane).saying())
        # Enter alone: none was given.
        await pilot.press("enter")
        await choose(app, pilot, "clear")
        await pilot.press("ctrl+u", "enter")
        await pilot.pause()
        found = next(one for one in app.day.job.ticket.utilities if one.name == name)  # type: ignore[union-attr]
        assert (found.response, found.note) == ("clear", "")
