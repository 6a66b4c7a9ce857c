"""The command that collects many records into one table."""

# ruff: noqa: PLC0415 - a command imports what it needs when it runs; help is there at once
# ruff: noqa: D301 - \b is click's own mark for lines that stay as they are

from __future__ import annotations

from pathlib import Path

import click

from crewtui.cli.common import PATH, Refusal, known_keys, print_json, progress, refusing, say


@click.command(short_help="Write many records as one table, a row an anchor.")
@click.argument("paths", nargs=-1, required=True, type=PATH, metavar="PATH...")
@click.option("--out", required=True, type=PATH, help="The table: FILE.csv or FILE.parquet.")
@click.option("--keys", type=PATH, help="The office's list of known keys: a file, or a folder of them.")
@click.option("--json", "as_json", is_flag=True, help="Print what was found and written as JSON.")
def collect(paths: tuple[Path, ...], out: Path, keys: Path | None, *, as_json: bool) -> int:
    """Write many signed records as one flat table: a row an anchor, the unit in each column's name.

    A PATH is a record, or a folder, in which every record is taken. Each is verified: one that was altered
    gives no row, one signed with an unknown key says so in the column "standing". Of several revisions of a
    job the newest under a known key stands. Exit codes are those of verify.

    \b
    Example:
      crewtui collect records/ --out anchors.csv
      crewtui collect records/ --out anchors.parquet --keys office/known_keys.toml
    """
    from crewtui.record.office.collect import collect as collected_into
    from crewtui.record.office.table_files import CollectError
    from crewtui.record.signed import chain
    from crewtui.record.signed.find_records import find_records

    known = known_keys(keys)
    there = find_records(paths)
    if not there.files and not there.unjudged:
        raise Refusal("there is no record in what was named")
    with refusing(CollectError), progress(len(there.files), "Collecting records") as step:
        found = collected_into(there.files, out, known, unjudged=there.unjudged, done=step)
    if as_json:
        counts = {"rows": found.rows, "standing": found.records, "replaced": found.replaced}
        print_json(chain.as_json(found.report) | counts | {"table": str(out)})
        return found.report.exit_code
    for verdict in found.report.verdicts:
        if verdict.state not in {"valid", "unknown key"}:
            say(f"Left out: {verdict.path}: {verdict.words}")
    for words in (*found.report.problems, *found.report.remarks):
        say(words)
    older = f"; {found.replaced} older revisions or copies stand in others" if found.replaced else ""
    say(f"Written: {out}, {found.rows} anchors of {found.records} records{older}.")
    return found.report.exit_code
