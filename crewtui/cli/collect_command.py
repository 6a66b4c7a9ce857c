"""The command that collects many records into tables."""

# ruff: noqa: PLC0415 - a command imports what it needs when it runs; help is there at once
# ruff: noqa: D301 - \b is click's own mark for lines that stay as they are

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from crewtui.cli.common import PATH, Refusal, known_keys, print_json, progress, refusing, say
from crewtui.units import count_of

if TYPE_CHECKING:
    from crewtui.record.office.collect import Form


@click.command(short_help="Write many records as tables: CSV, Parquet or SQLite.")
@click.argument("paths", nargs=-1, type=PATH, metavar="PATH...")
@click.option("--out", type=PATH, help="FILE.csv or FILE.parquet, FILE.sqlite, or a folder.")
@click.option("--as", "form", type=click.Choice(["csv", "parquet"]), help="Of a folder's files.")
@click.option("--keys", type=PATH, help="The office's list of known keys: a file, or a folder of them.")
@click.option("--bom", is_flag=True, help="Begin a CSV with the mark by which a spreadsheet knows UTF-8.")
@click.option("--fresh", is_flag=True, help="Verify every record anew, whatever was kept of it.")
@click.option("--dictionary", is_flag=True, help="Print every table and column, and what it says.")
@click.option("--json", "as_json", is_flag=True, help="Print what was found and written as JSON.")
def collect(
    paths: tuple[Path, ...],
    out: Path | None,
    form: Form | None,
    keys: Path | None,
    *,
    bom: bool,
    fresh: bool,
    dictionary: bool,
    as_json: bool,
) -> int:
    """Write many signed records as tables, the unit in each column's name.

    One flat table has a row an anchor (FILE.csv, FILE.parquet). Tables that belong together (jobs, anchors,
    attempts, torques, hours and so on, with keys between them) go into one FILE.sqlite, or into a folder.

    A PATH is a record, or a folder, in which every record is taken. Each is verified: one that was altered
    gives no row, one signed with an unknown key says so in the column "standing". Of several revisions of a
    job the newest under a known key stands. Exit codes are those of verify.

    \b
    Example:
      crewtui collect records/ --out anchors.csv
      crewtui collect records/ --out office.sqlite --keys office/known_keys.toml
      crewtui collect records/ --out tables/ --as parquet
      crewtui collect --dictionary
    """
    from crewtui.record.office.collect import collect as collected_into
    from crewtui.record.office.judging import own_cache
    from crewtui.record.office.table_files import CollectError
    from crewtui.record.signed import chain
    from crewtui.record.signed.find_records import find_records

    if dictionary:
        return _print_dictionary(as_json=as_json)
    if not paths or out is None:
        raise Refusal("name the records and where the tables go: crewtui collect records/ --out anchors.csv")
    known = known_keys(keys)
    there = find_records(paths)
    if not there.files and not there.unjudged:
        raise Refusal("there is no record in what was named")
    with refusing(CollectError), progress(len(there.files), "Collecting records") as step:
        found = collected_into(
            there.files,
            out,
            known,
            form=form,
            bom=bom,
            unjudged=there.unjudged,
            cache=None if fresh else own_cache(),
            workers=None,
            done=step,
        )
    if as_json:
        counts = {
            "rows": found.rows,
            "tables": found.tables,
            "standing": found.records,
            "replaced": found.replaced,
        }
        print_json(chain.as_json(found.report) | counts | {"table": str(out)})
        return found.report.exit_code
    for verdict in found.report.verdicts:
        if verdict.state not in {"valid", "unknown key"}:
            say(f"Left out: {verdict.path}: {verdict.words}")
    for words in (*found.report.problems, *found.report.remarks):
        say(words)
    older = f"; {found.replaced} older revisions or copies stand in others" if found.replaced else ""
    rows = ", ".join(f"{name} {count}" for name, count in found.tables.items())
    if len(found.tables) == 1:
        rows = count_of(found.rows, "anchor")
    say(f"Written: {out}, {rows} of {count_of(found.records, 'record')}{older}.")
    return found.report.exit_code


def _print_dictionary(*, as_json: bool) -> int:
    """Print every table and column."""
    from crewtui.record.office.related_tables import TABLES

    if as_json:
        columns = {table.name: [column._asdict() for column in table.columns] for table in TABLES}
        print_json([{"table": one.name, "words": one.words, "columns": columns[one.name]} for one in TABLES])
        return 0
    for table in TABLES:
        say(f"{table.name}: {table.words}")
        for column in table.columns:
            say(f"  {column.name} ({column.kind}): {column.words}")
    return 0
