"""A whole day on each sample job at 80x24, killed three times on the way, signed, verified, altered.

On the block wall four of the five rods go wrong, and what is advised is done: no deviation comes of it.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from driver import Terminal, crewtui
from lead import Lead
from working_day import NOT_SHOWN, Values, WorkingDay

SAME = {"Watch": "0", "Threads": "5"}
INCHES = SAME | {
    "Pit along": "14", "Mark below": "28", "Rod off": "1/2", "Marks in": "1/4", "Rod came in": "1/4",
    "Backfilled": "9", "Bow of": "6,5 1/2,6",
}  # fmt: skip
BLOCK: Values = INCHES | {
    "Set-back": "13'", "Drop of": ("6", "6 3/4", "7 1/2", "8 1/2", "9"), "Pit depth": "54",
    "Wall thick": "7 5/8", "Angle": "7", "Rod in the pit": ("41", "40 1/2", "41 1/4", "40", "41"),
    "First torque": "80", "Second torque": "80",
}  # fmt: skip
CROOKED: Values = {
    "Angle held": ("7", "7", "7", "9.5", "7.5"), "Laid bare": "22",
    **BLOCK, "Rod in the pit": ("41", "40 1/2", "39", "43 1/4", "42"),
}  # fmt: skip
CROOKED_DAY = "block-wall"
WRONG = {1: ("33", "Drive again, same hole"), 2: (NOT_SHOWN, "Search by hand"), 4: ("50", "Drive flatter")}
"""On the block wall: N2 comes up shallow, N3 does not show, N4 is over a gas line, N5 comes up too deep."""
TILE: Values = INCHES | {
    "Set-back": "12'", "Drop of": ("1 1/2", "2", "2", "3"), "Pit depth": "52", "Wall thick": "9 1/2",
    "Angle": "6", "Rod in the pit": "41", "First torque": "45", "Second torque": "45",
}  # fmt: skip
METRIC: Values = SAME | {
    "Set-back": "4800", "Drop of": "138", "Marks in": "5", "Pit depth": "1800", "Pit along": "400",
    "Mark below": "720", "Wall thick": "200", "Angle": "10", "Rod in the pit": "1450", "Rod off": "10",
    "First torque": "95 lbf·ft", "Rod came in": "6", "Backfilled": "12", "Bow of": "150,140,151",
    "Second torque": "95 lbf·ft",
}  # fmt: skip
STOOP: Values = INCHES | {
    "Set-back": "13'", "Drop of": ("6", "6", "6", "6", "5", "5"), "Pit depth": "54", "Wall face": "12'6",
    "Wall thick": "8", "Angle": "7", "Rod in the pit": "41", "First torque": "80", "Second torque": "80",
}  # fmt: skip
DAYS = {
    "block-wall": (("N1", "N2", "N3", "N4", "N5"), CROOKED, "SS PS KS LS"),
    "clay-tile-tight": (("W1", "W2", "W3", "W4"), TILE, "LS SS PS"),
    "two-walls-stoop": (("N1", "N2", "N3", "N4", "E1", "E2"), STOOP, "SS PS KS LS"),
    "poured-deep-frost-metric": (("E1", "E2", "E3", "E4", "E5", "E6"), METRIC, "KS SS LS"),
}
HELD_THERE = frozenset({("two-walls-stoop", "N3"), ("two-walls-stoop", "E1")})
"""Anchors whose rod or pit meets what lies in the ground, so that more is asked there than at the first."""
BEFORE_THE_KILL = 9
"""Entries of a burst that are there when the battery dies in the middle of it."""


SAMPLES = Path(__file__).parents[2] / "sample_jobs"


class Site:
    """One job's folder, and the program in a terminal over it."""

    def __init__(self, run: Callable[..., Terminal], folder: Path, name: str) -> None:
        self.run, self.home = run, folder / "home"
        self.job = Path(shutil.copy(SAMPLES / f"{name}.toml", folder))
        self.journal = self.job.with_name(f"{name}.journal.jsonl")
        self.record = self.job.with_name(f"{name}.record.toml")

    def open(self) -> Lead:
        """Open the day."""
        lead = Lead(self.run(crewtui("open", str(self.job))).until("saved ", "EMERGENCY"))
        lead.terminal.painted()
        return lead

    def reopened(self, lead: Lead) -> Lead:
        """Kill the program where it stands, and open the day again: same place, same row, same bytes."""
        lead.caught_up()
        stood, on_disk = (lead.place, lead.row, lead.saved), self.journal.read_bytes()
        lead.terminal.kill()
        again = self.open()
        # What shows may be half of a picture: it is looked at until it is whole.
        again.terminal.until_true(
            lambda: (again.place, again.row, again.saved) == stood, what=f"what stood there before: {stood}"
        )
        assert self.journal.read_bytes() == on_disk
        return again

    def entries(self) -> int:
        """How many entries are on the disk."""
        return len(self.journal.read_text(encoding="utf-8").splitlines())

    def verify(self, *, home: Path | None = None) -> int:
        """Return what the office's command says of the record."""
        environment = {**os.environ, "CREWTUI_HOME": str(home or self.home)}
        command = crewtui("verify", str(self.record))
        return subprocess.run(command, env=environment, capture_output=True, check=False).returncode


def killed_in_the_middle(site: Site, day: WorkingDay, number: int) -> None:
    """The battery dies in the middle of a burst: what was shown as saved is there; the rest is done again."""
    lead = day.lead.caught_up()
    before, anchor = lead.saved, lead.letters
    day.anchor_at_once(number)
    lead.terminal.until_true(lambda: lead.saved >= before + BEFORE_THE_KILL, what="some entries of the burst")
    shown = lead.saved
    lead.terminal.kill()
    day.lead = site.open()
    # What shows may be half of a picture: it is looked at until it is whole.
    day.lead.terminal.until_true(
        lambda: day.lead.saved > 0 and day.lead.letters == anchor, what=f"the anchor of before:\n{anchor}"
    )
    assert shown <= day.lead.saved == site.entries() < before + len(day.steps)
    day.anchor(number)


@pytest.mark.parametrize("name", DAYS)
def test_a_whole_day(run: Callable[..., Terminal], tmp_path: Path, name: str) -> None:
    anchors, values, crew = DAYS[name]
    site = Site(run, tmp_path, name)
    day = WorkingDay(site.open(), values, crew=crew, wrong=WRONG if name == CROOKED_DAY else None)
    day.morning()
    day.hazards()
    day.to_anchor(anchors[0])
    day.lead = site.reopened(day.lead)
    day.anchor(0, steps=9)
    day.lead = site.reopened(day.lead)
    day.anchor(0)
    for number, ident in enumerate(anchors[1:], 1):
        day.to_anchor(ident)
        day.pit()
        day.to_anchor(ident)
        if name == CROOKED_DAY:
            if number == len(anchors) // 2:
                day.lead = site.reopened(day.lead)
            day.anchor(number)
        elif number == len(anchors) // 2:
            killed_in_the_middle(site, day, number)
        elif (name, ident) in HELD_THERE:
            day.anchor(number)
        else:
            day.until_saved(day.lead.saved + day.anchor_at_once(number))
    day.evening()
    said = day.sign()
    assert "The complete record, revision 1, is signed and on the disk" in said
    day.lead.terminal.press("q").until("[c ")
    assert day.leave() == 0

    kinds = [json.loads(line)["kind"] for line in site.journal.read_text(encoding="utf-8").splitlines()]
    assert kinds[-1] == "signed"
    assert "deviations" not in tomllib.loads(site.record.read_text(encoding="utf-8"))
    assert site.verify() == 0
    assert site.verify(home=tmp_path / "office") == 3
    text = site.record.read_text(encoding="utf-8")
    digit = re.search(r"(?m)^found_in = .*?(\d)", text) or re.search(r"(?m)^\w+_in = \d*(\d)", text)
    assert digit is not None
    other = str((int(digit[1]) + 1) % 10)
    site.record.write_text(
        text[: digit.start(1)] + other + text[digit.end(1) :], encoding="utf-8", newline=""
    )
    assert site.verify() == 1
