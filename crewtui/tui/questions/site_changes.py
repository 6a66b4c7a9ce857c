"""Moving, adding and dropping an anchor on site: the questions, one after the other."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from textual.app import App

from crewtui import units
from crewtui.tui.widgets.dialogs import AskChoice, AskText
from crewtui.tui.widgets.pane import Here, Intent

Carry = Callable[[Intent], None]

_WHAT: Final = (
    ("move along", "Move it along the wall", ""),
    ("set-back", "Another set-back", "it has its own drop of the ground"),
    ("plate", "Another size of plate", ""),
    ("add", "Add an anchor", ""),
    ("drop", "Drop it", "it is not set today or at all"),
)


class SiteChange:
    """One change of the plan on site, asked step by step; Esc at any question leaves all as it was."""

    def __init__(self, app: App[Any], here: Here, carry: Carry) -> None:
        self._app, self._here, self._carry = app, here, carry

    def ask(self) -> None:
        """Ask what is changed."""
        words = "The job file stays as it is; the change is an entry with its reason."
        self._app.push_screen(AskChoice(f"Change {self._here.anchor} on site", words, _WHAT), self._what)

    def _what(self, choice: str | None) -> None:
        if choice == "move along":
            self._length("Its new place along the wall, from the start corner", self._moved)
        elif choice == "set-back":
            self._length("The new set-back, wall face to pit middle", self._set_back)
        elif choice == "plate":
            self._length("Width of the plate now used", self._plate_width)
        elif choice == "add":
            self._text("Id of the new anchor", "Short, such as A-6.", self._added)
        elif choice == "drop":
            self._why(f"Why is {self._here.anchor} dropped?", self._drop)

    def _length(self, title: str, go_on: Callable[[float], None]) -> None:
        bare: units.LengthUnit = "mm" if self._here.system == "metric" else "in"

        def wrong(text: str) -> str | None:
            try:
                units.read_length(text, bare=bare)
            except units.UnreadableError as error:
                return str(error)
            return None

        def answered(text: str | None) -> None:
            if text is not None:
                go_on(units.read_length(text, bare=bare))

        self._app.push_screen(AskText(f"{title} ({bare})", check=wrong), answered)

    def _text(self, title: str, words: str, go_on: Callable[[str], None]) -> None:
        def answered(text: str | None) -> None:
            if text is not None:
                go_on(text)

        self._app.push_screen(AskText(title, words), answered)

    def _why(self, title: str, go_on: Callable[[str], None]) -> None:
        self._text(title, "The record keeps the reason.", go_on)

    def _move(self, values: dict[str, float]) -> None:
        def why(reason: str) -> None:
            day, anchor = self._here.day, self._here.anchor
            self._carry(Intent(method=day.site.move_anchor, args=(anchor, values), given={"reason": reason}))

        self._why("Why is it changed?", why)

    def _moved(self, along_in: float) -> None:
        self._drop_there({"along_in": along_in})

    def _set_back(self, setback_in: float) -> None:
        self._drop_there({"setback_in": setback_in})

    def _drop_there(self, values: dict[str, float]) -> None:
        plan = self._here.day.state.anchors[self._here.anchor].plan
        if plan.yard_slope is not None:
            self._move(values)
            return
        title = "Drop of the ground there, grade at the wall to the pit"
        self._length(title, lambda drop_in: self._move({**values, "drop_in": drop_in}))

    def _plate_width(self, width_in: float) -> None:
        def height(height_in: float) -> None:
            self._move({"plate_width_in": width_in, "plate_height_in": height_in})

        self._length("Height of the plate now used", height)

    def _added(self, ident: str) -> None:
        wall = self._here.day.state.anchors[self._here.anchor].wall

        def placed(along_in: float) -> None:
            def why(reason: str) -> None:
                values = {"along_in": along_in}
                given = {"reason": reason}
                self._carry(
                    Intent(method=self._here.day.site.add_anchor, args=(ident, wall, values), given=given)
                )

            self._why(f"Why is {ident} added?", why)

        self._length(f"Place of {ident} along {wall}, from the start corner", placed)

    def _drop(self, reason: str) -> None:
        day = self._here.day
        self._carry(Intent(method=day.site.drop_anchor, args=(self._here.anchor,), given={"reason": reason}))
