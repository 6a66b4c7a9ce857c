from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from gallery import half_done
from textual.geometry import Region
from textual.pilot import Pilot
from textual.widget import Widget
from textual.widgets import Input, Static

from crewtui.day.journal.chained import JournalError
from crewtui.day.session.day import Day
from crewtui.tui.app.application import CrewApp
from crewtui.tui.app.day_screen import DayScreen
from crewtui.tui.keys.commands import COMMANDS, PANES
from crewtui.tui.pages.emergency_page import EmergencyPage
from crewtui.tui.questions.reason_questions import LeaveQuestion
from crewtui.tui.widgets.chrome import PaneBar, SayingView
from crewtui.tui.widgets.dialogs import AskChoice, AskText
from crewtui.tui.widgets.header import HeaderView
from crewtui.tui.widgets.pages import ReadoutPage, WordsPage

SMALL, WIDE = (80, 24), (120, 36)


def screen_of(app: CrewApp) -> DayScreen:
    return next(screen for screen in app.screen_stack if isinstance(screen, DayScreen))


def said(app: CrewApp) -> str:
    return " ".join(words for _, words in screen_of(app).query_one(SayingView).saying.lines)


def saved(app: CrewApp) -> int:
    return len(app.day.journal.entries)


async def type_in(pilot: Pilot[int], text: str) -> None:
    for sign in text:
        await pilot.press({" ": "space", "/": "slash", ".": "full_stop", "'": "apostrophe"}.get(sign, sign))


async def test_a_copy_of_the_day_is_saved_where_one_says(app: CrewApp, tmp_path: Path) -> None:
    (tmp_path / "stick").mkdir()
    async with app.run_test(size=SMALL) as pilot:
        for folder, says in (("nowhere", "is no folder"), (str(tmp_path / "stick"), "A copy of the day")):
            await pilot.press("greater_than_sign")
            app.screen.query_one(Input).value = folder
            await pilot.press("enter")
            await pilot.pause()
            assert says in said(app)
        assert len(list((tmp_path / "stick").iterdir())) == 1


async def test_a_new_day_begins_with_the_days_own_steps(app: CrewApp) -> None:
    async with app.run_test(size=SMALL):
        screen = screen_of(app)
        assert screen.pane == "day"
        assert screen.in_front.cursor_key == "step competent-person"  # type: ignore[union-attr]


async def test_a_value_typed_onto_its_row_is_saved_and_the_next_step_comes(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s")
        await type_in(pilot, "13'")
        before = saved(app)
        await pilot.press("enter")
        await pilot.pause()
        assert saved(app) == before + 1
        assert app.day.state.anchors["N1"].value("setback_in") == 156
        assert screen_of(app).steps_pane.cursor_key == "drop"
        assert said(app).startswith("Saved: N1: Set-back")
        assert "saved 08:" in screen_of(app).query_one(HeaderView).header.saved


async def test_a_value_of_a_likely_other_unit_is_asked_back_and_nothing_is_written(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s")
        await type_in(pilot, "13")
        before = saved(app)
        await pilot.press("enter")
        await pilot.pause()
        assert saved(app) == before
        assert "13 in is not likely here" in said(app)
        assert screen_of(app).steps_pane.drafts == {"setback": "13"}


async def test_a_value_outside_its_limits_wants_a_reason_and_becomes_a_deviation(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s")
        screen_of(app).steps_pane.go_to("marks")
        await type_in(pilot, "2")
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, AskText)
        await type_in(pilot, "pipe")
        await pilot.press("enter")
        await pilot.pause()
        assert [item.reason for item in app.day.state.deviations] == ["pipe"]


async def test_escape_from_the_reason_writes_nothing_and_keeps_what_was_typed(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s")
        screen_of(app).steps_pane.go_to("marks")
        await type_in(pilot, "2")
        before = saved(app)
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
        assert saved(app) == before
        assert screen_of(app).steps_pane.drafts == {"marks": "2"}


async def test_enter_on_a_held_step_leads_to_what_holds_it(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s")
        screen_of(app).steps_pane.go_to("sod")
        await pilot.pause()
        held_by = screen_of(app).steps_pane.step_at("sod").holds[0].id  # type: ignore[union-attr]
        assert "Held:" in said(app)
        await pilot.press("enter")
        await pilot.pause()
        assert screen_of(app).pane == "hazards"
        assert screen_of(app).in_front.cursor_key == held_by  # type: ignore[union-attr]


async def test_a_held_step_can_be_entered_as_done_all_the_same(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s")
        screen_of(app).steps_pane.go_to("sod")
        await pilot.press("x", "down", "enter")
        await pilot.pause()
        assert isinstance(app.screen, AskChoice), "first whether to go to what holds it"
        await pilot.press("down", "enter")
        await pilot.pause()
        assert isinstance(app.screen, AskText)
        await type_in(pilot, "done")
        await pilot.press("enter")
        await pilot.pause()
        assert app.day.state.deviations[0].kind == "while held"


async def test_same_step_next_anchor_and_back(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s")
        screen_of(app).steps_pane.go_to("pit-depth")
        await pilot.press("n")
        assert (screen_of(app).anchor_id, screen_of(app).steps_pane.cursor_key) == ("N2", "pit-depth")
        await pilot.press("p")
        assert (screen_of(app).anchor_id, screen_of(app).steps_pane.cursor_key) == ("N1", "pit-depth")


async def test_with_nothing_open_here_the_next_anchor_comes_with_what_is_open_there(tmp_path: Path) -> None:
    day = half_done(tmp_path)
    app = CrewApp(day)
    async with app.run_test(size=SMALL) as pilot:
        screen = screen_of(app)
        screen.go(anchor="N1", pane="steps")
        screen.steps_pane.go_to("closed")
        await pilot.press("n")
        step = screen.steps_pane.step_at(screen.steps_pane.cursor_key)
        assert step is not None
        assert screen.anchor_id == "N2"
        assert step.is_next
    day.close()


async def test_what_was_typed_and_not_saved_waits_at_its_anchor(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s")
        await type_in(pilot, "15")
        await pilot.press("down", "n")
        assert screen_of(app).steps_pane.drafts == {}
        await pilot.press("p")
        assert screen_of(app).steps_pane.drafts == {"setback": "15"}


async def test_take_back_says_what_it_took_back(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s")
        await type_in(pilot, "13'")
        await pilot.press("enter", "u")
        await pilot.pause()
        assert "Undone" in said(app)
        assert app.day.state.anchors["N1"].value("setback_in") is None


async def test_initials_are_asked_for_each_time_and_the_next_hazard_comes_up(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("h")
        pane = screen_of(app).in_front
        pane.go_to("marks-on-ground")  # type: ignore[union-attr]
        await pilot.press("enter")
        await pilot.pause()
        await type_in(pilot, "JD")
        await pilot.press("enter")
        await pilot.pause()
        assert pane.cursor_key == "private-lines-found"  # type: ignore[union-attr]
        pane.go_to("ppe")  # type: ignore[union-attr]
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("enter")
        assert "Type your initials first" in str(app.screen.query_one(".wrong", Static).render())
        await type_in(pilot, "KS")
        await pilot.press("enter")
        await pilot.pause()
        signed = app.day.state.shared.holding.hazards
        assert {key: value.initials for key, value in signed.items()} == {
            "marks-on-ground": "JD",
            "ppe": "KS",
        }


async def test_too_few_initials_are_added_to_and_never_become_a_reason(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        pane = screen_of(app).pane_of("day")
        await pilot.press("d")
        pane.go_to_step("briefing")  # type: ignore[union-attr]
        await pilot.press("enter")
        assert "4 people" in str(app.screen.query_one(".said", Static).render())
        await type_in(pilot, "PS")
        await pilot.press("enter")
        assert isinstance(app.screen, AskChoice)
        await pilot.press("enter")
        assert isinstance(app.screen, AskText)
        assert app.screen.query_one(Input).value == "PS", "what was typed stands there"
        await pilot.press("enter", "down", "enter")
        assert "reason" in str(app.screen.query_one(".asked", Static).render())
        await type_in(pilot, "ps ss ks ls")
        await pilot.press("enter")
        assert "no reason" in str(app.screen.query_one(".said", Static).render())
        await pilot.press("escape")
        assert app.screen.query_one(Input).value == "PS", "going back loses nothing"
        await type_in(pilot, " SS KS LS")
        await pilot.press("enter")
        assert app.day.state.shared.answers["briefing"].answer == "PS SS KS LS"
        assert app.day.state.deviations == ()
        assert pane.cursor_key == "step ticket"  # type: ignore[union-attr]


@pytest.mark.parametrize("pane", [name for name, _, _ in PANES])
async def test_the_emergency_page_is_one_key_from_every_pane(app: CrewApp, pane: str) -> None:
    async with app.run_test(size=SMALL) as pilot:
        screen_of(app).go(pane=pane)  # type: ignore[arg-type]
        await pilot.press("e")
        await pilot.pause()
        assert isinstance(app.screen, EmergencyPage)
        await pilot.press("escape", "escape")
        await pilot.pause()
        assert isinstance(app.screen, DayScreen)
        assert app.day.state.shared.emergencies == (), "looking is no entry"
        await pilot.press("e", "escape", "g")
        await pilot.pause()
        assert isinstance(app.screen, DayScreen)
        assert len(app.day.state.shared.emergencies) == 1
        assert app.day.journal.entries[-1].note == "gas"  # type: ignore[union-attr]


async def test_the_emergency_page_comes_over_a_dialog_and_in_the_middle_of_typing(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s", "1", "exclamation_mark")
        await pilot.pause()
        assert isinstance(app.screen, EmergencyPage)
        await pilot.press("escape", "escape", "escape", "m")
        await pilot.pause()
        assert isinstance(app.screen, AskChoice)
        await pilot.press("exclamation_mark")
        await pilot.pause()
        assert isinstance(app.screen, EmergencyPage)
        await pilot.press("escape", "escape")
        await pilot.pause()
        assert isinstance(app.screen, AskChoice), "the question still stands"


async def test_the_emergency_page_comes_over_a_text_that_is_being_typed(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        app.push_screen(AskText("Why?"))
        await pilot.pause()
        await pilot.press("a", "exclamation_mark")
        await pilot.pause()
        assert isinstance(app.screen, EmergencyPage)
        await pilot.press("escape", "escape")
        await pilot.pause()
        assert app.screen.query_one(Input).value == "a"


@pytest.mark.parametrize("key", ["ctrl+q", "ctrl+c", "q"])
async def test_no_key_closes_the_program_without_a_question(app: CrewApp, key: str) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press(key, key)
        await pilot.pause()
        assert isinstance(app.screen, LeaveQuestion)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, DayScreen)


async def test_a_secret_may_hold_the_emergency_sign(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        app.push_screen(AskText("Passphrase", secret=True))
        await pilot.pause()
        await pilot.press("a", "exclamation_mark")
        await pilot.pause()
        assert app.screen.query_one(Input).value == "a!"


async def test_an_anchor_is_moved_with_its_own_drop_and_a_reason(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s", "m", "down", "enter")
        await pilot.pause()
        for text in ("15'", "8", "deck"):
            await type_in(pilot, text)
            await pilot.press("enter")
            await pilot.pause()
        plan = app.day.state.anchors["N1"].plan
        assert (plan.setback_in, plan.drop_in) == (180, 8)
        assert app.day.state.deviations[0].reason == "deck"


async def test_a_late_entry_is_dated_when_it_was_done(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s", "t")
        await pilot.pause()
        await type_in(pilot, "45 min ago")
        await pilot.press("enter")
        await pilot.pause()
        await type_in(pilot, "13'")
        await pilot.press("enter")
        await pilot.pause()
        entry = app.day.journal.entries[-1]
        assert 44 <= (entry.typed_at - entry.done_at).total_seconds() / 60 <= 46


async def test_leave_asks_first_and_says_what_is_not_saved(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s", "1", "down", "q")
        await pilot.pause()
        assert isinstance(app.screen, AskChoice)
        assert "1 typed and NOT saved" in app.screen._words
        await pilot.press("enter")
        await pilot.pause()
        assert app.is_running
        await pilot.press("q", "down", "enter")
        await pilot.pause()
    assert app.return_value == 0


async def test_the_readout_comes_and_goes_with_one_key(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("s", "b")
        await pilot.pause()
        assert isinstance(app.screen, ReadoutPage)
        await pilot.press("b")
        await pilot.pause()
        assert isinstance(app.screen, DayScreen)


async def test_the_keys_page_explains_every_command(app: CrewApp) -> None:
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("k")
        await pilot.pause()
        assert isinstance(app.screen, WordsPage)
        assert all(command.help in app.screen._words for command in COMMANDS)


async def test_a_disk_that_fails_is_said_and_what_was_typed_stays(
    app: CrewApp, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(_entry: object) -> object:
        raise JournalError(
            "The disk is full: nothing more can be written.", "Make room, then press Enter again."
        )

    async with app.run_test(size=SMALL) as pilot:
        monkeypatch.setattr(app.day.journal, "append", fails)
        await pilot.press("s")
        await type_in(pilot, "13'")
        await pilot.press("enter")
        await pilot.pause()
        banner = screen_of(app).query_one(HeaderView).header
        assert banner.alarm
        assert banner.saved.startswith("NOT SAVED")
        assert screen_of(app).steps_pane.drafts == {"setback": "13'"}


@pytest.mark.parametrize("size", [(60, 20), SMALL, WIDE, (200, 50)])
@pytest.mark.parametrize("pane", [name for name, _, _ in PANES])
async def test_every_visible_widget_lies_inside_the_screen(
    app: CrewApp, size: tuple[int, int], pane: str
) -> None:
    async with app.run_test(size=size) as pilot:
        screen = screen_of(app)
        screen.go(pane=pane)  # type: ignore[arg-type]
        await pilot.pause()
        whole = Region(0, 0, *size)
        for widget in screen.query(Widget):
            if (
                widget.display
                and widget.region.area
                and all(node.display for node in widget.ancestors_with_self if isinstance(node, Widget))
            ):
                assert whole.contains_region(widget.region), (widget, widget.region)
        assert screen.in_front.region.height >= 4
        assert screen.query_one(PaneBar).region.height == (1 if size[0] >= 80 else 2)


def test_no_two_commands_of_a_pane_share_a_key() -> None:
    reserved = {key for _, key, _ in PANES} | {"tab", "shift+tab", "escape", "up", "down", "left", "right"}
    for name, _, _ in PANES:
        keys = [key for command in COMMANDS if command.works_in(name) for key in command.keys]
        assert len(keys) == len(set(keys))
        assert not reserved & set(keys)


async def test_every_command_has_its_action(app: CrewApp) -> None:
    async with app.run_test(size=SMALL):
        screen = screen_of(app)
        for command in COMMANDS:
            holder = app if command.name == "emergency" else screen
            assert command.name == "choose" or hasattr(holder, f"action_{command.name}")


async def test_a_reopened_day_stands_where_it_was(open_day: Callable[[str], Day]) -> None:
    first = CrewApp(open_day("block-wall"))
    async with first.run_test(size=SMALL) as pilot:
        await pilot.press("s", "n")
        await type_in(pilot, "13'")
        await pilot.press("enter")
        await pilot.pause()
        where = (screen_of(first).anchor_id, screen_of(first).steps_pane.cursor_key)
    first.day.close()
    again = CrewApp(open_day("block-wall"))
    async with again.run_test(size=SMALL):
        assert screen_of(again).pane == "steps"
        assert (screen_of(again).anchor_id, screen_of(again).steps_pane.cursor_key) == where == ("N2", "drop")
