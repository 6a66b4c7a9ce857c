"""One plan of the yard: every wall placed by the corner that it shares with another and the turn there.

Each wall has its own frame: along from its start corner as seen from inside, and out from its outer face.
Seen from above with out pointing up the page, along runs to the right, so that the walls follow one another
clockwise round the house. The first wall's frame is the yard's. Plane geometry; no source beyond it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from msgspec import Struct

from crewtui.trade.checks import checked

PlanPoint = tuple[float, float]
CLOSES_IN: Final = 2.0
"""How far apart a corner may come out that is reached round two ways (from memory)."""
CLOSES_DEG: Final = 2.0


class SharedCorner(Struct, frozen=True, kw_only=True):
    """Where a wall's outer face meets another's, and how far it turns there."""

    wall: str
    here_in: float
    """The corner's place along this wall."""
    neighbor: str
    there_in: float
    """Its place along the other wall."""
    turn_deg: float
    """Going on round the house: 90 at a plain outside corner, -90 at an inside one."""
    follows: bool
    """This wall comes after the other, going clockwise round the house."""
    top_lower_in: float = 0.0
    """How far this wall's top lies below the other's."""


class WallPlace(Struct, frozen=True, kw_only=True):
    """Where one wall lies in the yard."""

    wall: str
    x_in: float
    y_in: float
    """Its start corner."""
    along_deg: float
    """Which way along runs; 0 is the first wall's own."""
    top_in: float
    """How far its top lies below the first wall's top."""

    def to_yard(self, point: PlanPoint) -> PlanPoint:
        """Return a point of the wall's frame in the yard's."""
        along, out = point
        cos, sin = math.cos(math.radians(self.along_deg)), math.sin(math.radians(self.along_deg))
        # turned by the wall's own direction, then moved to its start
        return (self.x_in + along * cos - out * sin, self.y_in + along * sin + out * cos)

    def from_yard(self, point: PlanPoint) -> PlanPoint:
        """Return a point of the yard in the wall's frame: (along, out)."""
        x, y = point[0] - self.x_in, point[1] - self.y_in
        cos, sin = math.cos(math.radians(self.along_deg)), math.sin(math.radians(self.along_deg))
        # the same, turned back
        return (x * cos + y * sin, -x * sin + y * cos)


class Misclosure(Struct, frozen=True, kw_only=True):
    """A corner that is reached round two ways and comes out at two places."""

    wall: str
    neighbor: str
    apart_in: float
    turned_deg: float

    @property
    def closes(self) -> bool:
        """Whether the two places are one, as nearly as a yard is taped."""
        return self.apart_in <= CLOSES_IN and abs(self.turned_deg) <= CLOSES_DEG


class Yard(Struct, frozen=True, kw_only=True):
    """The walls that could be placed."""

    places: Mapping[str, WallPlace]
    unplaced: tuple[str, ...]
    misclosures: tuple[Misclosure, ...]

    def carried(self, points: Sequence[PlanPoint], *, measured_from: str, to: str) -> tuple[PlanPoint, ...]:
        """Return points of one wall's frame in another's; KeyError where one of the two is not placed."""
        if measured_from == to:
            return tuple(points)
        start, end = self.places[measured_from], self.places[to]
        return tuple(end.from_yard(start.to_yard(point)) for point in points)

    def knows(self, first: str, second: str) -> bool:
        """Return whether two walls are placed to each other; a wall is to itself."""
        return first == second or (first in self.places and second in self.places)


def place_walls(walls: Sequence[str], corners: Iterable[SharedCorner]) -> Yard:
    """Return where each wall lies, from the first one on; those that no corner leads to stay unplaced."""
    if not walls:
        raise ValueError("A yard has at least one wall.")
    first = WallPlace(wall=walls[0], x_in=0.0, y_in=0.0, along_deg=0.0, top_in=0.0)
    places, left = {walls[0]: first}, list(corners)
    for corner in left:
        checked("The corner's turn", corner.turn_deg)
    while True:
        ready = next((one for one in left if (one.wall in places) != (one.neighbor in places)), None)
        if ready is None:
            break
        left.remove(ready)
        known = ready.neighbor if ready.neighbor in places else ready.wall
        found = _placed(ready, places[known])
        places[found.wall] = found
    return Yard(
        places=places,
        unplaced=tuple(wall for wall in walls if wall not in places),
        misclosures=tuple(_misclosure(one, places) for one in left if one.wall in places),
    )


def _placed(corner: SharedCorner, known: WallPlace) -> WallPlace:
    """Return the corner's other wall."""
    forward = known.wall == corner.neighbor
    wall = corner.wall if forward else corner.neighbor
    there_in, here_in = (corner.there_in, corner.here_in) if forward else (corner.here_in, corner.there_in)
    clockwise = corner.follows if forward else not corner.follows
    along_deg = known.along_deg + (-corner.turn_deg if clockwise else corner.turn_deg)
    at_x, at_y = known.to_yard((there_in, 0.0))
    along = math.radians(along_deg)
    return WallPlace(
        wall=wall,
        x_in=at_x - here_in * math.cos(along),
        y_in=at_y - here_in * math.sin(along),
        along_deg=along_deg,
        top_in=known.top_in + (corner.top_lower_in if forward else -corner.top_lower_in),
    )


def _misclosure(corner: SharedCorner, places: Mapping[str, WallPlace]) -> Misclosure:
    neighbor, stands = places[corner.neighbor], places[corner.wall]
    meant = _placed(corner, neighbor)
    turned_deg = (stands.along_deg - meant.along_deg + 180.0) % 360.0 - 180.0
    apart_in = math.dist(neighbor.to_yard((corner.there_in, 0.0)), stands.to_yard((corner.here_in, 0.0)))
    return Misclosure(wall=corner.wall, neighbor=corner.neighbor, apart_in=apart_in, turned_deg=turned_deg)


__all__ = [
    "CLOSES_DEG", "CLOSES_IN", "Misclosure", "PlanPoint", "SharedCorner", "WallPlace", "Yard", "place_walls",
]  # fmt: skip
