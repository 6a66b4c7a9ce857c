"""How near a run of points comes to a convex body with six faces, exactly.

Where a segment does not enter a convex polyhedron, the nearest pair is an end of the segment with a face,
or the segment with an edge: if both nearest points lay inside a face and inside the segment, the two would
be parallel and the pair could slide to an edge or an end. So the least over those pairs is the distance,
but for rounding (less than 1e-6 in at the size of a yard).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from msgspec import Struct

Vector = tuple[float, float, float]
"""(out from the wall, along the wall, depth below grade at the wall), in inches."""

EDGES = (
    (0, 1), (1, 3), (3, 2), (2, 0), (4, 5), (5, 7), (7, 6), (6, 4), (0, 4), (1, 5), (2, 6), (3, 7),
)  # fmt: skip
_SLACK = 1e-9


class Range(Struct, frozen=True):
    """From a least to a greatest value; both may be the same."""

    least: float
    greatest: float

    def __post_init__(self) -> None:
        if not self.least <= self.greatest:
            raise ValueError(f"A range runs upward; {self.least:g} is over {self.greatest:g}.")


class _HalfSpace(Struct, frozen=True):
    """The points p with normal·p <= offset; the normal has length one."""

    normal: Vector
    offset: float

    def over(self, point: Vector) -> float:
        """Return how far a point lies outside; negative inside."""
        return _dot(self.normal, point) - self.offset


class Body(Struct, frozen=True):
    """A convex body with six faces: two upright ones across the way out, four along it."""

    corners: tuple[Vector, ...]
    faces: tuple[_HalfSpace, ...]


def body(out: Range, *, along: tuple[Range, Range], depth: tuple[Range, Range]) -> Body:
    """Return the body whose faces run straight from the near end of ``out`` to its far end."""
    length = out.greatest - out.least
    if not length > 0:
        raise ValueError("A body needs a length along the way out.")
    corners = tuple(
        (x, y, z)
        for x, across, down in ((out.least, along[0], depth[0]), (out.greatest, along[1], depth[1]))
        for y in (across.least, across.greatest)
        for z in (down.least, down.greatest)
    )
    faces = [
        _HalfSpace((-1.0, 0.0, 0.0), -out.least),
        _HalfSpace((1.0, 0.0, 0.0), out.greatest),
    ]
    for axis, (near, far) in ((1, along), (2, depth)):
        faces.append(_slanted(axis, 1.0, near.greatest, (far.greatest - near.greatest) / length, out.least))
        faces.append(_slanted(axis, -1.0, near.least, (far.least - near.least) / length, out.least))
    return Body(corners, tuple(faces))


def _slanted(axis: int, sign: float, value: float, slope: float, start: float) -> _HalfSpace:
    """Return the half space sign·p[axis] <= sign·(value + slope·(x − start))."""
    size = math.hypot(1.0, slope)
    normal = (
        (-sign * slope / size, sign / size, 0.0) if axis == 1 else (-sign * slope / size, 0.0, sign / size)
    )
    return _HalfSpace(normal, sign * (value - slope * start) / size)


def nearest_in(solid: Body, run: Sequence[Vector]) -> float:
    """Return the distance from a run of points to the body; 0 where it touches or enters."""
    if not run:
        raise ValueError("A run of points needs at least one point.")
    if len(run) == 1:
        return _segment_distance(solid, run[0], run[0])
    return min(_segment_distance(solid, start, end) for start, end in pairwise(run))


def _segment_distance(solid: Body, start: Vector, end: Vector) -> float:
    if _enters(solid, start, end):
        return 0.0
    best = min(_between(start, end, solid.corners[a], solid.corners[b]) for a, b in EDGES)
    for point in (start, end):
        for face in solid.faces:
            over = face.over(point)
            if 0 < over < best:
                foot = _plus(point, face.normal, -over)
                if all(other.over(foot) <= _SLACK for other in solid.faces):
                    best = over
    return best


def _enters(solid: Body, start: Vector, end: Vector) -> bool:
    """Return whether any of the segment lies in the body: cut it by each face in turn (Cyrus and Beck)."""
    low, high = 0.0, 1.0
    for face in solid.faces:
        first, last = face.over(start), face.over(end)
        if first > 0 and last > 0:
            return False
        if first > 0:
            low = max(low, first / (first - last))
        elif last > 0:
            high = min(high, first / (first - last))
    return low <= high


def _between(a: Vector, b: Vector, c: Vector, d: Vector) -> float:
    """Return the distance between the segments ab and cd."""
    u, v, w = _minus(b, a), _minus(d, c), _minus(a, c)
    uu, uv, vv, uw, vw = _dot(u, u), _dot(u, v), _dot(v, v), _dot(u, w), _dot(v, w)
    square = uu * vv - uv * uv
    # The ends are tried in any case; the inner pair only where the two are not parallel.
    best = min(_to_point(a, c, d), _to_point(b, c, d), _to_point(c, a, b), _to_point(d, a, b))
    if square > 1e-12 * uu * vv:
        s, t = (uv * vw - vv * uw) / square, (uu * vw - uv * uw) / square
        if 0 <= s <= 1 and 0 <= t <= 1:
            best = min(best, math.dist(_plus(a, u, s), _plus(c, v, t)))
    return best


def _to_point(point: Vector, start: Vector, end: Vector) -> float:
    along = _minus(end, start)
    square = _dot(along, along)
    share = 0.0 if square == 0 else min(1.0, max(0.0, _dot(_minus(point, start), along) / square))
    return math.dist(point, _plus(start, along, share))


def _dot(a: Vector, b: Vector) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _minus(a: Vector, b: Vector) -> Vector:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def _plus(a: Vector, b: Vector, share: float) -> Vector:
    return (a[0] + share * b[0], a[1] + share * b[1], a[2] + share * b[2])


__all__ = ["EDGES", "Body", "Range", "Vector", "body", "nearest_in"]
