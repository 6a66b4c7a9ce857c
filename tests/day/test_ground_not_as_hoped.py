"""Ground that is not as hoped: an entry, its ways on with figures, a text to read out, and the record."""

from __future__ import annotations

from pathlib import Path

import pytest
from day_help import make_job, open_day, refused, saved

from crewtui.day.journal import beside_entries as b
from crewtui.day.steps.ground_ways import STOP_AND_ASK, call_text, ground_ways
from crewtui.record.signed.build_beside import beside_anchors


@pytest.mark.parametrize("what", ["rock", "roots", "water", "fill", "old pit"])
def test_what_was_met_is_kept_and_leads_to_its_ways_on(tmp_path: Path, what: str) -> None:
    with open_day(tmp_path, make_job(), figures=None) as day:
        saved(day.beside.ground_found("A-2", what, at="drive", depth_in=31, note="rings"))
        assert day.log()[0].words == f"A-2: {what} met on the drive, 31 in: rings"
        ways = ground_ways(day.state, "A-2", what)
        assert ways[-1] == STOP_AND_ASK
        # Neighbors at 90 and 210, spacing from 36 to 72: within 36 of neither, within 72 of both.
        assert any("leave 11 ft 6 in to 13 ft 6 in" in words for words in ways)
        assert any("rod point" in words for words in ways) is (what in {"rock", "roots"})
        listed = beside_anchors(day.state, day.journal.entries)["ground_found"]
        assert [(one.anchor, one.what, one.at, one.depth_in) for one in listed] == [
            ("A-2", what, "drive", 31)
        ]


def test_the_text_to_read_out_has_the_anchors_figures_and_the_question(tmp_path: Path) -> None:
    with open_day(tmp_path, make_job(), figures=None) as day:
        asked = "May it move a foot along?"
        text = call_text(day.state, "A-2", met="rock on the drive at 31 in", asked=asked)
        for part in ("Job T-1", "Anchor A-2, wall north", "12 ft (plan)", "Angle to hold:", asked):
            assert part in text
        saved(day.beside.call_made("engineer", about=text, said="yes, 12 in", anchor="A-2"))
        entry = day.journal.entries[-1]
        assert isinstance(entry, b.CallMade)
        assert entry.about == text


def test_what_nobody_meets_in_the_ground_is_refused_in_one_sentence(tmp_path: Path) -> None:
    with open_day(tmp_path, make_job(), figures=None) as day:
        said = refused(day.beside.ground_found("A-1", "gold", at="pit"))  # type: ignore[arg-type]
        assert said == "Say what was met: rock, roots, water, fill, old pit."
        assert "not negative" in refused(day.beside.ground_found("A-1", "rock", at="pit", depth_in=-1))
