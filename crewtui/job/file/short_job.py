"""A job file with only what is needed: built from blanks, from another job, or from a table of anchors.

Nothing is invented: what nobody gave stands as an empty text, which ``check`` names line by line and no day
opens on. What all anchors of a wall share stands once, under ``[walls.anchors]``.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence
from datetime import date
from typing import Any, Final

import tomli_w

Table = dict[str, Any]
BLANK: Final = ""
"""A value that is asked for: it stands in the file as an empty text."""
SCHEMA_LINE: Final = "#:schema job.schema.json"
"""By which an editor finds the schema beside the file, once ``crewtui schema > job.schema.json`` wrote it."""
_JOB: Final = ("id", "site", "date", "lead")
WALL: Final = ("name", "type", "length", "thickness", "slab_to_top", "grade_to_top")
ROD: Final = ("diameter", "threads_per_inch", "coupling_length", "coupling_corners")
_OWN: Final = ("id", "wall", "along")
_SHARED: Final = ("setback", "mark_depth", "torque", "plate", "wall_plate", "least_depth", "aim_depth")
"""What the plan most often gives alike for all anchors of a wall."""
_OF_THE_COMPANY: Final = ("rod", "stock", "tools", "rules", "contacts", "hazards")
_OF_THE_DAY: Final = frozenset({
    "built", "drop", "bow", "bed_joint", "bed_joint_side", "head_joint", "head_joint_side", "grade_to_top",
    "free_room", "obstacle", "obstacle_reach", "owner_adjustable",
})  # fmt: skip
"""Of an anchor: what is measured at its own house."""


def blank_job(today: date, *, metric: bool) -> Table:
    """Return a job of one wall and one anchor in which everything that is needed is asked for."""
    wall = dict.fromkeys(WALL, BLANK) | {"anchors": {"setback": BLANK, "mark_depth": BLANK, "torque": BLANK}}
    return {
        "format": 1,
        "job": {"id": BLANK, "site": BLANK, "date": today, "lead": BLANK, "units": units_of(metric=metric)},
        "walls": [wall],
        "anchors": [{"id": BLANK, "wall": BLANK, "along": BLANK}],
        "rod": dict.fromkeys(ROD, BLANK),
    }


def units_of(*, metric: bool) -> str:
    """Return the word by which a job says its units."""
    return "metric" if metric else "imperial"


def job_like(old: Mapping[str, Any], today: date) -> Table:
    """Return a job for another house by the same company: its values blank, the company's as they were."""
    card = dict(old.get("job", {}))
    kept = {key: card[key] for key in ("lead", "crew", "units", "company", "competent_person") if key in card}
    walls = [_wall_like(wall, old.get("anchors", ())) for wall in old.get("walls", ())]
    anchors = [{"id": one.get("id", BLANK), "wall": one.get("wall", BLANK), "along": BLANK}
               for one in _anchors_of(old)]  # fmt: skip
    job = {"id": BLANK, "site": BLANK, "date": today, "lead": BLANK, **kept}
    new: Table = {
        "format": 1,
        "job": job,
        "walls": walls or blank_job(today, metric=False)["walls"],
        "anchors": anchors,
    }
    ground = {key: value for key, value in old.get("ground", {}).items() if key == "frost_depth"}
    if ground:
        new["ground"] = ground
    for name in _OF_THE_COMPANY:
        if name in old:
            new[name] = old[name]
    ticket = old.get("ticket")
    if isinstance(ticket, Mapping):
        utilities = [
            {key: one.get(key, BLANK) for key in ("name", "kind")} | {"response": "not answered"}
            for one in ticket.get("utilities", ())
        ]
        new["ticket"] = {"number": BLANK, "valid_from": BLANK, "valid_to": BLANK, "utilities": utilities}
    return new


def _anchors_of(old: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    for wall in old.get("walls", ()):
        for one in wall.get("anchors", {}).get("each", ()):
            yield {**one, "wall": wall.get("name", BLANK)}
    yield from old.get("anchors", ())


def _wall_like(wall: Mapping[str, Any], anchors: Sequence[Mapping[str, Any]]) -> Table:
    shared = {
        key: value for key, value in wall.get("anchors", {}).items() if key not in {"each", *_OF_THE_DAY}
    }
    mine = [one for one in anchors if one.get("wall") == wall.get("name")]
    for key in _SHARED:
        values = [one.get(key) for one in mine]
        if key not in shared and values and values[0] is not None and all(one == values[0] for one in values):
            shared[key] = values[0]
    blanks = dict.fromkeys(WALL, BLANK) | {"name": wall.get("name", BLANK), "type": wall.get("type", BLANK)}
    return {**blanks, "anchors": shared} if shared else blanks


def with_anchors(job: Table, rows: Sequence[Mapping[str, Any]]) -> Table:
    """Return the job with these anchors in place of its own, and a wall for each that they name."""
    names = dict.fromkeys(str(row["wall"]) for row in rows)
    had = {wall.get("name"): wall for wall in job["walls"]}
    pattern = job["walls"][0] if job["walls"] else {}
    shared = pattern.get("anchors", {})
    walls = []
    for name in names:
        wall = dict(had.get(name, dict.fromkeys(WALL, BLANK) | {"name": name}))
        mine = [
            {key: value for key, value in row.items() if key != "wall"} for row in rows if row["wall"] == name
        ]
        alike = {
            key: mine[0][key]
            for key in mine[0]
            if key not in _OWN and len(mine) > 1 and all(one.get(key) == mine[0][key] for one in mine)
        }
        given = {key for one in mine for key in one}
        kept = {
            key: value for key, value in {**shared, **wall.get("anchors", {})}.items() if key not in given
        }
        each = [{key: value for key, value in one.items() if key not in alike} for one in mine]
        wall["anchors"] = {**kept, **alike, "each": each}
        walls.append(wall)
    return {**job, "walls": walls, "anchors": []}


def _without(table: Mapping[str, Any], keys: Container[str]) -> Table:
    return {key: value for key, value in table.items() if key not in keys}


# Written.


def job_text(job: Mapping[str, Any], *, head: Sequence[str] = ()) -> str:
    """Return the job as TOML, short tables on one line each; the format itself is written by a library."""
    parts = [SCHEMA_LINE, *(f"# {line}".rstrip() for line in head), ""]
    parts += [_pair(key, value) for key, value in job.items() if not isinstance(value, Mapping | list)]
    for name, value in job.items():
        if isinstance(value, Mapping):
            parts += _section(f"[{name}]", value, name)
        elif isinstance(value, list) and value and isinstance(value[0], Mapping):
            for one in value:
                parts += _section(f"[[{name}]]", one, name)
        elif isinstance(value, list) and value:
            parts.append(_pair(name, value))
    return "\n".join(parts) + "\n"


def _section(head: str, table: Mapping[str, Any], name: str) -> list[str]:
    lines = ["", head]
    inner = {}
    for key, value in table.items():
        if name == "walls" and key == "anchors":
            inner[key] = value
        else:
            lines.append(_pair(key, value))
    for key, value in inner.items():
        lines += _section(f"[{name}.{key}]", value, f"{name}.{key}")
    return lines


def _pair(key: str, value: Any) -> str:
    if isinstance(value, list) and value and isinstance(value[0], Mapping):
        rows = "".join(f"  {inline(one)},\n" for one in value)
        return f"{_name(key)} = [\n{rows}]"
    if isinstance(value, Mapping):
        return f"{_name(key)} = {inline(value)}"
    return tomli_w.dumps({key: value}).rstrip("\n")


def inline(value: Any) -> str:
    """Return a value as TOML writes it on one line."""
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_name(key)} = {inline(one)}" for key, one in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(inline(one) for one in value) + "]"
    return tomli_w.dumps({"x": value}).removeprefix("x = ").rstrip("\n")


def _name(key: str) -> str:
    """Return a key as TOML writes it: bare where it can be."""
    return tomli_w.dumps({key: 1}).rpartition(" = ")[0]


__all__ = [
    "BLANK",
    "ROD",
    "SCHEMA_LINE",
    "WALL",
    "blank_job",
    "inline",
    "job_like",
    "job_text",
    "units_of",
    "with_anchors",
]
