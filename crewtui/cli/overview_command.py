"""The command that gathers what many records leave to do on one page."""

# ruff: noqa: PLC0415 - a command imports what it needs when it runs; help is there at once
# ruff: noqa: D301 - \b is click's own mark for lines that stay as they are

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from crewtui.cli.common import PATH, Refusal, known_keys, print_json, progress, refusing, say
from crewtui.units import count_of


@click.command(short_help="Gather what many records leave to do on one page.")
@click.argument("paths", nargs=-1, required=True, type=PATH, metavar="PATH...")
@click.option("--out", type=PATH, help="The page; overview.html in the folder where nothing is named.")
@click.option("--keys", type=PATH, help="The office's list of known keys: a file, or a folder of them.")
@click.option("--on", type=click.DateTime(["%Y-%m-%d"]), help="As on that day, in place of today.")
@click.option("--fresh", is_flag=True, help="Verify every record anew, whatever was kept of it.")
@click.option("--json", "as_json", is_flag=True, help="Print the same tables as JSON, and write no page.")
def overview(
    paths: tuple[Path, ...],
    out: Path | None,
    keys: Path | None,
    on: datetime | None,
    *,
    fresh: bool,
    as_json: bool,
) -> int:
    """Gather what signed records leave to do on one page, to keep open in a browser: no network is needed.

    Open work, pits left open, visits due by month, walls that move and how fast, deviations that nobody
    accepted, nuts that did not come up, tickets that end, material and hours by job. Every line leads to its
    sheet, where `crewtui sheet` has written it, else to the record. Exit codes are those of verify.

    \b
    Example:
      crewtui overview records/
      crewtui overview records/ --keys keys.toml --out office/today.html
    """
    from crewtui.disk.own_files import write_whole
    from crewtui.record.office.judging import own_cache
    from crewtui.record.office.overview import overview as gathered
    from crewtui.record.office.overview_page import overview_as_json, overview_page
    from crewtui.record.signed.find_records import find_records, is_folder

    known = known_keys(keys)
    there = find_records(paths)
    if not there.files and not there.unjudged:
        raise Refusal("there is no record in what was named")
    page = out or (paths[0] if is_folder(paths[0]) else paths[0].parent) / "overview.html"
    with progress(len(there.files), "Reading records") as step:
        found = gathered(
            there.files,
            known,
            today=on.date() if on is not None else datetime.now().astimezone().date(),
            beside=page.parent,
            unjudged=there.unjudged,
            cache=None if fresh else own_cache(),
            workers=None,
            done=step,
        )
    if as_json:
        print_json(overview_as_json(found))
        return found.report.exit_code
    with refusing(OSError):
        write_whole(page, overview_page(found).encode())
    for words in found.left_out:
        say(f"Left out: {words}")
    said = ", ".join(f"{part.title.lower()} {len(part.rows)}" for part in found.parts if part.rows)
    say(f"Written: {page}, of {count_of(found.records, 'record')}: {said or 'nothing is left to do'}.")
    return found.report.exit_code
