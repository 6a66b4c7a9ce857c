"""The command line: one command a file or two, in the order in which a job meets them.

Nothing that a command does not need is imported before it runs: help is there at once. Every refusal is one
sentence on standard error, with exit code 2; a fault of the program itself is one too, with exit code 70.
"""

# ruff: noqa: PLC0415 - a command imports what it needs when it runs; help is there at once
# ruff: noqa: D301 - \b is click's own mark for lines that stay as they are

from __future__ import annotations

import errno
import io
import sys
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import Final

import click

from crewtui import VERSION
from crewtui.cli.collect_command import collect
from crewtui.cli.common import REFUSED, WIDTH, Commands, Refusal, help_if_alone, line, now
from crewtui.cli.compare import compare
from crewtui.cli.job import check, new, open_day, plan, schema
from crewtui.cli.key import key
from crewtui.cli.overview_command import overview
from crewtui.cli.photos import photos
from crewtui.cli.record import sheet, verify
from crewtui.cli.sample import sample
from crewtui.cli.visit import visit
from crewtui.foreign import cleaned, shown

STOPPED: Final = 130
FAULT: Final = 70
_LONG_NAME: Final = 40
FAULT_FILE: Final = "last-fault.txt"

_SETTINGS: Final = {"help_option_names": ["-h", "--help"], "max_content_width": WIDTH}


@click.group(cls=Commands, context_settings=_SETTINGS, invoke_without_command=True)
@click.version_option(VERSION, "-V", "--version", message="crewtui %(version)s")
@click.pass_context
def commands(context: click.Context) -> int:
    """Lead the day on which a bowed basement wall is tied back: aim, rods, holds, and one signed record.

    The program advises. The engineer's plan, the maker's sheet, local code and the competent person on site
    govern.

    \b
    To try it on an invented job:
      crewtui sample block-wall
      crewtui open block-wall.toml

    \b
    Example, the whole way:
      crewtui new job-17.toml              a commented job file to fill in
      crewtui check job-17.toml            what is wrong with the plan
      crewtui plan job-17.toml             every figure, on paper
      crewtui open job-17.toml             the day itself, to the signed record
      crewtui verify job-17.record.toml    whether the record is as signed
    """
    return help_if_alone(context)


for _command in (
    new,
    sample,
    check,
    plan,
    open_day,
    photos,
    verify,
    sheet,
    visit,
    compare,
    collect,
    overview,
    key,
    schema,
):
    commands.add_command(_command)


def run(arguments: Sequence[str]) -> int:
    """Run one command and return its exit code; never a traceback."""
    try:
        code = commands.main(args=list(arguments), prog_name="crewtui", standalone_mode=False)
        sys.stdout.flush()
    except click.ClickException as error:
        _refuse(error)
        return REFUSED
    except (click.Abort, KeyboardInterrupt):
        line("crewtui: stopped; what was saved stays saved", err=True)
        return STOPPED
    except OSError as error:
        return _not_written(error)
    except Exception as error:  # noqa: BLE001 - the one last resort, so that no traceback reaches a crew
        return _fault(error)
    return code if isinstance(code, int) else 0


def _refuse(error: click.ClickException) -> None:
    if isinstance(error, Refusal):
        error.show()
        return
    hint = ""
    if isinstance(error, click.UsageError) and error.ctx is not None:
        hint = f"; see: {error.ctx.command_path} --help"
    line(f"crewtui: {error.format_message().rstrip('.')}{hint}", err=True)


def _not_written(error: OSError) -> int:
    """Close an output that takes no more: its reader left, as a pager does, or its disk is full."""
    if error.errno == errno.ENAMETOOLONG:
        line(
            f"crewtui: {shown(str(error.filename)[:_LONG_NAME])}... is too long for the name of a file",
            err=True,
        )
        return REFUSED
    if not isinstance(error, BrokenPipeError) and error.errno != errno.ENOSPC:
        return _fault(error)
    with suppress(OSError):
        sys.stdout.close()
    if isinstance(error, BrokenPipeError):
        return 0
    where = f" for {shown(error.filename)}" if error.filename else ""
    line(f"crewtui: no space is left on the disk{where}: what was to be written is not whole", err=True)
    return REFUSED


def _fault(error: Exception) -> int:
    """Say in one sentence that the program failed, where the data is, and what to send."""
    kept = _keep_trace(error)
    send = f"send {kept} and the job file to" if kept else "tell"
    line(
        f"crewtui: the program failed ({type(error).__name__}); every entry shown as saved is safe in"
        f" the journal beside the job file; {send} whoever looks after crewtui",
        err=True,
    )
    return FAULT


def _keep_trace(error: Exception) -> Path | None:
    """Write where it failed into the user's own folder: places and messages, no values of variables."""
    import traceback

    from crewtui.disk.own_files import home_folder

    path = home_folder() / FAULT_FILE
    lines = [cleaned(each) for each in "".join(traceback.format_exception(error)).split("\n")]
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        path.write_text("\n".join((f"crewtui {VERSION}, {now().isoformat()}", *lines)), encoding="utf-8")
    except OSError:
        return None
    return path


def main() -> None:
    """Run the command line."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    sys.exit(run(sys.argv[1:]))
