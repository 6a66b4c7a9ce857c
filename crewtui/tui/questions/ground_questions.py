"""Ground that is not as hoped: what was met, where, and the way on; a call with the text to read out."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final, get_args

from textual.app import App

from crewtui import units
from crewtui.day.steps.ground_ways import STOP_AND_ASK, call_text, ground_ways
from crewtui.trade.vocabulary import GroundTrouble
from crewtui.tui.widgets.dialogs import AskChoice, AskText
from crewtui.tui.widgets.pane import Here, Intent

Carry = Callable[[Intent], None]
_CALL: Final = "call"


def ask_ground(app: App[Any], here: Here, carry: Carry) -> None:
    """Ask what was met at the anchor and what is done about it, and enter it."""
    _GroundQuestions(app, here, carry).ask()


def ask_call(app: App[Any], here: Here, carry: Carry, *, met: str) -> None:
    """Ask what to ask, show the text to read out with the anchor's figures, and keep who answered what."""

    def asked(question: str) -> None:
        about = call_text(here.day.state, here.anchor, met=met, asked=question)

        def called(who: str) -> None:
            def answered(said: str) -> None:
                given = {"who": who, "about": about, "said": said, "anchor": here.anchor}
                carry(Intent(method=here.day.beside.call_made, given=given, dated=True))

            _text(
                app,
                f"What did {who} answer?",
                answered,
                words="In their words, with a number if they gave one.",
            )

        _text(app, "Read this out. Who was called?", called, words=about)

    _text(app, "What do you ask?", asked, words="Like: may it move a foot along? May it stay at 33 in?")


def _text(app: App[Any], title: str, go_on: Callable[[str], None], *, words: str = "", **more: Any) -> None:
    def answered(text: str | None) -> None:
        if text is not None:
            go_on(text)

    app.push_screen(AskText(title, words, **more), answered)


class _GroundQuestions:
    """One trouble, asked step by step; Esc at any question enters nothing."""

    def __init__(self, app: App[Any], here: Here, carry: Carry) -> None:
        self._app, self._here, self._carry = app, here, carry
        self._what = self._at = ""
        self._depth_in: float | None = None

    def ask(self) -> None:
        """Begin."""
        rows = [(one, one[:1].upper() + one[1:], "") for one in get_args(GroundTrouble)]
        self._choice(f"What was met at {self._here.anchor}?", rows, self._met)

    def _met(self, what: str) -> None:
        self._what = what
        rows = [("drive", "On the drive", ""), ("pit", "In the pit", "")]
        self._choice("Where?", rows, self._placed)

    def _placed(self, at: str) -> None:
        self._at = at
        where = "in along the rod" if at == "drive" else "below the ground"
        words = f"How far {where}? Nothing typed: not known."
        _text(
            self._app, "How deep was it met?", self._deep, words=words, check=self._wrong, may_be_empty=True
        )

    def _wrong(self, text: str) -> str | None:
        try:
            self._length(text)
        except units.UnreadableError as error:
            return str(error)
        return None

    def _length(self, text: str) -> float:
        return units.read_length(text, bare="mm" if self._here.system == "metric" else "in")

    def _deep(self, text: str) -> None:
        self._depth_in = self._length(text) if text.strip() else None
        ways = ground_ways(self._here.day.state, self._here.anchor, self._what)  # type: ignore[arg-type]
        rows = [(_CALL if way == STOP_AND_ASK else way, way, "") for way in ways]
        self._choice(f"{self._what.capitalize()}: what is done?", rows, self._way, words="The plan governs.")

    def _way(self, way: str) -> None:
        given = {"at": self._at, "depth_in": self._depth_in, "note": "" if way == _CALL else way}
        method = self._here.day.beside.ground_found
        self._carry(Intent(method=method, args=(self._here.anchor, self._what), given=given, dated=True))
        if way == _CALL:
            where = "on the drive" if self._at == "drive" else "in the pit"
            ask_call(self._app, self._here, self._carry, met=f"{self._what} {where}")

    def _choice(
        self, title: str, rows: list[tuple[str, str, str]], go_on: Callable[[str], None], *, words: str = ""
    ) -> None:
        def answered(key: str | None) -> None:
            if key is not None:
                go_on(key)

        self._app.push_screen(AskChoice(title, words, rows), answered)


__all__ = ["ask_call", "ask_ground"]
