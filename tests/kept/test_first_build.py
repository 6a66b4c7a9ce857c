"""Files of the program as first built, read by today's: whole days on the samples, a damaged journal.

The days were played through the program as it then was, its clock set by hand; ``state.json`` and
``sheet.json`` say what it made of them. Nothing in the folder is ever written anew. What a later program is
meant to see otherwise stands in ``INTENDED``, with the reason, and nowhere else.
"""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest
from day_help import Hands
from kept_day import day_summary, differing, sheet_summary

from crewtui.day.journal.chained import journal_path
from crewtui.day.journal.journal_file import read_journal
from crewtui.day.session.day import Day
from crewtui.day.state.fold import fold
from crewtui.day.state.state import DayState
from crewtui.disk.their_files import read_toml
from crewtui.job.file.load import job_sha256, load_job
from crewtui.job.file.rule_overrides import resolve
from crewtui.record.signed.against_journal import compare_files
from crewtui.record.signed.build import Revision, Sources, build_record
from crewtui.record.signed.canonical import SIGNATURE, canonical_bytes, form_of
from crewtui.record.signed.chain import verify_all
from crewtui.record.signed.known_keys import load_known
from crewtui.record.signed.progress import progress_of
from crewtui.record.signed.read_form import read_form
from crewtui.record.signed.sign import SIGNER
from crewtui.record.signed.signing_keys import open_key

KEPT = Path(__file__).parent / "first-build"
SAMPLES = ("block-wall", "clay-tile-tight", "poured-deep-frost-metric")
RECORDS = ("job.record.toml", "job.revision-2.record.toml")
PASSPHRASE = "four words of wax"  # noqa: S105 - of a key kept for this test
NEXT_MORNING = datetime(2026, 12, 9, 7, 0, tzinfo=timezone(timedelta(hours=-5)))

INTENDED: dict[str, str] = {
    "record: format": "records are of format 2",
    "record: program.version": "a later program",
    "record: anchor[*].input[*].said_by": "who set a rule is named only where the rule gives the value",
    "record: emergency[*].*": "format 2 says what the emergency page was opened for, and where",
    "record: hold[*].text": "hazards name the paragraphs that they rest on",
    "record: *answer[*].label": "a step is called what its quantity is called",
    "record: *open[*]": "a step is called what its quantity is called",
    "state: anchors.*.limits.*_seat_in": "the seat of the plate is taped in a round pit",
    "state: *open[*]": "a step is called what its quantity is called",
    "state: *open": "steps that are asked since stand open in an older day",
    "record: *open": "steps that are asked since stand open in an older day",
    "record: complete": "steps that are asked since stand open in an older day",
    "record: *state": "steps that are asked since stand open in an older day",
    "record: finding": "format 2 has the findings about the walls, and who says that they may stay",
    "record: day": "format 2 says the kind of day",
    "record: material": "format 2 has what the job took",
    "record: counted": "format 2 has the stock as counted",
    "record: anchor[*].piece": "format 2 has the pieces driven",
    "record: anchor[*].couplings": "format 2 has the couplings driven",
    "record: anchor[*].seat": "format 2 says where the plate sits",
    "record: anchor[*].torque": "format 2 has each round of tightening, and whether the wrench clicked",
    **dict.fromkeys(
        (
            "state: anchors.*.attempts[*][1]",
            "record: anchor[*].attempt[*].attempt",
        ),
        "a rod found after a search is of the same drive",
    ),
    "sheet: facts*": "the sheet says when the work was done, not for when it was planned",
    "sheet: first_visit": "the next visit is a sentence of the first page",
    "sheet: anchors.*.readings*": "what the wall did is said once, without doubled words",
    "sheet: anchors.*.facts*": "a side is said with where one stands",
    **dict.fromkeys(
        (
            "sheet: summary[*][5]",
            "sheet: anchors.*.state",
            "sheet: anchors.*.adjustable",
            "sheet: owner*",
        ),
        "the owner turns only what is finished, clicked at its torque, and as planned or accepted",
    ),
    "record: anchor[*].bow": "format 2 has the bow, typed or read",
    "record: anchor[*].open[*]": "a step is called as its quantity is",
    "state: anchors.*.open[*]": "a step is called as its quantity is",
    "record: deviation[*].text": "what the site changed is said with its label and unit",
    "state: anchors.*.deviations[*][3]": "what the site changed is said with its label and unit",
    **dict.fromkeys(
        (
            "state: anchors.*.figures.stop_mark_in",
            "record: anchor[*].figure.*",
        ),
        "the stop mark is on the rod as made up; figures rest on the best aim where none was named",
    ),
    **dict.fromkeys(
        (
            "state: anchors.W*.figures.*",
            "state: anchors.W*.limits.*",
            "record: anchor[*].input[11].value",
            "record: anchor[*].input[11].source",
            "record: rule[*].default",
        ),
        "where nobody named an aim, it is the depth that most rods hit; the rule has no default any more",
    ),
}
"""By pattern of a place that is meant to differ, such as ``state: anchors.*.limits.x``: why."""


def unintended(what: str, kept: Any, now: Any) -> list[str]:
    """Return every difference that INTENDED does not name."""
    return [words for place, words in differing(kept, now) if not named(f"{what}: {place}")]


def named(place: str) -> bool:
    """Return whether INTENDED names this place."""
    patterns = (re.escape(pattern).replace(r"\*", ".*") for pattern in INTENDED)
    return any(re.fullmatch(pattern, place) for pattern in patterns)


def folded(folder: Path) -> DayState:
    job = load_job(folder / "job.toml")
    return fold(job, resolve(job), read_journal(journal_path(folder / "job.toml")).entries)


def kept_json(folder: Path, name: str) -> Any:
    return json.loads((folder / name).read_text(encoding="utf-8"))


@pytest.fixture(params=SAMPLES)
def sample(request: pytest.FixtureRequest) -> Path:
    return KEPT / str(request.param)


def test_a_kept_day_adds_up_to_the_same_state_and_figures(sample: Path) -> None:
    assert unintended("state", kept_json(sample, "state.json"), day_summary(folded(sample))) == []


def test_a_kept_journal_that_went_on_after_damage_adds_up_to_the_same() -> None:
    folder = KEPT / "damaged"
    assert unintended("state", kept_json(folder, "state.json"), day_summary(folded(folder))) == []
    reading = read_journal(journal_path(folder / "job.toml"))
    assert any("damaged at line 9" in report for report in reading.reports)


def test_kept_records_verify_against_the_kept_list_of_keys(sample: Path) -> None:
    known = load_known(KEPT / "known_keys.toml")
    report = verify_all([sample / name for name in RECORDS], known)
    assert [verdict.state for verdict in report.verdicts] == ["valid", "valid"]
    assert [verdict.revision for verdict in report.verdicts] == [1, 2]
    assert report.exit_code == 0


@pytest.mark.parametrize("name", RECORDS)
def test_a_kept_record_is_read_by_the_form_of_today_and_signed_over_the_bytes_of_its_own(
    sample: Path, name: str
) -> None:
    data = read_toml(sample / name)
    read = read_form(data)
    assert (read.format, read.day, len(read.anchor)) == (1, None, len(data["anchor"]))
    assert read.anchor[0].value[0].quantity == data["anchor"][0]["value"][0]["quantity"]
    assert b'{"$float":' in canonical_bytes(data)
    assert data[SIGNATURE]["form"] == form_of(data).name == "RFC 8785, tagged TOML 1"


def test_the_kept_key_opens_and_is_one_of_its_kind() -> None:
    key = open_key(PASSPHRASE, KEPT / "signing-key.toml")
    assert key.name == "Sam Sample"


@pytest.mark.parametrize("name", RECORDS)
def test_the_office_finds_a_kept_record_the_same_as_its_journal(sample: Path, name: str) -> None:
    found = compare_files(read_toml(sample / name), journal_path(sample / "job.toml"), sample / "job.toml")
    assert [one for one in found.differences if not named(f"office: {one.partition(': ')[0]}")] == []


@pytest.mark.parametrize("name", RECORDS)
def test_a_kept_record_built_anew_from_its_journal_has_the_same_content(sample: Path, name: str) -> None:
    signed = read_toml(sample / name)
    assert unintended("record", laid_bare(signed), laid_bare(built_anew(signed, sample))) == []


def laid_bare(record: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in record.items() if key not in {SIGNATURE, SIGNER}}


def built_anew(signed: dict[str, Any], folder: Path) -> dict[str, Any]:
    """Return the record that today's program builds from the journal as it stood at signing."""
    path = folder / "job.toml"
    job, named, revision = load_job(path), signed["journal"], signed["revision"]
    entries = read_journal(journal_path(path)).entries[: named["entries"]]
    state = fold(job, resolve(job), entries)
    return build_record(
        state,
        entries,
        sources=Sources(
            job_file=signed["job"]["file"],
            job_sha256=job_sha256(path),
            journal_file=named["file"],
            journal_sha256=named["last_sha256"],
        ),
        progress=progress_of(state),
        lead=signed[SIGNER]["name"],
        revision=Revision(
            number=revision["number"], before=revision.get("before", ""), reason=revision.get("reason", "")
        ),
    )


def test_the_owners_sheet_of_a_kept_record_says_the_same(sample: Path) -> None:
    found = sheet_summary(read_toml(sample / RECORDS[-1]))
    assert unintended("sheet", kept_json(sample, "sheet.json"), found) == []


@pytest.fixture
def opened(sample: Path, tmp_path: Path) -> Iterator[Day]:
    """The kept day, opened on the next morning from a copy of its folder."""
    here = tmp_path / "day"
    shutil.copytree(sample, here)
    with Day.open(here / "job.toml", clock=Hands(NEXT_MORNING)) as day:
        yield day


def test_a_kept_day_opens_goes_on_and_leaves_what_stood_there(opened: Day, sample: Path) -> None:
    before = journal_path(sample / "job.toml").read_bytes()
    opened.beside.note("another morning")
    after = opened.journal.path.read_bytes()
    assert after.startswith(before)
    assert after.count(b"\n") == before.count(b"\n") + 2, "the new day, and the note"
    assert not opened.state.shared.unplaced
