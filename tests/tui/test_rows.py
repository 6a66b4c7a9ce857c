from __future__ import annotations

from collections.abc import Iterable

import pytest
from textual.app import App, ComposeResult

from crewtui.tui.app.looks import SUN, words_of
from crewtui.tui.widgets.rows import Row, RowList

ROWS = (
    Row(key="mark", label="MARK", heading=True),
    Row(key="setback", label="Set-back", typed=True),
    Row(key="sod", label="Sod cut"),
    Row(key="pit", label="PIT", heading=True),
    Row(key="depth", label="Depth of the pit", typed=True, value="50 in", note="[/at most] [A-1]"),
    Row(key="who", label="Who looks after it", typed=True, free_text=True),
)


class Holder(App[None]):
    BINDINGS = [("n", "letter('n')"), ("exclamation_mark", "letter('!')")]

    def __init__(self, rows: Iterable[Row] = ROWS) -> None:
        super().__init__()
        self.said: list[tuple[str, str, str]] = []
        self.letters: list[str] = []
        self._rows = tuple(rows)

    def get_theme_variable_defaults(self) -> dict[str, str]:
        return words_of(SUN)

    def compose(self) -> ComposeResult:
        yield RowList()

    def on_mount(self) -> None:
        self.query_one(RowList).set_rows(self._rows)
        self.query_one(RowList).focus()

    def action_letter(self, letter: str) -> None:
        self.letters.append(letter)

    def on_row_list_typed(self, message: RowList.Typed) -> None:
        self.said.append(("typed", message.key, message.text))

    def on_row_list_entered(self, message: RowList.Entered) -> None:
        self.said.append(("entered", message.key, message.text))

    def on_row_list_chosen(self, message: RowList.Chosen) -> None:
        self.said.append(("chosen", message.key, ""))


async def press(app: Holder, *keys: str) -> RowList:
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*keys)
        await pilot.pause()
        return app.query_one(RowList)


async def test_a_number_is_typed_straight_onto_the_row() -> None:
    app = Holder()
    rows = await press(app, "2", "8", "space", "1", "slash", "2", "enter")
    assert app.said[-1] == ("entered", "setback", "28 1/2")
    assert rows.drafts == {"setback": "28 1/2"}, "what is typed stays until it is saved"


async def test_letters_are_commands_until_typing_begins() -> None:
    app = Holder()
    await press(app, "n", "1", "2", "n", "exclamation_mark")
    assert app.letters == ["n", "!"]
    assert app.said[-1] == ("typed", "setback", "12n")


async def test_the_emergency_key_is_never_typed() -> None:
    app = Holder()
    await press(app, "end", "J", "o", "exclamation_mark")
    assert app.letters == ["!"]
    assert app.said[-1] == ("typed", "who", "Jo")


async def test_headings_are_stepped_over_and_a_draft_stays_on_its_row() -> None:
    app = Holder()
    rows = await press(app, "7", "down", "down", "5", "0")
    assert rows.cursor_key == "depth"
    assert rows.drafts == {"setback": "7", "depth": "50"}


async def test_escape_drops_the_draft_and_enter_without_one_chooses() -> None:
    app = Holder()
    rows = await press(app, "7", "7", "escape", "enter")
    assert rows.drafts == {}
    assert app.said[-1] == ("chosen", "setback", "")


async def test_editing_in_the_middle() -> None:
    app = Holder()
    await press(app, "1", "3", "left", "2", "home", "delete", "end", "4", "backspace", "enter")
    assert app.said[-1] == ("entered", "setback", "23")


@pytest.mark.parametrize("width", [20, 40, 60, 80, 200])
async def test_any_width_paints_every_row_whole(width: int) -> None:
    app = Holder()
    async with app.run_test(size=(width, 10)) as pilot:
        await pilot.pause()
        rows = app.query_one(RowList)
        for line in range(10):
            assert rows.render_line(line).cell_length == rows.scrollable_content_region.width


async def test_new_rows_keep_the_cursor_where_it_was() -> None:
    app = Holder()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("down")
        rows = app.query_one(RowList)
        rows.set_rows((*ROWS, Row(key="more", label="More")))
        assert rows.cursor_key == "sod"
        rows.set_rows(ROWS[:2])
        assert rows.cursor_key == "setback"


async def test_the_cursor_stays_in_sight_of_a_long_list() -> None:
    app = Holder(Row(key=f"k{n}", label=f"Row {n}") for n in range(100))
    async with app.run_test(size=(60, 22)) as pilot:
        await pilot.press("end")
        rows = app.query_one(RowList)
        assert rows.cursor_key == "k99"
        assert rows.scroll_offset.y == 100 - 22
        await pilot.press("pageup", "home")
        assert (rows.cursor_key, rows.scroll_offset.y) == ("k0", 0)


async def test_a_burst_without_pauses_arrives_in_order() -> None:
    app = Holder()
    async with app.run_test(size=(80, 24)) as pilot:
        for sign in "14425":
            app.simulate_key(sign)
        app.simulate_key("enter")
        await pilot.pause()
        assert app.said[-1] == ("entered", "setback", "14425")
