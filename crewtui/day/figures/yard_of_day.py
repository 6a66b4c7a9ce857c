"""The yard from above as the day has it: the walls that are placed to each other in one plan."""

from __future__ import annotations

from collections.abc import Iterator

from crewtui.day.state.inputs import inputs_for
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.job.file.placing import things_in_ground, yard_of
from crewtui.trade.ground.yard import WallPlace
from crewtui.trade.pictures.yard_from_above import AnchorInYard, RunInYard, WallInYard, YardPicture, yard_plan


def yard_pictures(state: DayState) -> tuple[YardPicture, ...]:
    """Return a plan of the walls that are placed, then one of each wall that no corner leads to."""
    yard = yard_of(state.job)
    alone = [{wall: _by_itself(wall)} for wall in yard.unplaced]
    with_anchors = {now.wall for now in state.live()}
    return tuple(
        _picture(state, dict(places))
        for places in (yard.places, *alone)
        if not with_anchors.isdisjoint(places)
    )


def _by_itself(wall: str) -> WallPlace:
    return WallPlace(wall=wall, x_in=0.0, y_in=0.0, along_deg=0.0, top_in=0.0)


def _picture(state: DayState, places: dict[str, WallPlace]) -> YardPicture:
    job = state.job
    walls = [WallInYard(place=place, length_in=job.wall(name).length_in) for name, place in places.items()]
    first = walls[0].place.wall
    area = job.ticket.area if job.ticket is not None else {}
    runs = [
        *((wall, RunInYard(name="ticket", kind="ticket area", points=points, closed=True))
          for wall, points in area.items()),
        *((wall, RunInYard(name="property line", kind="property line", points=points))
          for wall, points in job.property_line.items()),
        *((line.wall, RunInYard(name=line.name, kind="line", points=line.points)) for line in job.lines),
    ]  # fmt: skip
    return yard_plan(
        walls,
        (anchor for now in state.live() if now.wall in places for anchor in _anchor(state, now)),
        runs=runs,
        things=((first, thing) for thing in things_in_ground(job, first)),
        system=job.job.units,
    )


def _anchor(state: DayState, now: AnchorNow) -> Iterator[AnchorInYard]:
    at = inputs_for(state, now.id)
    along_in, setback_in, seat_in = (at.known(key) for key in ("along_in", "setback_in", "seat_in"))
    if along_in is None or setback_in is None or seat_in is None:
        return
    built = now.value("depth_found_in") is not None
    yield AnchorInYard(
        id=now.id,
        wall=now.wall,
        along_in=along_in,
        setback_in=setback_in,
        plate_along_in=along_in + ((now.value("side_offset_in") or 0.0) if built else 0.0),
        plate_out_in=seat_in,
        built=built,
    )


__all__ = ["yard_pictures"]
