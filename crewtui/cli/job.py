"""The job commands: new, check, plan, open and schema."""

# ruff: noqa: PLC0415 - a command imports what it needs when it runs; help is there at once
# ruff: noqa: D301 - \b is click's own mark for lines that stay as they are

from __future__ import annotations

import gc
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from crewtui.cli.common import PATH, Refusal, line, now, page, print_json, refusing, say, today

if TYPE_CHECKING:
    from crewtui.day.state.state import DayState


@click.command(short_help="Write a job file to fill in.")
@click.argument("job", type=PATH)
@click.option("--metric", is_flag=True, help="In millimeters and N·m.")
@click.option("--short", is_flag=True, help="Only what is needed, each blank to be filled; no comments.")
@click.option("--from", "table", type=PATH, help="Anchors from a table: FILE.csv, a line an anchor.")
@click.option("--like", type=PATH, help="As another job of the company: its rod, truck, rules, people.")
def new(job: Path, table: Path | None, like: Path | None, *, metric: bool, short: bool) -> None:
    """Write a job file: commented, with an invented value in every key that is needed, to be replaced.

    With --short, --from or --like nothing in it is invented: what nobody gave is a blank, which check names
    line by line, and no day opens on it. A table's first line names its columns, as in a job file: id, wall,
    along, and any of setback, mark_depth, drop, bow, torque and so on; comma, semicolon or tab.

    \b
    Example:
      crewtui new job-17.toml
      crewtui new job-17.toml --like job-16.toml --from anchors.csv
    """
    from crewtui.disk.own_files import write_whole

    if job.suffix != ".toml":
        raise Refusal(f"{job}: a job file's name ends with .toml")
    if job.exists():
        raise Refusal(f"{job} is there already; name another file")
    text = _new_text(table, like, metric=metric, short=short)
    try:
        write_whole(job, text.encode("utf-8"))
    except OSError as error:
        raise Refusal(f"{job} cannot be written ({error.strerror or error})") from error
    line(f"Written: {job}. Fill it in, then: crewtui check {job}")


def _new_text(table: Path | None, like: Path | None, *, metric: bool, short: bool) -> str:
    """Return the text of a new job file; Refusal with every fault of what it is made from."""
    from crewtui.disk.their_files import JOB, ReadError, read_bounded
    from crewtui.job.file.anchor_table import AnchorTableError, read_anchors
    from crewtui.job.file.load import JobFileError
    from crewtui.job.file.raw_table import job_bytes, read_table
    from crewtui.job.file.short_job import blank_job, job_like, job_text, with_anchors
    from crewtui.job.file.template import template

    if not (table or like or short):
        return template(today(), metric=metric)
    made = blank_job(today(), metric=metric)
    if like is not None:
        with refusing(JobFileError):
            made = job_like(read_table(job_bytes(like), file=like.name)[1], today())
        if metric and made["job"].get("units") != "metric":
            raise Refusal(f"{like} is in inches: leave --metric out, or begin with --short --metric")
    if table is not None:
        try:
            text = read_bounded(table, JOB).decode("utf-8-sig")
            in_mm = made["job"].get("units") == "metric"
            made = with_anchors(made, read_anchors(text, units="metric" if in_mm else "imperial"))
        except UnicodeDecodeError:
            raise Refusal(f"{table} is no UTF-8 text: save it from the spreadsheet as CSV UTF-8") from None
        except (ReadError, AnchorTableError) as error:
            raise Refusal("\n".join(f"{table}: {fault}" for fault in str(error).split("\n"))) from error
    head = ['"" stands where something is still to be filled in: crewtui check names each.',
            "What all anchors of a wall share stands once, under [walls.anchors]."]  # fmt: skip
    return job_text(made, head=head)


@click.command(short_help="Say what is wrong with a job's plan.")
@click.argument("job", type=PATH)
@click.option("--json", "as_json", is_flag=True, help="Print the findings as JSON.")
def check(job: Path, *, as_json: bool) -> int:
    """Say what is wrong with a plan before anybody drives out: layout, ticket, truck, and every figure.

    Exit code 0: nothing stops the plan; 1: something does; 2: the job file cannot be read.

    \b
    Example:
      crewtui check job-17.toml
    """
    from crewtui.job.file.load import JobFileError, load_job_file
    from crewtui.record.office import plan_check

    with refusing(JobFileError):
        loaded = load_job_file(job)
    findings = plan_check.check_file(loaded, now=now())
    if as_json:
        print_json(plan_check.as_json(loaded, findings))
        return plan_check.exit_code(findings)
    if loaded.company:
        say(f"With what {loaded.company} says of all jobs.")
    for finding, anchors in plan_check.grouped(findings):
        where = f"{', '.join(anchors)}: " if anchors else ""
        at = plan_check.placed(loaded, finding).words
        say(f"{finding.severity.upper():8}{where}{finding.words}{at}", hang=8)
    say(plan_check.summed_up(findings))
    say("The engineer's plan, the maker's sheet, local code and the competent person govern.")
    return plan_check.exit_code(findings)


@click.command(short_help="Print every figure for every anchor, with blanks to write in.")
@click.argument("job", type=PATH)
@click.option("--as-planned", is_flag=True, help="Leave out what the day's journal already has.")
@click.option("--json", "as_json", is_flag=True, help="Print the figures as JSON; each key names its unit.")
@click.option(
    "--seconds",
    type=click.FloatRange(min=0.1),
    default=8.0,
    show_default=True,
    help="How long the cut list may look for a better one.",
)
def plan(job: Path, *, as_planned: bool, as_json: bool, seconds: float) -> None:
    """Print the plan as a sheet that a crew can work from on paper when the battery dies.

    With the load-out to count off and a cut list for the saw.

    What the day's journal beside the job file has measured is used, and said to be as built.

    \b
    Example:
      crewtui plan job-17.toml > plan.txt
    """
    from crewtui.day.truck.loading import worked_out
    from crewtui.record.sheets.plan_sheet import plan_as_json, plan_sheet
    from crewtui.record.sheets.visit_sheet import visit_sheet

    state = _state(job, with_journal=not as_planned)
    if state.job.job.day == "visit" and not as_json:
        page(visit_sheet(state))
        return
    loaded = worked_out(state, time_limit_s=seconds)
    if as_json:
        print_json(plan_as_json(state, loaded))
    else:
        page(plan_sheet(state, loaded))


def _state(path: Path, *, with_journal: bool) -> DayState:
    """Return the job's state from its file and, if asked, its journal; nothing is locked or written."""
    from crewtui.day.journal.chained import JournalError, journal_path, read_journal
    from crewtui.day.state.fold import fold
    from crewtui.day.state.kept_plan import kept_plan
    from crewtui.job.file.load import JobFileError, job_sha256, load_job
    from crewtui.job.file.rule_overrides import resolve

    with refusing(JobFileError, JournalError):
        job, sha256 = load_job(path), job_sha256(path)
        entries = read_journal(journal_path(path)).entries if with_journal else ()
    kept = kept_plan(entries)
    opened = kept.job() if kept is not None and kept.sha256 != sha256 else None
    if opened is not None and opened != job:
        click.echo(
            "crewtui: the job file was edited since the day opened its plan; these figures are of the plan"
            " that the day works with (for the edited one: --as-planned)",
            err=True,
        )
    return fold(opened or job, resolve(opened or job), entries)


@click.command(name="open", short_help="Open a job's day on the screen.")
@click.argument("job", type=PATH)
def open_day(job: Path) -> int:
    """Open a job's day on the screen; the day so far is read from the journal beside the job file.

    Where there is no such file yet, what a job needs is asked first, and half-filled answers are kept.

    \b
    Example:
      crewtui open job-17.toml
    """
    if not (sys.stdin and sys.stdin.isatty() and sys.stderr and sys.stderr.isatty()):
        raise Refusal(
            "open needs a terminal: keyboard and screen. Type it into a terminal window, without a pipe; "
            f"for figures on paper: crewtui plan {job}"
        )
    gc.disable()  # Until the first screen stands: hardly anything made on the way there is garbage.
    from crewtui.day.journal.chained import JournalError
    from crewtui.job.file.load import JobFileError
    from crewtui.tui.app.application import LOOK_VARIABLE, run_day

    if job.suffix == ".toml" and not job.exists() and job.parent.is_dir():
        import os

        from crewtui.tui.app.new_job_app import ask_new_job

        if not ask_new_job(job, today=today(), look=os.environ.get(LOOK_VARIABLE, "")):
            line(f"No job file was written; what was answered is kept: crewtui open {job}")
            return 0
    with refusing(JobFileError, JournalError):
        return run_day(job)


@click.command(short_help="Print the JSON schema of a job file, for an editor.")
@click.option("--company", "of", flag_value="company", help="The schema of company.toml instead.")
@click.option("--record", "of", flag_value="record", help="The schema of a completion record instead.")
def schema(of: str | None) -> None:
    """Print the JSON schema of a job file: an editor that reads it offers the keys and marks what is wrong.

    A job file that begins with "#:schema job.schema.json" finds it beside itself.

    \b
    Example:
      crewtui schema > job.schema.json
    """
    if of == "record":
        from crewtui.record.signed.record_schema import schema_text as record_schema_text

        text = record_schema_text()
    else:
        from crewtui.job.file.job_schema import schema_text

        text = schema_text(company=of == "company")
    click.echo(text, nl=False)
