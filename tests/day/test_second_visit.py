"""A job read on two visits, from job file to signed record to the sheet: every anchor gets its word."""

from __future__ import annotations

import shutil
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from day_help import Hands, saved

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.record.house.past import past_of
from crewtui.record.house.visits import compare_day, earlier_path, load_earlier
from crewtui.record.sheets.owner_sheet import owner_sheet
from crewtui.record.signed.hand_in import hand_in
from crewtui.record.signed.known_keys import KnownKey, KnownKeys
from crewtui.record.signed.signing_keys import SigningKey
from crewtui.record.signed.verify import verify

SAMPLES = Path(__file__).parents[2] / "sample_jobs"
KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
KNOWN = KnownKeys((KnownKey(public=KEY.public, name="Lee Sample"),))
FIRST = datetime(2026, 11, 30, 8, 0, tzinfo=timezone(timedelta(hours=-5)))
MOVES = (0.0, 0.375, -0.375)
"""What the wall does between the visits, anchor by anchor, inward: nothing, in, out."""
WORDS = ("within the reading error", "worse", "better")


def read_all(day: Day, more_in: tuple[float, ...]) -> None:
    metric = day.job.job.units == "metric"

    def text(value_in: float) -> str:
        return f"{value_in * 25.4:.0f} mm" if metric else f"{value_in:g} in"

    for number, now in enumerate(list(day.state.live())):
        bow_in = 1.0 + more_in[number % len(more_in)]
        heights = ((text(4), text(6)), (text(44), text(6 - bow_in)), (text(84), text(6)))
        line = {"resolution": "1 mm"} if metric else {"resolution": "1/16"}
        saved(day.walls.read_wall(now.id, "before", heights, **line))


@pytest.mark.parametrize("sample", ["block-wall", "clay-tile-tight", "poured-deep-frost-metric"])
def test_a_second_visit_shows_better_worse_or_within_the_reading_error(tmp_path: Path, sample: str) -> None:
    first = tmp_path / "first.toml"
    shutil.copy(SAMPLES / f"{sample}.toml", first)
    with Day.open(first, clock=Hands(FIRST), figures=figures_for) as day:
        read_all(day, (0.0,))
        idents = [now.id for now in day.state.live()]
        record = hand_in(day, KEY, lead="Lee Sample").path
    second = tmp_path / "second.toml"
    text = first.read_text(encoding="utf-8")
    named = f'[job]\nearlier_record = "{record.name}"'
    second.write_text(text.replace("[job]", named, 1), encoding="utf-8")
    with Day.open(second, clock=Hands(FIRST + timedelta(days=180)), figures=figures_for) as day:
        earlier = load_earlier(earlier_path(second, day.job.job.earlier_record), KNOWN)
        assert not earlier.trusted
        read_all(day, MOVES)
        found = compare_day(day.state, earlier)
        assert [(one.anchor, one.word) for one in found.anchors] == [
            (ident, WORDS[number % len(WORDS)]) for number, ident in enumerate(idents)
        ]
        later = hand_in(day, KEY, lead="Lee Sample").path
    page = owner_sheet(verify(later, KNOWN), past=past_of(verify(later, KNOWN), [verify(record, KNOWN)]))
    for word in WORDS:
        assert f"Since the earlier visit</dt><dd>{word}" in page
    assert "Held against the visit of" in page
