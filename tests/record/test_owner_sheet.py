"""The owner's page and the office's report: complete in themselves, and no text of a record runs in them."""

from __future__ import annotations

from datetime import UTC, datetime
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from crewtui import cli
from crewtui.record.sheets.owner_sheet import Reader, owner_sheet
from crewtui.record.signed.known_keys import KnownKey, KnownKeys, save_known
from crewtui.record.signed.sign import RECORD_FORMAT, RECORD_KIND, sign_record, write_record
from crewtui.record.signed.signing_keys import SigningKey
from crewtui.record.signed.verify import Verdict, verify_data

AT = datetime(2031, 4, 5, 16, 20, tzinfo=UTC)
KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
KNOWN = KnownKeys((KnownKey(public=KEY.public, name="Lee Sample"),))
DATA: dict[str, Any] = {
    "kind": RECORD_KIND,
    "format": RECORD_FORMAT,
    "governs": "The engineer's plan governs.",
    "complete": False,
    "job": {"id": "J-1", "site": "Sample Lane 5", "units": "imperial", "lead": "Lee Sample"},
    "revision": {"number": 1},
    "rule": [{"label": "Spacing", "value": 84.0, "default": 72.0, "said_by": "Kim Sample", "loosened": True}],
    "deviation": [
        {
            "anchor": "A-1",
            "kind": "answer",
            "text": "no",
            "reason": "none there",
            "accepted": "Kim Sample: fine",
            "done_at": AT,
        }
    ],
    "hold": [{"id": "ticket", "said": "released", "by": "LS", "done_at": AT}],
    "anchor": [
        {
            "id": "A-1",
            "wall": "north",
            "state": "complete",
            "planned": {
                "along_in": 36.0,
                "setback_in": 144.0,
                "owner_adjustable": True,
                "torque_lbf_ft": 90.0,
            },
            "value": [
                {"quantity": "depth_found_in", "value": 41.5},
                {"quantity": "first_torque_lbf_ft", "value": 90.0, "then": "clicked"},
            ],
            "attempt": [{"attempt": 1, "held_angle_deg": 5.3, "depth_found_in": 41.5, "done_at": AT}],
        },
        {"id": "A-2", "wall": "north", "state": "open", "open": ["Torque"], "planned": {"along_in": 96.0}},
    ],
}


class Page(HTMLParser):
    """Collects the tags, their attributes, and whether every tag that opens also closes."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.open: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += attrs
        if tag != "meta":
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def verdict(**changes: Any) -> Verdict:
    return verify_data(sign_record(DATA | changes, KEY, signed_at=AT), KNOWN)


def test_the_owner_reads_depth_set_back_torque_and_who_signed() -> None:
    page = owner_sheet(verdict())
    for words in ("Sample Lane 5", "41 1/2 in", "(12 ft)",
                  "90 lbf·ft", "yours to adjust", "not finished",
                  "not finished: Torque; turn nothing on it",
                  "Lee Sample", KEY.key_id, "Valid.", "does not prove", "governs"):  # fmt: skip
        assert words in page, words
    assert "none there" not in page, "deviations are the office's"
    assert "work is not finished" not in owner_sheet(verdict(complete=True))


def test_the_office_reads_deviations_rules_holds_and_attempts_too() -> None:
    page = owner_sheet(verdict(), "office")
    for words in ("none there", "looser than the default", "released", "5.3°", "2031-04-05 16:20"):
        assert words in page, words


def test_a_metric_job_is_shown_in_its_own_units() -> None:
    assert "1054 mm" in owner_sheet(verdict(job={"id": "J-1", "units": "metric"}))


@pytest.mark.parametrize("reader", ["owner", "office"])
def test_it_is_complete_in_itself(reader: Reader) -> None:
    page = Page(owner_sheet(verdict(), reader))
    assert page.open == []
    assert not {"script", "link", "img", "iframe", "object"} & set(page.tags)
    assert not {"src", "href"} & {name for name, _ in page.attributes}


@pytest.mark.parametrize("reader", ["owner", "office"])
def test_no_text_of_a_record_runs(reader: Reader) -> None:
    nasty = "<script>alert(1)</script><img src=x onerror=y>\"'&\x1b[31m\u202e"
    row = dict.fromkeys(
        ("id", "said", "by", "note", "anchor", "kind", "text", "reason", "accepted", "label"), nasty
    )
    anchor = {"id": nasty, "wall": nasty, "state": "dropped", "dropped_because": nasty,
              "planned": {"along_in": 30.0},
              "attempt": [{"attempt": 1, "way": {"words": nasty}}]}  # fmt: skip
    wall = {"name": nasty, "type": "block", "length_in": 300.0, "slab_to_top_in": 92.0,
            "opening": [{"name": nasty, "start_in": 1.0, "end_in": 9.0}]}  # fmt: skip
    changes = {
        "job": {"id": nasty, "site": nasty, "schedule": nasty}, "wall": [wall], "governs": nasty,
        "contacts": [{"role": nasty, "phone": nasty}], "signer": {"name": nasty},
        "tightening": {"said_by": nasty, "when": nasty, "turn": nasty, "stop_when": nasty},
        "deviation": [row], "rule": [row], "hold": [row], "anchor": [anchor],
    }  # fmt: skip
    text = owner_sheet(verdict(**changes), reader)
    page = Page(text)
    assert page.open == []
    assert not {"script", "img"} & set(page.tags)
    assert not set(text) & {"\x1b", "\u202e"}


@pytest.mark.parametrize(
    "strange", [7, "x", [1], ["x"], {"x": 1}, [{"value": 7}], [{"value": ["x"]}], AT, 1e300]
)
@pytest.mark.parametrize("reader", ["owner", "office"])
@pytest.mark.parametrize("name", ["job", "anchor", "rule", "deviation", "hold", "revision", "wall", "note"])
def test_a_well_signed_record_of_strange_types_gives_no_page_but_its_reason(
    reader: Reader, strange: Any, name: str
) -> None:
    found = verdict(**{name: strange})
    if found.state == "valid":
        assert Page(owner_sheet(found, reader)).open == []
    else:
        assert (found.state, found.exit_code, found.record) == ("strange", 5, None)
        assert found.words.startswith(
            f"Strange: its signature holds, and it is laid out as no record of this program is ({name}"
        )
        with pytest.raises(ValueError, match="signature holds"):
            owner_sheet(found, reader)


def test_no_page_is_made_of_a_record_that_does_not_hold() -> None:
    with pytest.raises(ValueError, match="signature holds"):
        owner_sheet(Verdict(state="altered", words="x"))


def test_the_command_writes_beside_the_record_and_refuses_an_altered_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("CREWTUI_HOME", str(tmp_path / "home"))
    record, office = tmp_path / "j-1.record.toml", tmp_path / "office.toml"
    write_record(record, sign_record(DATA, KEY, signed_at=AT))
    save_known(KNOWN.keys, office)
    assert cli.run(["sheet", str(record), "--keys", str(office)]) == 0
    assert "41 1/2 in" in (tmp_path / "j-1.record.html").read_text(encoding="utf-8")
    assert cli.run(["sheet", str(record), "--for", "office"]) == 3
    assert "Unknown key" in (tmp_path / "j-1.record.office.html").read_text(encoding="utf-8")
    assert cli.run(["sheet", str(record), "--out", str(record)]) == 2, "the record is never written over"
    assert cli.run(["sheet", str(record), "--out", str(tmp_path / "none" / "x.html")]) == 2
    record.write_bytes(record.read_bytes().replace(b"41.5", b"42.5"))
    capsys.readouterr()
    assert cli.run(["sheet", str(record), "--out", str(tmp_path / "new.html")]) == 1
    assert "Altered" in capsys.readouterr().out
    assert not (tmp_path / "new.html").exists()
