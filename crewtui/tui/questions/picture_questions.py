"""Pictures from a card: the folder, then each picture with what it shows by its time."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any, Final

from msgspec.structs import replace
from textual.app import App

from crewtui.day.photographs.new_pictures import NewPicture, PicturesFound, pictures_wanted
from crewtui.day.session.photo_intents import read_shift
from crewtui.day.steps.outcomes import AskBackError, Refused
from crewtui.disk.their_files import ReadError
from crewtui.tui.widgets.dialogs import AskChoice, AskText
from crewtui.tui.widgets.pane import Here, Intent

_ALL: Final = "all"
_CLOCK: Final = "clock"


class PictureQuestions:
    """The questions about one card."""

    def __init__(self, app: App[Any], here: Here, carry: Callable[[Intent], None]) -> None:
        self._app, self._here, self._carry, self._day = app, here, carry, here.day
        self._folder, self._shift = Path(), timedelta()
        self._found = PicturesFound(pictures=(), kept=0, others=0, troubles=())

    def ask(self) -> None:
        """Ask for the folder."""
        wanted = pictures_wanted(self._day.state)
        names = ", ".join(f"{one.anchor} {one.of}" for one in wanted[:4])
        words = f"Done, and without a picture: {names}." if wanted else ""
        self._app.push_screen(
            AskText("Folder of the card or phone", words, check=self._trouble), self._listed
        )

    def _trouble(self, text: str) -> str | None:
        """Return what is wrong with the folder; None where its pictures were listed."""
        try:
            self._folder = Path(text).expanduser()
            self._found = self._day.pictures.new(self._folder, shift=self._shift)
        except (ReadError, OSError) as error:
            return f"{text}: {error}"
        if not self._found.pictures and not self._found.troubles:
            return f"No new picture is there; {self._found.kept} are kept already."
        return None

    def _listed(self, text: str | None) -> None:
        if text is None:
            return
        found = self._found
        rows = [
            (f"{n}", f"{one.taken_at:%H:%M} {one.path.name}", self._words(one))
            for n, one in enumerate(found.pictures)
        ]
        if found.pictures:
            rows.insert(0, (_ALL, f"Keep all {len(found.pictures)} as listed", ""))
        rows.append((_CLOCK, "The camera's clock is off: shift all of them", ""))
        self._app.push_screen(AskChoice("New pictures", " ".join(found.troubles), rows), self._chosen)

    @staticmethod
    def _words(one: NewPicture) -> str:
        return f"{one.shows.anchor or 'job'}: {one.shows.of}"

    def _chosen(self, key: str | None) -> None:
        if key == _ALL:
            for one in self._found.pictures:
                self._keep(one)
        elif key == _CLOCK:
            words = "+1 h where the camera runs behind, -45 min where ahead; once for all of them."
            self._app.push_screen(AskText("By how much?", words, check=_shift_trouble), self._shifted)
        elif key is not None:
            self._one(self._found.pictures[int(key)])

    def _shifted(self, text: str | None) -> None:
        if text is not None:
            self._shift += read_shift(text)
            self._trouble(str(self._folder))
            self._listed(str(self._folder))

    def _one(self, one: NewPicture) -> None:
        def said(text: str | None) -> None:
            if text is not None:
                anchor, _, words = text.partition(":")
                named = anchor.strip() in self._day.state.anchors
                shows = replace(
                    one.shows,
                    anchor=anchor.strip() if named else None,
                    step=one.shows.step if text == self._words(one) else "",
                    of=words.strip() if named or anchor.strip() == "job" else text,
                )
                self._keep(one, shows=shows)
                self._trouble(str(self._folder))
                if self._found.pictures:
                    self._listed(str(self._folder))

        words = f"{one.path.name}, {one.taken_at:%Y-%m-%d %H:%M}. The anchor, or job; a colon; what it shows."
        self._app.push_screen(AskText("What does it show?", words, initial=self._words(one)), said)

    def _keep(self, one: NewPicture, **given: Any) -> None:
        self._carry(Intent(method=self._day.pictures.keep, args=(one,), given=given))


def _shift_trouble(text: str) -> str | None:
    try:
        read_shift(text)
    except AskBackError as error:
        return error.outcome.sentence if isinstance(error.outcome, Refused) else str(error)
    return None
