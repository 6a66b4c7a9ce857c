"""Many records as one table: read by DuckDB and pandas as an office would, and nothing in it runs."""

from __future__ import annotations

import csv
import json
from collections.abc import Mapping
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import duckdb
import pandas as pd
import pytest

from crewtui import cli
from crewtui.record.office import judging
from crewtui.record.office.collect import collect
from crewtui.record.office.flat_table import COLUMNS
from crewtui.record.office.table_files import CollectError, CsvTable, harmless
from crewtui.record.signed.canonical import canonical_hash
from crewtui.record.signed.known_keys import KnownKey, KnownKeys
from crewtui.record.signed.sign import RECORD_FORMAT, RECORD_KIND, sign_record, write_record
from crewtui.record.signed.signing_keys import SigningKey
from crewtui.record.signed.verify import Verdict, verify_bytes

KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
OTHER = SigningKey.from_secret(bytes(32), name="Kim Sample")
KNOWN = KnownKeys((KnownKey(public=KEY.public, name="Lee Sample"),))
AT = datetime(2031, 4, 5, 16, 20, tzinfo=timezone(timedelta(hours=-5)))
QUOTED = 'wall, "quoted" caf\u00e9'


def anchor(ident: str, depth_in: float) -> dict[str, Any]:
    return {
        "id": ident, "wall": "north", "state": "complete",
        "planned": {"along_in": 32.0, "setback_in": 144.0, "owner_adjustable": True},
        "figure": {"rod_needed_in": 153.375},
        "input": [{"quantity": "along_in", "value": 33.5, "source": "plan"}],
        "value": [
            {"quantity": "depth_found_in", "value": depth_in}, {"quantity": "threads_showing", "value": 4.0}
        ],
        "attempt": [{"attempt": 1}, {"attempt": 2}],
    }  # fmt: skip


def signed(
    folder: Path, name: str, *, key: SigningKey = KEY, job: Mapping[str, Any] | None = None, **changes: Any
) -> str:
    """Write a record; return its hash."""
    data: dict[str, Any] = {
        "kind": RECORD_KIND, "format": RECORD_FORMAT, "complete": True, "revision": {"number": 1},
        "job": {
            "id": name, "site": "Sample Lane 5", "date": date(2031, 4, 5), "lead": "Lee Sample", **(job or {})
        },
        "wall": [{"name": "north", "type": "block"}],
        "anchor": [anchor("A-1", 41.5), anchor("A-2", 40.0)],
        "deviation": [{"anchor": "A-2", "text": "no"}, {"anchor": "A-2", "text": "late"}],
    }  # fmt: skip
    record = sign_record(data | changes, key, signed_at=AT)
    write_record(folder / f"{name}.record.toml", record)
    return canonical_hash({name: part for name, part in record.items() if name != "signature"})


def table(folder: Path, kind: str) -> pd.DataFrame:
    """Return the table as DuckDB reads it, and see that pandas reads the same."""
    out = folder / f"table.{kind}"
    collect(sorted(folder.glob("*.record.toml")), out, KNOWN)
    # A moment as text: DuckDB hands it to Python only through a package that it does not bring along.
    query = f"select * replace (signed_at_utc::varchar as signed_at_utc) from '{out}'"  # noqa: S608 - our path
    rows = duckdb.connect().execute(query)
    found = pd.DataFrame(rows.fetchall(), columns=[column[0] for column in rows.description])
    again = pd.read_csv(out) if kind == "csv" else pd.read_parquet(out)
    assert list(found.columns) == list(again.columns) == [name for name, _ in COLUMNS]
    assert len(found) == len(again)
    assert found["depth_found_in"].dropna().tolist() == again["depth_found_in"].dropna().tolist()
    return found


@pytest.mark.parametrize("kind", ["csv", "parquet"])
def test_a_hundred_records_are_a_table_that_duckdb_and_pandas_read(tmp_path: Path, kind: str) -> None:
    for number in range(100):
        signed(tmp_path, f"J-{number:03}", job={"site": QUOTED})
    found = table(tmp_path, kind)
    assert len(found) == 200
    first = found.iloc[0]
    assert first["job_id"] == "J-000"
    assert first["site"] == QUOTED
    assert first["wall_type"] == "block"
    assert (first["anchor"], first["depth_found_in"], first["threads_showing"]) == ("A-1", 41.5, 4)
    assert (first["along_in"], first["planned_setback_in"], first["figured_rod_needed_in"]) == (
        33.5,
        144,
        153.375,
    )
    assert (first["attempts"], first["deviations"], found.iloc[1]["deviations"]) == (2, 0, 2)
    assert bool(first["owner_adjustable"])
    assert pd.isna(first["first_torque_lbf_ft"])
    assert pd.Timestamp(first["signed_at_utc"]).tz_convert("UTC") == pd.Timestamp(AT.astimezone(UTC))
    assert pd.Timestamp(first["job_date"]).date() == date(2031, 4, 5)


def test_only_the_newest_revision_of_a_job_stands(tmp_path: Path) -> None:
    first = signed(tmp_path, "J-1", complete=False)
    revision = {"number": 2, "before": first, "reason": "finished"}
    signed(tmp_path, "J-1b", job={"id": "J-1"}, revision=revision)
    signed(tmp_path, "J-2")
    (tmp_path / "copy.record.toml").write_bytes((tmp_path / "J-2.record.toml").read_bytes())
    found = table(tmp_path, "csv")
    assert sorted(zip(found["job_id"], found["revision"], strict=True)) == [
        ("J-1", 2), ("J-1", 2), ("J-2", 1), ("J-2", 1)
    ]  # fmt: skip


def test_what_does_not_hold_gives_no_row_and_an_unknown_key_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CREWTUI_HOME", str(tmp_path / "home"))
    for name in ("good", "bad"):
        signed(tmp_path, name)
    signed(tmp_path, "other", key=OTHER)
    bad = tmp_path / "bad.record.toml"
    bad.write_bytes(bad.read_bytes().replace(b"41.5", b"42.5"))
    (tmp_path / "none.record.toml").write_bytes(b"x = 1")
    known = tmp_path / "known"
    known.mkdir()
    out = tmp_path / "t.csv"
    collected = collect(sorted(tmp_path.glob("*.record.toml")), out, KNOWN)
    assert (collected.records, collected.rows, collected.report.exit_code) == (2, 4, 1)
    with out.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [(row["file"], row["standing"]) for row in rows[::2]] == [
        ("good.record.toml", "valid"), ("other.record.toml", "unknown key"),
    ]  # fmt: skip
    assert cli.run(["collect", str(tmp_path), "--out", str(out)]) == 1
    said = " ".join(capsys.readouterr().out.split())
    assert "Left out" in said
    assert "bad.record.toml" in said
    assert "none.record.toml" in said
    assert "4 anchors of 2 records" in said


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", " =cmd|' /C calc'!A0", "%0A=1", "|x", "\r=1"]
)
def test_no_text_runs_in_a_spreadsheet(tmp_path: Path, text: str) -> None:
    assert harmless(text) == f"'{text}"
    signed(tmp_path, "J-1", job={"site": text, "lead": text})
    out = tmp_path / "t.csv"
    collect([tmp_path / "J-1.record.toml"], out, KNOWN)
    with out.open(encoding="utf-8", newline="") as file:
        row = next(csv.DictReader(file))
    for name in ("site", "lead"):
        assert row[name][0] in {"'", "\\"}, "an apostrophe before it, or the code of its first sign"
    assert row["depth_found_in"] == "41.5", "a number stays a number"
    assert harmless("plain = text - and more") == "plain = text - and more"


def test_no_sign_of_a_name_reaches_the_table_raw(tmp_path: Path) -> None:
    signed(tmp_path, "J-1", job={"site": "a\x1b[31mb\u202e\nc", "lead": "x\x07y"})
    out = tmp_path / "t.csv"
    collect([tmp_path / "J-1.record.toml"], out, KNOWN)
    text = out.read_text(encoding="utf-8")
    assert not set(text) & {"\x1b", "\x07", "\u202e"}


STRANGE: list[dict[str, Any]] = [
    {"anchor": [7]},
    {"anchor": [{"id": 5}]},
    {"anchor": [{"id": "A-1", "value": [{"quantity": 1}]}]},
    {"wall": "x"},
    {"deviation": 3},
    {"note": [{"done_at": datetime(9999, 12, 31, 23, 59, tzinfo=timezone(timedelta(hours=-12)))}]},
    {"job": {"date": date(1, 1, 1)}},
]


def test_a_record_laid_out_otherwise_is_left_out_and_named_and_the_rest_is_done(tmp_path: Path) -> None:
    for number, strange in enumerate(STRANGE):
        signed(tmp_path, f"J-{number}", **strange)
    signed(tmp_path, "J-good")
    files = sorted(tmp_path.glob("*.record.toml"))
    found = collect(files, tmp_path / "t.csv", KNOWN)
    assert (found.rows, found.records, found.report.exit_code) == (2, 1, 5)
    assert found.report.counts["strange"] == len(STRANGE)


def test_a_record_by_an_unknown_key_pushes_none_out_whatever_it_names(tmp_path: Path) -> None:
    first = signed(tmp_path, "J-1")
    revision = {"number": 2, "before": first, "reason": "forged"}
    signed(tmp_path, "J-1-forged", key=OTHER, job={"id": "J-1"}, revision=revision)
    files = sorted(tmp_path.glob("*.record.toml"))
    found = collect(files, tmp_path / "t.csv", KNOWN)
    assert (found.records, found.replaced, found.report.exit_code) == (2, 0, 3)
    with (tmp_path / "t.csv").open(encoding="utf-8", newline="") as file:
        rows = {row["file"]: row["standing"] for row in csv.DictReader(file)}
    assert rows == {"J-1.record.toml": "valid", "J-1-forged.record.toml": "unknown key"}
    (remark,) = found.report.remarks
    assert remark.startswith("J-1-forged.record.toml says that it replaces J-1.record.toml, and no known key")


def test_forks_copies_and_another_known_key_are_listed(tmp_path: Path) -> None:
    both = KnownKeys((*KNOWN.keys, KnownKey(public=OTHER.public, name="Kim Sample")))
    first = signed(tmp_path, "J-1")
    for name, key in (("J-1-b", KEY), ("J-1-c", OTHER)):
        revision = {"number": 2, "before": first, "reason": name}
        signed(tmp_path, name, key=key, job={"id": "J-1"}, revision=revision)
    (tmp_path / "replay.record.toml").write_bytes((tmp_path / "J-1.record.toml").read_bytes())
    found = collect(sorted(tmp_path.glob("*.record.toml")), tmp_path / "t.csv", both)
    assert found.report.exit_code == 4
    assert any("both replace the record" in words for words in found.report.problems)
    assert {words.split(" is ")[1].split(" ")[0] for words in found.report.remarks} == {"a", "signed"}
    assert (found.records, found.replaced) == (2, 2)


def test_each_record_is_verified_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for number in range(5):
        signed(tmp_path, f"J-{number}")
    seen = []

    def counted(content: bytes, known: KnownKeys, *, path: Path | None = None) -> Verdict:
        seen.append(path)
        return verify_bytes(content, known, path=path)

    monkeypatch.setattr(judging, "verify_bytes", counted)
    files = sorted(tmp_path.glob("*.record.toml"))
    assert collect(files, tmp_path / "t.csv", KNOWN).rows == 10
    assert seen == files


def test_what_was_collected_is_also_said_as_json(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CREWTUI_HOME", str(tmp_path / "home"))
    signed(tmp_path, "J-1")
    assert cli.run(["collect", str(tmp_path), "--out", str(tmp_path / "t.csv"), "--json"]) == 3
    found = json.loads(capsys.readouterr().out)
    assert (found["rows"], found["standing"], found["replaced"], found["exit_code"]) == (2, 1, 0, 3)
    assert found["records"][0]["state"] == "unknown key"


def test_what_cannot_be_written_is_said_and_leaves_what_was_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_self: CsvTable, _row: Any) -> None:
        raise OSError(28, "No space left on device")

    signed(tmp_path, "J-1")
    record = [tmp_path / "J-1.record.toml"]
    with pytest.raises(CollectError, match=r"none of \.csv, \.parquet, \.sqlite"):
        collect(record, tmp_path / "t.xlsx", KNOWN)
    with pytest.raises(CollectError, match="cannot be written"):
        collect(record, tmp_path / "nowhere" / "t.csv", KNOWN)
    out = tmp_path / "t.csv"
    out.write_text("before", encoding="utf-8")
    monkeypatch.setattr(CsvTable, "write", full)
    with pytest.raises(CollectError, match="cannot be written"):
        collect(record, out, KNOWN)
    assert out.read_text(encoding="utf-8") == "before"
    assert not list(tmp_path.glob(".t.csv*"))
