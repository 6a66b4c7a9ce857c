"""What many records leave to do, on one page: counted against how they were made, linked, and inert."""

from __future__ import annotations

import json
import re
import shutil
from datetime import UTC, date, datetime
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote

import pytest
from office_records import KEY, KNOWN, TODAY, write_office

from crewtui import cli
from crewtui.record.office.overview import Overview, overview
from crewtui.record.office.overview_page import overview_page
from crewtui.record.signed.form import Record
from crewtui.record.signed.sign import RECORD_FORMAT, RECORD_KIND, sign_record, write_record
from crewtui.record.signed.signing_keys import SigningKey
from crewtui.record.signed.verify import verify

MANY = 60


@pytest.fixture(scope="module")
def office(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("office")
    write_office(folder, MANY)
    return folder


def gathered(folder: Path, today: date = TODAY) -> Overview:
    return overview(sorted(folder.glob("*.record.toml")), KNOWN, today=today, beside=folder)


def records(folder: Path) -> list[Record]:
    found = [verify(path, KNOWN).record for path in sorted(folder.glob("*.record.toml"))]
    return [record for record in found if record is not None]


def test_every_part_counts_what_the_records_say(office: Path) -> None:
    found = {part.id: part for part in gathered(office).parts}
    made = records(office)
    installs = [record for record in made if record.day == "install"]
    assert len(made) == MANY
    assert len(found["open"].rows) == sum(not record.complete for record in installs)
    pits = [
        anchor.id
        for record in installs
        for anchor in record.anchor
        if anchor.state == "open" and not any(value.quantity == "lifts" for value in anchor.value)
    ]
    assert [row[2].text for row in found["pits"].rows] == pits
    loose = [row for record in made for row in record.deviation if row.accepted is None]
    assert len(found["deviations"].rows) == len(loose)
    nuts = [a.id for record in made for a in record.anchor if a.torque and a.torque[-1].clicked is False]
    assert len(found["nuts"].rows) == len(nuts)
    assert len(found["material"].rows) == sum(len(record.material) for record in made)


def test_a_visit_is_due_until_somebody_was_there_and_late_once_its_day_is_past(office: Path) -> None:
    made = records(office)
    seen = {record.house.id for record in made if record.day == "visit" and record.house is not None}
    planned = [record for record in made if record.tightening.get("first_visit") is not None]
    due = {part.id: part for part in gathered(office).parts}["visits"].rows
    ids = {row[1].text for row in due}
    assert ids <= {record.job.id for record in planned}
    never_seen = {r.job.id for r in planned if r.house is not None and r.house.id not in seen}
    assert never_seen <= ids
    assert [row[0].text for row in due] == sorted(row[0].text for row in due), "by month"
    for row in due:
        assert (row[5].text == "late") is (row[3].text < TODAY.isoformat())


@pytest.mark.parametrize("stranger", [True, False])
def test_only_a_visit_by_a_known_key_takes_a_known_house_off_the_list(
    office: Path, tmp_path: Path, *, stranger: bool
) -> None:
    folder = tmp_path / "office"
    shutil.copytree(office, folder)
    due = {part.id: part for part in gathered(folder).parts}["visits"].rows[0][1].text
    house = next(one.house.id for one in records(folder) if one.job.id == due and one.house is not None)
    key = SigningKey.from_secret(bytes(reversed(range(32))), name="Stranger Sample") if stranger else KEY
    visit = {
        "kind": RECORD_KIND, "format": RECORD_FORMAT, "revision": {"number": 1}, "complete": True,
        "day": "visit", "house": {"id": house}, "job": {"id": "S-other"},
        "journal": {"entries": 3, "last_at": datetime(2031, 1, 2, tzinfo=UTC)},
    }  # fmt: skip
    late = datetime(TODAY.year, TODAY.month, TODAY.day, tzinfo=UTC)
    write_record(folder / "S-other.record.toml", sign_record(visit, key, signed_at=late))
    left = {row[1].text for row in {part.id: part for part in gathered(folder).parts}["visits"].rows}
    assert (due in left) is stranger


def test_only_what_is_seen_to_move_is_listed_inward_first(office: Path) -> None:
    moving = {part.id: part for part in gathered(office).parts}["moving"]
    rates = [float(row[3].sort) for row in moving.rows]
    assert rates == sorted(rates, reverse=True)
    assert all(rate > 0.1 for rate in rates[:1])
    assert re.search(r"no movement seen: \d+", moving.words)


class _Links(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.to: list[str] = []
        self.loads: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = dict(attrs)
        if tag == "a" and named.get("href"):
            self.to.append(str(named["href"]))
        self.loads += [str(named[key]) for key in ("src", "srcset", "data") if named.get(key)]
        if tag == "link":
            self.loads.append(str(named.get("href")))


def test_the_page_leads_to_each_sheet_and_loads_nothing(office: Path, tmp_path: Path) -> None:
    first = min(path for path in office.glob("*.record.toml") if "-V" not in path.name)
    sheet = office / f"{first.name.removesuffix('.toml')}.office.html"
    sheet.write_text("a sheet", encoding="utf-8")
    files = sorted(office.glob("*.record.toml"))
    page = overview_page(overview(files, KNOWN, today=TODAY, beside=tmp_path))
    links = _Links()
    links.feed(page)
    assert links.loads == []
    assert "default-src 'none'" in page
    away = [to for to in links.to if not to.startswith("#")]
    assert away
    assert all((tmp_path / unquote(to)).resolve().exists() for to in away)
    assert any(to.endswith(".office.html") for to in away), "a sheet that was written, before its record"
    assert "<button" not in page.partition("<script>")[0], "without a script it is plain tables"


def test_no_text_of_a_record_becomes_a_part_of_the_page(tmp_path: Path) -> None:
    at = datetime(2031, 4, 5, 16, 20, tzinfo=UTC)
    evil = "<img src=x onerror=alert(1)>\"'\u202e"
    data = {
        "kind": RECORD_KIND, "format": RECORD_FORMAT, "complete": False, "revision": {"number": 1},
        "day": "install", "job": {"id": evil, "site": evil, "lead": evil}, "open": [evil],
        "anchor": [{"id": evil, "wall": evil, "state": "open", "open": [evil]}],
        "deviation": [{"anchor": evil, "text": evil, "reason": evil}],
        "material": [{"item": evil, "used": 1}], "hours": [{"who": evil, "hours": 1.0, "at_work_on": evil}],
    }  # fmt: skip
    write_record(tmp_path / "a.record.toml", sign_record(data, KEY, signed_at=at))
    page = overview_page(gathered(tmp_path))
    assert "<img" not in page
    assert "\u202e" not in page


def test_the_command_writes_the_page_names_what_gave_nothing_and_says_the_same_as_json(
    office: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CREWTUI_HOME", str(tmp_path / "home"))
    torn = office / "torn.record.toml"
    torn.write_bytes(min(office.glob("S-*.record.toml")).read_bytes()[:-40])
    try:
        out = tmp_path / "today.html"
        code = cli.run(["overview", str(office), "--out", str(out), "--on", "2031-06-01"])
        said = capsys.readouterr().out
        assert code == 2, "the worst of all: no record, before an unknown key"
        assert "torn.record.toml" in said
        assert "torn.record.toml" in out.read_text(encoding="utf-8")
        cli.run(["overview", str(office), "--json", "--on", "2031-06-01"])
        told = json.loads(capsys.readouterr().out)
        assert told["records"] == MANY
        assert len(told["parts"]["open"]) == len({p.id: p for p in gathered(office).parts}["open"].rows)
    finally:
        torn.unlink()
