"""The band of ground where a rod may run: two standard deviations of aim and drift, up, down and sideways.

It runs from the outer face to the stop mark. Steel is judged over all of it, never at the aim alone.
"""

from __future__ import annotations

import math
from typing import Final

from msgspec import Struct

from crewtui.trade.aim.rod_line import Section
from crewtui.trade.checks import checked, checked_angle
from crewtui.trade.ground.nearness import Body, Range, body

BAND_SDS: Final = 2.0
"""How many standard deviations of aim and drift the rod is judged over."""
STEEPEST_JUDGED_DEG: Final = 80.0
"""The band is cut off here; no rod is driven so."""


class Band(Struct, frozen=True, kw_only=True):
    """The ground where a rod held at an angle may run."""

    section: Section
    along_in: float
    held_deg: float
    run_deg: float
    """The angle it runs at on the middle: held and drift."""
    flattest_deg: float
    steepest_deg: float
    side_least_deg: float
    side_greatest_deg: float
    side_run_deg: float
    """Off square, on the middle of the band."""
    reach_in: float
    """Outer face to the farthest that the rod's end comes at the stop mark."""
    rod_radius_in: float

    def depth_in(self, out_in: float, angle_deg: float) -> float:
        """Return the depth below grade at the wall of a rod at this angle, this far out."""
        # D_i + (x + t)·tan θ: plane geometry, x out from the wall
        return self.section.mark_depth_in + (out_in + self.section.way_in) * math.tan(math.radians(angle_deg))

    def aside_in(self, out_in: float, angle_deg: float) -> float:
        """Return the place along the wall of a rod at this angle off square, this far out."""
        # along + (out + way in)·tan of the angle aside
        return self.along_in + (out_in + self.section.way_in) * math.tan(math.radians(angle_deg))

    def body(self) -> Body:
        """Return the band as a body: out from the wall, along it, and in depth below grade at the wall."""
        near, far = (
            Range(self.depth_in(x, self.flattest_deg), self.depth_in(x, self.steepest_deg))
            for x in (0.0, self.reach_in)
        )
        return body(Range(0.0, self.reach_in), along=self._aside(), depth=(near, far))

    def seen_from_above(self) -> Body:
        """Return the band laid flat at depth 0."""
        flat = (Range(0.0, 0.0), Range(0.0, 0.0))
        return body(Range(0.0, self.reach_in), along=self._aside(), depth=flat)

    def _aside(self) -> tuple[Range, Range]:
        near, far = (
            Range(self.aside_in(x, self.side_least_deg), self.aside_in(x, self.side_greatest_deg))
            for x in (0.0, self.reach_in)
        )
        return near, far


class RodHabit(Struct, frozen=True, kw_only=True):
    """The rod, the pit it must reach, and how it runs; deviations are of one rod, habit and spread."""

    rod_diameter_in: float
    past_seat_in: float
    """From the seat to the pit's far side."""
    drift_mean_deg: float = 0.0
    drift_sd_deg: float
    side_mean_deg: float = 0.0
    side_sd_deg: float

    def __post_init__(self) -> None:
        checked("The rod's diameter", self.rod_diameter_in, above=0)
        checked("The pit past the seat", self.past_seat_in, above=0)
        checked_angle(self.drift_mean_deg, "The drift")
        checked_angle(self.side_mean_deg, "The drift sideways")
        checked("The standard deviation of the rod's angle", self.drift_sd_deg, least=0)
        checked("The standard deviation of the rod's angle sideways", self.side_sd_deg, least=0)


def rod_band(section: Section, held_deg: float, *, along_in: float, habit: RodHabit) -> Band:
    """Return where a rod held at this angle, may run: two standard deviations every way."""
    checked_angle(held_deg, "The angle held")
    run_deg = checked_angle(held_deg + habit.drift_mean_deg, "The angle run")
    flattest_deg = _judged(run_deg - BAND_SDS * habit.drift_sd_deg)
    steepest_deg = _judged(run_deg + BAND_SDS * habit.drift_sd_deg)
    nearest_level_deg = min(max(0.0, flattest_deg), steepest_deg)
    pit_far_in = section.run_in + habit.past_seat_in
    # The stop mark is taped for the angle held; a rod nearer to level reaches a little farther.
    reach_in = pit_far_in * math.cos(math.radians(nearest_level_deg)) / math.cos(math.radians(held_deg))
    return Band(
        section=section,
        along_in=checked("The place along the wall", along_in),
        held_deg=held_deg,
        run_deg=run_deg,
        flattest_deg=flattest_deg,
        steepest_deg=steepest_deg,
        side_least_deg=_judged(habit.side_mean_deg - BAND_SDS * habit.side_sd_deg),
        side_greatest_deg=_judged(habit.side_mean_deg + BAND_SDS * habit.side_sd_deg),
        side_run_deg=habit.side_mean_deg,
        reach_in=max(reach_in, pit_far_in) - section.way_in,
        rod_radius_in=habit.rod_diameter_in / 2,
    )


def _judged(angle_deg: float) -> float:
    return min(STEEPEST_JUDGED_DEG, max(-STEEPEST_JUDGED_DEG, angle_deg))
