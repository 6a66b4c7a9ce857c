"""What stands beside the anchors: who is on site, which tool runs, what was asked for, shown and agreed."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct, field

from crewtui.day.journal import beside_entries as b


class Beside(Struct, frozen=True, kw_only=True):
    """Entries that change no anchor, in the order entered."""

    people: tuple[b.PeopleSeen, ...] = ()
    running: Mapping[str, b.ToolStarted] = field(default_factory=dict)
    """By tool: what was started and has not been stopped."""
    wanted: tuple[b.InspectionWanted, ...] = ()
    asked: tuple[b.InspectionAsked, ...] = ()
    made: tuple[b.InspectionMade, ...] = ()
    seen: tuple[b.WalkSeen, ...] = ()
    pictures: tuple[b.PictureKept, ...] = ()
    agreed: tuple[b.WalkAgreed, ...] = ()
