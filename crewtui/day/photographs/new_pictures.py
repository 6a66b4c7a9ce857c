"""New pictures in a folder, each with the time at which it was taken and what it most likely shows."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from msgspec import Struct

from crewtui.day.journal import beside_entries as b
from crewtui.day.journal.entries import Entry, LineExposed, StepDone, ValueMeasured
from crewtui.day.state.state import DayState
from crewtui.disk.picture_files import ENDINGS, SLACK, PictureRead, read_picture
from crewtui.disk.their_files import ReadError
from crewtui.foreign import shown
from crewtui.job.tables import steps, walks

MOST_FILES: Final = 2_000
NEAR: Final = timedelta(minutes=30)
"""A picture and an entry further apart than this have nothing to do with each other (from memory)."""
THE_JOB: Final = "the job"
DAMAGE: Final = "cracks"
"""The thing on the walk before the work of which a picture is wanted."""


class Shows(Struct, frozen=True, kw_only=True):
    """What a picture shows: of which anchor and step, in words."""

    of: str = THE_JOB
    anchor: str | None = None
    step: str = ""


class NewPicture(Struct, frozen=True, kw_only=True):
    """One picture that is not kept yet."""

    path: Path
    taken_at: datetime
    """With the shift of the camera's clock."""
    by_camera: bool
    sha256: str
    shows: Shows
    """As suggested by the time."""


class PicturesFound(Struct, frozen=True, kw_only=True):
    """What stands in a folder."""

    pictures: tuple[NewPicture, ...]
    """By the time at which they were taken."""
    kept: int
    """So many are kept already."""
    others: int
    """So many files are no pictures by their name."""
    troubles: tuple[str, ...]
    """A sentence each."""


def new_pictures(
    state: DayState, entries: Sequence[Entry], folder: Path, *, now: datetime, shift: timedelta
) -> PicturesFound:
    """Return the pictures under a folder that are not kept yet; ReadError if it cannot be read."""
    known = {one.sha256 for one in state.shared.beside.pictures}
    paths = _files(folder)
    found: dict[str, NewPicture] = {}
    troubles: list[str] = []
    kept = 0
    for path in (path for path in paths if path.suffix.lower() in ENDINGS):
        try:
            read = read_picture(path, now.tzinfo)
        except (ReadError, OSError) as error:
            troubles.append(f"{shown(path.name)} is left out: {_why(error)}.")
            continue
        if read.sha256 in known:
            kept += 1
        else:
            found.setdefault(read.sha256, _new(state, entries, path, read, shift))
    ordered = sorted(found.values(), key=lambda one: (one.taken_at, one.path.name))
    troubles += _clock(ordered, now)
    others = sum(path.suffix.lower() not in ENDINGS for path in paths)
    return PicturesFound(pictures=tuple(ordered), kept=kept, others=others, troubles=tuple(troubles))


def _files(folder: Path) -> list[Path]:
    """Return the plain files under a folder, hidden ones left out."""
    if not folder.is_dir():
        raise ReadError("there is no such folder; is the card in?")
    found: list[Path] = []
    for root, folders, names in os.walk(folder):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        found += [Path(root) / name for name in sorted(names) if not name.startswith(".")]
        if len(found) > MOST_FILES:
            raise ReadError(
                f"it holds more than {MOST_FILES:,} files; name the folder with the day's pictures"
            )
    return found


def _why(error: Exception) -> str:
    if isinstance(error, OSError):
        return f"it cannot be read ({error.strerror or error}); is the card still in?"
    return str(error)


def _new(
    state: DayState, entries: Sequence[Entry], path: Path, read: PictureRead, shift: timedelta
) -> NewPicture:
    taken_at = read.taken_at + shift
    return NewPicture(
        path=path,
        taken_at=taken_at,
        by_camera=read.by_camera,
        sha256=read.sha256,
        shows=shows_at(state, entries, taken_at),
    )


def _clock(pictures: Sequence[NewPicture], now: datetime) -> Iterator[str]:
    ahead = [one for one in pictures if one.taken_at - now > SLACK]
    if ahead:
        latest = max(one.taken_at for one in ahead)
        yield (
            f"{len(ahead)} of {len(pictures)} are dated after now, the last {latest:%Y-%m-%d %H:%M}: the"
            " camera's clock is off. Say by how much, once for all of them."
        )


def shows_at(state: DayState, entries: Sequence[Entry], at: datetime) -> Shows:
    """Return what was entered nearest in time; steps that want a picture before others."""
    wanted = {step.id for step in steps.load() if step.picture}
    near: list[tuple[bool, timedelta, Shows]] = []
    for entry in entries:
        apart = abs(entry.done_at - at)
        if apart > NEAR or entry.n in state.taken_back:
            continue
        if isinstance(entry, StepDone | ValueMeasured) and (entry.anchor is not None or entry.step in wanted):
            near.append((entry.step not in wanted, apart, of_step(entry.step, entry.anchor)))
        elif isinstance(entry, LineExposed):
            near.append((False, apart, _of_line(entry.line, entry.anchor)))
        elif isinstance(entry, b.WalkSeen):
            near.append((False, apart, Shows(of=_of_walk(entry), anchor=entry.anchor)))
    return min(near, key=lambda one: one[:2])[2] if near else Shows()


def of_step(step: str, anchor: str | None) -> Shows:
    """Return that a picture shows a step, at an anchor or of the whole job."""
    return Shows(of=steps.label(step), anchor=anchor, step=step)


def _of_walk(entry: b.WalkSeen) -> str:
    label = next((one.label for one in walks.load() if one.id == entry.thing), entry.thing)
    when = "before the work" if entry.walk == "before" else "on leaving"
    return f"{label}, {when}{f', {entry.place}' if entry.place else ''}"


def _of_line(line: str, anchor: str | None) -> Shows:
    return Shows(of=f"{line}, laid bare", anchor=anchor)


def pictures_wanted(state: DayState) -> tuple[Shows, ...]:
    """Return what was seen or done, wants a picture and has none, the day through."""
    kept = state.shared.beside.pictures
    have = {(one.anchor, one.step) for one in kept}
    named = {one.of for one in kept}
    beside = (
        *(
            Shows(of=_of_walk(one), anchor=one.anchor)
            for one in state.shared.beside.seen
            if one.thing == DAMAGE and one.words != b.NOTHING
        ),
        *(_of_line(one.line, one.anchor) for one in state.shared.exposed),
    )
    asked = tuple(step for step in steps.load() if step.picture)
    found = [one for one in dict.fromkeys(beside) if one.of not in named]
    found += [
        of_step(step.id, now.id)
        for now in state.live()
        for step in asked
        if (step.id in now.answers or step.quantity in now.as_built) and (now.id, step.id) not in have
    ]
    found += [
        of_step(step.id, None)
        for step in asked
        if step.id in state.shared.answers and (None, step.id) not in have
    ]
    return tuple(found)
