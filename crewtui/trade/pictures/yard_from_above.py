"""The yard from above, as who stands in it sees the house: walls on top, out from the first one downwards.

Page x runs to the right and page y down, in inches, whatever draws it. Left and right are the yard's: a
wall's start corner, left as seen from inside, is its right corner here. Each plate has two tapes, one from
either corner of its own wall, level, along the ground; where the two cross, it lies.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Final

from msgspec import Struct

from crewtui.trade.ground.in_ground import InGround
from crewtui.trade.ground.yard import PlanPoint, WallPlace
from crewtui.units import UnitSystem, show_length

MARGIN_IN: Final = 24.0
CELL_ASPECT: Final = 2.0
"""A character is about twice as high as it is wide."""


class WallInYard(Struct, frozen=True, kw_only=True):
    """One wall as it is placed."""

    place: WallPlace
    length_in: float


class AnchorInYard(Struct, frozen=True, kw_only=True):
    """One anchor, in its wall's frame: along from the start corner, out from the outer face."""

    id: str
    wall: str
    along_in: float
    setback_in: float
    plate_along_in: float
    plate_out_in: float
    built: bool
    """The plate stands where the rod came up; else where it is meant to."""


class RunInYard(Struct, frozen=True, kw_only=True):
    """A line in the ground, the property line, or the outline of an area or of a thing in the ground."""

    name: str
    kind: str
    points: tuple[PlanPoint, ...]
    closed: bool = False


class PlateTapes(Struct, frozen=True, kw_only=True):
    """Where a plate lies, by two tapes from the corners of its wall, left and right as seen from the yard."""

    anchor: str
    wall: str
    from_left_in: float
    from_right_in: float
    out_in: float
    built: bool
    words: str


class YardPicture(Struct, frozen=True, kw_only=True):
    """Everything that the drawing of a yard shows, in page inches."""

    walls: tuple[RunInYard, ...]
    runs: tuple[RunInYard, ...]
    rods: tuple[RunInYard, ...]
    pits: tuple[RunInYard, ...]
    """Their middles."""
    plates: tuple[RunInYard, ...]
    tapes: tuple[PlateTapes, ...]
    left_in: float
    top_in: float
    right_in: float
    bottom_in: float


def yard_plan(
    walls: Sequence[WallInYard],
    anchors: Iterable[AnchorInYard],
    *,
    runs: Iterable[tuple[str, RunInYard]] = (),
    things: Iterable[tuple[str, InGround]] = (),
    system: UnitSystem = "imperial",
) -> YardPicture:
    """Return the plan of walls that are placed to each other; ``runs`` and ``things`` come with their wall.

    What reaches far past the pits, as a property line may, is cut off by who draws.
    """
    if not walls:
        raise ValueError("A plan of the yard needs at least one wall.")
    places = {wall.place.wall: wall for wall in walls}

    def page(wall: str, points: Iterable[PlanPoint]) -> tuple[PlanPoint, ...]:
        # Half a turn from the first wall's frame: its out runs down the page, its along to the left.
        return tuple((-x, y) for x, y in (places[wall].place.to_yard((along, out)) for along, out in points))

    shown = [one for one in anchors if one.wall in places]
    drawn_walls = tuple(
        RunInYard(name=name, kind="wall", points=page(name, ((0.0, 0.0), (wall.length_in, 0.0))))
        for name, wall in places.items()
    )
    rods, pits, plates = (
        tuple(RunInYard(name=one.id, kind=kind, points=page(one.wall, points(one))) for one in shown)
        for kind, points in (
            ("rod", lambda one: ((one.along_in, 0.0), (one.plate_along_in, one.plate_out_in))),
            ("pit", lambda one: ((one.along_in, one.setback_in),)),
            ("plate", lambda one: ((one.plate_along_in, one.plate_out_in),)),
        )
    )
    others = [
        RunInYard(name=run.name, kind=run.kind, points=page(wall, run.points), closed=run.closed)
        for wall, run in runs
        if wall in places
    ]
    others += [
        RunInYard(name=thing.name, kind=thing.kind, points=page(wall, thing.outline), closed=True)
        for wall, thing in things
        if wall in places
    ]
    seen = [point for run in (*drawn_walls, *pits, *plates) for point in run.points]
    return YardPicture(
        walls=drawn_walls,
        runs=tuple(others),
        rods=rods,
        pits=pits,
        plates=plates,
        tapes=tuple(plate_tapes(one, places[one.wall].length_in, system) for one in shown),
        left_in=min(x for x, _ in seen) - MARGIN_IN,
        top_in=min(y for _, y in seen) - MARGIN_IN,
        right_in=max(x for x, _ in seen) + MARGIN_IN,
        bottom_in=max(y for _, y in seen) + MARGIN_IN,
    )


def plate_tapes(anchor: AnchorInYard, wall_length_in: float, system: UnitSystem = "imperial") -> PlateTapes:
    """Return the two tapes to a plate. Level distances; a tape that follows a slope reads a little more."""
    along_in, out_in = anchor.plate_along_in, anchor.plate_out_in
    right_in, left_in = math.hypot(along_in, out_in), math.hypot(wall_length_in - along_in, out_in)
    left, right, out = (show_length(one, system) for one in (left_in, right_in, out_in))
    meant = "" if anchor.built else " (as planned)"
    words = (
        f"plate{meant} {left} from the left corner of the wall {anchor.wall} and {right} from its right"
        f" corner, {out} out"
    )
    return PlateTapes(
        anchor=anchor.id,
        wall=anchor.wall,
        from_left_in=left_in,
        from_right_in=right_in,
        out_in=out_in,
        built=anchor.built,
        words=words,
    )


_SIGNS: Final = {
    "wall": "#", "rod": ":", "pit": "o", "plate": "=", "ticket area": ".", "property line": "P",
    "footing": "F", "frost wall": "F", "window well": "W", "drain tile": "D", "roots": "R", "other": "X",
}  # fmt: skip
_LINE_SIGN: Final = "~"


def draw_yard(picture: YardPicture, *, width: int, height: int) -> tuple[str, ...]:
    """Return the plan in plain characters, one scale both ways, no wider and no higher than that."""
    wide_in, high_in = picture.right_in - picture.left_in, picture.bottom_in - picture.top_in
    per_column = max(wide_in / max(1, width - 1), high_in / CELL_ASPECT / max(1, height - 1))
    columns = min(width, math.floor(wide_in / per_column) + 1)
    rows = min(height, math.floor(high_in / per_column / CELL_ASPECT) + 1)
    cells = [[" "] * columns for _ in range(rows)]

    def put(point: PlanPoint, sign: str) -> None:
        column = round((point[0] - picture.left_in) / per_column)
        row = round((point[1] - picture.top_in) / per_column / CELL_ASPECT)
        if 0 <= column < columns and 0 <= row < rows:
            cells[row][column] = sign

    for runs in (picture.runs, picture.walls, picture.rods):
        for run in runs:
            for point in _along(run, per_column / 2):
                put(point, _SIGNS.get(run.kind, _LINE_SIGN))
    for run in (*picture.pits, *picture.plates):
        put(run.points[0], _SIGNS[run.kind])
    for run in picture.pits:
        x, y = run.points[0]
        for number, letter in enumerate(run.name[:6]):
            put((x + (2 + number) * per_column, y), letter)
    return tuple("".join(row).rstrip() for row in cells)


def _along(run: RunInYard, step_in: float) -> Iterable[PlanPoint]:
    points = (*run.points, run.points[0]) if run.closed else run.points
    for (x1, y1), (x2, y2) in pairwise(points):
        count = min(2_000, max(1, math.ceil(math.dist((x1, y1), (x2, y2)) / step_in)))
        for number in range(count + 1):
            share = number / count
            yield (x1 + share * (x2 - x1), y1 + share * (y2 - y1))


def legend(picture: YardPicture) -> tuple[str, ...]:
    """Return what each sign of the drawing is, for what is in it."""
    said = {"#": "wall", ":": "rod", "o": "pit", "=": "plate"}
    for run in picture.runs:
        sign = _SIGNS.get(run.kind, _LINE_SIGN)
        what = "line in the ground" if sign == _LINE_SIGN else run.kind
        had = said.get(sign)
        said[sign] = what if had is None or had == what else "footing or frost wall"
    return tuple(f"{sign} {what}" for sign, what in said.items())


__all__ = [
    "AnchorInYard", "PlateTapes", "RunInYard", "WallInYard", "YardPicture", "draw_yard", "legend",
    "plate_tapes", "yard_plan",
]  # fmt: skip
