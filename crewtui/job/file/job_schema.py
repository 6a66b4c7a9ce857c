"""The JSON schema of a job file, made from the models, so that an editor helps whoever writes one."""

from __future__ import annotations

import json
from typing import Any, Final

from crewtui.job.file.file_keys import tables
from crewtui.job.file.model import Job
from crewtui.job.tables.rules import Rule, defaults

ID: Final = "https://json-schema.org/draft/2020-12/schema"


def schema() -> dict[str, Any]:
    """Return the schema with each key's meaning, as a JSON object."""
    made = Job.model_json_schema(by_alias=True)
    for table in tables():
        for key in table.keys:
            holder = made if not table.path else made["$defs"].get(key.model.__name__)
            if holder and key.name in holder["properties"]:
                holder["properties"][key.name]["description"] = key.meaning
    made["$defs"].pop("RuleOverride", None)
    made["properties"]["rules"] = {
        "type": "object",
        "description": "The company's own limits in place of the defaults, each with who said so.",
        "properties": {rule.file_key: _rule(rule) for rule in defaults().values()},
        "additionalProperties": False,
    }
    tidy: dict[str, Any] = with_json_limits(_without_null(made))
    return {"$schema": ID, **tidy, "title": "crewtui job file, format 1"}


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


def schema_text() -> str:
    """Return the schema as the text of ``docs/job.schema.json``."""
    return json.dumps(schema(), indent=2, ensure_ascii=False, sort_keys=True) + "\n"
