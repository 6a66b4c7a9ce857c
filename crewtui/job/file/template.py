"""A commented job file to start from: it opens at once, with invented values in every key that is needed."""

from __future__ import annotations

import json
from datetime import date
from typing import Final

from crewtui.job.file.file_keys import Key, Table, tables
from crewtui.job.file.metric_examples import METRIC, in_metric, rounded
from crewtui.job.tables.rules import Rule, defaults

_UNITS: Final = {
    "length": "in",
    "torque": "lbf·ft",
    "angle": "degrees",
    "slope": "drop per run",
    "ksi": "ksi",
    "lb": "lb",
}
_METRIC_UNITS: Final = {**_UNITS, "length": "mm", "torque": "N·m"}
_HEAD: Final = """\
#:schema job.schema.json
# A job file. The office writes it, the program only reads it. Every value below is invented: replace it.
#
# A bare length is in inches and a bare torque in lbf·ft; with units = "metric" they are mm and N·m.
# In quotes a length may stand as people write it: "12 ft", "2' 4 1/2\\"", "28 1/2", "72 cm", "1.2 m".
# Lines that begin with # are left out; take the # away to use the key.
# For an editor that reads JSON schema, write it beside this file: crewtui schema > job.schema.json
"""
_WHOLE: Final = frozenset(
    {"ticket", "permit", "lines", "footings", "in_ground", "contacts", "hazards", "tightening"}
)
"""Tables that a job can do without: all of their lines begin with #."""


def template(today: date, *, metric: bool = False) -> str:
    """Return the text of a job file for this day, its values true to its units."""
    parts = [_HEAD]
    for table in tables():
        if table.path == "rules":
            parts.append(_rules(table, metric=metric))
        elif "." not in table.path:
            parts.append(_table(table, today, metric=metric))
    return "\n".join(parts)


def _table(table: Table, today: date, *, metric: bool) -> str:
    off = "# " if table.path in _WHOLE else ""
    lines = [f"# {table.meaning}", f"{off}{table.header}"] if table.path else []
    for key in table.keys:
        lines += _key(key, today, whole=bool(off), metric=metric)
    return "\n".join(lines) + "\n"


def _key(key: Key, today: date, *, whole: bool, metric: bool) -> list[str]:
    example = today.isoformat() if key.path == "job.date" else key.example
    if metric:
        example = '"metric"' if key.path == "job.units" else in_metric(key, example)
    unit = f" ({(_METRIC_UNITS if metric else _UNITS)[key.unit]})" if key.unit else ""
    inner = next((t for t in tables() if t.path == key.path and t.path), None)
    each = f" Each has {', '.join(k.name for k in inner.keys)}." if inner else ""
    off = "" if (key.required or key.path in {"format", "job.units"}) and not whole else "# "
    return [f"# {key.meaning}{unit}{each}", f"{off}{key.name} = {example}"]


def _rules(table: Table, *, metric: bool) -> str:
    lines = [
        f"# {table.meaning}",
        "# Without a line here the value shown holds; the mark says how sure it is.",
        "[rules]",
        *(line for rule in defaults().values() for line in _rule(rule, metric=metric)),
    ]
    return "\n".join(lines) + "\n"


def _rule(rule: Rule, *, metric: bool) -> list[str]:
    value = rule.value if rule.value is not None else rule.least
    named: str = rule.unit
    if metric and isinstance(value, int | float) and rule.unit in METRIC:
        named, value = METRIC[rule.unit][0], rounded(value * METRIC[rule.unit][1])
    plain = int(value) if isinstance(value, float) and value.is_integer() else value
    unit = f" ({named})" if named else ""
    none = "; none by default" if rule.value is None else ""
    return [
        f"# {rule.label}{unit}: {rule.mark}{none}.",
        f'# {rule.file_key} = {{ value = {json.dumps(plain)}, said_by = "Office" }}',
    ]
