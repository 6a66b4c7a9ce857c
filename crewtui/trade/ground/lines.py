"""Lines in the ground: which meet the pit's ground or the rod's way, and what holds until exposed.

A line is a run of points seen from above in the wall's frame: (along the wall, out from the outer face).
The rod is judged over the whole band where it may run, two standard deviations of aim and drift up, down
and sideways, from the wall to the stop mark, never at the aim alone. Tolerance zone: width of the line and
18 in each side of its edge (CGA Best Practices 5.19), or more where the state says so. Lines are located
before the ground is opened and their exact place is found by safe means (29 CFR 1926.651(b)).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Final, Literal

from msgspec import Struct

from crewtui.trade.checks import checked
from crewtui.trade.ground.band import Band
from crewtui.trade.ground.nearness import Range, body, nearest_in
from crewtui.units import UnitSystem, at_least, at_most, show_length, show_length_fine

LineKind = Literal["electric", "gas", "communication", "potable water", "reclaimed water", "sewer", "other"]
PlanPoint = tuple[float, float]
"""(along the wall, out from the outer face), in inches."""
LineState = Literal["clear", "hold until exposed", "hold: too near"]

TOLERANCE_ZONE_IN: Final = 18.0
"""Each side of the line's edge: CGA Best Practices 5.19; a state may ask for more."""
COLOURS: Final[Mapping[LineKind, str]] = {
    "electric": "red",
    "gas": "yellow",
    "communication": "orange",
    "potable water": "blue",
    "reclaimed water": "purple",
    "sewer": "green",
    "other": "no colour of its own",
}
"""Marks on the ground: APWA uniform colour code (yellow: also oil, steam; purple: also irrigation)."""


class Line(Struct, frozen=True, kw_only=True):
    """A line known in the yard."""

    name: str
    kind: LineKind
    points: tuple[PlanPoint, ...]
    width_in: float = 0.0
    depth_in: float | None = None
    """To its middle below the ground right there; unknown until exposed and measured."""
    drop_in: float | None = None
    """Drop from grade at the wall to the ground over the line, where taken; else the anchor's own fall."""

    def __post_init__(self) -> None:
        if len(self.points) < 2:  # noqa: PLR2004 - two points make a line
            raise ValueError(f"The line {self.name} needs at least two points.")
        for along_in, out_in in self.points:
            checked(f"A point of the line {self.name}", along_in)
            checked(f"A point of the line {self.name}", out_in)
        checked(f"The width of the line {self.name}", self.width_in, least=0)
        if self.depth_in is not None:
            checked(f"The depth of the line {self.name}", self.depth_in, least=0)
        if self.drop_in is not None:
            checked(f"The drop of the ground over the line {self.name}", self.drop_in)

    @property
    def called(self) -> str:
        """Its name, kind and the colour of its marks, in words."""
        colour = COLOURS[self.kind]
        marks = f"{colour} marks" if self.kind != "other" else colour
        return f"{self.name} ({self.kind}, {marks})"


class PitPlan(Struct, frozen=True, kw_only=True):
    """The pit seen from above."""

    along_in: float
    setback_in: float
    """Outer face to the pit's middle."""
    along_rod_in: float
    across_in: float
    round: bool
    """Augered: a circle of diameter ``along_rod_in``."""

    def __post_init__(self) -> None:
        checked("The pit's place along the wall", self.along_in)
        checked("The set-back", self.setback_in)
        checked("The pit's size along the rod", self.along_rod_in, above=0)
        checked("The pit's size across the rod", self.across_in, above=0)


def pit_to_line_in(pit: PitPlan, points: Sequence[PlanPoint]) -> float:
    """Return how near the middle of a line comes to the pit, seen from above; 0 where it crosses."""
    run = [(out_in, along_in, 0.0) for along_in, out_in in points]
    flat = (Range(0.0, 0.0), Range(0.0, 0.0))
    if pit.round:
        centre = (pit.setback_in, pit.along_in)
        from_centre_in = min(_beside(centre, start[:2], end[:2])[0] for start, end in pairwise(run))
        return max(0.0, from_centre_in - pit.along_rod_in / 2)
    out = Range(pit.setback_in - pit.along_rod_in / 2, pit.setback_in + pit.along_rod_in / 2)
    across = Range(pit.along_in - pit.across_in / 2, pit.along_in + pit.across_in / 2)
    return nearest_in(body(out, along=(across, across), depth=flat), run)


class PitVerdict(Struct, frozen=True, kw_only=True):
    """Whether a pit touches a line's tolerance zone."""

    line: Line
    pit: PitPlan
    tolerance_in: float
    to_middle_in: float
    """Nearest edge of the pit to the line's middle."""
    zone_in: float
    """Line's middle to the edge of its zone: half its width and the tolerance."""
    in_zone: bool
    on_line: bool
    """The pit would be dug onto the line itself."""
    words: str


def judge_pit(
    line: Line, pit: PitPlan, *, tolerance_in: float = TOLERANCE_ZONE_IN, system: UnitSystem = "imperial"
) -> PitVerdict:
    """Return whether the pit touches the line's tolerance zone; touching counts."""
    zone_in = line.width_in / 2 + checked("The tolerance", tolerance_in, least=0)
    to_middle_in = pit_to_line_in(pit, line.points)
    in_zone, on_line = at_most(to_middle_in, zone_in), at_most(to_middle_in, line.width_in / 2)
    away = show_length(max(0.0, to_middle_in - line.width_in / 2), system)
    if on_line:
        words = f"The pit would lie on {line.called}: move the pit, or have the line's owner say how."
    elif in_zone:
        words = (
            f"The pit is in the tolerance zone of {line.called}, {away} from its edge: dig by hand tools"
            " until it is exposed."
        )
    else:
        words = f"The pit is clear of the tolerance zone of {line.called}: {away} from its edge."
    return PitVerdict(
        line=line,
        pit=pit,
        tolerance_in=tolerance_in,
        to_middle_in=to_middle_in,
        zone_in=zone_in,
        in_zone=in_zone,
        on_line=on_line,
        words=words,
    )


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
    passing: tuple[Passing, ...]
    """Every crossing; where there is none, the nearest place beside and the ends of the run beside."""
    aside_clearance_in: float
    """Steel to the line's edge seen from above: the least it can be at any depth of the line."""
    clearance_in: float | None
    """Steel to the line's edge; None while the line's depth is unknown. 0 where they may touch."""
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
    def crosses(self) -> bool:
        """Whether it crosses the rod seen from above."""
        return any(place.crosses for place in self.passing)


def judge_line(
    line: Line, band: Band, *, least_clearance_in: float | None = None, system: UnitSystem = "imperial"
) -> LineVerdict:
    """Return how near the steel comes to a line; without a least clearance any line inside the band holds."""
    if least_clearance_in is not None:
        checked("The least clearance", least_clearance_in, least=0)
    around_in = band.rod_radius_in + line.width_in / 2
    flat_run = [(out_in, along_in, 0.0) for along_in, out_in in line.points]
    aside_in = max(0.0, nearest_in(band.seen_from_above(), flat_run) - around_in)
    clearance_in = None
    if line.depth_in is not None:
        run = [(x, y, _ground_in(line, band, x) + line.depth_in) for x, y, _ in flat_run]
        clearance_in = max(0.0, nearest_in(band.body(), run) - around_in)
    judged_in = aside_in if clearance_in is None else clearance_in
    near = at_most(judged_in, 0) or not at_least(judged_in, least_clearance_in or 0.0)
    state: LineState = "clear"
    if near:
        state = "hold until exposed" if clearance_in is None else "hold: too near"
    passing = _passing(line, band)
    return LineVerdict(
        line=line,
        band=band,
        least_clearance_in=least_clearance_in,
        passing=passing,
        aside_clearance_in=aside_in,
        clearance_in=clearance_in,
        state=state,
        words=_line_words(line, passing, state, judged_in, least_clearance_in, system),
    )


def _ground_in(line: Line, band: Band, out_in: float) -> float:
    """Return how far the ground over a line lies below grade at the wall."""
    return band.section.fall * out_in if line.drop_in is None else line.drop_in


def _passing(line: Line, band: Band) -> tuple[Passing, ...]:
    start = (0.0, band.aside_in(0.0, band.side_run_deg))
    end = (band.reach_in, band.aside_in(band.reach_in, band.side_run_deg))
    run = [(out_in, along_in) for along_in, out_in in line.points]
    crossings: dict[tuple[float, float], None] = {}
    for first, last in pairwise(run):
        place = _crossing(start, end, first, last)
        if place is not None:
            crossings[place] = None
    if crossings:
        return tuple(_place(line, band, place, 0.0, crosses=True) for place in sorted(crossings))
    near = [_beside(point, start, end) for point in run]
    for first, last in pairwise(run):
        for rod_end in (start, end):
            aside_in, place = _beside(rod_end, first, last)
            near.append((aside_in, place))
    # From where to where it runs beside: its ends, and where it leaves the stretch that the rod takes up.
    outs = [min(band.reach_in, max(0.0, out_in)) for out_in, _ in run]
    found = [min(near)]
    for x in (min(outs), max(outs)):
        rod = (x, band.aside_in(x, band.side_run_deg))
        aside_in, _ = min(_beside(rod, first, last) for first, last in pairwise(run))
        found.append((aside_in, rod))
    return tuple(_place(line, band, place, aside_in, crosses=False) for aside_in, place in found)


def _crossing(
    a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float]
) -> tuple[float, float] | None:
    """Return where two segments cross; None where they do not, or run the same way."""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    turn = ux * vy - uy * vx
    if abs(turn) <= 1e-12 * math.hypot(ux, uy) * math.hypot(vx, vy):
        return None
    s = ((c[0] - a[0]) * vy - (c[1] - a[1]) * vx) / turn
    t = ((c[0] - a[0]) * uy - (c[1] - a[1]) * ux) / turn
    return (a[0] + s * ux, a[1] + s * uy) if 0 <= s <= 1 and 0 <= t <= 1 else None


def _beside(
    point: tuple[float, float], start: tuple[float, float], end: tuple[float, float]
) -> tuple[float, tuple[float, float]]:
    """Return the distance from a point to a segment, and the place on the segment."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    square = dx * dx + dy * dy
    share = 0.0
    if square > 0:
        share = min(1.0, max(0.0, ((point[0] - start[0]) * dx + (point[1] - start[1]) * dy) / square))
    foot = (start[0] + share * dx, start[1] + share * dy)
    return math.dist(point, foot), foot


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


def _line_words(  # noqa: PLR0917 - a sentence of all that was found
    line: Line,
    passing: tuple[Passing, ...],
    state: LineState,
    judged_in: float,
    least_clearance_in: float | None,
    system: UnitSystem,
) -> str:
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
    rod = f"{show_length(least_in, system)} to {show_length(greatest_in, system)}"
    lies = "at a depth not known" if line.depth_in is None else f"{show_length(line.depth_in, system)} deep"
    said = f"{line.called}, {lies}, {where}; the rod may run {rod} below the ground there."
    if state == "hold until exposed":
        return f"{said} Expose it by hand and measure its depth before driving."
    if state == "clear":
        if line.depth_in is None:
            return f"{said} It stays {show_length(judged_in, system)} to the side at any depth."
        return f"{said} Steel stays {show_length(judged_in, system)} from it."
    if at_most(judged_in, 0):
        return f"{said} The rod may strike it: do not drive."
    near = show_length_fine(judged_in, least_clearance_in or 0.0, system)
    least = show_length(least_clearance_in or 0.0, system)
    return f"{said} Steel may come within {near} where {least} is the least: do not drive."


__all__ = [
    "COLOURS", "TOLERANCE_ZONE_IN", "Line", "LineKind", "LineState", "LineVerdict", "Passing", "PitPlan",
    "PitVerdict", "PlanPoint", "judge_line", "judge_pit", "pit_to_line_in",
]  # fmt: skip
