"""How near steel comes to a line in the ground, over the whole band where a rod may run.

The band is two standard deviations of aim and drift up, down and sideways, from the wall to the stop mark;
the aim alone is never judged. Where the band meets the line's tolerance zone, seen from above, the drive
waits until the line is laid bare there, wherever its mark lies. Lines are located before the ground is
opened and their exact place is found by safe means (29 CFR 1926.651(b)); beside a bore they are laid bare at
reasonable distances along it (20 VAC 5-309-150 (6), one state's rule).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from crewtui.trade.checks import checked
from crewtui.trade.ground import exposed
from crewtui.trade.ground.band import Band
from crewtui.trade.ground.exposed import Piece, PlanPoint, Serving
from crewtui.trade.ground.lines import TOLERANCE_ZONE_IN, Line
from crewtui.trade.ground.nearness import Range, Vector, nearest_in
from crewtui.units import UnitSystem, at_least, at_most, show_length, show_length_fine

LineState = Literal["clear", "hold until exposed", "hold: too near"]


class Passing(Struct, frozen=True, kw_only=True):
    """A place where a line crosses the rod, or comes nearest beside it, seen from above."""

    out_in: float
    along_in: float
    crosses: bool
    aside_in: float
    """From the rod's middle line, seen from above; 0 where it crosses."""
    rod_depth_in: float
    """Below the ground there, on the middle of the band."""
    rod_least_in: float
    rod_greatest_in: float


class LineVerdict(Struct, frozen=True, kw_only=True):
    """How near the steel comes to one line over the whole band, and what that holds."""

    line: Line
    band: Band
    least_clearance_in: float | None
    zone_in: float
    """Line's middle to the edge of its zone: half its width and the tolerance."""
    passing: tuple[Passing, ...]
    """Every crossing; where there is none, the nearest place beside and the ends of the run beside."""
    met: tuple[Range, ...]
    """Stretches of the line, taped along it, whose zone the band meets seen from above."""
    bare: tuple[Range, ...]
    """What has to be laid bare and is not: where its mark lies in the band, or beside it all that is met."""
    holes: int
    """How many holes would lay those bare."""
    dig_at: PlanPoint | None
    """Where the next hole serves most; None where nothing is left to lay bare."""
    aside_clearance_in: float
    """Steel to the line's edge seen from above, by its marks: the least it can be at any depth."""
    clearance_in: float | None
    """Steel to the line's edge as laid bare here, else as deep as the plan has it; None without both."""
    depth_in: float | None
    """Its depth there, as laid bare, else as the plan has it."""
    known: bool
    """The depth was measured where the line was laid bare."""
    state: LineState
    words: str

    @property
    def holds(self) -> bool:
        """Whether driving waits."""
        return self.state != "clear"

    @property
    def too_near(self) -> bool:
        """Whether steel may come too near to the line as it is known to lie."""
        return self.state == "hold: too near"

    @property
    def watched(self) -> bool:
        """Whether the rod passes a line that lies bare: somebody watches it as the rod passes."""
        return bool(self.met) and not self.holds

    @property
    def crosses(self) -> bool:
        """Whether it crosses the rod seen from above."""
        return any(place.crosses for place in self.passing)


def judge_line(
    line: Line,
    band: Band,
    *,
    least_clearance_in: float | None = None,
    tolerance_in: float = TOLERANCE_ZONE_IN,
    serving: Serving | None = None,
    system: UnitSystem = "imperial",
) -> LineVerdict:
    """Return how near the steel comes to a line, and whether it has to be laid bare first."""
    least_in = 0.0
    if least_clearance_in is not None:
        least_in = checked("The least clearance", least_clearance_in, least=0)
    serving = serving if serving is not None else Serving()
    zone_in = line.width_in / 2 + checked("The tolerance", tolerance_in, least=0)
    around_in = band.rod_radius_in + line.width_in / 2
    footprint = _footprint(band)
    zone_around_in = max(band.rod_radius_in + zone_in, around_in + least_in)
    met = exposed.met(line.points, footprint, zone_around_in)
    asked = exposed.to_lay_bare(
        line.points, footprint, _middle(band), touching_in=around_in, zone_in=zone_around_in
    )
    bare = exposed.left_bare(asked, exposed.served(line.points, line.spots, serving))
    passing = _passing(line, band)
    crossings = [(place.along_in, place.out_in) for place in passing if place.crosses]
    runs = exposed.pieces(line.points, line.spots, serving, met)
    known = bool(runs)
    if not runs and line.depth_in is not None:
        runs = (tuple((x, y, line.depth_in) for x, y in line.points),)
    flat_run = [(out_in, along_in, 0.0) for along_in, out_in in line.points]
    aside_in = max(0.0, nearest_in(band.seen_from_above(), flat_run) - around_in)
    clearance_in = None
    if runs:
        solid = band.body()
        clearance_in = max(
            0.0, min(nearest_in(solid, _in_ground(line, band, run)) for run in runs) - around_in
        )
    near = clearance_in is not None and (at_most(clearance_in, 0) or not at_least(clearance_in, least_in))
    state: LineState = "hold: too near" if near else "hold until exposed" if bare else "clear"
    found = LineVerdict(
        line=line,
        band=band,
        least_clearance_in=least_clearance_in,
        zone_in=zone_in,
        passing=passing,
        met=met,
        bare=bare,
        holes=exposed.holes_needed(bare, serving),
        dig_at=exposed.next_hole(line.points, bare, serving, crossings=crossings),
        aside_clearance_in=aside_in,
        clearance_in=clearance_in,
        depth_in=_depth_here(runs, passing[0]),
        known=known,
        state=state,
        words="",
    )
    return replace(found, words=_line_words(found, system))


def _middle(band: Band) -> tuple[PlanPoint, PlanPoint]:
    """Return the rod on the middle of the band, seen from above."""
    ends = (0.0, band.reach_in)
    near, far = ((band.aside_in(out_in, band.side_run_deg), out_in) for out_in in ends)
    return near, far


def _footprint(band: Band) -> tuple[PlanPoint, ...]:
    """Return the ground that the rod's middle line may take up, seen from above."""
    (near_least, near_most), (far_least, far_most) = (
        [band.aside_in(out_in, deg) for deg in (band.side_least_deg, band.side_greatest_deg)]
        for out_in in (0.0, band.reach_in)
    )
    reach_in = band.reach_in
    return ((near_least, 0.0), (near_most, 0.0), (far_most, reach_in), (far_least, reach_in))


def _in_ground(line: Line, band: Band, run: Piece) -> list[Vector]:
    """Return a run as the band has it: out, along, and depth below grade at the wall."""
    return [(y, x, _ground_in(line, band, y) + depth_in) for x, y, depth_in in run]


def _depth_here(runs: Sequence[Piece], place: Passing) -> float | None:
    """Return the depth of the line nearest to where it passes."""
    point = (place.along_in, place.out_in)
    found = (
        (away_in, first[2] + _share(first, last, foot) * (last[2] - first[2]))
        for run in runs
        for first, last in pairwise(run)
        for away_in, foot in (exposed.beside(point, first[:2], last[:2]),)
    )
    return min(found, default=(0.0, None))[1]


def _share(first: Vector, last: Vector, foot: PlanPoint) -> float:
    long_in = math.dist(first[:2], last[:2])
    return 0.0 if long_in == 0 else math.dist(first[:2], foot) / long_in


def _ground_in(line: Line, band: Band, out_in: float) -> float:
    """Return how far the ground over a line lies below grade at the wall."""
    return band.section.fall * out_in if line.drop_in is None else line.drop_in


def _passing(line: Line, band: Band) -> tuple[Passing, ...]:
    start = (0.0, band.aside_in(0.0, band.side_run_deg))
    end = (band.reach_in, band.aside_in(band.reach_in, band.side_run_deg))
    run = [(out_in, along_in) for along_in, out_in in line.points]
    crossings: dict[tuple[float, float], None] = {}
    for first, last in pairwise(run):
        place = exposed.crossing(start, end, first, last)
        if place is not None:
            crossings[place] = None
    if crossings:
        return tuple(_place(line, band, place, 0.0, crosses=True) for place in sorted(crossings))
    near = [exposed.beside(point, start, end) for point in run]
    for first, last in pairwise(run):
        for rod_end in (start, end):
            aside_in, place = exposed.beside(rod_end, first, last)
            near.append((aside_in, place))
    # From where to where it runs beside: its ends, and where it leaves the stretch that the rod takes up.
    outs = [min(band.reach_in, max(0.0, out_in)) for out_in, _ in run]
    found = [min(near)]
    for x in (min(outs), max(outs)):
        rod = (x, band.aside_in(x, band.side_run_deg))
        aside_in, _ = min(exposed.beside(rod, first, last) for first, last in pairwise(run))
        found.append((aside_in, rod))
    return tuple(_place(line, band, place, aside_in, crosses=False) for aside_in, place in found)


def _place(line: Line, band: Band, place: tuple[float, float], aside_in: float, *, crosses: bool) -> Passing:
    out_in = min(band.reach_in, max(0.0, place[0]))
    ground_in = _ground_in(line, band, out_in)
    return Passing(
        out_in=out_in,
        along_in=place[1],
        crosses=crosses,
        aside_in=aside_in,
        rod_depth_in=band.depth_in(out_in, band.run_deg) - ground_in,
        rod_least_in=band.depth_in(out_in, band.flattest_deg) - ground_in,
        rod_greatest_in=band.depth_in(out_in, band.steepest_deg) - ground_in,
    )


def _line_words(verdict: LineVerdict, system: UnitSystem) -> str:
    line, bare = verdict.line, bool(verdict.bare)
    if verdict.depth_in is None:
        lies = "at a depth not known"
    else:
        by = "" if verdict.known else " by the plan"
        lies = f"{show_length(verdict.depth_in, system)} deep{by}"
    said = f"{line.called}, {lies}, {_where(verdict, system)} below the ground there."
    expose = f" {_expose(verdict, system)}" if bare else ""
    if verdict.state == "hold until exposed":
        return f"{said}{expose}"
    if verdict.state == "clear":
        if verdict.clearance_in is None:
            aside = show_length(verdict.aside_clearance_in, system)
            return f"{said} Its tolerance zone stays clear of the rod, and its mark {aside} to the side."
        return f"{said} Steel stays {show_length(verdict.clearance_in, system)} from it."
    clearance_in, least_in = verdict.clearance_in or 0.0, verdict.least_clearance_in or 0.0
    if at_most(clearance_in, 0):
        return f"{said} The rod may strike it: do not drive.{expose}"
    near, least = show_length_fine(clearance_in, least_in, system), show_length(least_in, system)
    return f"{said} Steel may come within {near} where {least} is the least: do not drive.{expose}"


def _where(verdict: LineVerdict, system: UnitSystem) -> str:
    passing = verdict.passing
    place = passing[0]
    least_in, greatest_in = place.rod_least_in, place.rod_greatest_in
    if place.crosses:
        where = f"crosses the rod {show_length(place.out_in, system)} out"
    else:
        least_in = min(beside.rod_least_in for beside in passing)
        greatest_in = max(beside.rod_greatest_in for beside in passing)
        first, last = (show_length(beside.out_in, system) for beside in passing[1:])
        stretch = f"from {first} to {last} out" if first != last else f"{first} out"
        where = f"runs beside the rod {stretch}, nearest {show_length(place.aside_in, system)} to the side"
    return f"{where}; the rod may run {show_length(least_in, system)} to {show_length(greatest_in, system)}"


def _expose(verdict: LineVerdict, system: UnitSystem) -> str:
    """Return where it has to be laid bare, and in how many holes where one does not do."""
    if verdict.dig_at is None:
        return ""
    along, out = (show_length(one, system) for one in verdict.dig_at)
    more = f"; it takes {verdict.holes} holes along it" if verdict.holes > 1 else ""
    other = " there" if verdict.line.spots else ""
    return (
        f"Expose it{other} by hand or by vacuum, {out} out and {along} along the wall{more}; type its depth."
    )


__all__ = ["LineState", "LineVerdict", "Passing", "judge_line"]
