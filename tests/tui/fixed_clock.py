"""The sample jobs, and clocks that are the same in every run."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from pathlib import Path

SAMPLES = Path(__file__).parents[2] / "sample_jobs"
MORNING = datetime(2026, 11, 30, 8, 0, tzinfo=timezone(timedelta(hours=-5)))


class Clock:
    """Starts in the morning and goes on a second at every look."""

    def __init__(self) -> None:
        self.now = MORNING

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


class Watch:
    """Starts in the morning and goes on only where it is set, however often it is looked at."""

    def __init__(self) -> None:
        self.now = MORNING

    def __call__(self) -> datetime:
        return self.now

    def go_on(self, minutes: float) -> None:
        """Let time pass."""
        self.now += timedelta(minutes=minutes)
