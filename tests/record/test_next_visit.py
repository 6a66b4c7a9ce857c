"""A house on the block sample over three years: installed, then visited four times from its records."""

from __future__ import annotations

import shutil
from datetime import date, datetime, timedelta, timezone
from pathlib import Path

import pytest
from day_help import Hands, saved

from crewtui import cli
from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.job.file.load import load_job
from crewtui.record.house.house import load_house
from crewtui.record.house.series import series_of
from crewtui.record.house.series_words import house_words
from crewtui.record.signed.chain import verify_all
from crewtui.record.signed.hand_in import hand_in
from crewtui.record.signed.known_keys import KnownKey, KnownKeys, save_known
from crewtui.record.signed.signing_keys import SigningKey
from crewtui.trade.wall.trend import DAYS_IN_YEAR

SAMPLES = Path(__file__).parents[2] / "sample_jobs"
KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
KNOWN = KnownKeys((KnownKey(public=KEY.public, name="Lee Sample"),))
BEGAN = datetime(2026, 11, 30, 8, 0, tzinfo=timezone(timedelta(hours=-5)))
VISITS = (150, 330, 520, 1095)
WHY = {"reason": "as it came out, the engineer was called", "sure": True}
LOOK = (("cracks", "as they were"), ("plate-looked", "flat on the wall"), ("nut-looked", "snug"),
        ("water-looked", "dry"), ("cap-looked", "on"))  # fmt: skip
DROPPED = "N5"


def install(folder: Path, sample: str) -> Path:
    path = folder / "install.toml"
    shutil.copy(SAMPLES / f"{sample}.toml", path)
    with Day.open(path, clock=Hands(BEGAN), figures=figures_for) as day:
        for now in tuple(day.state.live()):
            if now.id == DROPPED:
                continue
            for step, text in (
                ("setback", "13 ft"),
                ("drop", "7 in"),
                ("held-angle", "8"),
                ("depth-found", "41 in"),
            ):
                saved(day.measure(now.id, step, text, **WHY))
            saved(day.measure(now.id, "second-torque", "70 lbf·ft", then="clicked", **WHY))
            read(day, now.id, "after", 1.25)
        return hand_in(day, KEY, lead="Lee Sample").path


def read(day: Day, anchor: str, when: str, bow_in: float) -> None:
    bow = round(bow_in * 16) / 16
    heights = (("4 in", "6 in"), ("44 in", f"{6 - bow} in"), ("84 in", "6 in"))
    saved(day.walls.read_wall(anchor, when, heights, resolution="1/16 in", fixed_to="nail at the joist",
                              line_offset="6 in"))  # fmt: skip


def visit(records: list[Path], number: int, after: int, keys: Path) -> Path:
    """Write the next visit's job, and go there: N2 moves in by a quarter inch a year."""
    job = records[0].parent / f"visit-{number}.toml"
    on = (BEGAN + timedelta(days=after)).date()
    named = [str(path) for path in records]
    assert cli.run(["visit", *named, str(job), "--keys", str(keys), "--date", on.isoformat()]) == 0
    with Day.open(job, clock=Hands(BEGAN + timedelta(days=after)), figures=figures_for) as day:
        for now in tuple(day.state.live()):
            yearly = 0.25 if now.id == "N2" else 0.0
            read(day, now.id, "before", 1.25 + yearly * after / DAYS_IN_YEAR)
            if number == 2:
                continue
            for step, answer in LOOK:
                saved(day.answer(now.id, step, answer))
            if now.plan.owner_adjustable:
                saved(day.measure(now.id, "torque-found", "68 lbf·ft"))
                saved(day.answer(now.id, "nut", "left as found"))
            saved(day.answer(now.id, "visit-word", "hold"))
        done = hand_in(day, KEY, lead="Lee Sample")
        assert done.complete, "a visit is finished, with readings only too"
        return done.path


@pytest.fixture(scope="module")
def records(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    folder = tmp_path_factory.mktemp("house")
    keys = folder / "keys.toml"
    save_known(KNOWN.keys, keys)
    found = [install(folder, "block-wall")]
    for number, after in enumerate(VISITS, start=1):
        found.append(visit(found, number, after, keys))
    return found


def test_five_days_chain_and_their_series_says_the_rate_with_its_doubt(records: list[Path]) -> None:
    report = verify_all(records, KNOWN)
    assert report.exit_code == 0
    assert any("install of 2026-11-30, then visit of 2027-04-29" in words for words in report.remarks)
    house = load_house(records, KNOWN)
    assert (house.id, len(house.days)) == ("S-101", 5)
    words = house_words(series_of(house))
    assert words.startswith("N2: moves 0.2 to 0.3 in a year, inward")
    assert "N1, N3, N4: no movement seen within 1/16 in" in words
    n2 = next(one for one in series_of(house).anchors if one.anchor == "N2")
    assert [(one.found_lbf_ft, one.left_lbf_ft) for one in n2.torques] == [
        (None, 70), (68, 68), (68, 68), (68, 68),
    ]  # fmt: skip


def test_the_job_of_a_visit_carries_what_was_built_and_nothing_to_dig(records: list[Path]) -> None:
    for number in (1, 4):
        job = load_job(records[0].parent / f"visit-{number}.toml")
        assert job.job.day == "visit"
        assert job.ticket is None
        assert not job.lines
        assert [anchor.id for anchor in job.anchors] == ["N1", "N2", "N3", "N4"], "N5 was never set"
        built = job.anchor("N2").built
        assert built is not None
        assert (built.depth_found_in, built.torque_left_lbf_ft) == (41, 70 if number == 1 else 68)
        assert number > 1 or built.left_on == date(2026, 11, 30)
        assert built.heights_in == (4, 44, 84)
        assert (built.fixed_to, built.line_offset_in) == ("nail at the joist", 6)
        assert job.anchor("N2").setback_in == 156
        assert job.tightening is not None
        assert job.rules["least_clearance_in"].value == 12
        assert len(job.job.earlier_records) == number
        assert job.job.earlier_record == job.job.earlier_records[-1]


def test_what_cannot_be_visited_is_one_sentence(
    records: list[Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("CREWTUI_HOME", str(tmp_path))
    there = records[0].parent / "visit-1.toml"
    for named in (
        [str(records[0]), str(there)],
        [str(records[0]), str(records[1])],
        [str(tmp_path / "none.record.toml"), str(tmp_path / "job.toml")],
    ):
        assert cli.run(["visit", *named]) == 2
        said = capsys.readouterr().err
        assert said.startswith("crewtui: ")
        assert said.count("\n") == 1


@pytest.mark.parametrize("sample", ["poured-deep-frost-metric", "clay-tile-tight"])
def test_any_sample_can_be_visited(tmp_path: Path, sample: str) -> None:
    keys = tmp_path / "keys.toml"
    save_known(KNOWN.keys, keys)
    record = install(tmp_path, sample)
    first, job = load_job(tmp_path / "install.toml"), tmp_path / "visit-1.toml"
    assert cli.run(["visit", str(record), str(job), "--keys", str(keys)]) == 0
    later = load_job(job)
    assert later.walls == first.walls
    assert later.rod == first.rod
    assert later.contacts == first.contacts
    for anchor in later.anchors:
        assert anchor.along_in == pytest.approx(first.anchor(anchor.id).along_in, abs=1e-4)
        assert anchor.built is not None
        assert anchor.built.torque_left_lbf_ft == pytest.approx(70, abs=0.01)
