"""The yard from above, opened from the section by Enter: whole at every size, the anchor's tapes first."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from fixed_clock import SAMPLES, Watch
from gallery import day_screen, painted, text_of

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.figures.yard_of_day import yard_pictures
from crewtui.day.session.day import Day
from crewtui.trade.pictures.yard_from_above import legend
from crewtui.tui.app.application import CrewApp
from crewtui.tui.pages.yard_page import YardPage
from crewtui.tui.widgets.fit import ELLIPSIS


@pytest.mark.parametrize("size", [(80, 24), (120, 36)], ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("sample", ["block-wall", "two-walls-stoop", "poured-deep-frost-metric"])
async def test_the_plan_its_signs_and_the_tapes_of_the_anchor_at_hand_are_there(
    tmp_path: Path, sample: str, size: tuple[int, int]
) -> None:
    job = Path(shutil.copy(SAMPLES / f"{sample}.toml", tmp_path))
    with Day.open(job, clock=Watch(), figures=figures_for) as day:
        async with CrewApp(day).run_test(size=size) as pilot:
            screen = day_screen(pilot)
            last = list(day.state.live())[-1].id
            screen.go(anchor=last, pane="ground")
            await pilot.pause()
            assert "the yard from above" in " ".join(text_of(painted(pilot)))
            await pilot.press("enter")
            await pilot.pause()
            assert isinstance(pilot.app.screen, YardPage)
            shown = text_of(painted(pilot))
            whole = " ".join(" ".join(shown).split())
            picture = next(one for one in yard_pictures(day.state) if last in {t.anchor for t in one.tapes})
            for sign in legend(picture):
                assert " ".join(sign.split()) in whole
            tapes = next(one for one in picture.tapes if one.anchor == last)
            assert " ".join(f"{last}: {tapes.words}".split()) in whole
            assert not any(ELLIPSIS in line for line in shown)
            drawn = "\n".join(shown)
            assert drawn.count("#") > 10
            for tapes in picture.tapes:
                assert tapes.anchor in drawn, "every pit is named in the plan"
            await pilot.press("escape")
            await pilot.pause()
            assert pilot.app.screen is screen
