"""The job's date beside the computer's, by whose clock tickets are counted and entries stamped."""

from __future__ import annotations

from datetime import datetime

from crewtui.day.state.state import DayState


def date_trouble(state: DayState, now: datetime) -> str:
    """Return what does not agree, in words; empty where it does, or where a job goes on for days."""
    planned, today = state.job.job.date, now.date()
    goes_on = state.shared.day_began_n > 1 and planned < today
    if planned == today or goes_on:
        return ""
    return f"Job file: {planned:%a %Y-%m-%d}. This computer: {today:%a %Y-%m-%d}."


__all__ = ["date_trouble"]
