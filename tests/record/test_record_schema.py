"""The record's JSON schema agrees with what is written, and with the file in docs."""

from __future__ import annotations

import json
import shutil
import sys
import tomllib
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from day_help import Hands
from jsonschema import Draft202012Validator, ValidationError

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.journal import entries as e
from crewtui.day.session.day import Day
from crewtui.record.signed.canonical import SIGNATURE
from crewtui.record.signed.hand_in import hand_in
from crewtui.record.signed.read_form import StrangeError, read_form
from crewtui.record.signed.record_schema import as_json, schema, schema_text
from crewtui.record.signed.sign import RECORD_FORMAT
from crewtui.record.signed.signing_keys import SigningKey

sys.path.insert(0, str(Path(__file__).parents[1] / "faults"))

from day_writer import enter_next

ROOT = Path(__file__).parents[2]
SAMPLES = sorted((ROOT / "sample_jobs").glob("*.toml"))
KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
VALIDATOR = Draft202012Validator(schema())


def test_the_file_in_docs_is_the_schema() -> None:
    """Written anew by ``python -m crewtui.record.signed.record_schema docs/record.schema.json``."""
    assert (ROOT / "docs" / "record.schema.json").read_text(encoding="utf-8") == schema_text()
    Draft202012Validator.check_schema(schema())


def worked(folder: Path, sample: Path) -> Day:
    """Return a day with some of everything in it."""
    job = folder / sample.name
    shutil.copy(sample, job)
    day = Day.open(job, clock=Hands(), figures=figures_for)
    anchors = [now.id for now in day.state.live()]
    for anchor in anchors[:2]:
        while enter_next(day, anchor) is not None:
            pass
    last = anchors[-1]
    day.rods.take_way(
        last,
        e.Way(kind="accept", words="leave it"),
        depth_found_in=33.0,
        held_angle_deg=6.0,
        reason="rock there",
        left_out_reason="a rock",
    )
    day.truck.drive_pieces(anchors[2], ["36"], reason="rock there")
    day.truck.count_stock("nuts", 9)
    day.beside.note("a note", anchor=anchors[0])
    day.site.emergency("gas", anchor=anchors[0])
    day.safety.reopen_inspection("rain")
    day.safety.marks_faded()
    day.aim.accept_drift(day.state.anchors[last].wall, -0.5)
    day.site.drop_anchor(anchors[3], reason="a drain")
    return day


@pytest.fixture(params=SAMPLES, ids=lambda path: path.stem)
def record(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[dict[str, Any]]:
    with worked(tmp_path, request.param) as day:
        yield tomllib.loads(hand_in(day, KEY, lead="Lee Sample").path.read_text(encoding="utf-8"))


def leaves(error: ValidationError) -> Iterator[ValidationError]:
    if not error.context:
        yield error
    for inner in error.context or ():
        yield from leaves(inner)


def test_what_is_written_agrees_with_it(record: dict[str, Any]) -> None:
    found = (leaf for error in VALIDATOR.iter_errors(as_json(record)) for leaf in leaves(error))
    assert sorted({f"{'.'.join(map(str, error.absolute_path))}: {error.message}" for error in found}) == []


def test_it_says_what_does_not_agree(record: dict[str, Any]) -> None:
    data = as_json(record)
    for change in (
        {"kind": "x"}, {"format": 1}, {"more": 1}, {"complete": "yes"}, {"anchor": [{"id": 7}]},
        {"wall": [{"x": 1}]},
    ):  # fmt: skip
        assert not VALIDATOR.is_valid(data | change), change
    for name in ("kind", "signer", SIGNATURE, "anchor"):
        assert not VALIDATOR.is_valid({key: part for key, part in data.items() if key != name}), name


def keys_of(part: Any) -> Iterator[str]:
    if isinstance(part, dict):
        yield from part
    for inner in part.values() if isinstance(part, dict) else part if isinstance(part, list) else ():
        yield from keys_of(inner)


def test_its_limits_have_the_names_that_every_reader_heeds(record: dict[str, Any]) -> None:
    assert {"minimum", "maximum", "exclusiveMinimum"} <= set(keys_of(schema()))
    assert not set(keys_of(schema())) & {"ge", "le", "gt", "lt", "multiple_of", "max_length"}
    data = as_json(record)
    for change in (
        {"stock": {"rods": [{"length_in": 80.0, "count": -1}]}},
        {"rod": {"threads_per_in": 0}},
        {"revision": {"number": 0}},
        {"drift": [{"wall": "north", "mean_deg": 2e9, "used": True, "entry": 3}]},
    ):
        assert not VALIDATOR.is_valid(data | change), change


def test_what_is_written_reads_back_by_its_types(record: dict[str, Any]) -> None:
    read = read_form(record)
    assert read.day == "install"
    assert read.format == RECORD_FORMAT
    assert [one.item for one in read.counted] == ["nuts"]
    done, _, pieces = read.anchor[:3]
    assert [(one.tightening, one.round, one.clicked) for one in done.torque] == [
        ("first", 3, True),
        ("second", 3, True),
    ]
    assert [(one.when, one.how) for one in done.bow] == [("after", "typed")]
    inches = 36.0 if read.job.units == "imperial" else 36 / 25.4
    assert [one.length_in for one in pieces.piece] == [pytest.approx(inches, abs=1e-4)]
    assert pieces.couplings == 0
    assert read.note[0].text == "a note"


STRANGE: list[tuple[dict[str, Any], str]] = [
    ({"anchor": 7}, "anchor: a whole number stands where a list belongs"),
    ({"anchor": [{"id": "A-1", "value": [{"value": "x"}]}]}, "anchor[0].value[0].value: text stands"),
    ({"anchor": [{}]}, "anchor[0]: object missing required field `id`"),
    ({"complete": "yes"}, "complete: text stands where true or false belongs"),
    ({"note": [{"done_at": datetime(9999, 12, 31, tzinfo=UTC)}]}, "note[0].done_at: the year 9999 is none"),
    ({"note": [{"done_at": datetime(2031, 4, 5)}]}, "note[0].done_at: "),  # noqa: DTZ001 - the fault
    ({"job": {"date": date(1, 1, 1)}}, "job.date: the year 1 is none of a working day"),
    ({"revision": {"number": -1}}, "revision.number: "),
    ({"anchor": [{"id": "A-1", "figure": {"angle_deg": 1e300}}]}, "anchor[0].figure"),
    ({"job": {"id": "\x1b[31m", "units": "\u202efurlongs"}}, "job.units: invalid enum value"),
]


@pytest.mark.parametrize(("change", "words"), STRANGE)
def test_what_is_laid_out_otherwise_is_said_with_its_place(change: dict[str, Any], words: str) -> None:
    with pytest.raises(StrangeError) as said:
        read_form({"kind": "x"} | change)
    assert str(said.value).startswith(words)
    assert "\x1b" not in str(said.value)
    assert "\u202e" not in str(said.value)


def test_a_reader_leaves_alone_what_a_newer_program_added() -> None:
    assert read_form({"more": {"x": 1}, "anchor": [{"id": "A-1", "more": 2}]}).anchor[0].id == "A-1"


def test_every_table_of_the_schema_stands_in_the_page() -> None:
    page = (ROOT / "docs" / "record-format.md").read_text(encoding="utf-8")
    for name in json.loads(schema_text())["properties"]:
        assert f"`{name}" in page or f"[[{name}]]" in page or f"`{name}`" in page, name
