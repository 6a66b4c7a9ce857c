"""The cut list worked out beside the screen: the last answer stays up until the next one is there."""

from __future__ import annotations

from functools import partial
from typing import Any, Final

from msgspec.structs import replace
from textual.message import Message
from textual.screen import Screen
from textual.timer import Timer
from textual.worker import Worker, get_current_worker

from crewtui.day.cut_list import CutQuestion, cut_question
from crewtui.day.loading import Loaded, load
from crewtui.day.state import DayState
from crewtui.trade.cutting import TIME_LIMIT_S, CutPlan

SETTLES_S: Final = 0.25
"""Work begins so long after the last entry: a burst of them is worked out once."""
FIRST_LOOK_S: Final = 0.3
"""A first answer comes after so long at most; what it does not prove is looked at for longer."""


class TruckWork:
    """Follows the day; posts ``Done`` to its screen with each answer."""

    class Done(Message):
        """An answer for the state that was asked about."""

        def __init__(self, state: DayState, loaded: Loaded) -> None:
            self.state, self.loaded = state, loaded
            super().__init__()

    def __init__(self, screen: Screen[Any]) -> None:
        self._screen = screen
        self._state: DayState | None = None
        self._timer: Timer | None = None
        self._worker: Worker[None] | None = None
        self._known: tuple[CutQuestion, CutPlan] | None = None
        """The last question that was answered as well as it will be."""
        self.latest: Loaded | None = None

    def follow(self, state: DayState) -> None:
        """Work out the truck for this state, unless it was the last one asked about."""
        if state is self._state:
            return
        self._state = state
        if self.latest is not None:
            self.latest = replace(self.latest, working=True)
        if self._timer is not None:
            self._timer.stop()
        if self._worker is not None:
            self._worker.cancel()
        self._timer = self._screen.set_timer(SETTLES_S, partial(self._begin, state))

    def take(self, message: TruckWork.Done) -> bool:
        """Take an answer in; whether it is about the state as it stands."""
        if message.state is not self._state:
            return False
        self.latest = message.loaded
        if not message.loaded.working:
            self._known = (message.loaded.question, message.loaded.cuts)
        return True

    def _begin(self, state: DayState) -> None:
        self._worker = self._screen.run_worker(
            partial(self._work, state, self._known), thread=True, exit_on_error=True, group="cut list"
        )

    def _work(self, state: DayState, known: tuple[CutQuestion, CutPlan] | None) -> None:
        worker = get_current_worker()
        question = cut_question(state)
        if known is not None and known[0] == question:
            self._tell(state, load(state, question, known[1]))
            return
        for limit_s in (FIRST_LOOK_S, TIME_LIMIT_S):
            cuts = question.answer(time_limit_s=limit_s, cancelled=lambda: worker.is_cancelled)
            if worker.is_cancelled:
                return
            last = cuts.proven or limit_s == TIME_LIMIT_S
            self._tell(state, load(state, question, cuts, working=not last))
            if last:
                return

    def _tell(self, state: DayState, loaded: Loaded) -> None:
        self._screen.post_message(self.Done(state, loaded))
