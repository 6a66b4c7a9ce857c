"""The page on the job file: every key with unit, meaning and example, from the models and the data files.

``python tests/docs/job_reference.py docs`` writes the page and the schema; a test keeps them fresh.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from crewtui.job.file.file_keys import UNIT_WORDS, Key, Table, tables
from crewtui.job.file.job_schema import schema_text
from crewtui.job.tables.condition_names import NAMES
from crewtui.job.tables.rules import Rule, defaults
from crewtui.job.tables.steps import PHASES

PAGE: Final = "job-file.md"
SCHEMA: Final = "job.schema.json"
_HEAD: Final = """\
# The job file

One TOML file a job, written by the office and only read by the program. `crewtui new` writes one to
start from, with every key explained; `crewtui check` says what is wrong with it. An editor that
reads JSON schema finds `docs/job.schema.json`, or what `crewtui schema` prints. This page is made from
the program itself, with `python tests/docs/job_reference.py docs`.

The file says what is planned. What the site finds goes into the day's journal, never back into this
file.

## How values are written

- **Lengths.** A bare number is in inches; with `units = "metric"` in `[job]` it is in millimeters.
  In quotes a length may stand as people write it, in any unit: `"12 ft"`, `"2' 4 1/2"`, `"28 1/2"`,
  `"72 cm"`, `"1.2 m"`.
- **Torques.** A bare number is in lbf·ft, in a metric file in N·m; in quotes `"90 lbf·ft"`,
  `"90 ft-lb"` or `"122 N·m"`.
- **Angles** are in degrees from level, positive downward going out. **Slopes** are drop over run,
  `0.05`, or `"5 %"`, `"6 in in 10 ft"`, `"1:20"`; positive where the ground falls away from the
  wall.
- **Places.** *Along* runs along the wall from its start corner, as seen from inside; choose the
  corner and keep to it. *Out* runs from the outer wall face. A point seen from above is
  `[along, out]`.
- **Depths** are below grade. *Grade at the wall* is where every depth of a mark is taken from; the
  depth of a rod or a line is below the ground right there.
- **Times** carry their offset: `2026-11-02T07:00:00-05:00`.

## What a job need not say

A job says only what differs. What its anchors share stands once, below their wall; the anchors themselves
stand under `[[anchors]]`, or a line each in `each`:

```toml
[[walls]]
name = "north"
# type, length and the rest of the wall

[walls.anchors]
setback = "13 ft"
mark_depth = 28
torque = 80
plate = { width = 12, height = 10 }
each = [
  { id = "N1", along = 32, drop = 6 },
  { id = "N2", along = 100, drop = "6 3/4", bow = "1 1/4" },
]
```

What all jobs of a company share stands in `company.toml`: beside the job, else in the user's own folder
(where the signing key is; `crewtui key show` names it). The file beside the job is then the only one.

```toml
[company]
name = "Sample Wall Repair (invented)"
units = "imperial" # of bare numbers in this file, and of jobs that name none

[anchors] # what every anchor has
setback = "13 ft"

# [ground], [rod], [tools], [stock], [rules], [[contacts]] and [[hazards]] as in a job
```

The nearer one goes before, key by key: the anchor, its wall, the company; for the other tables the job, the
company. A contact of the job stands in for the company's of the same role; hazards are added. An anchor's own
`drop` stands in for a `yard_slope` from further up, and the other way round. The day's journal and the record
keep what was in force. The hash of the job file in them is of its bytes and behind them the company file's:
`cat job.toml company.toml | sha256sum`.

A value that reads `"?"` is still to be filled in; the job does not open until it is.

## When something is wrong

Everything that is wrong is said at once, a line each, with the file, the line, the key, the value and what
would be right; a misspelt key with the nearest that there is. Nothing opens until the file is
right: a plan that is read half is worse than none. A file of a newer format is refused in words.
Refused as well: text with control or escape characters, files over 2 MB, numbers that are none.

What is right as a file may still be wrong as a plan (anchors too far apart, a ticket that ends too
early, a truck too short of rods): that is what `crewtui check` is for.

## Keys
"""
_RULES_HEAD: Final = """\
Without a line here the default holds. A rule is set as

```toml
[rules]
setback = { value = "13 ft", said_by = "Office, J. Sample", note = "after the spring jobs" }
```

`value` and `said_by` are needed. A value on the looser side of the default is allowed; it is shown,
and it goes into the record. The mark says how sure a default is: *published*; *published
(reprint)*: read in somebody else's copy, so check the current edition; *common practice, no
source*: a rule of thumb that plan, maker's sheet and engineer override; *from memory*: a company
setting, never shown as fact.

| rule | default | meaning | stricter | mark | source |
|---|---|---|---|---|---|
"""


def job_file_page() -> str:
    """Return the text of ``docs/job-file.md``."""
    parts = (_rules() if table.path == "rules" else _table(table) for table in tables())
    return _HEAD + "\n" + "\n".join("\n".join(part) for part in parts) + "\n"


def _table(table: Table) -> Iterator[str]:
    yield f"### `{table.header}`" if table.path else "### At the top of the file"
    yield ""
    yield table.meaning + _written(table)
    yield ""
    yield "| key | needed | kind | meaning | example |"
    yield "|---|---|---|---|---|"
    for key in table.keys:
        yield _row(key)
    yield ""
    if table.path == "hazards":
        yield from _conditions()


def _conditions() -> Iterator[str]:
    yield (
        "One of the program's own hazards is made stricter under its own id, with `holds` (added to its own),"
    )
    yield '`release = "name"` or `override = "never"`; anything looser is refused. `holds` takes phases'
    yield f"({', '.join(PHASES)}) and step ids. Nothing ever holds what makes safe."
    yield ""
    yield (
        "Conditions for `when`: any depth, as `pit 3 ft or more` (that depth counts) or"
        " `pit over 3 ft` (it does"
    )
    yield f"not), and {', '.join(f'`{name}`' for name in sorted(NAMES))}."
    yield ""


def _written(table: Table) -> str:
    if "." not in table.path:
        return ""
    parent, name = table.path.split(".")
    shape = f"{name} = [{{ ... }}, {{ ... }}]" if table.repeated else f"{name} = {{ ... }}"
    return f" May stand inside `{parent}` as `{shape}`."


def _row(key: Key) -> str:
    needed = "yes" if key.required else ""
    return f"| `{key.name}` | {needed} | {UNIT_WORDS[key.unit]} | {key.meaning} | `{key.example}` |"


def _rules() -> Iterator[str]:
    yield "## The company's rules: `[rules]`"
    yield ""
    yield _RULES_HEAD + "\n".join(_rule(rule) for rule in defaults().values())


def _rule(rule: Rule) -> str:
    if rule.value is None:
        value = "none"
    else:
        value = rule.value if isinstance(rule.value, str) else f"{rule.value:g} {rule.unit}".strip()
    strict = "" if rule.strict == "neither" else rule.strict
    return f"| `{rule.file_key}` | {value} | {rule.label} | {strict} | {rule.mark} | {rule.source} |"


def write(folder: Path) -> None:
    """Write the page and the schema into this folder."""
    for name, text in ((PAGE, job_file_page()), (SCHEMA, schema_text())):
        (folder / name).write_bytes(text.encode("utf-8"))


if __name__ == "__main__":
    write(Path(sys.argv[1]))
