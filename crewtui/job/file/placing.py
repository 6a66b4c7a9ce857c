"""The plan of the yard that a job file describes: what was measured from one wall, as another has it."""

from __future__ import annotations

from collections.abc import Iterator

from crewtui.job.file.model import Job, Wall, WallCorner
from crewtui.trade.ground.in_ground import InGround
from crewtui.trade.ground.yard import PlanPoint, SharedCorner, Yard, place_walls


def yard_of(job: Job) -> Yard:
    """Return every wall that the corners of the job file place, from its first wall on."""
    walls = {wall.name: wall for wall in job.walls}
    corners = [
        _corner(wall, corner, walls[corner.wall])
        for wall in job.walls
        for corner in wall.corners
        if corner.wall in walls
    ]
    return place_walls(tuple(walls), corners)


def _corner(wall: Wall, corner: WallCorner, neighbor: Wall) -> SharedCorner:
    """Return the corner; a wall that meets at its first half follows the other, and meets the other's end."""
    follows = corner.here_in <= wall.length_in / 2
    there_in = corner.there_in
    if there_in is None:
        there_in = neighbor.length_in if follows else 0.0
    return SharedCorner(
        wall=wall.name,
        here_in=corner.here_in,
        neighbor=neighbor.name,
        there_in=there_in,
        turn_deg=corner.turn_deg,
        follows=follows,
        top_lower_in=corner.top_lower_in,
    )


def property_runs(job: Job, wall: str) -> tuple[tuple[PlanPoint, ...], ...]:
    """Return the property line as the wall has it: its own run first, then those carried from other walls."""
    yard, own = yard_of(job), job.property_line.get(wall)
    others = (
        yard.carried(points, measured_from=name, to=wall)
        for name, points in job.property_line.items()
        if name != wall and yard.knows(name, wall)
    )
    return (*((own,) if own else ()), *others)


def things_in_ground(job: Job, wall: str) -> Iterator[InGround]:
    """Yield what stands in the ground, in the wall's frame, as far as its own wall is placed."""
    yard = yard_of(job)
    for one in job.in_ground:
        if yard.knows(one.wall, wall):
            yield InGround(
                name=one.name,
                kind=one.kind,
                outline=yard.carried(one.outline, measured_from=one.wall, to=wall),
                top_in=one.top_depth_in,
                base_in=one.base_depth_in,
            )


__all__ = ["property_runs", "things_in_ground", "yard_of"]
