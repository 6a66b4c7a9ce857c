"""The cut list beside the screen: a process of its own works it out, and is called off by ending it."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from contextlib import suppress
from typing import Final

from msgspec import msgpack

from crewtui.day.truck.day_cut_list import CutQuestion
from crewtui.trade.truck.cut_alone import CutAsked, read_answer
from crewtui.trade.truck.cutting import TIME_LIMIT_S, CutPlan

FIRST_LOOK_S: Final = 2.0
"""A first answer comes after so long at most; what it does not prove is looked at for longer."""
_COMMAND: Final = (sys.executable, "-P", "-m", "crewtui.trade.truck.cut_alone")
_NO_WINDOW: Final = getattr(subprocess, "CREATE_NO_WINDOW", 0)
"""On Windows a program without a console of its own would open one."""


class NoCutListError(Exception):
    """The cut list could not be worked out; ``str()`` says so in one sentence."""


class CutListBeside:
    """One question under work. ``answers`` is read in a thread, ``call_off`` is called from any."""

    def __init__(
        self, question: CutQuestion, *, looks_s: tuple[float, ...] = (FIRST_LOOK_S, TIME_LIMIT_S)
    ) -> None:
        self._asked = CutAsked(
            rods=question.rods,
            stock=question.stock,
            kerf_in=question.kerf_in,
            worth_keeping_in=question.worth_keeping_in,
            system=question.system,
            looks_s=tuple(looks_s),
        )
        self._process: subprocess.Popen[bytes] | None = None
        self.called_off = False

    def answers(self) -> Iterator[tuple[CutPlan, bool]]:
        """Yield each answer and whether it is the last; NoCutListError where it ends without, uncalled."""
        with self._started() as process:
            assert process.stdin is not None  # noqa: S101 - both are pipes
            assert process.stdout is not None  # noqa: S101 - both are pipes
            with suppress(OSError):  # It has ended already: then no answer comes either.
                process.stdin.write(msgpack.encode(self._asked))
                process.stdin.close()
            for limit_s in self._asked.looks_s:
                plan = read_answer(process.stdout)
                if self.called_off:
                    return
                if plan is None:
                    raise NoCutListError(_words(f"its program ended with code {process.wait()}"))
                last = plan.proven or limit_s == self._asked.looks_s[-1]
                yield plan, last
                if last:
                    return

    def _started(self) -> subprocess.Popen[bytes]:
        try:
            self._process = subprocess.Popen(  # noqa: S603 - our own module, by our own interpreter
                _COMMAND,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                creationflags=_NO_WINDOW,
            )
        except OSError as error:
            raise NoCutListError(_words(error.strerror or str(error))) from error
        if self.called_off:  # In the meantime.
            self._process.kill()
        return self._process

    def call_off(self) -> None:
        """End the work; its answers end with it."""
        self.called_off = True
        if self._process is not None:
            self._process.kill()


def _words(why: str) -> str:
    return f"The cut list could not be worked out ({why}); each rod's own pieces stand, and the day goes on."
