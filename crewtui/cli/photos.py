"""The photos command: a card's new pictures, placed by their time, kept beside the record."""

# ruff: noqa: PLC0415 - a command imports what it needs when it runs; help is there at once
# ruff: noqa: D301 - \b is click's own mark for lines that stay as they are

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import click

from crewtui.cli.common import PATH, Refusal, line, refusing, say

if TYPE_CHECKING:
    from crewtui.day.photographs.new_pictures import NewPicture, PicturesFound, Shows
    from crewtui.day.session.day import Day


@click.command(short_help="List a card's new pictures, and keep them with the job.")
@click.argument("job", type=PATH)
@click.argument("folder", type=PATH)
@click.option("--take", is_flag=True, help="Keep every picture that is listed.")
@click.option("--skip", multiple=True, metavar="NAME", help="Leave this one out; as often as needed.")
@click.option("--at", multiple=True, metavar="NAME=ID", help="It is of this anchor.")
@click.option("--shows", multiple=True, metavar="NAME=WORDS", help="It shows this, in words.")
@click.option("--shift", default="", help="The camera's clock is off: +1 h where it runs behind, -45 min.")
def photos(
    job: Path,
    folder: Path,
    *,
    take: bool,
    skip: tuple[str, ...],
    at: tuple[str, ...],
    shows: tuple[str, ...],
    shift: str,
) -> int:
    """List the pictures of a folder that are not kept yet, by the time at which they were taken.

    Each with the anchor and step that were entered nearest in time. With --take they are copied beside the
    job file, unchanged, and the record names each with its hash. Close the day on the screen first.

    \b
    Example:
      crewtui photos job-17.toml card
      crewtui photos job-17.toml card --shift "+1 h" --at IMG_7.JPG=N2 --take
    """
    from crewtui.day.journal.chained import JournalError
    from crewtui.day.session.day import Day
    from crewtui.day.session.photo_intents import read_shift
    from crewtui.day.steps.outcomes import AskBackError
    from crewtui.disk.their_files import ReadError
    from crewtui.job.file.load import JobFileError

    try:
        by = read_shift(shift) if shift else timedelta()
    except AskBackError as error:
        raise Refusal(str(getattr(error.outcome, "sentence", error))) from error
    with refusing(JobFileError, JournalError), Day.open(job) as day:
        try:
            found = day.pictures.new(folder, shift=by)
        except ReadError as error:
            raise Refusal(f"{folder}: {error}") from error
        chosen = {
            one.path.name: _shown_by(day, one, _pairs(at, "--at"), _pairs(shows, "--shows"))
            for one in found.pictures
            if one.path.name not in skip
        }
        _print(found, chosen)
        return _take(day, found, chosen) if take else 0


def _pairs(options: Iterable[str], name: str) -> Mapping[str, str]:
    found = {}
    for option in options:
        file, equals, words = option.partition("=")
        if not (equals and file.strip() and words.strip()):
            raise Refusal(f"{name} {option}: write it like {name} IMG_7.JPG=N2")
        found[file.strip()] = words.strip()
    return found


def _shown_by(day: Day, picture: NewPicture, at: Mapping[str, str], shows: Mapping[str, str]) -> Shows:
    from msgspec.structs import replace

    name, found = picture.path.name, picture.shows
    if name in at:
        anchor = at[name]
        if anchor not in day.state.anchors:
            raise Refusal(f"--at {name}={anchor}: there is no anchor {anchor}")
        found = replace(found, anchor=anchor, step=found.step if found.anchor == anchor else "")
    return replace(found, of=shows[name]) if name in shows else found


def _print(found: PicturesFound, chosen: Mapping[str, Shows]) -> None:
    for one in found.pictures:
        shows = chosen.get(one.path.name)
        words = "left out" if shows is None else f"{shows.anchor or 'job'}: {shows.of}"
        by = "" if one.by_camera else "  (time of the file; the camera gives none)"
        line(f"{one.taken_at:%m-%d %H:%M}  {one.path.name:<20}  {words}{by}")
    for words in found.troubles:
        say(words)
    more = [f"{found.kept} kept already"] if found.kept else []
    more += [f"{found.others} other files passed over"] if found.others else []
    line(f"{len(found.pictures)} new pictures{''.join(f', {one}' for one in more)}")


def _take(day: Day, found: PicturesFound, chosen: Mapping[str, Shows]) -> int:
    from crewtui.day.steps.outcomes import Saved

    kept = 0
    failed = bool(found.troubles)
    for one in found.pictures:
        if one.path.name not in chosen:
            continue
        outcome = day.pictures.keep(one, chosen[one.path.name])
        if isinstance(outcome, Saved):
            kept += 1
        else:
            failed = True
            say(getattr(outcome, "sentence", ""))
    line(f"{kept} kept")
    return 1 if failed else 0
