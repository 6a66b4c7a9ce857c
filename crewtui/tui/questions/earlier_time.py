"""Reading when something was done: 11:30, 45 min ago, yesterday 16:00."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from typing import Final

CAN: Final = "Write it like 11:30, 45 min ago, 2 h ago, or yesterday 16:00."
_AGO: Final = re.compile(r"(\d{1,3}) ?(min|minutes|m|h|hours?) ago")
_CLOCK: Final = re.compile(r"(yesterday )?(\d{1,2})[:.](\d{2})")
_HOURS, _MINUTES = 24, 60


def read_run(text: str, now: datetime) -> tuple[datetime, bool] | str:
    """Return the time meant, and whether it is for a run of entries: ``all 11:30``; else a sentence."""
    tidy = text.strip()
    run = tidy.lower().startswith("all ")
    found = read_time(tidy[4:] if run else tidy, now)
    return found if isinstance(found, str) else (found, run)


def read_time(text: str, now: datetime) -> datetime | str:
    """Return the time meant, with the offset of ``now``, or a sentence that says what can be read."""
    tidy = " ".join(text.lower().split())
    if found := _AGO.fullmatch(tidy):
        count = int(found[1])
        ago = timedelta(minutes=count) if found[2].startswith("m") else timedelta(hours=count)
        return now - ago
    found = _CLOCK.fullmatch(tidy)
    if found is None or int(found[2]) >= _HOURS or int(found[3]) >= _MINUTES:
        return f'"{text[:40]}" cannot be read. {CAN}'
    then = now.replace(hour=int(found[2]), minute=int(found[3]), second=0, microsecond=0)
    if found[1]:
        then -= timedelta(days=1)
    if then > now:
        return f"{then:%H:%M} is still to come: it is {now:%H:%M} now. {CAN}"
    return then
