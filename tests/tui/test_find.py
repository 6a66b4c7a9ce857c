"""What is typed after ``/`` leads to steps, anchors, hazards, figures, lines and people too."""

from __future__ import annotations

from pathlib import Path

import pytest
from gallery import day_screen, half_done

from crewtui.tui.app.application import CrewApp


@pytest.mark.parametrize(
    ("letters", "pane", "row"),
    [
        ("step thickness", "steps", "thickness"),
        ("competent today", "day", "step competent-person"),
        ("owner shown", "day", "step owner-shown"),
        ("frost depth", "figures", "input frost_depth_in"),
        ("gas service", "hazards", "line "),
        ("anchor n4", "steps", ""),
        ("sam sample", "day", "step competent-person"),
    ],
)
async def test_a_few_letters_lead_there(tmp_path: Path, letters: str, pane: str, row: str) -> None:
    with half_done(tmp_path) as day:
        async with CrewApp(day).run_test(size=(80, 24)) as pilot:
            screen = day_screen(pilot)
            screen.go(anchor="N3", pane="anchors")
            await pilot.press("slash", *(sign if sign != " " else "space" for sign in letters))
            await pilot.pause()
            page = pilot.app.screen
            found = page._shown.get("0")  # type: ignore[attr-defined]
            if found is None:
                pytest.fail(f"nothing says {letters}")
            await pilot.press("enter")
            await pilot.pause()
            assert screen.pane == pane, found
            assert screen.in_front.cursor_key.startswith(row)  # type: ignore[union-attr]
            if "n4" in letters:
                assert screen.anchor_id == "N4"
