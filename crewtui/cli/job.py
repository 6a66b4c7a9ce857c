"""The job commands: open."""

# ruff: noqa: PLC0415 - a command imports what it needs when it runs; help is there at once
# ruff: noqa: D301 - \b is click's own mark for lines that stay as they are

from __future__ import annotations

from pathlib import Path

import click

from crewtui.cli.common import PATH


@click.command(name="open", short_help="Open a job's day on the screen.")
@click.argument("job", type=PATH)
def open_day(job: Path) -> int:
    """Open a job's day on the screen; the day so far is read from the journal beside the job file.

    \b
    Example:
      crewtui open job-17.toml
    """
    from crewtui.tui.app import run_day

    return run_day(job)
