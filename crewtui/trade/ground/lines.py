"""Lines in the ground, and whether a pit touches their tolerance zones.

A line is a run of points seen from above in the wall's frame: (along the wall, out from the outer face).
Tolerance zone: width of the line and 18 in each side of its edge (CGA Best Practices 5.19), or more where the
state says so. Inside it nobody digs by machine: hand digging, soft digging and vacuum methods are what CGA
Best Practices 5.20 names.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Final

from msgspec import Struct

from crewtui.trade.checks import checked
from crewtui.trade.ground import exposed
from crewtui.trade.ground.exposed import Footprint, PlanPoint, Round, Serving, Spot, beside
from crewtui.trade.ground.nearness import Range, body, nearest_in
from crewtui.trade.vocabulary import LineKind
from crewtui.units import UnitSystem, at_most, show_length

TOLERANCE_ZONE_IN: Final = 18.0
"""Each side of the line's edge: CGA Best Practices 5.19; a state may ask for more."""
COLORS: Final[Mapping[LineKind, str]] = {
    "electric": "red",
    "gas": "yellow",
    "communication": "orange",
    "potable water": "blue",
    "reclaimed water": "purple",
    "sewer": "green",
    "other": "no color of its own",
}
"""Marks on the ground: APWA uniform color code (yellow: also oil, steam; purple: also irrigation)."""


class Line(Struct, frozen=True, kw_only=True):
    """A line known in the yard."""

    name: str
    kind: LineKind
    points: tuple[PlanPoint, ...]
    width_in: float = 0.0
    depth_in: float | None = None
    """To its middle below the ground, as the plan has it; it is known only where the line was laid bare."""
    spots: tuple[Spot, ...] = ()
    """Where it was laid bare, and how deep it lay there."""
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
        """Its name, kind and the color of its marks, in words."""
        color = COLORS[self.kind]
        marks = f"{color} marks" if self.kind != "other" else color
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
    if pit.round:
        center = (pit.along_in, pit.setback_in)
        from_center_in = min(beside(center, start, end)[0] for start, end in pairwise(points))
        return max(0.0, from_center_in - pit.along_rod_in / 2)
    flat = (Range(0.0, 0.0), Range(0.0, 0.0))
    out = Range(pit.setback_in - pit.along_rod_in / 2, pit.setback_in + pit.along_rod_in / 2)
    across = Range(pit.along_in - pit.across_in / 2, pit.along_in + pit.across_in / 2)
    run = [(out_in, along_in, 0.0) for along_in, out_in in points]
    return nearest_in(body(out, along=(across, across), depth=flat), run)


def pit_footprint(pit: PitPlan) -> Footprint:
    """Return the pit's rim, seen from above."""
    if pit.round:
        return Round(center=(pit.along_in, pit.setback_in), radius_in=pit.along_rod_in / 2)
    left, right = pit.along_in - pit.across_in / 2, pit.along_in + pit.across_in / 2
    near, far = pit.setback_in - pit.along_rod_in / 2, pit.setback_in + pit.along_rod_in / 2
    return ((left, near), (right, near), (right, far), (left, far))


class PitVerdict(Struct, frozen=True, kw_only=True):
    """Whether a pit touches a line's tolerance zone."""

    line: Line
    pit: PitPlan
    zone_in: float
    """Line's middle to the edge of its zone: half its width and the tolerance."""
    in_zone: bool
    on_line: bool
    """The pit would be dug onto the line itself: as it was laid bare, else by its marks."""
    bare: tuple[Range, ...]
    """Stretches of the line, taped along it, that the pit may meet and that no exposure stands for."""
    dig_at: PlanPoint | None
    """Where the next hole serves most; None where nothing is left to lay bare."""
    words: str

    @property
    def exposed(self) -> bool:
        """Whether all of the line that the pit may meet was laid bare."""
        return not self.bare


def judge_pit(
    line: Line,
    pit: PitPlan,
    *,
    tolerance_in: float = TOLERANCE_ZONE_IN,
    serving: Serving | None = None,
    system: UnitSystem = "imperial",
) -> PitVerdict:
    """Return whether the pit touches the line's tolerance zone; touching counts."""
    serving = serving if serving is not None else Serving()
    zone_in = line.width_in / 2 + checked("The tolerance", tolerance_in, least=0)
    to_middle_in = pit_to_line_in(pit, line.points)
    in_zone = at_most(to_middle_in, zone_in)
    met = exposed.met(line.points, pit_footprint(pit), zone_in)
    bare = exposed.left_bare(met, exposed.served(line.points, line.spots, serving))
    runs = [line.points] if bare or not line.spots else []
    known = exposed.pieces(line.points, line.spots, serving, met)
    runs += [tuple((x, y) for x, y, _ in piece) for piece in known]
    really_in = min((pit_to_line_in(pit, run) for run in runs), default=to_middle_in)
    on_line = at_most(really_in, line.width_in / 2)
    return PitVerdict(
        line=line,
        pit=pit,
        zone_in=zone_in,
        in_zone=in_zone,
        on_line=on_line,
        bare=bare,
        dig_at=exposed.next_hole(line.points, bare, serving),
        words=_pit_words(line, to_middle_in, in_zone=in_zone, on_line=on_line, system=system),
    )


def _pit_words(line: Line, to_middle_in: float, *, in_zone: bool, on_line: bool, system: UnitSystem) -> str:
    away = show_length(max(0.0, to_middle_in - line.width_in / 2), system)
    if on_line:
        return f"The pit would lie on {line.called}: move the pit, or have the line's owner say how."
    if in_zone:
        return (
            f"The pit is in the tolerance zone of {line.called}, {away} from its mark: dig by hand or by"
            " vacuum until it is exposed."
        )
    return f"The pit is clear of the tolerance zone of {line.called}: {away} from its mark."


__all__ = [
    "COLORS",
    "TOLERANCE_ZONE_IN",
    "Line",
    "PitPlan",
    "PitVerdict",
    "PlanPoint",
    "judge_pit",
    "pit_footprint",
    "pit_to_line_in",
]  # fmt: skip
