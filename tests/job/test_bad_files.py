"""One list of bad files, held by the models and by the schema: an editor marks what the program refuses."""

from __future__ import annotations

import copy
import json
import tomllib
from pathlib import Path
from typing import Any, Final

import pytest
import tomli_w
from jsonschema import Draft202012Validator

from crewtui.job.file.job_schema import company_schema, schema
from crewtui.job.file.load import JobFileError, read_job

SAMPLE: Final = Path(__file__).parents[2] / "sample_jobs" / "block-wall.toml"
GOOD: Final[dict[str, Any]] = tomllib.loads(SAMPLE.read_text(encoding="utf-8"))
JOBS: Final = Draft202012Validator(schema())
COMPANIES: Final = Draft202012Validator(company_schema())
BAD: Final[tuple[tuple[str, Any], ...]] = (
    ("job.id", ""), ("job.id", "x" * 25), ("job.lead", 5), ("job.units", "feet"), ("job.color", "red"),
    ("job.crew", "Pat"), ("job.address", "x" * 4_001), ("walls", []), ("walls.0.type", "brick"),
    ("walls.0.length", 0), ("walls.0.length", 400_000), ("walls.0.grade_to_top", -1),
    ("walls.0.openings.0.bottom", -1), ("walls.0.openings.0.name", ""), ("walls.0.thicknes", 8),
    ("walls.0.anchors", 3), ("walls.0.anchors", {"id": "N1"}), ("walls.0.anchors", {"torque": -1}),
    ("walls.0.anchors", {"each": [{"id": "X"}]}), ("walls.0.anchors", {"each": 4}),
    ("anchors.0.along", -400_000), ("anchors.0.setback", 0), ("anchors.0.setback", True),
    ("anchors.0.torque", 3_000), ("anchors.0.torque", 0), ("anchors.0.yard_slope", 1),
    ("anchors.0.plate", 12),
    ("anchors.0.plate.weight_lb", 0), ("anchors.0.plate.weight_lb", 1_001), ("anchors.0.plate.width", -2),
    ("anchors.0.bed_joint_side", "left"), ("anchors.0.owner_adjustable", 5),
    ("ground.friction_angle", 90), ("ground.soil", "mud"), ("ground.soil_type", "D"),
    ("ground.frost_depth", -1),
    ("rod.diameter", 0), ("rod.threads_per_inch", 0), ("rod.threads_per_inch", 81), ("rod.yield_ksi", 301),
    ("stock.couplings", -1), ("stock.couplings", 100_001), ("stock.couplings", 1.5), ("stock.nuts", "14"),
    ("stock.rods.0.count", -3), ("tools.pit", "digger"), ("tools.extension_angle", -90),
    ("tools.extension", -4),
    ("ticket.notice", -5), ("ticket.notice", 3_661), ("ticket.life", -1), ("ticket.counted_in", "weeks"),
    ("ticket.utilities.0.response", "maybe"), ("ticket.utilities.0.kind", "cable"),
    ("ticket.area.north", [[0, 0], [1, 1]]), ("lines.0.points", [[0, 0]]), ("lines.0.width", -1),
    ("contacts.0.phone", 555), ("contacts.0.role", ""), ("tightening.step_torque", 0), ("rules.setbak", {}),
    ("rules.aim_depth", 41), ("rules.aim_depth", {"value": 41}), ("format", 2), ("color", 1),
)  # fmt: skip
"""A key of the sample, and what it cannot be."""


def changed(path: str, value: Any) -> dict[str, Any]:
    data = copy.deepcopy(GOOD)
    at: Any = data
    *way, last = path.split(".")
    for part in way:
        at = at[int(part)] if isinstance(at, list) else at.setdefault(part, {})
    at[int(last) if isinstance(at, list) else last] = value
    return data


def plain(value: Any) -> Any:
    """Return a table as an editor's reader hands it to a schema: days and times as text."""
    return json.loads(json.dumps(value, default=lambda one: one.isoformat()))


@pytest.mark.parametrize(("path", "value"), BAD, ids=[f"{path}={value!r}"[:60] for path, value in BAD])
def test_models_and_schema_refuse_the_same(path: str, value: Any) -> None:
    data = changed(path, value)
    with pytest.raises(JobFileError):
        read_job(tomli_w.dumps(data).encode(), file="job.toml")
    assert not JOBS.is_valid(plain(data))


def test_every_sample_is_taken_by_both() -> None:
    for path in SAMPLE.parent.glob("*.toml"):
        JOBS.validate(plain(tomllib.loads(path.read_text(encoding="utf-8"))))


@pytest.mark.parametrize("made", [schema(), company_schema()], ids=["job", "company"])
def test_every_limit_has_a_name_that_schemas_know(made: dict[str, Any]) -> None:
    Draft202012Validator.check_schema(made)
    text = json.dumps(made)
    assert not [name for name in ("ge", "le", "gt", "lt", "multiple_of") if f'"{name}":' in text]


def test_a_company_file_is_held_by_its_own_schema() -> None:
    shared = {name: GOOD[name] for name in ("rod", "tools", "stock", "rules", "contacts")}
    good = plain({**shared, "company": {"name": "Sample (invented)"}, "anchors": {"setback": 156}})
    COMPANIES.validate(good)
    for bad in ({"job": {}}, {"company": {"color": 1}}, {"anchors": {"id": "A"}}, {"rod": {"diameter": -1}}):
        assert not COMPANIES.is_valid({**good, **bad})
