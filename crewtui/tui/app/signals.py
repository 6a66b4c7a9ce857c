"""What shell and terminal say by signal: stop, go on, end, the window has another size.

The framework gives the terminal back when it is stopped, and takes it again when it goes on. It does the
second also after a stop without a word (SIGSTOP): it would then read the keys twice over, and forget how the
terminal was. Its handler of sizes runs when the loop next wakes, which may be at the next key, if another
thread took the signal: the last of several quick resizes would go unheard.
"""

from __future__ import annotations

import asyncio
import signal
from types import FrameType
from typing import Any, Final

from textual.app import App

ENDED: Final = 128 + 15
"""Exit code of a program that was asked to end, as shells give it."""


class Signals:
    """Stands before the framework's own handlers; where there are none, as on Windows, it does nothing."""

    def __init__(self, app: App[Any]) -> None:
        """Take over, once the framework's driver has set its handlers."""
        self._app = app
        self._given_back = False
        if not hasattr(signal, "SIGTSTP"):
            return
        self._loop = asyncio.get_running_loop()
        self._give_back = signal.getsignal(signal.SIGTSTP)
        self._take_again = signal.getsignal(signal.SIGCONT)
        signal.signal(signal.SIGTSTP, self._stopped)
        signal.signal(signal.SIGCONT, self._gone_on)
        resized = signal.getsignal(signal.SIGWINCH)
        if callable(resized):
            self._loop.add_signal_handler(signal.SIGWINCH, resized, signal.SIGWINCH, None)
        for number in (signal.SIGTERM, signal.SIGINT, signal.SIGQUIT, signal.SIGUSR1, signal.SIGUSR2):
            self._loop.add_signal_handler(number, self._end)

    def _stopped(self, number: int, frame: FrameType | None) -> None:
        self._given_back = True
        if callable(self._give_back):
            self._give_back(number, frame)

    def _gone_on(self, number: int, frame: FrameType | None) -> None:
        if self._given_back and callable(self._take_again):
            self._given_back = False
            self._take_again(number, frame)
        self._loop.call_soon_threadsafe(self._paint)

    def _end(self) -> None:
        """Give the terminal back before ending, as where the machine is shut down; no entry is lost."""
        self._app.exit(return_code=ENDED)

    def _paint(self) -> None:
        self._app.refresh(layout=True)
