"""When a search has to stop."""

from __future__ import annotations

import time
from collections.abc import Callable

from msgspec import Struct


class OutOfTimeError(Exception):
    """The time given is over, or the answer is no longer wanted."""


class Clock(Struct):
    """When to stop: a time by the clock that only runs forward, and whether somebody has called it off."""

    until: float
    cancelled: Callable[[], bool]

    def check(self) -> None:
        """Raise OutOfTimeError when it is time to stop."""
        if time.monotonic() > self.until or self.cancelled():
            raise OutOfTimeError

    @property
    def left_s(self) -> float:
        """Seconds left; never negative."""
        return max(0.0, self.until - time.monotonic())
