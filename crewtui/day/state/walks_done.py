"""The walks with the owner as they stand: each thing, what was written down of it, and the owner's yes."""

from __future__ import annotations

from msgspec import Struct

from crewtui.day.journal.beside_entries import WalkAgreed, WalkSeen
from crewtui.day.state.state import DayState
from crewtui.job.tables.walks import WalkName, things


class WalkRow(Struct, frozen=True, kw_only=True):
    """One thing of a walk."""

    id: str
    label: str
    how: str
    seen: tuple[WalkSeen, ...]

    @property
    def words(self) -> str:
        """Return what was written down, each with its place."""
        return "; ".join(f"{one.place}: {one.words}" if one.place else one.words for one in self.seen)


def walk_rows(state: DayState, walk: WalkName) -> tuple[WalkRow, ...]:
    """Return what belongs to a walk, in its order."""
    seen = [one for one in state.shared.beside.seen if one.walk == walk]
    return tuple(
        WalkRow(
            id=thing.id,
            label=thing.label,
            how=thing.how,
            seen=tuple(one for one in seen if one.thing == thing.id),
        )
        for thing in things(walk)
    )


def agreed(state: DayState, walk: WalkName) -> WalkAgreed | None:
    """Return the owner's yes to a walk; none where something was written down after it."""
    beside = state.shared.beside
    found = [one for one in beside.agreed if one.walk == walk]
    later = any(one.walk == walk and found and one.n > found[-1].n for one in beside.seen)
    return found[-1] if found and not later else None
