from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from job_reference import PAGE, SCHEMA, job_file_page, write

from crewtui.job.file.file_keys import by_path, tables
from crewtui.job.file.job_schema import schema, schema_text
from crewtui.job.file.load import read_job
from crewtui.job.file.template import template
from crewtui.job.tables.rules import defaults

ROOT = Path(__file__).parents[2]
TODAY = date(2026, 11, 2)
KEY_LINE = re.compile(r"^# (\[\[?[\w.]+\]\]?|\w+ = .+)$")


def uncommented(text: str, *, but: str) -> str:
    """Return the template with every key that can be used taken in, one that contradicts another left out."""
    lines = [
        line[2:] if KEY_LINE.match(line) and not line.startswith(f"# {but} =") else line
        for line in text.splitlines()
    ]
    return "\n".join(lines)


@given(st.dates())
@settings(max_examples=20, deadline=None)
def test_the_template_opens_at_once(today: date) -> None:
    assert read_job(template(today).encode(), file="job.toml").job.date == today


@pytest.mark.parametrize("but", ["drop", "yard_slope"])
def test_the_template_opens_with_every_key_taken_in(but: str) -> None:
    job = read_job(uncommented(template(TODAY), but=but).encode(), file="job.toml")
    assert job.ticket is not None
    assert job.lines
    assert job.footings
    assert job.contacts
    assert job.walls[0].openings
    assert set(job.rules) == set(defaults())


def test_the_template_has_every_key_with_its_meaning() -> None:
    text = template(TODAY)
    for key in by_path().values():
        if "." not in key.table and key.table != "rules":
            assert re.search(rf"^# {re.escape(key.meaning)}.*\n(# )?{key.name} = ", text, re.MULTILINE), (
                key.path
            )


def test_the_template_comments_out_what_is_optional_and_only_that() -> None:
    taken = tomllib.loads(template(TODAY))
    for table in tables():
        rows = taken.get(table.path)
        row = rows[0] if isinstance(rows, list) else rows
        if row and table.path != "rules":
            needed = {key.name for key in table.keys if key.required}
            assert set(row) == needed | ({"units"} if table.path == "job" else set())


@pytest.mark.parametrize("path", by_path())
def test_every_key_has_a_meaning_and_an_example_that_toml_reads(path: str) -> None:
    key = by_path()[path]
    assert key.meaning.endswith(".")
    assert tomllib.loads(f"{key.name} = {key.example}")


def test_the_page_is_fresh() -> None:
    assert (ROOT / "docs" / PAGE).read_text(encoding="utf-8") == job_file_page()


def test_the_schema_is_fresh() -> None:
    assert (ROOT / "docs" / SCHEMA).read_text(encoding="utf-8") == schema_text()


def test_page_and_schema_can_be_written_anew(tmp_path: Path) -> None:
    write(tmp_path)
    assert json.loads((tmp_path / SCHEMA).read_bytes()) == schema()
    assert (tmp_path / PAGE).read_text(encoding="utf-8") == job_file_page()


def test_the_page_has_every_key_and_every_rule() -> None:
    page = job_file_page()
    for key in by_path().values():
        assert f"`{key.name}`" in page
    for rule in defaults().values():
        assert f"| `{rule.file_key}` |" in page


def test_no_cell_of_the_page_breaks_its_table() -> None:
    for line in job_file_page().splitlines():
        if line.startswith("|"):
            assert line.count("|") in {6, 7}, line


def test_the_schema_knows_every_key_that_the_models_know_and_no_other() -> None:
    made = schema()
    for table in tables():
        for key in table.keys:
            if table.path == "rules":
                continue
            holder = made if not table.path else made["$defs"][key.model.__name__]
            assert holder["properties"][key.name]["description"]
            from_company = table.path in {"", "rod"}
            assert (key.name in holder.get("required", ())) is (key.required and not from_company)
            assert holder["additionalProperties"] is False
    assert set(made["properties"]["rules"]["properties"]) == {rule.file_key for rule in defaults().values()}


def parts(value: Any, rule: dict[str, Any], made: dict[str, Any]) -> Iterator[tuple[Any, dict[str, Any]]]:
    """Yield each table of a file with the part of the schema that describes it."""
    if "$ref" in rule:
        rule = made["$defs"][rule["$ref"].rsplit("/", 1)[1]]
    if isinstance(value, dict):
        yield value, rule
        for key, inner in value.items():
            known = rule.get("properties", {}).get(key)
            if known:
                yield from parts(inner, known, made)
    elif isinstance(value, list) and "items" in rule:
        for inner in value:
            yield from parts(inner, rule["items"], made)


@pytest.mark.parametrize("name", ["block-wall", "poured-deep-frost-metric", "clay-tile-tight"])
def test_the_samples_fit_the_schema(name: str) -> None:
    made = schema()
    data = tomllib.loads((ROOT / "sample_jobs" / f"{name}.toml").read_text(encoding="utf-8"))
    seen = 0
    for table, rule in parts(data, made, made):
        seen += 1
        if rule.get("additionalProperties") is False:
            assert set(table) <= set(rule["properties"])
            assert set(rule.get("required", ())) <= set(table)
    assert seen > 20
