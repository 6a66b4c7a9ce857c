"""A window of any size under every pane, page and question: never a crash, and back again as it was."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import pytest
from gallery import half_done, painted, text_of, truck_worked_out, walk

from crewtui.tui.app.application import CrewApp

SIZES: Final = [(20, 5), (60, 20), (1, 1), (300, 80), (59, 20), (60, 19), (120, 36), (10, 40)]
STANDS: Final = {
    "panes": ("anchors", "steps, typing", "figures", "ground", "rods", "hazards", "wall", "day", "record"),
    "questions": ("earlier", "site", "rain", "leave", "note", "a reason", "read the wall"),
    "pages": ("readout", "journal", "keys", "emergency", "what now"),
}
"""By their names in the gallery; in some of them something is typed that is not saved."""


@pytest.mark.parametrize("names", STANDS.values(), ids=STANDS)
async def test_every_pane_page_and_question_comes_back_from_a_window_of_any_size(
    tmp_path: Path, names: tuple[str, ...]
) -> None:
    with half_done(tmp_path) as day:
        async with CrewApp(day).run_test(size=(80, 24)) as pilot:
            await truck_worked_out(pilot)
            async for name in walk(pilot, names):
                before = text_of(painted(pilot))
                for columns, rows in SIZES:
                    await pilot.resize_terminal(columns, rows)
                await pilot.resize_terminal(50, 15)
                small = " ".join(" ".join(text_of(painted(pilot))).split())
                assert "This window is 50x15: crewtui needs 60x20." in small, name
                await pilot.resize_terminal(80, 24)
                assert text_of(painted(pilot)) == before, name
