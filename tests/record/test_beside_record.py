"""What stood beside the anchors, in the signed record, on the owner's sheet and in the office's report."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from day_help import Hands, make_job, open_day, saved

from crewtui.day.session.day import Day
from crewtui.job.tables import walks
from crewtui.record.sheets.owner_sheet import owner_sheet
from crewtui.record.signed.against_journal import compare_files
from crewtui.record.signed.hand_in import HandedIn, hand_in
from crewtui.record.signed.known_keys import KnownKey, KnownKeys
from crewtui.record.signed.signing_keys import SigningKey
from crewtui.record.signed.verify import Verdict, verify

KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
KNOWN = KnownKeys((KnownKey(public=KEY.public, name="Lee Sample"),))
SEEN = "rod and plate in the open pit"
PERMIT = {"number": "BP-0042", "issued_by": "office (invented)", "inspections": [{"what": SEEN}]}


def told(day: Day, hands: Hands) -> None:
    """Enter a little of everything."""
    saved(day.beside.people("in"))
    for thing in walks.things("before"):
        saved(day.walks.walk_seen("before", thing.id, f"{thing.id} seen", place="north side"))
    saved(day.walks.walk_agreed("before", "Owner Sample", questions="who sweeps? we do"))
    saved(day.beside.note_here("gate sticks", "A-1"))
    saved(day.beside.note_here("owner: wall: keep the downspout off this corner", "A-1"))
    saved(day.beside.call_made("gas company", about="mark gone", said="comes at ten, no. 4711", anchor="A-2"))
    saved(day.beside.start_tool("wall drill", who="KS"))
    hands.on(minutes=30)
    saved(day.beside.stop_tool("wall drill"))
    saved(day.inspections.ask_inspection(SEEN, of="building office", expected="14:00"))
    saved(day.inspections.inspected(SEEN, passed=True, name="Ines Sample", anchors=["A-1"]))
    hands.on(hours=8)
    saved(
        day.beside.change_agreed(
            "plate of A-2 a foot along", before="96 in", after="108 in", name="Owner Sample", anchor="A-2"
        )
    )
    saved(day.beside.people("out"))


@pytest.fixture
def handed_in(tmp_path: Path) -> tuple[HandedIn, Verdict]:
    hands = Hands()
    day = open_day(tmp_path, make_job(permit=PERMIT), clock=hands)
    told(day, hands)
    done = hand_in(day, KEY, lead="Lee Sample")
    day.close()
    return done, verify(done.path, KNOWN)


def rows(found: tuple[HandedIn, Verdict], table: str) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = found[0].data[table]
    return rows


def test_it_is_in_the_record_and_the_record_is_valid(handed_in: tuple[HandedIn, Verdict]) -> None:
    assert handed_in[1].state == "valid"
    assert handed_in[0].data["permit"]["number"] == "BP-0042"
    assert [row.get("for_owner", False) for row in rows(handed_in, "note")] == [False, True]
    assert rows(handed_in, "call")[0]["said"] == "comes at ten, no. 4711"
    assert [row["said"] for row in rows(handed_in, "inspection")] == ["asked for", "passed"]
    assert rows(handed_in, "inspection")[1]["anchors"] == ["A-1"]
    assert rows(handed_in, "owner_yes")[0]["name"] == "Owner Sample"
    assert len(rows(handed_in, "walk")) == len(walks.things("before"))
    assert rows(handed_in, "exposure")[0]["by_the_clock"] is True
    hours = rows(handed_in, "hours")
    assert all(row["hours"] == 8.5 for row in hours if "who" in row)


def test_the_owner_reads_what_is_theirs_and_the_office_all(handed_in: tuple[HandedIn, Verdict]) -> None:
    owner, office = owner_sheet(handed_in[1]), owner_sheet(handed_in[1], "office")
    for page in (owner, office):
        assert "keep the downspout off this corner" in page
        assert "cracks seen" in page
        assert "who sweeps? we do" in page
        assert "A-2: plate of A-2 a foot along" in page
        assert "108 in" in page
    assert "gate sticks" in office
    assert "gate sticks" not in owner
    assert "4711" in office
    assert "4711" not in owner
    assert "Ines Sample" in office


def test_a_day_with_nothing_beside_it_has_none_of_it(tmp_path: Path) -> None:
    day = open_day(tmp_path)
    data = hand_in(day, KEY, lead="Lee Sample").data
    assert not {"note", "call", "hours", "inspection", "walk", "owner_yes", "permit"} & set(data)
    assert "Before the work" not in owner_sheet(verify(tmp_path / "job.record.toml", KNOWN))


def test_the_record_is_what_the_journal_adds_up_to(tmp_path: Path) -> None:
    from crewtui.job.file.template import template  # noqa: PLC0415 - only here

    hands = Hands()
    path = tmp_path / "job.toml"
    path.write_text(template(hands.now.date()), encoding="utf-8")
    day = Day.open(path, clock=hands)
    saved(day.site.set_up("permit", {"number": "BP-7", "inspections": [{"what": SEEN}]}))
    saved(day.beside.people("in"))
    saved(day.beside.call_made("office", said="go on"))
    saved(day.inspections.inspected(SEEN, passed=True, name="Ines Sample"))
    done = hand_in(day, KEY, lead="Lee Sample")
    journal = day.journal.file
    day.close()
    assert compare_files(done.data, journal, path).differences == ()
