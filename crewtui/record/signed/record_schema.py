"""The JSON schema of a completion record, for whoever reads records with tools of their own.

    python -m crewtui.record.signed.record_schema docs/record.schema.json

writes it. It describes what this version writes; a record is verified by its signature, never by this.
"""

from __future__ import annotations

import json
import sys
from datetime import date, datetime
from pathlib import Path
from typing import Any, Final, Literal

from pydantic import BaseModel, ConfigDict, Field

from crewtui.job.file.model import Job
from crewtui.record.signed.sign import RECORD_FORMAT, RECORD_KIND

ID: Final = "https://json-schema.org/draft/2020-12/schema"
_PLAN: Final = {
    "wall": "walls", "ground": "ground", "rod": "rod", "stock": "stock", "tools": "tools", "ticket": "ticket",
    "line": "lines", "footings": "footings", "contacts": "contacts", "tightening": "tightening",
    "hazards": "hazards",
}  # fmt: skip
"""Tables of the plan in a record, and what the job file's model calls them."""


class _Table(BaseModel):
    model_config = ConfigDict(extra="forbid")


class _Made(_Table):
    entry: int = Field(description="Its number in the journal.")
    done_at: datetime
    typed_at: datetime | None = None


class _Program(_Table):
    name: Literal["crewtui"]
    version: str


class _Revision(_Table):
    number: int = Field(ge=1)
    before: str | None = Field(None, description="SHA-256, hex, of the signed bytes of the record before.")
    reason: str | None = None


class _Journal(_Table):
    file: str
    entries: int
    last_sha256: str
    taken_back: list[int] | None = None


class _Rule(_Table):
    key: str
    value: float | str | bool | list[Any] | None = None
    default: float | str | bool | list[Any] | None = None
    label: str
    said_by: str | None = None
    note: str | None = None
    loosened: bool


class _Value(_Made):
    quantity: str = Field(description="Its name, which ends in its unit.")
    value: float
    source: Literal["as built"]
    text: str | None = Field(None, description="As it was typed; none where a drive was entered whole.")
    then: str | None = None
    outside_limits: bool | None = None
    reason: str | None = None
    step: str


class _Answer(_Made):
    step: str
    label: str | None = None
    answer: str
    deviates: bool | None = None
    reason: str | None = None


class _Drift(_Table):
    wall: str
    mean_deg: float
    used: bool
    entry: int


class _Exposed(_Table):
    line: str
    depth_in: float


class _Hold(_Made):
    id: str
    said: str | None = None
    by: str | None = None
    note: str | None = None
    text: str | None = None
    anchor: str | None = None


class _Deviation(_Made):
    kind: str
    anchor: str | None = None
    step: str | None = None
    text: str
    reason: str | None = None
    accepted: str | None = Field(None, description="Who accepted it, and why.")


class _Note(_Made):
    anchor: str | None = None
    text: str
    by_program: bool | None = None


class _Exposure(_Made):
    tool: str
    hours: float
    indoors: bool
    level_dba: float | None = None
    who: str | None = None


class _Input(_Table):
    quantity: str
    value: float
    source: str
    said_by: str | None = None


class _Attempt(_Made):
    attempt: int
    held_angle_deg: float
    found: bool
    depth_found_in: float | None = None
    side_offset_in: float | None = None
    angle_in_pit_deg: float | None = None
    angle_run_deg: float | None = None
    drift_deg: float | None = None
    straight: bool
    left_out_reason: str | None = None
    way: dict[str, float | str] | None = None


class _Reading(_Made):
    when: Literal["before", "after"]
    line: str
    fixed_to: str | None = None
    line_offset_in: float | None = None
    heights_in: list[float]
    offsets_in: list[float]
    resolution_in: float
    base_from_string_in: float | None = None
    string_at_corners_in: list[float] | float | None = None


class _Anchor(_Table):
    id: str
    wall: str
    state: Literal["complete", "open", "dropped"]
    open: list[str] | None = None
    dropped_because: str | None = None
    added_on_site: bool | None = None
    first_at: datetime | None = None
    last_at: datetime | None = None
    planned: dict[str, Any] | None = None
    changed_on_site: dict[str, Any] | None = None
    aim: dict[str, float | str] | None = None
    figure: dict[str, float] | None = None
    input: list[_Input] | None = None
    value: list[_Value] | None = None
    answer: list[_Answer] | None = None
    attempt: list[_Attempt] | None = None
    reading: list[_Reading] | None = None


class _Signer(_Table):
    name: str
    key_id: str
    public_key: str
    signed_at: datetime


class _Signature(_Table):
    algorithm: Literal["Ed25519"]
    form: str
    key_id: str
    value: str


class _Record(_Table):
    kind: str = Field(json_schema_extra={"const": RECORD_KIND})
    format: int = Field(json_schema_extra={"const": RECORD_FORMAT})
    program: _Program
    governs: str
    complete: bool
    open: list[str] | None = None
    revision: _Revision
    journal: _Journal
    rule: list[_Rule] | None = None
    value: list[_Value] | None = None
    answer: list[_Answer] | None = None
    drift: list[_Drift] | None = None
    exposed: list[_Exposed] | None = None
    hold: list[_Hold] | None = None
    deviation: list[_Deviation] | None = None
    note: list[_Note] | None = None
    exposure: list[_Exposure] | None = None
    emergency: list[_Made] | None = None
    anchor: list[_Anchor]
    signer: _Signer
    signature: _Signature


def schema() -> dict[str, Any]:
    """Return the schema as a JSON object."""
    record = _Record.model_json_schema()
    plan = Job.model_json_schema(by_alias=False, mode="serialization")
    record["$defs"] |= {name: _optional(part) for name, part in plan["$defs"].items()}
    for name, field in _PLAN.items():
        record["properties"][name] = plan["properties"][field]
    _as_laid_out(record)
    tidy: dict[str, Any] = _without_null(record)
    return {"$schema": ID, **tidy, "title": f"crewtui completion record, format {RECORD_FORMAT}"}


def _optional(part: dict[str, Any]) -> dict[str, Any]:
    """Return a table of which nothing need be there: a record leaves out what is empty."""
    return {key: value for key, value in part.items() if key != "required"}


def _as_laid_out(record: dict[str, Any]) -> None:
    """Change what a record lays out otherwise than the job file: tables keyed by names become lists."""
    parts, properties = record["$defs"], record["properties"]
    run = {
        "type": "array",
        "items": {
            "type": "object",
            "properties": {"wall": {"type": "string"}, "points_in": {"type": "array"}},
            "required": ["wall", "points_in"],
            "additionalProperties": False,
        },
    }
    properties["property_line"] = run
    wall, ticket, card = (_named(parts, name) for name in ("Wall", "Ticket", "JobCard"))
    wall["opening"] = wall.pop("openings")
    ticket["utility"], ticket["area"] = ticket.pop("utilities"), run
    card["file"] = card["file_sha256"] = {"type": "string"}
    properties["job"] = {"$ref": f"#/$defs/{_name_of(parts, 'JobCard')}"}


def _name_of(parts: dict[str, Any], wanted: str) -> str:
    return next(name for name in parts if name.casefold() == wanted.casefold())


def _named(parts: dict[str, Any], wanted: str) -> dict[str, Any]:
    found: dict[str, Any] = parts[_name_of(parts, wanted)]["properties"]
    return found


def _without_null(part: Any) -> Any:
    """Leave out null, which TOML does not have, and the titles that only repeat a key's name."""
    if isinstance(part, list):
        return [_without_null(one) for one in part if one != {"type": "null"}]
    if not isinstance(part, dict):
        return part
    kept = {key: value for key, value in part.items() if key not in {"default", "title"}}
    return {
        key: _each(value) if key in {"properties", "$defs"} else _without_null(value)
        for key, value in kept.items()
    }


def _each(named: dict[str, Any]) -> dict[str, Any]:
    """Tidy the parts of a mapping whose keys are names, and may be any."""
    return {name: _without_null(part) for name, part in named.items()}


def schema_text() -> str:
    """Return the schema as the text of ``docs/record.schema.json``."""
    return json.dumps(schema(), indent=2, ensure_ascii=False, sort_keys=True) + "\n"


def as_json(value: Any) -> Any:
    """Return a record's tables as JSON holds them: dates and times in words."""
    if isinstance(value, dict):
        return {key: as_json(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [as_json(inner) for inner in value]
    return value.isoformat() if isinstance(value, datetime | date) else value


if __name__ == "__main__":
    Path(sys.argv[1]).write_text(schema_text(), encoding="utf-8")
