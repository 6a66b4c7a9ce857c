"""The completion record's tables: what the day holds, laid out, signed, read back."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest

from crewtui.day.journal import entries as e
from crewtui.day.state.fold import fold
from crewtui.day.state.state import DayState
from crewtui.disk.their_files import parse_toml
from crewtui.job.file.model import Job
from crewtui.job.file.rule_overrides import resolve
from crewtui.record.signed.build import Revision, Sources, build_record
from crewtui.record.signed.canonical import canonical_bytes
from crewtui.record.signed.known_keys import KnownKey, KnownKeys
from crewtui.record.signed.progress import Progress
from crewtui.record.signed.sign import RecordError, record_text, sign_record
from crewtui.record.signed.signing_keys import SigningKey
from crewtui.record.signed.verify import verify_bytes

WEST = timezone(timedelta(hours=-5))
MORNING = datetime(2031, 4, 5, 7, 30, 0, 123456, tzinfo=WEST)
KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
SOURCES = Sources(
    job_file="j-1.toml", job_sha256="1" * 64, journal_file="j-1.journal.jsonl", journal_sha256="2" * 64
)
JOB = Job.model_validate(
    {
        "job": {"id": "J-1", "site": "Sample Lane 5 (invented)", "date": "2031-04-05", "lead": "Lee Sample"},
        "walls": [
            {"name": "north", "type": "block", "length": 360, "thickness": 8, "slab_to_top": 92,
             "grade_to_top": 8,
             "openings": [{"name": "window", "from": 100, "to": 130, "bottom": 50}]},
        ],
        "anchors": [
            {"id": "A-1", "wall": "north", "along": 36, "drop": 6.00001},
            {"id": "A-2", "wall": "north", "along": 96, "drop": 6},
        ],
        "rod": {"diameter": 0.75, "threads_per_inch": 10, "coupling_length": 2.25, "coupling_corners": 1.125},
        "ticket": {
            "number": "T-555", "valid_from": "2031-04-01T00:00:00-05:00",
            "valid_to": "2031-04-20T00:00:00-05:00",
            "utilities": [{"name": "Sample Gas", "kind": "gas", "response": "clear"}],
            "area": {"$north": [[0, 0], [360, 0], [360, 240]]},
        },
        "rules": {"spacing_greatest_in": {"value": 84, "said_by": "Kim Sample"}},
    }
)  # fmt: skip


def at(minutes: float) -> dict[str, datetime]:
    done = MORNING + timedelta(minutes=minutes)
    return {"done_at": done, "typed_at": done + timedelta(minutes=40)}


ENTRIES: tuple[e.Entry, ...] = (
    e.DayOpened(program="0.1.0", job="J-1", job_sha256="1" * 64, **at(0)),
    e.StepDone(step="briefing", answer="done", **at(1)),
    e.HazardAnswered(hazard="no-such-hazard", in_place=True, initials="LS", **at(2)),
    e.ValueMeasured(anchor="A-1", step="setback", quantity="setback_in", value=144 + 1 / 3,
                    text="12 ft 3/8", **at(3)),
    e.HoldReleased(hold="ticket", initials="LS", note="phoned", **at(4)),
    e.HoldOverridden(hold="soil", anchor="A-1", name="Kim Sample", reason="rock", **at(5)),
    e.PitEntryAnswered(anchor="A-1", somebody=False, **at(6)),
    e.FactAnswered(fact="bad air expected", answer=False, initials="LS", **at(7)),
    e.DriveAttempted(
        anchor="A-1", attempt=1, held_angle_deg=5.3, depth_found_in=31.5, deviates=True, reason="rock",
        way=e.Way(kind="re-drill", words="re-drill steeper", values={"drilled_angle_deg": 8.1}), **at(60),
    ),
    e.DriveAttempted(anchor="A-1", attempt=2, held_angle_deg=8.1, depth_found_in=41.5, **at(90)),
    e.StepDone(anchor="A-1", step="sod", answer="no", reason="none there", deviates=True, **at(91)),
    e.DeviationAccepted(of=11, name="Kim Sample", reason="fine", **at(92)),
    e.AnchorDropped(anchor="A-2", reason="a drain in the way", **at(93)),
    e.Note(anchor="A-1", text="first caf\u00e9 note", **at(94)),
    e.StepDone(anchor="A-1", step="wax", answer="done", **at(95)),
    e.TakenBack(of=15, **at(96)),
    e.Reopened(because="rain", **at(97)),
    e.Emergency(**at(98)),
    e.LineExposed(line="drain", depth_in=30.0, **at(99)),
    e.DriftAccepted(wall="north", mean_deg=-0.8, on=True, **at(100)),
)  # fmt: skip
NUMBERED = tuple(entry.model_copy(update={"n": n}) for n, entry in enumerate(ENTRIES, start=1))


def day() -> DayState:
    return fold(JOB, resolve(JOB), NUMBERED)


def built(progress: Progress | None = None, lead: str = "Lee  Sample", **more: Any) -> dict[str, Any]:
    return build_record(day(), NUMBERED, sources=SOURCES, progress=progress or Progress(), lead=lead, **more)


def anchor(data: Mapping[str, Any], ident: str) -> dict[str, Any]:
    found: dict[str, Any] = next(each for each in data["anchor"] if each["id"] == ident)
    return found


def test_a_built_record_signs_writes_and_reads_back_valid() -> None:
    signed = sign_record(built(), KEY, signed_at=MORNING + timedelta(hours=9))
    text = record_text(signed).encode()
    assert parse_toml(text) == signed
    assert canonical_bytes(parse_toml(text)) == canonical_bytes(signed)
    known = KnownKeys((KnownKey(public=KEY.public, name="Lee Sample"),))
    verdict = verify_bytes(text, known)
    assert verdict.state == "valid"
    assert (verdict.job_id, verdict.signer, verdict.complete) == ("J-1", "Lee Sample", True)


def test_what_was_done_is_in_it_with_both_times() -> None:
    first = anchor(built(), "A-1")
    (setback,) = [value for value in first["value"] if value["quantity"] == "setback_in"]
    assert setback == {
        "quantity": "setback_in",
        "value": 144.3333,
        "source": "as built",
        "text": "12 ft 3/8",
        "step": "setback",
        "entry": 4,
        "done_at": datetime(2031, 4, 5, 7, 33, tzinfo=WEST),
        "typed_at": datetime(2031, 4, 5, 8, 13, tzinfo=WEST),
    }
    assert first["planned"]["drop_in"] == 6.0
    assert [answer["step"] for answer in first["answer"]] == ["sod"], "what was taken back is not in it"
    assert built()["journal"] == {
        "file": "j-1.journal.jsonl", "entries": 20, "last_sha256": "2" * 64, "taken_back": [15],
    }  # fmt: skip


def test_all_attempts_stay() -> None:
    one, two = anchor(built(), "A-1")["attempt"]
    assert (one["held_angle_deg"], one["depth_found_in"]) == (5.3, 31.5)
    assert one["way"] == {"kind": "re-drill", "words": "re-drill steeper", "drilled_angle_deg": 8.1}
    assert (two["attempt"], two["depth_found_in"], two["found"]) == (2, 41.5, True)


def test_every_answer_to_a_hold_says_by_whom_and_when() -> None:
    holds = built()["hold"]
    assert [(hold["id"], hold["said"], hold.get("by")) for hold in holds] == [
        ("briefing", "answered", "done"),
        ("no-such-hazard", "in place", "LS"),
        ("ticket", "released", "LS"),
        ("soil", "set aside", "Kim Sample"),
        ("pit entry", "nobody goes in", None),
        ("bad air expected", "no", "LS"),
        ("inspection", "asked for again", None),
    ]
    assert all({"entry", "done_at", "typed_at"} <= set(hold) for hold in holds)
    assert holds[3]["anchor"] == "A-1"


def test_deviations_say_why_and_who_accepted_them() -> None:
    found = {item["entry"]: item for item in built()["deviation"]}
    assert found[11]["reason"] == "none there"
    assert found[11]["accepted"] == "Kim Sample: fine"
    assert found[6]["kind"] == "override"
    assert "accepted" not in found[6]


def test_rules_that_the_company_set_are_in_it_and_whether_they_are_looser() -> None:
    (rule,) = built()["rule"]
    assert (rule["key"], rule["value"], rule["said_by"]) == ("spacing_greatest_in", 84.0, "Kim Sample")
    assert rule["loosened"] is True


def test_names_never_become_keys() -> None:
    data = built()
    assert data["ticket"]["area"] == [
        {"wall": "$north", "points_in": [[0.0, 0.0], [360.0, 0.0], [360.0, 240.0]]}
    ]
    assert data["ticket"]["utility"][0]["name"] == "Sample Gas"
    assert data["wall"][0]["opening"][0]["start_in"] == 100.0
    assert data["drift"] == [{"wall": "north", "mean_deg": -0.8, "used": True, "entry": 20}]
    assert data["exposed"] == [{"line": "drain", "depth_in": 30.0}]


def test_a_partial_record_says_what_is_open() -> None:
    progress = Progress(
        open_steps={"": ("Crew briefed",), "A-1": ("Torque", "Cap"), "A-2": ()},
        figures={"A-1": {"angle_deg": 5.31234567}},
    )
    data = built(progress)
    assert data["complete"] is False
    assert data["open"] == ["Crew briefed"]
    assert (anchor(data, "A-1")["state"], anchor(data, "A-1")["open"]) == ("open", ["Torque", "Cap"])
    assert anchor(data, "A-1")["figure"] == {"angle_deg": 5.3123}
    assert anchor(data, "A-2")["state"] == "dropped"
    assert anchor(data, "A-2")["dropped_because"] == "a drain in the way"
    assert built()["complete"] is True


def test_the_lead_types_a_name() -> None:
    assert built()["signer"] == {"name": "Lee Sample"}
    with pytest.raises(RecordError, match="name"):
        built(lead="  ")


def test_a_revision_names_the_one_before_and_why() -> None:
    data = built(revision=Revision(number=2, before="3" * 64, reason="a depth was typed wrongly"))
    assert data["revision"] == {"number": 2, "before": "3" * 64, "reason": "a depth was typed wrongly"}
    assert built()["revision"] == {"number": 1}


@pytest.mark.parametrize(
    "wrong",
    [
        {"number": 0},
        {"number": 1, "before": "3" * 64},
        {"number": 2, "reason": "x"},
        {"number": 2, "before": "3" * 64},
    ],
)
def test_a_revision_that_would_not_chain_is_refused(wrong: dict[str, Any]) -> None:
    with pytest.raises(RecordError):
        Revision(**wrong)


def test_the_docs_name_every_key() -> None:
    docs = (Path(__file__).parents[2] / "docs" / "record-format.md").read_text(encoding="utf-8")
    named = set(re.findall(r"[\w-]+", docs))
    data = sign_record(
        built(Progress(open_steps={"A-1": ("x",)}, figures={"A-1": {"angle_deg": 5.0}})),
        KEY,
        signed_at=MORNING,
    )
    keys = (
        set(data) | set(data["signer"]) | set(data["signature"]) | set(data["journal"]) | {"before", "reason"}
    )
    for row in data["anchor"]:
        keys |= set(row)
        for name in ("value", "answer", "attempt", "input", "figure"):
            inner = row.get(name, [])
            keys |= {key for each in (inner if isinstance(inner, list) else [inner]) for key in each}
    for name in ("hold", "deviation", "rule", "drift", "exposed", "note", "emergency"):
        keys |= {key for each in data[name] for key in each}
    assert keys - named == set()


def test_the_times_keep_the_offset_of_the_site() -> None:
    signed = sign_record(built(), KEY, signed_at=MORNING.astimezone(UTC))
    assert signed["anchor"][0]["first_at"].utcoffset() == timedelta(hours=-5)
    assert signed["signer"]["signed_at"].utcoffset() == timedelta(0)
