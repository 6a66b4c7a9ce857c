"""Two visits from their signed records: what the command says, and what strange records give."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from day_help import MORNING, Hands, make_job, open_day, saved

from crewtui import cli
from crewtui.day.session.day import Day
from crewtui.record.house.visits import (
    EarlierError,
    compare_day,
    earlier_of,
    earlier_path,
    load_earlier,
    visits_of_record,
)
from crewtui.record.signed.build import Sources, build_record
from crewtui.record.signed.known_keys import KnownKey, KnownKeys, save_known
from crewtui.record.signed.progress import Progress
from crewtui.record.signed.read_form import read_form
from crewtui.record.signed.sign import RECORD_FORMAT, RECORD_KIND, sign_record, write_record
from crewtui.record.signed.signing_keys import SigningKey
from crewtui.record.signed.verify import verify_data

AT = datetime(2031, 4, 5, 16, 20, tzinfo=UTC)
KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
KNOWN = KnownKeys((KnownKey(public=KEY.public, name="Lee Sample"),))
SOURCES = Sources(
    job_file="job.toml", job_sha256="0" * 64, journal_file="job.journal.jsonl", journal_sha256="1" * 64
)


def bowed(middle: str) -> tuple[tuple[str, str], ...]:
    return (("4", "6"), ("46", middle), ("88", "6"))


def record(day: Day) -> dict[str, Any]:
    data = build_record(
        day.state, day.journal.entries, sources=SOURCES, progress=Progress(), lead="Lee Sample"
    )
    return sign_record(data, KEY, signed_at=AT)


@pytest.fixture
def first(tmp_path: Path) -> dict[str, Any]:
    (tmp_path / "first").mkdir()
    with open_day(tmp_path / "first") as day:
        for number in (1, 2, 3):
            saved(day.walls.read_wall(f"A-{number}", "before", bowed("4"), resolution="1/16"))
            saved(
                day.walls.read_wall(
                    f"A-{number}", "after", bowed("4 1/2"), resolution="1/16",
                    base_from_string="2", string_at_corners="2",
                )
            )  # fmt: skip
        return record(day)


def second(folder: Path, job: Any = None, *, later: bool = False) -> Day:
    folder.mkdir()
    day = open_day(folder, job, clock=Hands(MORNING + timedelta(days=180 if later else 0)))
    for anchor, middle in (("A-1", "4"), ("A-2", "5"), ("A-3", "4 1/2")):
        saved(day.walls.read_wall(anchor, "before", bowed(middle), resolution="1/16"))
    return day


def test_a_record_keeps_every_reading(first: dict[str, Any]) -> None:
    visits = visits_of_record(read_form(first))
    assert set(visits) == {"A-1", "A-2", "A-3"}
    found = visits["A-1"]
    assert found["before"].reading.bow_in.value == pytest.approx(2.0)
    assert found["after"].reading.bow_in.value == pytest.approx(1.5)
    assert found["after"].reading.base_in is not None
    assert found["after"].reading.along_in == 90


def test_a_second_visit_says_for_every_anchor_better_worse_or_within(
    tmp_path: Path, first: dict[str, Any]
) -> None:
    earlier = earlier_of(verify_data(first, KNOWN))
    with second(tmp_path / "second") as day:
        found = compare_day(day.state, earlier)
    assert {one.anchor: one.word for one in found.anchors} == {
        "A-1": "worse", "A-2": "better", "A-3": "within the reading error",
    }  # fmt: skip
    assert found.worse
    assert any("slid" in note for note in found.notes), "only one visit measured the base"
    assert not earlier.trusted
    assert "Unknown key" in earlier_of(verify_data(first, KnownKeys())).trusted


def test_the_command_compares_two_records(
    tmp_path: Path,
    first: dict[str, Any],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("CREWTUI_HOME", str(tmp_path / "home"))
    old, new, keys = tmp_path / "old.record.toml", tmp_path / "new.record.toml", tmp_path / "keys.toml"
    save_known(KNOWN.keys, keys)
    write_record(old, first)
    with second(tmp_path / "second", later=True) as day:
        write_record(new, record(day))
    assert cli.run(["compare", str(old), str(new), "--keys", str(keys)]) == 1
    said = capsys.readouterr().out
    assert "Worse: A-1; better: A-2; within the reading error: A-3." in said
    assert "bow 1 1/2 in to 2 in, +1/2 in (±1/16 in): worse" in said
    assert cli.run(["compare", str(old), str(new), "--keys", str(keys), "--json"]) == 1
    found = json.loads(capsys.readouterr().out)
    assert (found["exit_code"], found["last_two"]["later"]["state"]) == (1, "valid")
    assert {one["anchor"]: one["word"] for one in found["last_two"]["between"]}["A-1"] == "worse"
    assert all(len(line) <= 80 for line in said.splitlines() if str(tmp_path) not in line)
    assert cli.run(["compare", str(new), str(old), "--keys", str(keys)]) == 1
    assert "Put in the order of their entries' own dates: old.record.toml" in capsys.readouterr().out
    assert cli.run(["sheet", str(new), "--earlier", str(old), "--keys", str(keys)]) == 0
    page = (tmp_path / "new.record.html").read_text(encoding="utf-8")
    assert "Since the earlier visit</dt><dd>worse" in page
    old.write_bytes(old.read_bytes().replace(b"6.0", b"7.0"))
    assert cli.run(["sheet", str(new), "--earlier", str(old), "--keys", str(keys)]) == 2
    assert cli.run(["compare", str(old), str(new)]) == 2
    assert "Altered" in capsys.readouterr().err


def test_records_without_readings_compare_to_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("CREWTUI_HOME", str(tmp_path / "home"))
    path = tmp_path / "x.record.toml"
    write_record(path, sign_record({"kind": RECORD_KIND, "format": RECORD_FORMAT}, KEY, signed_at=AT))
    other = tmp_path / "y.record.toml"
    later = datetime(2032, 4, 5, tzinfo=UTC)
    write_record(other, sign_record({"kind": RECORD_KIND, "format": RECORD_FORMAT}, KEY, signed_at=later))
    assert cli.run(["compare", str(path), str(other)]) == 2
    assert "Nothing was read" in capsys.readouterr().out
    assert cli.run(["compare", str(path), str(path)]) == 2
    assert "one day at the house is no comparison" in capsys.readouterr().err


GOOD = {"when": "before", "line": "plumb line", "heights_in": [4.0, 40.0, 80.0],
        "offsets_in": [6.0, 5.0, 6.0], "resolution_in": 0.0625}  # fmt: skip


@pytest.mark.parametrize(
    "strange",
    [
        {"when": "later"}, {"line": "x"}, {"heights_in": [1.0]}, {"resolution_in": 0.0},
        {"heights_in": [4.0, 4.0, 8.0]}, {"base_from_string_in": 2.0},
    ],
)  # fmt: skip
def test_a_reading_that_is_none_is_left_out_and_named(strange: dict[str, Any]) -> None:
    anchors = [{"id": "A-1", "reading": [GOOD | strange]}, {"id": "A-2", "reading": [GOOD]}]
    data = {"kind": RECORD_KIND, "format": RECORD_FORMAT, "anchor": anchors}
    earlier = earlier_of(verify_data(sign_record(data, KEY, signed_at=AT), KNOWN))
    assert set(earlier.visits) == {"A-2"}
    assert len(earlier.strange) == 1


@pytest.mark.parametrize(
    "strange",
    [
        {"line": 7}, {"heights_in": "x"}, {"offsets_in": [1, "x", 2]}, {"resolution_in": "x"},
        {"line_offset_in": True},
    ],
)  # fmt: skip
def test_a_record_laid_out_otherwise_gives_no_visit_but_its_reason(strange: dict[str, Any]) -> None:
    data = {"kind": RECORD_KIND, "format": RECORD_FORMAT,
            "anchor": [{"id": "A-1", "reading": [GOOD | strange]}]}  # fmt: skip
    with pytest.raises(EarlierError, match=r"anchor\[0\].reading\[0\]"):
        earlier_of(verify_data(sign_record(data, KEY, signed_at=AT), KNOWN))


def test_an_earlier_record_lies_beside_the_job_file_and_must_hold(tmp_path: Path) -> None:
    path = earlier_path(tmp_path / "job.toml", "old.record.toml")
    assert path == tmp_path / "old.record.toml"
    with pytest.raises(EarlierError, match=r"old\.record\.toml"):
        load_earlier(path, KNOWN)


def test_a_metric_job_is_compared_in_millimeters(tmp_path: Path, first: dict[str, Any]) -> None:
    earlier = earlier_of(verify_data(first, KNOWN))
    (tmp_path / "metric").mkdir()
    with open_day(tmp_path / "metric", make_job(job={"units": "metric"})) as day:
        heights = (("100", "150"), ("1150", "100"), ("2200", "150"))
        saved(day.walls.read_wall("A-1", "before", heights, resolution="1"))
        found = compare_day(day.state, earlier)
    assert "mm" in found.anchors[0].words[0]
