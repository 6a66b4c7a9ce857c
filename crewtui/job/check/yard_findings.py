"""What of the yard's plan does not fit, and what cannot be judged since its wall is not placed."""

from __future__ import annotations

from collections.abc import Iterator

from crewtui.job.check.finding import Finding
from crewtui.job.file.model import Job
from crewtui.job.file.placing import yard_of
from crewtui.trade.ground.yard import Yard
from crewtui.units import at_most, show_length


def yard_findings(job: Job) -> Iterator[Finding]:
    """Yield corners that do not close, what stands in a wall, and what no corner carries round."""
    yard = yard_of(job)
    yield from _misclosed(job, yard)
    yield from _stretches(job)
    yield from _in_the_wall(job)
    yield from _unseen(job, yard)


def _misclosed(job: Job, yard: Yard) -> Iterator[Finding]:
    for one in yard.misclosures:
        if one.closes:
            continue
        apart = show_length(one.apart_in, job.job.units)
        turned = f" and {abs(one.turned_deg):.1f}° turned" if at_most(1.0, abs(one.turned_deg)) else ""
        words = (
            f"The corners do not close: where {one.wall} meets {one.neighbor} they come out {apart} apart"
            f"{turned}. Check the walls' lengths and the corners' turns."
        )
        yield Finding("caution", "yard", words)


def _stretches(job: Job) -> Iterator[Finding]:
    for wall in job.walls:
        for one in wall.stretches:
            if one.start_in < 0 or not at_most(one.end_in, wall.length_in):
                first, last, length = (
                    show_length(value, job.job.units) for value in (one.start_in, one.end_in, wall.length_in)
                )
                words = (
                    f"The stretch from {first} to {last} reaches past the wall {wall.name}, {length} long:"
                    " check from and to."
                )
                yield Finding("caution", "wall", words)


def _in_the_wall(job: Job) -> Iterator[Finding]:
    for one in job.in_ground:
        length_in = job.wall(one.wall).length_in
        deepest_in = min(
            (out_in for along_in, out_in in one.outline if 0 <= along_in <= length_in), default=0
        )
        if deepest_in < -1.0:
            into = show_length(-deepest_in, job.job.units)
            words = (
                f"The outline of {one.name} reaches {into} into the wall {one.wall}: out is measured from the"
                " outer face, away from the house."
            )
            yield Finding("caution", "yard", words)


def _unseen(job: Job, yard: Yard) -> Iterator[Finding]:
    """Yield, for each wall with anchors, what was measured from walls that are not placed with it."""
    for wall in dict.fromkeys(anchor.wall for anchor in job.anchors):
        unseen = [
            f"the {kind} {one.name} (measured from {one.wall})"
            for kind, ones in (("line", job.lines), ("footing", job.footings))
            for one in ones
            if not yard.knows(one.wall, wall)
        ]
        unseen += [
            f"{one.name} in the ground (from {one.wall})"
            for one in job.in_ground
            if not yard.knows(one.wall, wall)
        ]
        if wall not in job.property_line:
            unseen += [
                f"the property line (from {other})"
                for other in job.property_line
                if not yard.knows(other, wall)
            ]
        if unseen:
            unseen += [
                f"the rods of {other}"
                for other in dict.fromkeys(anchor.wall for anchor in job.anchors)
                if not yard.knows(other, wall)
            ]
        if unseen:
            words = (
                f"Cannot be judged for the anchors at {wall}: {'; '.join(unseen)}. Say with corners how the"
                " walls stand to each other; else look at it on site."
            )
            yield Finding("caution", "yard", words)


__all__ = ["yard_findings"]
