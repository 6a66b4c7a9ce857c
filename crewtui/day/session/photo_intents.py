"""Intents about pictures: what is new in a folder, and keeping one with what it shows."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

from crewtui.day.journal import beside_entries as b
from crewtui.day.photographs.kept_pictures import keep_copy, pictures_folder
from crewtui.day.photographs.new_pictures import NewPicture, PicturesFound, Shows, new_pictures
from crewtui.day.session.hold_intents import read_hours
from crewtui.day.session.intents import Part, asking, need
from crewtui.day.steps.outcomes import Outcome, refuse
from crewtui.disk.picture_files import read_picture
from crewtui.disk.their_files import ReadError
from crewtui.foreign import shown


class PhotoIntents(Part):
    """Pictures of the job."""

    def new(self, folder: Path, *, shift: timedelta = timedelta()) -> PicturesFound:
        """Return what is new in a folder, each with what it most likely shows; ReadError is a sentence."""
        return new_pictures(
            self.day.state, self.day.journal.entries, folder, now=self.day.clock(), shift=shift
        )

    @asking
    def keep(self, picture: NewPicture, shows: Shows | None = None) -> Outcome:
        """Copy a picture beside the record and keep its hash, time and what it shows.

        The copy is on the disk before the entry is; a card that was pulled out leaves both as they were.
        """
        shows = shows or picture.shows
        need(shows.of, "What does it show?")
        if shows.anchor is not None:
            self.day.anchor(shows.anchor)
        times = self.day.times(picture.taken_at)
        name = shown(picture.path.name)
        try:
            read = read_picture(picture.path, picture.taken_at.tzinfo)
        except (ReadError, OSError) as error:
            raise refuse(
                f"{name} cannot be read now ({error}): put the card in again. Nothing is lost."
            ) from error
        if read.sha256 != picture.sha256:
            raise refuse(f"{name} is another picture than it was a moment ago: list the folder again.")
        if read.sha256 in {one.sha256 for one in self.day.state.shared.beside.pictures}:
            raise refuse(f"{name} is kept already.")
        folder = pictures_folder(self.day.job_path)
        try:
            file = keep_copy(folder, picture.path.name, read.content)
        except OSError as error:
            raise refuse(
                f"{name} cannot be copied into {folder.name} ({error.strerror or error}). Nothing is lost."
            ) from error
        return self.day.save(
            b.PictureKept(
                **times,
                file=file,
                sha256=read.sha256,
                of=shows.of,
                anchor=shows.anchor,
                step=shows.step,
                by_camera=picture.by_camera,
            )
        )


def read_shift(text: str) -> timedelta:
    """Return by how much a camera's clock is off: ``+1 h`` where it runs behind, ``-45 min`` where ahead.

    AskBackError where it cannot be read.
    """
    tidy = text.strip()
    if tidy[:1] not in {"+", "-"}:
        raise refuse(
            "Say by how much, with its sign: +1 h where the camera runs behind, -45 min where ahead."
        )
    by = timedelta(hours=read_hours(tidy[1:].strip()))
    return by if tidy[0] == "+" else -by


__all__ = ["PhotoIntents", "read_shift"]
