"""The cut list worked out beside the screen: the last answer stays up until the next one is there."""

from __future__ import annotations

from functools import partial
from typing import Any, Final

from msgspec.structs import replace
from textual.message import Message
from textual.screen import Screen
from textual.timer import Timer
from textual.worker import Worker, get_current_worker

from crewtui.day.state.state import DayState
from crewtui.day.truck.cut_process import CutListBeside, NoCutListError
from crewtui.day.truck.day_cut_list import CutQuestion, cut_question
from crewtui.day.truck.loading import Loaded, load
from crewtui.trade.truck.cutting import CutPlan

SETTLES_S: Final = 0.25
"""Work begins so long after the last entry: a burst of them is worked out once."""


class TruckWork:
    """Follows the day; posts ``Done`` to its screen with each answer, or ``Failed``."""

    class Done(Message):
        """An answer for the state that was asked about."""

        def __init__(self, state: DayState, loaded: Loaded) -> None:
            self.state, self.loaded = state, loaded
            super().__init__()

    class Failed(Message):
        """No answer came, and why, in a sentence."""

        def __init__(self, state: DayState, words: str) -> None:
            self.state, self.words = state, words
            super().__init__()

    def __init__(self, screen: Screen[Any]) -> None:
        self._screen = screen
        self._state: DayState | None = None
        self._timer: Timer | None = None
        self._worker: Worker[None] | None = None
        self._beside: CutListBeside | None = None
        self._known: tuple[CutQuestion, CutPlan] | None = None
        """The last question that was answered as well as it will be."""
        self.latest: Loaded | None = None
        self.failed = False
        """No list could be worked out for the state as it stands."""

    def follow(self, state: DayState) -> None:
        """Work out the truck for this state, unless it was the last one asked about."""
        if state is self._state:
            return
        self._state, self.failed = state, False
        if self.latest is not None:
            self.latest = replace(self.latest, working=True)
        self.call_off()
        self._timer = self._screen.set_timer(SETTLES_S, partial(self._begin, state))

    def call_off(self) -> None:
        """Stop working; nothing more comes for what was asked."""
        if self._timer is not None:
            self._timer.stop()
        if self._worker is not None:
            self._worker.cancel()
        if self._beside is not None:
            self._beside.call_off()

    def take(self, message: TruckWork.Done) -> bool:
        """Take an answer in; whether it is about the state as it stands."""
        if message.state is not self._state:
            return False
        self.latest = message.loaded
        if not message.loaded.working:
            self._known = (message.loaded.question, message.loaded.cuts)
        return True

    def give_up(self, message: TruckWork.Failed) -> bool:
        """Show no list, rather than an old one; whether it is about the state as it stands."""
        if message.state is not self._state:
            return False
        self.latest, self.failed = None, True
        return True

    def _begin(self, state: DayState) -> None:
        self._worker = self._screen.run_worker(
            partial(self._work, state, self._known), thread=True, group="cut list"
        )

    def _work(self, state: DayState, known: tuple[CutQuestion, CutPlan] | None) -> None:
        worker = get_current_worker()
        question = cut_question(state)
        if known is not None and known[0] == question:
            self._screen.post_message(self.Done(state, load(state, question, known[1])))
            return
        if worker.is_cancelled:
            return
        self._beside = beside = CutListBeside(question)
        try:
            for cuts, last in beside.answers():
                loaded = load(state, question, cuts, working=not last)
                self._screen.post_message(self.Done(state, loaded))
        except NoCutListError as error:
            self._screen.post_message(self.Failed(state, str(error)))
