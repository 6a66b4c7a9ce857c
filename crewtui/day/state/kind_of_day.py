"""Which kind of day it is: a wall is tied back, or one that is tied back is looked at again."""

from __future__ import annotations

from typing import Final

from crewtui.day.state.state import AnchorNow, DayState
from crewtui.trade.vocabulary import DayKind

_READ: Final = frozenset({"bow_in", "bow_after_in", "bow_found_in"})


def kind_of_day(state: DayState) -> DayKind:
    """Return what the job says; a wall that an earlier record tells of and that was only read is a visit."""
    card = state.job.job
    if card.day == "visit":
        return "visit"
    later = bool(card.earlier_record or card.earlier_records)
    return "visit" if later and only_read(state) else "install"


def only_read(state: DayState) -> bool:
    """Return whether the wall was read, and nothing else was done at any anchor."""
    live = list(state.live())
    return any(now.readings for now in live) and all(was_only_read(now) for now in live)


def was_only_read(now: AnchorNow) -> bool:
    """Return whether nothing but readings was entered at an anchor."""
    return not (now.answers or now.drives or now.pieces or set(now.as_built) - _READ)


__all__ = ["kind_of_day", "only_read", "was_only_read"]
