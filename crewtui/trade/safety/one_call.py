"""How long a locate ticket is good, counted as its state counts: calendar days, working days or hours.

One-call laws differ by state in notice, life and way of counting, so all three are data of the job and never
constants here. A working day is Monday to Friday and no holiday that the office lists; a count of days ends
at the clock time at which it began, in the ticket's own time zone. The state's rule and the one-call center
govern.
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, datetime, timedelta
from typing import Final

from msgspec import Struct

from crewtui.trade.vocabulary import DayCount

SATURDAY: Final = 5
_MOST: Final = 3_660
_HOUR_S: Final = 3_600


def counted_on(
    start: datetime, count: int, counted_in: DayCount, *, holidays: Collection[date] = ()
) -> datetime:
    """Return when a count that begins at ``start`` is up; days keep the clock time of the start."""
    _aware(start)
    if not 0 <= count <= _MOST:
        raise ValueError(f"A count of {counted_in} lies between 0 and {_MOST}; it is {count}.")
    if counted_in == "hours":
        return start + timedelta(hours=count)
    if counted_in == "calendar days":
        return start + timedelta(days=count)
    end = start
    while count:
        end += timedelta(days=1)
        count -= is_working_day(end.date(), holidays)
    return end


def counted_back(
    end: datetime, count: int, counted_in: DayCount, *, holidays: Collection[date] = ()
) -> datetime:
    """Return the latest moment from which a count is up by ``end``: when to call, at the latest."""
    _aware(end)
    if not 0 <= count <= _MOST:
        raise ValueError(f"A count of {counted_in} lies between 0 and {_MOST}; it is {count}.")
    if counted_in == "hours":
        return end - timedelta(hours=count)
    start = end - timedelta(days=count)
    while counted_in == "working days" and counted_on(start, count, counted_in, holidays=holidays) > end:
        start -= timedelta(days=1)
    return start


def is_working_day(day: date, holidays: Collection[date] = ()) -> bool:
    """Return whether the day is Monday to Friday and no listed holiday."""
    return day.weekday() < SATURDAY and day not in holidays


class Remaining(Struct, frozen=True, kw_only=True):
    """What is left of a ticket."""

    now: datetime
    ends: datetime
    counted_in: DayCount
    over: bool
    count: int
    """Whole hours left, or days of the kind counted that come after today and up to the last."""
    words: str


def remaining(
    now: datetime, ends: datetime, counted_in: DayCount, *, holidays: Collection[date] = ()
) -> Remaining:
    """Return what is left, in words; days are those of the ticket's own time zone."""
    _aware(now)
    _aware(ends)
    here = now.astimezone(ends.tzinfo)
    over = here > ends
    count = 0 if over else _left(here, ends, counted_in, holidays)
    if over:
        words = "over"
    elif counted_in == "hours" or here.date() == ends.date():
        hours = int((ends - here).total_seconds() // _HOUR_S)
        count = hours if counted_in == "hours" else 0
        words = "less than an hour left" if not hours else f"{hours} {'hour' if hours == 1 else 'hours'} left"
    elif count:
        kind = counted_in if count > 1 else counted_in.removesuffix("s")
        words = f"good today and {count} more {kind}"
    else:
        words = "no working day left after today"
    return Remaining(now=now, ends=ends, counted_in=counted_in, over=over, count=count, words=words)


def _left(now: datetime, ends: datetime, counted_in: DayCount, holidays: Collection[date]) -> int:
    days = (ends.date() - now.date()).days
    if counted_in == "calendar days":
        return days
    return sum(is_working_day(now.date() + timedelta(days=n), holidays) for n in range(1, days + 1))


def _aware(moment: datetime) -> None:
    if moment.tzinfo is None:
        raise ValueError("A time of a ticket carries its offset from UTC.")


__all__ = ["DayCount", "Remaining", "counted_back", "counted_on", "is_working_day", "remaining"]
