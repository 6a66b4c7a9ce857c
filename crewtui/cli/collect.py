"""The command that collects many records into one table."""

# ruff: noqa: PLC0415 - a command imports what it needs when it runs; help is there at once
# ruff: noqa: D301 - \b is click's own mark for lines that stay as they are

from __future__ import annotations

from pathlib import Path

import click

from crewtui.cli.common import PATH, Refusal, known_keys, progress, refusing, say


@click.command(short_help="Write many records as one table, a row an anchor.")
@click.argument("paths", nargs=-1, required=True, type=PATH, metavar="PATH...")
@click.option("--out", required=True, type=PATH, help="The table: FILE.csv or FILE.parquet.")
@click.option("--keys", type=PATH, help="The office's list of known keys: a file, or a folder of them.")
def collect(paths: tuple[Path, ...], out: Path, keys: Path | None) -> int:
    """Write many signed records as one flat table: a row an anchor, the unit in each column's name.

    A PATH is a record, or a folder, in which every record is taken. Each is verified: one that was altered
    gives no row, one signed with an unknown key says so in the column "standing". Of several revisions of a
    job the newest stands. Exit codes are those of verify.

    \b
    Example:
      crewtui collect records/ --out anchors.csv
      crewtui collect records/ --out anchors.parquet --keys office/known_keys.toml
    """
    from crewtui.record.office.collect import CollectError
    from crewtui.record.office.collect import collect as collected_into
    from crewtui.record.signed import chain

    known = known_keys(keys)
    files = list(chain.find_records(paths))
    if not files:
        raise Refusal("there is no record in what was named")
    with refusing(CollectError), progress(len(files), "Collecting records") as step:
        found = collected_into(files, out, known, done=step)
    for verdict in found.report.verdicts:
        if verdict.state in {"altered", "not a record"}:
            say(f"Left out: {verdict.path}: {verdict.words}")
    for problem in found.report.problems:
        say(problem)
    older = f"; {found.replaced} older revisions stand in their newer ones" if found.replaced else ""
    say(f"Written: {out}, {found.rows} anchors of {found.records} records{older}.")
    return found.report.exit_code
