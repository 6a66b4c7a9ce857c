"""The record's JSON schema agrees with what is written, and with the file in docs."""

from __future__ import annotations

import json
import shutil
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from day_help import Hands
from jsonschema import Draft202012Validator, ValidationError

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.record.signed.canonical import SIGNATURE
from crewtui.record.signed.hand_in import hand_in
from crewtui.record.signed.record_schema import as_json, schema, schema_text
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
    day.attempt_drive(last, depth_found_in=33.0, held_angle_deg=6.0, reason="ok", left_out_reason="a rock")
    day.drive_pieces(anchors[2], ["36"], reason="ok")
    day.count_stock("nuts", 9)
    day.note("a note", anchor=anchors[0])
    day.emergency(anchors[0])
    day.reopen_inspection("rain")
    day.marks_faded()
    day.accept_drift(day.state.anchors[last].wall, -0.5)
    day.drop_anchor(anchors[3], reason="a drain")
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
        {"kind": "x"}, {"format": 2}, {"more": 1}, {"complete": "yes"}, {"anchor": [{"id": 7}]},
        {"wall": [{"x": 1}]},
    ):  # fmt: skip
        assert not VALIDATOR.is_valid(data | change), change
    for name in ("kind", "signer", SIGNATURE, "anchor"):
        assert not VALIDATOR.is_valid({key: part for key, part in data.items() if key != name}), name


def test_every_table_of_the_schema_stands_in_the_page() -> None:
    page = (ROOT / "docs" / "record-format.md").read_text(encoding="utf-8")
    for name in json.loads(schema_text())["properties"]:
        assert f"`{name}" in page or f"[[{name}]]" in page or f"`{name}`" in page, name
