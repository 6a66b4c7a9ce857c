"""Tables that belong together: keys that meet, the ten questions of an office, a cache that may go."""

from __future__ import annotations

import json
import shutil
import sqlite3
from datetime import UTC, date, datetime, timedelta
from math import isnan
from pathlib import Path
from typing import Any

import duckdb
import pandas as pd
import pytest

from crewtui import cli
from crewtui.record.office import judging
from crewtui.record.office.collect import collect
from crewtui.record.office.related_tables import ANCHOR, ANCHORS, JOBS, RECORD, TABLES
from crewtui.record.signed.canonical import canonical_hash
from crewtui.record.signed.known_keys import KnownKey, KnownKeys
from crewtui.record.signed.sign import RECORD_FORMAT, RECORD_KIND, sign_record, write_record
from crewtui.record.signed.signing_keys import SigningKey
from crewtui.record.signed.verify import Verdict

DOCS = Path(__file__).parents[2] / "docs" / "tables.md"
KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
KNOWN = KnownKeys((KnownKey(public=KEY.public, name="Lee Sample"),))
SIGNED = datetime(2031, 4, 5, 21, 20, tzinfo=UTC)


def made(entry: int, at: datetime = SIGNED) -> dict[str, Any]:
    return {"entry": entry, "done_at": at}


def built(quantity: str, value: float, entry: int) -> dict[str, Any]:
    return {"quantity": quantity, "value": value, "step": quantity, **made(entry)}


def anchor(
    ident: str, at: datetime, *, depth: float, bow: float, state: str = "complete", **more: Any
) -> dict[str, Any]:
    return {
        "id": ident, "wall": "north", "state": state, "last_at": at, "first_at": at,
        "planned": {"along_in": 32.0, "setback_in": 156.0, "least_depth_in": 36.0},
        "figure": {"least_depth_in": 36.0, "greatest_depth_in": 48.0},
        "value": [built("depth_found_in", depth, 9), built("bow_after_in", bow, 12)],
        "attempt": [{"attempt": 1, "held_angle_deg": 6.4, "found": True, "depth_found_in": depth,
                     "drift_deg": -0.4, **made(9, at)}],
        "piece": [{"length_in": 90.0, "entry": 7}, {"length_in": 90.0, "entry": 8}],
        "torque": [{"tightening": "first", "round": 3, "of": 3, "torque_lbf_ft": 80.0, "set_lbf_ft": 65.0,
                    "clicked": True, **made(11, at)}],
        "bow": [{"when": "after", "bow_in": bow, "how": "read", "entry": 12}],
        **more,
    }  # fmt: skip


def write(folder: Path, name: str, at: datetime, anchors: list[dict[str, Any]], **changes: Any) -> str:
    """Write a signed record; return its hash."""
    data: dict[str, Any] = {
        "kind": RECORD_KIND, "format": RECORD_FORMAT, "complete": True, "revision": {"number": 1},
        "day": "install", "house": {"id": f"H-{name}"},
        "job": {"id": name, "site": "Sample Lane 5", "date": at.date(), "lead": "Lee Sample"},
        "wall": [{"name": "north", "type": "block"}], "ground": {"soil_type": "B"}, "anchor": anchors,
    }  # fmt: skip
    record = sign_record(data | changes, KEY, signed_at=at)
    write_record(folder / f"{name}.record.toml", record)
    return canonical_hash({key: part for key, part in record.items() if key != "signature"})


@pytest.fixture
def records(tmp_path: Path) -> Path:
    """Write an office's records: one house done, one open, one driven twice, one visited a year later."""
    folder = tmp_path / "records"
    folder.mkdir()
    first = write(
        folder, "done", SIGNED, [anchor("N1", SIGNED, depth=41.0, bow=1.25)],
        tightening={"said_by": "Sheet S-1", "when": "each spring", "first_visit": date(2032, 4, 15)},
        material=[{"item": "rods", "size_in": [90.0], "planned": 10, "received": 10, "used": 8, "back": 2},
                  {"item": "couplings", "planned": 8, "received": 8, "used": 4, "back": 4}],
        hours=[{"who": "Pat Sample", "hours": 7.5, "at_work_on": "on site", **made(20)},
               {"anchor": "N1", "hours": 1.5, "at_work_on": "drive", **made(21)}],
    )  # fmt: skip
    write(
        folder, "open", SIGNED,
        [anchor("E1", SIGNED, depth=40.0, bow=2.0),
         anchor("E2", SIGNED, depth=42.0, bow=2.0, state="open", open=["Backfilled and tamped"],
                torque=[{"tightening": "first", "round": 1, "of": 3, "torque_lbf_ft": 40.0, "clicked": False,
                         **made(31)}])],
        complete=False, open=["Label with the job on the wall"],
        deviation=[{"kind": "outside limits", "anchor": "E2", "text": "did not come up",
                    "reason": "soft clay", **made(31)},
                   {"kind": "hold", "anchor": "E1", "text": "done while held", "reason": "phone",
                    "accepted": "R. Sample: by phone", **made(32)}],
    )  # fmt: skip
    twice = anchor("W1", SIGNED, depth=41.0, bow=1.0)
    twice["attempt"] = [
        {"attempt": 1, "held_angle_deg": 6.4, "found": True, "depth_found_in": 33.0, "drift_deg": -2.1,
         "way": {"kind": "re-drill steeper"}, **made(8)},
        {"attempt": 2, "held_angle_deg": 7.9, "found": True, "depth_found_in": 41.0, "drift_deg": -0.9,
         **made(9)},
    ]  # fmt: skip
    write(folder, "twice", SIGNED, [twice])
    later = SIGNED + timedelta(days=365)
    again = anchor("N1", later, depth=41.0, bow=1.5, attempt=[], piece=[], torque=[])
    again["value"] = [built("bow_found_in", 1.5, 3), built("torque_found_lbf_ft", 70.0, 4)]
    again["answer"] = [{"step": "visit-word", "answer": "call", **made(5)}]
    write(folder, "visit", later, [again], day="visit", house={"id": "H-done", "follows": first})
    return folder


def written(records: Path, out: Path, form: str) -> Path:
    collect(sorted(records.glob("*.record.toml")), out, KNOWN, form=form)  # type: ignore[arg-type]
    return out


def queries() -> list[tuple[str, str]]:
    """Return the questions of the page with the query below each."""
    found = []
    for part in DOCS.read_text(encoding="utf-8").split("\n### ")[1:]:
        title, _, rest = part.partition("\n")
        found.append((title.strip(), rest.split("```sql\n")[1].split("```")[0]))
    return found


ANSWERS: dict[str, list[tuple[Any, ...]]] = {
    "1": [("open", "Label with the job on the wall", 1)],
    "2": [("open", "E2", "Backfilled and tamped")],
    "3": [],
    "4": [("H-done", "N1", 0.250171)],
    "5": [("open", "E2", "first", 1, 40.0)],
    "6": [("couplings", "", 8, 4), ("rods", "90", 10, 8)],
    "7": [("done", "", date(2031, 4, 5), "N1", 1.5), ("done", "Pat Sample", date(2031, 4, 5), "", 7.5)],
    "8": [("open", "E1", "done while held", "phone", "R. Sample: by phone"),
          ("open", "E2", "did not come up", "soft clay", "")],
    "9": [("Lee Sample", "north", "B", "W1", 33.0, -2.1)],
    "10": [("done", "N1", 41.0, 36.0, 48.0), ("open", "E1", 40.0, 36.0, 48.0),
           ("open", "E2", 42.0, 36.0, 48.0), ("twice", "W1", 41.0, 36.0, 48.0)],
}  # fmt: skip


def plain(value: Any) -> Any:
    if value is None or value is pd.NaT or (isinstance(value, float) and isnan(value)):
        return ""
    if isinstance(value, datetime):
        return value.date()
    return round(value, 6) if isinstance(value, float) else value


@pytest.mark.parametrize("number", [str(n) for n in range(1, 11)])
def test_an_office_asks_and_duckdb_answers(records: Path, tmp_path: Path, number: str) -> None:
    asked = {title.partition(".")[0]: sql for title, sql in queries()}
    folder = written(records, tmp_path / "tables", "parquet")
    found = duckdb.connect()
    for table in TABLES:
        found.execute(f"create view {table.name} as select * from '{folder}/{table.name}.parquet'")  # noqa: S608
    rows = found.execute(asked[number].replace("today()", "date '2033-01-01'")).fetchall()
    assert [tuple(map(plain, row)) for row in rows] == ANSWERS[number]


def test_pandas_answers_the_same_from_the_same_files(records: Path, tmp_path: Path) -> None:
    folder = written(records, tmp_path / "tables", "parquet")
    tables = {table.name: pd.read_parquet(folder / f"{table.name}.parquet") for table in TABLES}
    jobs, torques = tables["jobs"], tables["torques"]
    open_jobs = jobs[(~jobs["complete"]) & (jobs["day"] == "install")]
    assert open_jobs["job_id"].tolist() == ["open"]
    no_click = torques[torques["clicked"] == False].merge(jobs, on=RECORD)  # noqa: E712 - a column, not a truth
    assert no_click[["job_id", "anchor"]].to_numpy().tolist() == [["open", "E2"]]
    attempts = tables["attempts"]
    first = attempts[attempts["way_on"].notna()]
    assert first[["anchor", "depth_found_in"]].to_numpy().tolist() == [["W1", 33.0]]
    hours = tables["hours"].groupby("who", dropna=False)["hours"].sum()
    assert hours["Pat Sample"] == pytest.approx(7.5)
    bows = tables["bows"].merge(jobs, on=RECORD).sort_values("done_on")
    moved = bows[bows["house"] == "H-done"]["bow_in"].tolist()
    assert moved == [1.25, 1.5]


@pytest.mark.parametrize("form", ["csv", "parquet", "sqlite"])
def test_every_table_has_its_columns_and_every_key_is_met(records: Path, tmp_path: Path, form: str) -> None:
    out = written(records, tmp_path / ("office.sqlite" if form == "sqlite" else "tables"), form)
    found = {}
    for table in TABLES:
        if form == "sqlite":
            with sqlite3.connect(out) as db:
                found[table.name] = pd.read_sql_query(f'select * from "{table.name}"', db)  # noqa: S608 - ours
        else:
            read = pd.read_csv if form == "csv" else pd.read_parquet
            found[table.name] = read(out / f"{table.name}.{form}")
        assert list(found[table.name].columns) == [column.name for column in table.columns]
    known = set(found[JOBS][RECORD])
    anchors = set(map(tuple, found[ANCHORS][[RECORD, ANCHOR]].to_numpy().tolist()))
    assert len(known) == len(found[JOBS]) == 4
    for name, rows in found.items():
        assert set(rows[RECORD]) <= known, name
        if ANCHOR in rows:
            named = rows[rows[ANCHOR].notna()]
            assert set(map(tuple, named[[RECORD, ANCHOR]].to_numpy().tolist())) <= anchors, name
    if form == "sqlite":
        with sqlite3.connect(out) as db:
            assert db.execute("pragma foreign_key_check").fetchall() == []
            assert db.execute('select count(*) from "dictionary"').fetchone()[0] > 150


def test_parquet_and_the_command_say_what_each_column_is(
    records: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    import pyarrow.parquet as pq  # noqa: PLC0415 - an extra

    folder = written(records, tmp_path / "tables", "parquet")
    schema = pq.read_schema(folder / "torques.parquet")
    assert b"did not come up" in schema.field("clicked").metadata[b"description"]
    assert cli.run(["collect", "--dictionary", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert {one["table"] for one in told} == {table.name for table in TABLES}
    assert all(column["words"] for one in told for column in one["columns"])
    page = DOCS.read_text(encoding="utf-8")
    for table in TABLES:
        assert f"`{table.name}`" in page


def test_a_spreadsheet_s_mark_is_written_where_it_is_asked_for(records: Path, tmp_path: Path) -> None:
    files = sorted(records.glob("*.record.toml"))
    collect(files, tmp_path / "a.csv", KNOWN, bom=True)
    collect(files, tmp_path / "b.csv", KNOWN)
    assert (tmp_path / "a.csv").read_bytes() == b"\xef\xbb\xbf" + (tmp_path / "b.csv").read_bytes()


# Once read, not read again: until file, keys or tables are others.


def test_what_was_verified_is_not_verified_again_until_it_changes(
    records: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    cache, files = tmp_path / "cache" / "verdicts.sqlite", sorted(records.glob("*.record.toml"))
    seen: list[bytes] = []
    real = judging.verify_bytes

    def verified(content: bytes, known: KnownKeys, *, path: Path | None = None) -> Verdict:
        seen.append(content)
        return real(content, known, path=path)

    monkeypatch.setattr(judging, "verify_bytes", verified)

    def rows(known: KnownKeys = KNOWN) -> str:
        seen.clear()
        collect(sorted(records.glob("*.record.toml")), tmp_path / "t.csv", known, cache=cache)
        return (tmp_path / "t.csv").read_text(encoding="utf-8")

    first = rows()
    assert len(seen) == len(files)
    assert rows() == first
    assert seen == []
    files[0].rename(files[0].with_name("renamed.record.toml"))
    assert "renamed.record.toml" in rows(), "a file is named as it is called now"
    assert seen == []
    torn = files[1].read_bytes().replace(b"40.0", b"40.1")
    files[1].write_bytes(torn)
    rows()
    assert seen == [torn], "what changed is read anew, and nothing else"
    assert "unknown key" in rows(KnownKeys(())), "another list of keys never meets an old verdict"
    assert len(seen) == len(files)
    assert "unknown key" not in rows()


@pytest.mark.parametrize("damage", [b"", b"no database", b"SQLite format 3\x00" + bytes(200)])
def test_a_damaged_cache_is_none(records: Path, tmp_path: Path, damage: bytes) -> None:
    cache, files = tmp_path / "verdicts.sqlite", sorted(records.glob("*.record.toml"))
    cache.write_bytes(damage)
    found = collect(files, tmp_path / "t.csv", KNOWN, cache=cache)
    assert found.records == 4
    collect(files, tmp_path / "t.csv", KNOWN, cache=cache)


def test_many_are_judged_on_other_processes_with_the_same_result(
    records: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    files = sorted(records.glob("*.record.toml"))
    many = tmp_path / "many"
    many.mkdir()
    for number in range(30):
        for file in files:
            shutil.copy(file, many / f"{number:02} {file.name}")
    (many / "zz.record.toml").write_bytes(b"\x00 no record")
    monkeypatch.setattr(judging, "MANY", 10)
    copies = sorted(many.glob("*.record.toml"))
    alone = collect(copies, tmp_path / "a.csv", KNOWN, workers=1)
    spread = collect(copies, tmp_path / "b.csv", KNOWN, workers=2)
    assert alone == spread
    assert (tmp_path / "a.csv").read_bytes() == (tmp_path / "b.csv").read_bytes()
