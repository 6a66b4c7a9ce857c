"""Words that give no false comfort, over the sample jobs: what reads well says what it leaves open."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner
from day_help import Hands, drive

from crewtui.cli import commands
from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.recovery.ways_on import what_now
from crewtui.day.safety.pit_rules import pit_seen
from crewtui.day.session.day import Day
from crewtui.day.steps.calculators import calculate
from crewtui.day.steps.outcomes import NeedsReason
from crewtui.day.truck.loading import Loaded, worked_out
from crewtui.record.sheets.owner_sheet import owner_sheet
from crewtui.record.sheets.plan_sheet import plan_sheet
from crewtui.record.signed.hand_in import hand_in
from crewtui.record.signed.known_keys import KnownKey, KnownKeys
from crewtui.record.signed.signing_keys import SigningKey
from crewtui.record.signed.verify import PROVES, verify

SAMPLES = sorted((Path(__file__).parents[2] / "sample_jobs").glob("*.toml"))
KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
KNOWN = KnownKeys((KnownKey(public=KEY.public, name="Lee Sample"),))


@pytest.fixture(params=SAMPLES, ids=lambda path: path.stem)
def day(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Day]:
    job = Path(shutil.copy(request.param, tmp_path))
    with Day.open(job, clock=Hands(datetime(2026, 11, 30, 13, 0, tzinfo=UTC)), figures=figures_for) as day:
        yield day


def truck(day: Day) -> Loaded:
    return worked_out(day.state, time_limit_s=0.3)


def test_enough_shows_the_spare(day: Day) -> None:
    loaded = truck(day)
    if loaded.cuts.enough:
        assert re.search(r"Enough on the truck: .* spare", loaded.cuts.said)
    for line in loaded.load.lines:
        assert line.there is None or re.search(r"\d+ (spare|short)$", line.said), line.said
    for words in (loaded.cuts.said, *(line.said for line in loaded.load.lines)):
        assert not re.search(r"\benough\b(?!.*(spare|on the truck))", words, re.IGNORECASE), words


def test_a_list_that_is_not_proven_says_so(day: Day) -> None:
    loaded = truck(day)
    assert ("so far" in loaded.cuts.state) is not loaded.cuts.proven


def test_a_refused_figure_is_shown_as_finely_as_the_verdict_needs(day: Day) -> None:
    anchor = next(now.id for now in day.state.live() if figures_for(day.state, now.id).limits)
    limit = figures_for(day.state, anchor).limits["least_depth_in"].value
    assert limit is not None
    for less_in in (1 / 16, 1 / 32, 1 / 64, 0.004):
        outcome = day.measure(anchor, "depth-found", f"{limit - less_in:.5f} in")
        assert isinstance(outcome, NeedsReason)
        shown = re.search(r"(\S.*?) is under (.*?)[ .(]*(\(|\.)", outcome.sentence)
        if shown is not None:
            assert shown[1].strip() != shown[2].strip(), outcome.sentence


def test_valid_says_what_it_does_and_does_not_prove(day: Day) -> None:
    record = hand_in(day, KEY, lead="Lee Sample").path
    verdict = verify(record, KNOWN)
    assert verdict.state == "valid"
    assert PROVES in verdict.words
    assert "does not prove" in PROVES
    assert "It does not prove that what" in " ".join(owner_sheet(verdict, "owner").split())


def test_no_depth_reads_as_safe(day: Day) -> None:
    for now in day.state.live():
        for depth in ("47 in", "59 in", "59 15/16 in"):
            day.measure(now.id, "pit-depth", depth, reason="test")
            view = pit_seen(day.state, now.id)
            text = repr(view).lower()
            assert not re.search(r"\bsafe\b(?<!no depth is safe)", text.replace("no depth is safe", "")), text
        break


def test_a_torque_is_said_to_be_no_test_of_the_anchor(day: Day) -> None:
    assert "no test of an anchor" in " ".join(plan_sheet(day.state, truck(day)).split())
    record = hand_in(day, KEY, lead="Lee Sample").path
    assert "no test of" in " ".join(owner_sheet(verify(record, KNOWN), "owner").split())
    for now in day.state.live():
        torque = next(part for part in calculate(day.state, now.id, {}).parts if part.key == "torque")
        said = " ".join((*torque.warnings, *(f"{row.label} {row.text}" for row in torque.rows), torque.title))
        assert "no test" in said, said


def test_where_the_next_rod_lands_stands_beside_the_drift(day: Day) -> None:
    first, second = [now.id for now in day.state.live()][:2]
    held = figures_for(day.state, first).held_angle_deg
    drive(day, first, 40, held)
    assert figures_for(day.state, second).next_rod is not None
    assert "two in three" in what_now(day.state, second, {}).drift_words


@pytest.mark.parametrize("name", sorted(commands.commands))
def test_every_command_s_help_has_an_example(name: str) -> None:
    said = CliRunner().invoke(commands, [name, "--help"]).output
    assert re.search(rf"Example.*\n\s+crewtui {name}", said), said


def test_the_help_of_the_whole_shows_a_job_from_file_to_record() -> None:
    said = CliRunner().invoke(commands, ["--help"]).output
    whole = said.index("the whole way")
    order = [said.index(f"crewtui {name}", whole) for name in ("new", "check", "plan", "open", "verify")]
    assert order == sorted(order)
