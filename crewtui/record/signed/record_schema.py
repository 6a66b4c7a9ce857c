"""The JSON schema of a completion record, for whoever reads records with tools of their own.

    python -m crewtui.record.signed.record_schema docs/record.schema.json

writes it. It describes what this version writes; a record is verified by its signature, never by this.
"""

from __future__ import annotations

import json
import sys
from datetime import date, datetime
from pathlib import Path
from typing import Annotated, Any, Final, get_args, get_origin, get_type_hints

from msgspec import Meta, Struct
from msgspec.json import schema_components

from crewtui.job.file.job_schema import with_json_limits
from crewtui.job.file.model import Job
from crewtui.record.signed.canonical import FORMS
from crewtui.record.signed.form import Record
from crewtui.record.signed.sign import RECORD_FORMAT, RECORD_KIND

ID: Final = "https://json-schema.org/draft/2020-12/schema"
_PLAN: Final = {
    "wall": "walls", "ground": "ground", "rod": "rod", "stock": "stock", "tools": "tools", "ticket": "ticket",
    "line": "lines", "footings": "footings", "in_ground": "in_ground",
    "contacts": "contacts", "tightening": "tightening",
    "hazards": "hazards",
}  # fmt: skip
"""Tables of the plan in a record, and what the job file's model calls them."""
_READ_OF_PLAN: Final = ("CardSigned", "WallPlanned", "OpeningPlanned", "ContactNamed")
"""What the form has of the plan: only what a reader needs; the job file's model has it all."""


def schema() -> dict[str, Any]:
    """Return the schema as a JSON object."""
    _, parts = schema_components((Record,), ref_template="#/$defs/{name}")
    structs = _structs(Struct)
    for name, part in parts.items():
        part["required"] = _always(structs[name])
        part["additionalProperties"] = False
    record = parts.pop("Record")
    for name in _READ_OF_PLAN:
        del parts[name]
    plan = Job.model_json_schema(by_alias=False, mode="serialization")
    record["$defs"] = parts | {name: _optional(part) for name, part in plan["$defs"].items()}
    properties = record["properties"]
    for name, table in _PLAN.items():
        properties[name] = plan["properties"][table]
    properties["kind"], properties["format"] = {"const": RECORD_KIND}, {"const": RECORD_FORMAT}
    parts_of_signature = record["$defs"]["SignatureMade"]["properties"]
    parts_of_signature["form"] = {"const": FORMS[RECORD_FORMAT].name}
    _as_laid_out(record)
    tidy: dict[str, Any] = with_json_limits(_without_null(record))
    return {"$schema": ID, **tidy, "title": f"crewtui completion record, format {RECORD_FORMAT}"}


def _structs(base: type[Struct]) -> dict[str, type[Struct]]:
    found = {base.__name__: base}
    for each in base.__subclasses__():
        if each.__module__ in {Record.__module__, Struct.__module__}:
            found |= _structs(each)
    return found


def _always(struct: type[Struct]) -> list[str]:
    """Return the keys that every record of this program has, by the mark of their type."""
    hints = get_type_hints(struct, include_extras=True)
    return sorted(name for name, hint in hints.items() if _is_always(hint))


def _is_always(hint: Any) -> bool:
    metas = get_args(hint)[1:] if get_origin(hint) is Annotated else ()
    return any(isinstance(meta, Meta) and (meta.extra or {}).get("always") for meta in metas)


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
    wall, ticket, card = (parts[name]["properties"] for name in ("Wall", "Ticket", "JobCard"))
    wall["opening"] = wall.pop("openings")
    ticket["utility"], ticket["area"] = ticket.pop("utilities"), run
    card["file"] = card["file_sha256"] = {"type": "string"}
    properties["job"] = {"$ref": "#/$defs/JobCard"}


def _without_null(part: Any) -> Any:
    """Leave out null, which TOML does not have, defaults, and titles that only repeat a key's name."""
    if isinstance(part, list):
        return [_without_null(one) for one in part if one != {"type": "null"}]
    if not isinstance(part, dict):
        return part
    kept = {
        key: _each(value) if key in {"properties", "$defs"} else _without_null(value)
        for key, value in part.items()
        if key not in {"default", "title"}
    }
    several = kept.get("anyOf")
    if isinstance(several, list) and len(several) == 1:
        del kept["anyOf"]
        kept = {**several[0], **kept}
    return kept


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
