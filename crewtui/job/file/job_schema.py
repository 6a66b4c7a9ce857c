"""The JSON schema of a job file, made from the models, so that an editor helps whoever writes one."""

from __future__ import annotations

import json
from typing import Any, Final

from crewtui.job.file.company_file import LISTS, TABLES
from crewtui.job.file.file_keys import tables
from crewtui.job.file.inherit import EACH, OWN
from crewtui.job.file.model import Job
from crewtui.job.tables.rules import Rule, defaults

ID: Final = "https://json-schema.org/draft/2020-12/schema"


def schema() -> dict[str, Any]:
    """Return the schema of a job file with each key's meaning, as a JSON object.

    What a job may leave to its walls or to the company's file is not asked for.
    """
    made = Job.model_json_schema(by_alias=True)
    for table in tables():
        for key in table.keys:
            holder = made if not table.path else made["$defs"].get(key.model.__name__)
            if holder and key.name in holder["properties"]:
                holder["properties"][key.name]["description"] = key.meaning
    _take_from_walls_and_company(made)
    made["$defs"].pop("RuleOverride", None)
    made["properties"]["rules"] = {
        "type": "object",
        "description": "The company's own limits in place of the defaults, each with who said so.",
        "properties": {rule.file_key: _rule(rule) for rule in defaults().values()},
        "additionalProperties": False,
    }
    tidy: dict[str, Any] = with_json_limits(_without_null(made))
    return {"$schema": ID, **tidy, "title": "crewtui job file, format 1"}


def company_schema() -> dict[str, Any]:
    """Return the schema of a company's file: the tables that it shares with a job, nothing asked for."""
    made = schema()
    properties = {name: made["properties"][name] for name in ("format", *TABLES[1:], *LISTS)}
    card = made["$defs"]["JobCard"]["properties"]
    properties["company"] = {
        "type": "object",
        "description": "The company itself, and the unit of bare numbers in this file.",
        "properties": {"name": card["company"], "units": card["units"]},
        "additionalProperties": False,
    }
    properties["anchors"] = {"$ref": "#/$defs/SharedByAnchors"}
    made["$defs"]["SharedByAnchors"]["properties"].pop(EACH)
    return {**made, "properties": properties, "required": [], "title": "crewtui company file, format 1"}


def _take_from_walls_and_company(made: dict[str, Any]) -> None:
    """Add [walls.anchors], and ask only for what neither a wall nor the company's file can give."""
    kinds = made["$defs"]
    anchor = kinds["Anchor"]
    of_wall = {name: part for name, part in anchor["properties"].items() if name != "wall"}
    kinds["AnchorOfWall"] = {**anchor, "properties": of_wall, "required": ["id", "along"]}
    shared = {name: part for name, part in of_wall.items() if name not in OWN}
    shared[EACH] = {
        "type": "array",
        "description": "The wall's anchors, where they do not stand under [[anchors]].",
        "items": {"$ref": "#/$defs/AnchorOfWall"},
    }
    kinds["SharedByAnchors"] = {
        "type": "object",
        "description": "What all anchors of the wall have; an anchor's own goes before.",
        "properties": shared,
        "additionalProperties": False,
    }
    kinds["Wall"]["properties"]["anchors"] = {"$ref": "#/$defs/SharedByAnchors"}
    kinds["Rod"]["required"] = []
    made["required"] = ["job", "walls"]
    made["properties"]["anchors"].pop("minItems", None)


_LIMITS: Final = {"ge": "minimum", "le": "maximum", "gt": "exclusiveMinimum", "lt": "exclusiveMaximum"}
"""What pydantic calls a limit that stands behind a validator, and what JSON Schema calls it."""


def with_json_limits(part: Any) -> Any:
    """Return a schema whose limits have JSON Schema's own names, which every reader heeds."""
    if isinstance(part, list):
        return [with_json_limits(one) for one in part]
    if not isinstance(part, dict):
        return part
    return {
        _LIMITS.get(key, key) if isinstance(value, int | float) else key: with_json_limits(value)
        for key, value in part.items()
    }


def _without_null(part: Any) -> Any:
    """Leave out null, which TOML does not have, and the titles that only repeat a key's name."""
    if isinstance(part, list):
        return [_without_null(one) for one in part if one != {"type": "null"}]
    if not isinstance(part, dict):
        return part
    kept = {key: _without_null(value) for key, value in part.items() if not _is_idle(key, value)}
    several = kept.get("anyOf")
    if isinstance(several, list) and len(several) == 1:
        del kept["anyOf"]
        kept = {**several[0], **kept}
    return kept


def _is_idle(key: str, value: Any) -> bool:
    return (key == "default" and value is None) or (key == "title" and isinstance(value, str))


def _rule(rule: Rule) -> dict[str, Any]:
    if rule.allowed:
        value: dict[str, Any] = {"enum": list(rule.allowed)}
    elif rule.unit in {"in", "lbf·ft", "deg"}:
        value = {"anyOf": [{"type": "number"}, {"type": "string"}]}
    else:
        value = {"type": "number", "minimum": rule.least, "maximum": rule.greatest}
    return {
        "type": "object",
        "description": f"{rule.label}. {rule.mark}: {rule.source}.",
        "properties": {
            "value": value,
            "said_by": {"type": "string", "minLength": 1},
            "note": {"type": "string"},
        },
        "required": ["value", "said_by"],
        "additionalProperties": False,
    }


def schema_text(*, company: bool = False) -> str:
    """Return the schema of a job file, as in ``docs/job.schema.json``, or of the company's, as text."""
    made = company_schema() if company else schema()
    return json.dumps(made, indent=2, ensure_ascii=False, sort_keys=True) + "\n"
