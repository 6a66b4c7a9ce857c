"""The job's date beside the computer's, by whose clock tickets are counted and entries stamped."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final

from crewtui.day.journal.entries import Entry
from crewtui.day.state.state import DayState

CLOCK_SLACK: Final = timedelta(minutes=5)
"""How far ahead of the clock something done may be dated, and how far back a clock is set without a word."""


def clock_jump(last: Entry | None, now: datetime) -> str:
    """Return that the clock was set back since the last entry, in words; empty where it was not."""
    if last is None or last.typed_at - now <= CLOCK_SLACK:
        return ""
    return (
        f"The clock was set back: it says {now:%Y-%m-%d %H:%M}, and the last entry was typed at "
        f"{last.typed_at:%Y-%m-%d %H:%M}. Set the clock if it is wrong now; nothing is lost, and each day is "
        "judged by its own date."
    )


def date_trouble(state: DayState, now: datetime) -> str:
    """Return what does not agree, in words; empty where it does, or where a job goes on for days."""
    planned, today = state.job.job.date, now.date()
    goes_on = state.shared.day_began_n > 1 and planned < today
    if planned == today or goes_on:
        return ""
    return f"Job file: {planned:%a %Y-%m-%d}. This computer: {today:%a %Y-%m-%d}."


__all__ = ["CLOCK_SLACK", "clock_jump", "date_trouble"]
