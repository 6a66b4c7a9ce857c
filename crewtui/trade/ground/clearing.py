"""What would clear the lines in the ground: another depth, another mark, or a pit farther out.

Each way keeps where the rod lands on the middle where it can, and is judged as any aim is: over the whole
band, by every line, and by the pit's place against every tolerance zone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Final, Literal

from msgspec import Struct
from msgspec.structs import replace

from crewtui.trade.aim.rod_line import Section, angle_for_deg, depth_at_seat_in
from crewtui.trade.checks import checked
from crewtui.trade.ground.band import Band, RodHabit, rod_band
from crewtui.trade.ground.exposed import Serving
from crewtui.trade.ground.line_verdict import LineVerdict, judge_line
from crewtui.trade.ground.lines import TOLERANCE_ZONE_IN, Line, PitPlan, judge_pit
from crewtui.units import UnitSystem, at_least, at_most, show_angle, show_length

ClearingKind = Literal["steeper", "flatter", "lower mark", "higher mark", "farther", "along"]

DEPTH_STEP_IN: Final = 0.5
MARK_STEP_IN: Final = 0.5
ALONG_STEP_IN: Final = 3.0
ALONG_MOST_IN: Final = 36.0
"""How far along the wall an anchor is looked for another place: half the usual spacing (from memory)."""
FARTHER_STEP_IN: Final = 6.0
FARTHER_MOST_IN: Final = 72.0
"""How much farther out a pit is looked for: another length of rod, in round figures (from memory)."""


class ClearingBounds(Struct, frozen=True, kw_only=True):
    """Between which depths and marks, and how far out, a way is looked for."""

    least_depth_in: float
    greatest_depth_in: float
    mark_top_in: float
    mark_bottom_in: float
    greatest_setback_in: float | None = None
    """The property line, the ticket's area or an obstacle; None where none is known."""


class Clearing(Struct, frozen=True, kw_only=True):
    """One way that clears every line of known depth."""

    kind: ClearingKind
    section: Section
    held_deg: float
    depth_in: float
    """Where the rod lands on the middle, below the ground at the seat."""
    setback_in: float
    along_in: float
    words: str


def what_clears(
    lines: Sequence[Line],
    band: Band,
    pit: PitPlan,
    *,
    habit: RodHabit,
    bounds: ClearingBounds,
    least_clearance_in: float | None = None,
    tolerance_in: float = TOLERANCE_ZONE_IN,
    serving: Serving | None = None,
    system: UnitSystem = "imperial",
) -> tuple[Clearing, ...]:
    """Return, for each kind of way, the least change that clears every line of known depth.

    Empty where none of those holds, or nothing clears. No way meets the zone of a line that has to be laid
    bare first and that the rod as aimed does not meet, or more of one.
    """
    checked("The greatest depth", bounds.greatest_depth_in)

    def judged(tried: Band) -> tuple[LineVerdict, ...]:
        return tuple(
            judge_line(
                line,
                tried,
                least_clearance_in=least_clearance_in,
                tolerance_in=tolerance_in,
                serving=serving,
            )
            for line in lines
        )

    before = judged(band)
    if not any(verdict.too_near for verdict in before):
        return ()

    def clears(tried: Band, place: PitPlan) -> bool:
        if place != pit and any(judge_pit(line, place, tolerance_in=tolerance_in).in_zone for line in lines):
            return False
        after = judged(tried)
        return not any(one.too_near for one in after) and all(
            new.holes <= old.holes for old, new in zip(before, after, strict=True)
        )

    found = []
    for kind, tries in _ways(band, pit, bounds):
        for section, depth_in, place in tries:
            run_deg = angle_for_deg(section, depth_in)
            tried = rod_band(section, run_deg - habit.drift_mean_deg, along_in=band.along_in, habit=habit)
            if run_deg > 0 and clears(tried, place):
                found.append(_clearing(kind, tried, depth_in, place, system))
                break
    return tuple(found)


def what_clears_otherwise(
    band: Band,
    pit: PitPlan,
    *,
    habit: RodHabit,
    bounds: ClearingBounds,
    holds: Callable[[Band, PitPlan], bool],
    system: UnitSystem = "imperial",
) -> tuple[Clearing, ...]:
    """Return the least change of each kind with which nothing holds rod or pit; empty where none is found.

    The anchor moved along the wall keeps its depth and set-back; spacing and openings are for the layout.
    """
    found = []
    for kind, tries in _ways(band, pit, bounds):
        for section, depth_in, place in tries:
            run_deg = angle_for_deg(section, depth_in)
            tried = rod_band(section, run_deg - habit.drift_mean_deg, along_in=band.along_in, habit=habit)
            if run_deg > 0 and not holds(tried, place):
                found.append(_clearing(kind, tried, depth_in, place, system))
                break
    steps = (number * ALONG_STEP_IN for number in range(1, round(ALONG_MOST_IN / ALONG_STEP_IN) + 1))
    for step_in in steps:
        for along_in in (band.along_in - step_in, band.along_in + step_in):
            tried = rod_band(band.section, band.held_deg, along_in=along_in, habit=habit)
            place = replace(pit, along_in=along_in)
            if not holds(tried, place):
                found.append(_clearing("along", tried, _landing_in(band), place, system))
                return tuple(found)
    return tuple(found)


_Try = tuple[Section, float, PitPlan]


def _ways(
    band: Band, pit: PitPlan, bounds: ClearingBounds
) -> tuple[tuple[ClearingKind, Iterator[_Try]], ...]:
    return (
        ("steeper", _depths(band, pit, bounds, 1)),
        ("flatter", _depths(band, pit, bounds, -1)),
        ("lower mark", _marks(band, pit, bounds, 1)),
        ("higher mark", _marks(band, pit, bounds, -1)),
        ("farther", _farther(band, pit, bounds)),
    )


def _landing_in(band: Band) -> float:
    return depth_at_seat_in(band.section, band.run_deg)


def _depths(band: Band, pit: PitPlan, bounds: ClearingBounds, way: int) -> Iterator[_Try]:
    depth_in = _landing_in(band) + way * DEPTH_STEP_IN
    while at_least(depth_in, bounds.least_depth_in) and at_most(depth_in, bounds.greatest_depth_in):
        yield band.section, depth_in, pit
        depth_in += way * DEPTH_STEP_IN


def _marks(band: Band, pit: PitPlan, bounds: ClearingBounds, way: int) -> Iterator[_Try]:
    mark_in = band.section.mark_depth_in + way * MARK_STEP_IN
    while at_least(mark_in, bounds.mark_top_in) and at_most(mark_in, bounds.mark_bottom_in):
        yield replace(band.section, mark_depth_in=mark_in), _landing_in(band), pit
        mark_in += way * MARK_STEP_IN


def _farther(band: Band, pit: PitPlan, bounds: ClearingBounds) -> Iterator[_Try]:
    more_in = FARTHER_STEP_IN
    while at_most(more_in, FARTHER_MOST_IN):
        setback_in = pit.setback_in + more_in
        if bounds.greatest_setback_in is not None and not at_most(setback_in, bounds.greatest_setback_in):
            return
        seat_in = band.section.seat_in + more_in
        section = replace(band.section, seat_in=seat_in, drop_in=band.section.fall * seat_in)
        yield section, _landing_in(band), replace(pit, setback_in=setback_in)
        more_in += FARTHER_STEP_IN


def _clearing(
    kind: ClearingKind, band: Band, depth_in: float, place: PitPlan, system: UnitSystem
) -> Clearing:
    lands, held = show_length(depth_in, system), show_angle(band.held_deg)
    mark = show_length(band.section.mark_depth_in, system)
    words = {
        "steeper": f"steeper: hold {held}, for {lands} at the pit",
        "flatter": f"flatter: hold {held}, for {lands} at the pit",
        "lower mark": f"a lower mark: {mark} below grade, hold {held}",
        "higher mark": f"a higher mark: {mark} below grade, hold {held}",
        "farther": (
            f"farther: set-back {show_length(place.setback_in, system)}, hold {held}, if the ground falls on"
            " as it does up to here: shoot it"
        ),
        "along": f"moved along: {show_length(place.along_in, system)} along the wall",
    }[kind]
    return Clearing(
        kind=kind,
        section=band.section,
        held_deg=band.held_deg,
        depth_in=depth_in,
        setback_in=place.setback_in,
        along_in=place.along_in,
        words=words,
    )


__all__ = ["Clearing", "ClearingBounds", "ClearingKind", "what_clears", "what_clears_otherwise"]
