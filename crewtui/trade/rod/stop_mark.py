"""The stop mark: the length on the rod, taped from its leading end, past which nobody drives on.

Whichever comes first: the end at the pit's far side, (distance to the far side + wall) / cos θ, or the rod as
made up less the tail that must stay in the room to grip and to screw on to. Plane geometry, no source beyond.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from crewtui.trade.aim.rod_line import Section, stop_mark_in
from crewtui.trade.checks import checked
from crewtui.units import UnitSystem, at_most, show_length

StopsAt = Literal["the pit's far side", "the rod's end"]


class StopMark(Struct, frozen=True, kw_only=True):
    """Where a drive stops."""

    from_end_in: float
    """Taped on the rod from its leading end; it comes to the wall's inner face."""
    stops_at: StopsAt
    far_side_in: float
    """The length at which the end meets the pit's far side."""
    rod_total_in: float | None
    """The rod as made up; None where its pieces are not known."""
    tail_least_in: float
    """What must stay in the room."""

    @property
    def add_in(self) -> float:
        """What must be screwed on before the end can come to the pit's far side."""
        return max(0.0, self.far_side_in - self.from_end_in)

    def words(self, system: UnitSystem = "imperial") -> str:
        """Return what to do about it, where the rod ends first; else nothing."""
        if self.stops_at == "the pit's far side" or self.rod_total_in is None:
            return ""
        total, tail, add = (
            show_length(one, system) for one in (self.rod_total_in, self.tail_least_in, self.add_in)
        )
        return (
            f"The rod as made up ({total}) ends first: {tail} of it must stay in the room to grip. To go on"
            f" to the pit's far side screw on {add} more."
        )


def stop_mark(
    section: Section,
    angle_deg: float,
    *,
    past_seat_in: float,
    rod_total_in: float | None,
    tail_least_in: float,
) -> StopMark:
    """Return where the drive of this rod stops."""
    checked("The tail that stays in the room", tail_least_in, least=0)
    far_side_in = stop_mark_in(section, angle_deg, past_seat_in=past_seat_in)
    rod_end_in = None if rod_total_in is None else max(0.0, rod_total_in - tail_least_in)
    ends_first = rod_end_in is not None and not at_most(far_side_in, rod_end_in)
    return StopMark(
        from_end_in=rod_end_in if ends_first and rod_end_in is not None else far_side_in,
        stops_at="the rod's end" if ends_first else "the pit's far side",
        far_side_in=far_side_in,
        rod_total_in=rod_total_in,
        tail_least_in=tail_least_in,
    )
