"""The lines in an anchor's ground: the pit against their zones, the rod's whole band against the lines."""

from __future__ import annotations

import math
from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from crewtui.day.figures.farthest import greatest_setback
from crewtui.day.state.inputs import Inputs, past_seat_in
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.job.file.model import BuriedLine
from crewtui.job.file.placing import yard_of
from crewtui.trade.aim.drift import Drift
from crewtui.trade.aim.rod_line import Section, skew_of_deg
from crewtui.trade.ground.band import RodHabit, rod_band
from crewtui.trade.ground.clearing import Clearing, ClearingBounds, what_clears
from crewtui.trade.ground.exposed import Serving, Spot
from crewtui.trade.ground.line_verdict import LineVerdict, judge_line
from crewtui.trade.ground.lines import Line, PitPlan, PitVerdict, judge_pit
from crewtui.trade.ground.yard import Yard

NOT_JUDGED = (
    "There are lines in this ground, and how near the rod comes to them cannot be judged until the figures"
    " of the aim are known."
)


class LineFigures(Struct, frozen=True, kw_only=True):
    """What the lines of the wall mean for this anchor's pit and rod."""

    pit: PitPlan
    pits: tuple[PitVerdict, ...]
    """One for each line."""
    lines: tuple[LineVerdict, ...]
    """One for each line; none while there is no aim."""
    clearings: tuple[Clearing, ...]
    """What would clear every line of known depth, where one of them holds."""
    words: tuple[str, ...]

    @property
    def holds_driving(self) -> bool:
        """Return whether any line holds the drive."""
        return any(verdict.holds for verdict in self.lines)


def lines_of(state: DayState, wall: str) -> tuple[Line, ...]:
    """Return the lines known to a wall, its own and those of walls placed in one yard with it.

    Each comes with the places where it was laid bare on site, all in the wall's own frame.
    """
    yard = yard_of(state.job)
    return tuple(
        Line(
            name=line.name,
            kind=line.kind,
            points=yard.carried(line.points, measured_from=line.wall, to=wall),
            width_in=line.width_in,
            depth_in=line.depth_in,
            spots=tuple(_spots(state, line, wall, yard)),
        )
        for line in state.job.lines
        if yard.knows(line.wall, wall)
    )


def _spots(state: DayState, line: BuriedLine, wall: str, yard: Yard) -> Iterator[Spot]:
    """Yield where a line was laid bare; it is kept as its own wall has it."""
    for one in state.shared.exposed:
        if one.line == line.name and one.along_in is not None and one.out_in is not None:
            at = yard.carried(((one.along_in, one.out_in),), measured_from=line.wall, to=wall)
            yield Spot(along_in=at[0][0], out_in=at[0][1], depth_in=one.depth_in)


def serving(state: DayState) -> Serving:
    """Return how much of a line an exposure stands for, by the company's rules."""
    return Serving(
        reach_in=state.rules.number("exposure_serves_in"),
        between=state.rules.text("between_exposures") == "straight",
    )


def pit_plan(state: DayState, inputs: Inputs) -> PitPlan:
    """Return the anchor's pit as it is or will be, seen from above."""
    return PitPlan(
        along_in=inputs.number("along_in"),
        setback_in=inputs.number("setback_in"),
        along_rod_in=inputs.number("pit_along_rod_in"),
        across_in=inputs.number("pit_across_in"),
        round=state.job.tools.pit == "auger",
    )


def judge_lines(
    state: DayState,
    now: AnchorNow,
    inputs: Inputs,
    *,
    section: Section | None,
    held_deg: float | None,
    drift: Drift,
    depths_in: tuple[float, float] | None,
) -> LineFigures:
    """Judge every line of the wall; ``depths_in`` is the window in which another aim would still serve.

    Without a section or an angle to hold only the pit is judged, and the words say so.
    """
    lines, pit = lines_of(state, now.wall), pit_plan(state, inputs)
    rules, system = state.rules, state.job.job.units
    tolerance_in = rules.number("tolerance_zone_in")
    least_in = rules.number_or_none("least_clearance_in")
    serves = serving(state)
    pits = tuple(
        judge_pit(line, pit, tolerance_in=tolerance_in, serving=serves, system=system) for line in lines
    )
    words = [verdict.words for verdict in pits if verdict.in_zone]
    found: tuple[LineVerdict, ...] = ()
    clearings: tuple[Clearing, ...] = ()
    if lines and (section is None or held_deg is None):
        words.append(NOT_JUDGED)
    elif lines and section is not None and held_deg is not None:
        habit = rod_habit(state, inputs, drift)
        aside_in = inputs.known("hole_aside_in") or 0.0
        back_deg = math.copysign(skew_of_deg(section, aside_in), -aside_in)
        habit = replace(habit, side_mean_deg=habit.side_mean_deg + back_deg)
        band = rod_band(section, held_deg, along_in=inputs.number("along_in") + aside_in, habit=habit)
        found = tuple(
            judge_line(
                line,
                band,
                least_clearance_in=least_in,
                tolerance_in=tolerance_in,
                serving=serves,
                system=system,
            )
            for line in lines
        )
        words += [verdict.words for verdict in found if verdict.holds]
        if depths_in is not None and any(verdict.too_near for verdict in found):
            bounds = ClearingBounds(
                least_depth_in=depths_in[0],
                greatest_depth_in=depths_in[1],
                mark_top_in=rules.number("mark_band_top_in"),
                mark_bottom_in=rules.number("mark_band_bottom_in"),
                greatest_setback_in=greatest_setback(state, now, inputs)[0],
            )
            clearings = what_clears(
                lines,
                band,
                pit,
                habit=habit,
                bounds=bounds,
                least_clearance_in=least_in,
                tolerance_in=tolerance_in,
                serving=serves,
                system=system,
            )
    return LineFigures(pit=pit, pits=pits, lines=found, clearings=clearings, words=tuple(words))


def rod_habit(state: DayState, inputs: Inputs, drift: Drift) -> RodHabit:
    """Return the rod and how rods run on this wall, as the ground has shown it so far.

    Sideways nothing is learned from the rods, so that the company's prior and spread serve there.
    """
    return RodHabit(
        rod_diameter_in=state.job.rod.diameter_in,
        past_seat_in=past_seat_in(inputs),
        drift_mean_deg=drift.mean_deg,
        drift_sd_deg=drift.predictive_sd_deg,
        side_sd_deg=drift.unlearned_sd_deg,
    )


__all__ = ["NOT_JUDGED", "LineFigures", "judge_lines", "lines_of", "pit_plan", "rod_habit", "serving"]
