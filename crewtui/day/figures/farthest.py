"""How far out a pit may lie on an anchor's line: inside the ticket's area and the property."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from crewtui.day.state.inputs import Inputs
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.job.file.placing import property_runs

PlanPoint = tuple[float, float]


def greatest_setback(state: DayState, now: AnchorNow, inputs: Inputs) -> tuple[float | None, str]:
    """Return the farthest that the pit's middle may lie, and what bounds it; None where nothing is known.

    Judged at both sides of the pit, so that no corner of it reaches past. An area that does not reach the
    wall at this anchor bounds nothing here: the ticket's own check says so.
    """
    along_in = inputs.number("along_in")
    half_across_in = inputs.number("pit_across_in") / 2
    half_along_in = inputs.number("pit_along_rod_in") / 2
    places = (along_in - half_across_in, along_in, along_in + half_across_in)
    bounds: list[tuple[float, str]] = []
    lines = property_runs(state.job, now.wall)
    crossings = [
        out_in for line in lines for place in places for out_in in _crossings_in(line, place) if out_in > 0
    ]
    if crossings:
        bounds.append((min(crossings), "the property line"))
    area = state.job.ticket.area.get(now.wall, ()) if state.job.ticket is not None else ()
    ends = [max(_crossings_in((*area, area[0]), place), default=None) for place in places] if area else []
    reached = [end for end in ends if end is not None and end > 0]
    if reached and len(reached) == len(places):
        bounds.append((min(reached), "the ticket's area"))
    if not bounds:
        return None, ""
    least_in, why = min(bounds)
    return least_in - half_along_in, why


def _crossings_in(run: Sequence[PlanPoint], along_in: float) -> list[float]:
    """Return how far out a run of points crosses the line square to the wall at this place."""
    found: list[float] = []
    for (x1, y1), (x2, y2) in pairwise(run):
        if not min(x1, x2) <= along_in <= max(x1, x2):
            continue
        found += [y1, y2] if x1 == x2 else [y1 + (along_in - x1) / (x2 - x1) * (y2 - y1)]
    return found
