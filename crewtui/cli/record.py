"""The record commands: verify and sheet."""

# ruff: noqa: PLC0415 - a command imports what it needs when it runs; help is there at once
# ruff: noqa: D301 - \b is click's own mark for lines that stay as they are

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click
from msgspec.structs import asdict

from crewtui.cli.common import PATH, Refusal, known_keys, line, print_json, progress, refusing, say
from crewtui.units import count_of

if TYPE_CHECKING:
    from crewtui.record.house.past import Past
    from crewtui.record.signed.against_journal import JournalComparison
    from crewtui.record.signed.chain import Report
    from crewtui.record.signed.pictures import PictureFound
    from crewtui.record.signed.verify import Verdict


@click.command(short_help="Check signed records: as signed, known key, chained.")
@click.argument("paths", nargs=-1, required=True, type=PATH, metavar="PATH...")
@click.option("--keys", type=PATH, help="The office's list of known keys: a file, or a folder of them.")
@click.option("--journal", type=PATH, help="Compare one record with this journal, entry by entry.")
@click.option("--job", type=PATH, help="The job file for that; beside the journal if absent.")
@click.option("--json", "as_json", is_flag=True, help="Print the findings as JSON.")
def verify(
    paths: tuple[Path, ...], keys: Path | None, journal: Path | None, job: Path | None, *, as_json: bool
) -> int:
    """Check signed records: is each as it was signed, is the key known, do the revisions chain.

    A PATH is a record, or a folder, in which every record is checked. With --keys only that list counts.

    \b
    Exit code, the worst of all:
      0  all valid
      1  altered: not as it was signed, or a picture is not the one signed for
      2  not a record
      3  signed with an unknown key
      4  revisions of a job do not chain
      5  strange: signed, and laid out as no record is
      6  not judged: a file or folder that could not be looked into

    \b
    Example:
      crewtui verify job-17.record.toml
      crewtui verify --keys office/known_keys.toml records/
      crewtui verify job-17.record.toml --journal job-17.journal.jsonl
    """
    from crewtui.record.signed import chain
    from crewtui.record.signed.find_records import find_records
    from crewtui.record.signed.pictures import pictures_beside

    known = known_keys(keys)
    found = find_records(paths)
    if journal is not None and len(found.files) != 1:
        raise Refusal(f"--journal goes with one record, and there are {len(found.files)}")
    compared = None
    pictures: dict[Path, tuple[PictureFound, ...]] = {}
    with progress(len(found.files), "Checking records") as step:

        def done(verdict: Verdict) -> None:
            nonlocal compared
            compared = None if journal is None else _compared(verdict, journal, job)
            if verdict.path is not None and verdict.record is not None and verdict.record.photograph:
                pictures[verdict.path] = pictures_beside(verdict.record, verdict.path, with_content=False)
            step()

        report = chain.verify_all(found.files, known, unjudged=found.unjudged, done=done)
    changed = any(one.state == "altered" for found in pictures.values() for one in found)
    code = report.exit_code or (0 if (compared is None or compared.same) and not changed else 1)
    if as_json:
        values = chain.as_json(report) | {"exit_code": code}
        if pictures:
            values["pictures"] = {
                str(path): {one.row.file: one.state for one in found} for path, found in pictures.items()
            }
        if compared is not None:
            values["journal"] = asdict(compared) | {"same": compared.same}
        print_json(values)
        return code
    _print_report(report)
    for path, found_there in pictures.items():
        _print_pictures(path, found_there)
    if compared is not None:
        _print_comparison(compared)
    if not known.keys and any(verdict.state == "unknown key" for verdict in report.verdicts):
        say("No keys are known here: name the office's list with --keys, or use: crewtui key add FILE")
    return code


def _compared(verdict: Verdict, journal: Path, job: Path | None) -> JournalComparison | None:
    """Return the comparison with a journal, or None where the record itself does not hold."""
    from crewtui.day.journal.chained import JournalError
    from crewtui.job.file.load import JobFileError
    from crewtui.record.signed.against_journal import compare_files

    if verdict.data is None:
        return None
    if not journal.is_file():
        raise Refusal(f"{journal}: there is no such journal")
    named = verdict.data.get("job")
    name = Path(str(named.get("file", ""))).name if isinstance(named, dict) else ""
    with refusing(JobFileError, JournalError):
        return compare_files(verdict.data, journal, job or journal.with_name(name or "job.toml"))


def _print_pictures(path: Path, found: tuple[PictureFound, ...]) -> None:
    as_signed = sum(one.state == "as signed" for one in found)
    line(f"{path.name}: {as_signed} of {len(found)} pictures are as signed")
    for one in found:
        if one.state != "as signed":
            say(one.words, indent="  ")


def _print_comparison(compared: JournalComparison) -> None:
    from crewtui.record.signed.against_journal import MOST_SHOWN

    if compared.same:
        say(f"The record is what the journal adds up to: {count_of(compared.entries, 'entry')}, one by one.")
    else:
        how_many = count_of(len(compared.differences), "difference")
        line(f"The record is not what the journal adds up to; {how_many}:")
    for words in compared.differences[:MOST_SHOWN]:
        say(words, indent="  ")
    if compared.later:
        say(f"Made after it was signed, the signing itself among them: {count_of(compared.later, 'entry')}.")
    for note in compared.notes:
        say(note)


def _print_report(report: Report) -> None:
    several = len(report.verdicts) != 1
    for verdict in report.verdicts:
        _print_verdict(verdict, short=several and verdict.state == "valid")
    for words in (*report.problems, *report.remarks):
        say(words)
    if several:
        counts = ", ".join(f"{count} {state}" for state, count in report.counts.items() if count)
        line(f"{count_of(len(report.verdicts), 'record')}: {counts or 'none was found there'}")


def _print_verdict(verdict: Verdict, *, short: bool) -> None:
    from crewtui.record.signed.chain import replaces_words

    about = ""
    if verdict.record_hash:
        part = "complete" if verdict.complete else "partial: not every anchor is done"
        about = f"  job {verdict.job_id}, revision {verdict.revision}, {part}"
    line(f"{'valid  ' if short else ''}{verdict.path}{about}")
    if short:
        return
    say(verdict.words, indent="  ")
    replaces = replaces_words(verdict)
    if replaces:
        say(replaces, indent="  ")
    if verdict.key_id:
        line(f"  Key id {verdict.key_id}")


@click.command(short_help="Write the owner's page, or the office's report, from records.")
@click.argument("paths", nargs=-1, required=True, type=PATH, metavar="PATH...")
@click.option(
    "--for", "reader", type=click.Choice(["owner", "office"]), default="owner", help="Who reads it."
)
@click.option("--out", type=PATH, help="The page's file, of one record; beside the record if absent.")
@click.option("--earlier", type=PATH, multiple=True, help="Record of an earlier visit; may be repeated.")
@click.option("--keys", type=PATH, help="The office's list of known keys: a file, or a folder of them.")
def sheet(
    paths: tuple[Path, ...],
    reader: Literal["owner", "office"],
    out: Path | None,
    earlier: tuple[Path, ...],
    keys: Path | None,
) -> int:
    """Write an HTML page from each signed record, to print and to keep; it needs no network, no other file.

    A PATH is a record, or a folder, of which every record gets its page. A record whose signature does not
    hold gives none; the exit code is that of verify, the worst of all. Pictures that lie beside a record and
    are as signed stand on its page as small copies, without their place.

    \b
    Example:
      crewtui sheet job-17.record.toml
      crewtui sheet job-17.record.toml --for office --out report.html
      crewtui sheet job-17-spring.record.toml --earlier job-17.record.toml
      crewtui sheet records/ --keys office/known_keys.toml
    """
    from crewtui.record.house.house import HouseError
    from crewtui.record.house.past import past_of
    from crewtui.record.signed.chain import Report
    from crewtui.record.signed.find_records import find_records, leads_out
    from crewtui.record.signed.verify import not_judged
    from crewtui.record.signed.verify import verify as verify_record

    known = known_keys(keys)
    found = find_records(paths)
    if len(found.files) != 1 and (out or earlier):
        raise Refusal(f"--out and --earlier go with one record, and there are {len(found.files)}")
    before = [verify_record(path, known) for path in earlier]
    verdicts = [*found.unjudged]
    for verdict in found.unjudged:
        _print_verdict(verdict, short=False)
    with progress(len(found.files), "Writing pages") as step:
        for path in found.files:
            if not out and leads_out(path, paths):
                verdicts.append(not_judged(path, "a link leads out of the folder: name what it leads to"))
                _print_verdict(verdicts[-1], short=False)
                step()
                continue
            verdict = verify_record(path, known)
            verdicts.append(verdict)
            with refusing(HouseError):
                past = past_of(verdict, before) if before and verdict.record is not None else None
            _write_sheet(verdict, path, reader, out, past)
            step()
    if len(paths) != 1 or len(verdicts) != 1:
        line(f"{sum(one.record is not None for one in verdicts)} pages written")
    return Report(tuple(verdicts), ()).exit_code


def _write_sheet(
    verdict: Verdict,
    record: Path,
    reader: Literal["owner", "office"],
    out: Path | None,
    past: Past | None,
) -> None:
    """Write the page of a record beside it, or say why there is none."""
    from crewtui.record.house.page_paths import sheet_path
    from crewtui.record.sheets.leave_sheet import SheetError, write_page
    from crewtui.record.sheets.owner_sheet import owner_sheet
    from crewtui.record.sheets.small_pictures import small_pictures

    if verdict.record is None:
        _print_verdict(verdict, short=False)
        return
    page = out or sheet_path(record, reader)
    if page.suffix.lower() not in {".html", ".htm"}:
        raise Refusal(f"{page} is no name of a page; end it with .html")
    try:
        pictures = small_pictures(verdict.record, record)
        write_page(page, owner_sheet(verdict, reader, past=past, pictures=pictures))
    except SheetError as error:
        raise Refusal(f"{error}; name another with --out") from error
    line(f"Written: {page}")
    if verdict.state != "valid":
        say(verdict.words)
