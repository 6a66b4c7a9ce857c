"""The yard round an anchor: footings and roots against its pit and its rod, and the rods of other walls."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from msgspec import Struct
from msgspec.structs import replace

from crewtui.day.figures.anchor_figures import AnchorFigures, Work, YardFigures
from crewtui.day.figures.farthest import greatest_setback
from crewtui.day.figures.line_figures import pit_plan, rod_habit
from crewtui.day.state.inputs import inputs_for, past_seat_in, section_of
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.job.file.model import Job
from crewtui.job.file.placing import things_in_ground, yard_of
from crewtui.trade.aim.rod_line import angle_for_deg
from crewtui.trade.ground.band import Band, RodHabit, rod_band
from crewtui.trade.ground.clearing import ClearingBounds, what_clears_otherwise
from crewtui.trade.ground.in_ground import InGround, InGroundVerdict, judge_in_ground, pit_to_outline_in
from crewtui.trade.ground.lines import PitPlan
from crewtui.trade.ground.rods_apart import PlacedBand, RodsVerdict, judge_rods
from crewtui.trade.ground.yard import WallPlace
from crewtui.units import TOLERANCE_IN, at_most


class _Kept(Struct, frozen=True):
    now: AnchorNow
    state_of_job: tuple[object, ...]
    placed: PlacedBand | None


_kept: dict[str, _Kept] = {}
"""By anchor the band of its rod for other walls' anchors, and what it was read from."""


def with_yard(work: Work, figures: AnchorFigures) -> AnchorFigures:
    """Add what stands in the ground and the rods of other walls, judged over the whole band."""
    found = work.attempt("lines", lambda: _yard(work, figures))
    if found is not None:
        work.say("lines", *found.words)
    return replace(figures, yard=found)


def _yard(work: Work, figures: AnchorFigures) -> YardFigures | None:
    state, now = work.state, work.now
    things = tuple(things_in_ground(work.job, now.wall))
    places = _places(work.job, now.wall)
    others = tuple(_other_rods(state, now, places))
    if not things and not others:
        return None
    pit = pit_plan(state, work.inputs)
    judge = _Judge(work, things, others, places[now.wall])
    pits = tuple(
        f"The pit would be dug into {thing.called}: set it elsewhere." for thing in judge.dug_into(pit)
    )
    section, held_deg = figures.section, figures.driving_deg
    if section is None or held_deg is None:
        return YardFigures(things=(), rods=(), pits=pits)
    habit = rod_habit(state, work.inputs, figures.drift)
    band = rod_band(section, held_deg, along_in=work.inputs.number("along_in"), habit=habit)
    found = YardFigures(things=judge.things(band), rods=judge.rods(band), pits=pits)
    window = figures.window
    if not found.stops or window is None or not window.open:
        return found
    clearings = what_clears_otherwise(
        band,
        pit,
        habit=habit,
        bounds=ClearingBounds(
            least_depth_in=window.shallowest_in,
            greatest_depth_in=window.greatest_in,
            mark_top_in=work.rules.number("mark_band_top_in"),
            mark_bottom_in=work.rules.number("mark_band_bottom_in"),
            greatest_setback_in=greatest_setback(state, now, work.inputs)[0],
        ),
        holds=judge.holds,
        system=work.system,
    )
    predrill = any(one.holds and one.thing.kind in {"footing", "frost wall"} for one in found.things)
    # Once the hole is drilled the anchor stays where it is along the wall.
    taken = tuple(way for way in clearings if way.kind != "along" or not now.drilled)
    return replace(found, clearings=taken, predrill=predrill)


class _Judge:
    """What a band is held against."""

    def __init__(
        self, work: Work, things: tuple[InGround, ...], others: tuple[PlacedBand, ...], place: WallPlace
    ) -> None:
        self.work, self._things, self._others = work, things, others
        self._place = place
        self._pit = pit_plan(work.state, work.inputs)
        self._length_in = work.job.wall(work.now.wall).length_in
        self._clearance_in = work.rules.number("in_ground_clearance_in")
        self._apart_in = work.rules.number("rods_apart_in")

    def things(self, band: Band) -> tuple[InGroundVerdict, ...]:
        """Return what every thing in the ground says of the band."""
        return tuple(
            judge_in_ground(thing, band, clearance_in=self._clearance_in, system=self.work.system)
            for thing in self._things
        )

    def rods(self, band: Band) -> tuple[RodsVerdict, ...]:
        """Return how near the other rods may come to it."""
        own = PlacedBand(
            anchor=self.work.now.id,
            band=band,
            place=self._place,
            grade_in=self.work.inputs.number("grade_to_top_in"),
        )
        return tuple(
            judge_rods(own, other, least_in=self._apart_in, system=self.work.system) for other in self._others
        )

    def dug_into(self, pit: PitPlan, *, beside_in: float = 0) -> tuple[InGround, ...]:
        """Return what a pit would be dug into, or come as near to."""
        return tuple(one for one in self._things if at_most(pit_to_outline_in(pit, one.outline), beside_in))

    def holds(self, band: Band, pit: PitPlan) -> bool:
        """Return whether anything holds rod or pit, or they would lie past the end of the wall.

        A pit that is set elsewhere keeps the clearance that the company wants of a rod.
        """
        beside_in = 0 if pit == self._pit else self._clearance_in
        return (
            not 0 < band.along_in < self._length_in
            or bool(self.dug_into(pit, beside_in=beside_in))
            or any(one.holds for one in self.things(band))
            or any(one.holds for one in self.rods(band))
        )


def _places(job: Job, wall: str) -> Mapping[str, WallPlace]:
    """Return the walls that are placed with this one: none but itself, in its own frame, where it is not."""
    places = yard_of(job).places
    alone = {wall: WallPlace(wall=wall, x_in=0, y_in=0, along_deg=0, top_in=0)}
    return places if wall in places else alone


def _other_rods(state: DayState, now: AnchorNow, places: Mapping[str, WallPlace]) -> Iterator[PlacedBand]:
    """Yield the rods that this one may meet: those driven as they ran, the others in their bands.

    Of its own wall only those nearer than the spacing that the company keeps: the others run side by side.
    """
    near_in = state.rules.number("spacing_least_in") - TOLERANCE_IN
    for other in state.live():
        if other.wall not in places or other.id == now.id:
            continue
        if other.wall == now.wall and abs(other.plan.along_in - now.plan.along_in) >= near_in:
            continue
        rests_on = (state.shared, state.job, state.rules)
        kept = _kept.get(other.id)
        if (
            kept is None
            or kept.now is not other
            or any(had is not has for had, has in zip(kept.state_of_job, rests_on, strict=True))
        ):
            kept = _Kept(other, rests_on, _placed_band(state, other, places[other.wall]))
            _kept[other.id] = kept
        if kept.placed is not None:
            yield kept.placed


def _placed_band(state: DayState, now: AnchorNow, place: WallPlace) -> PlacedBand | None:
    """Return where an anchor's rod lies or may lie; None while its figures are not known."""
    at = inputs_for(state, now.id)
    found_in, aside_in = now.value("depth_found_in"), now.value("side_offset_in") or 0.0
    depth_in = found_in if found_in is not None else at.known("aim_depth_in")
    if depth_in is None:
        return None
    try:
        section = section_of(at)
        run_deg = angle_for_deg(section, depth_in)
        spread_deg = 0.0
        if found_in is None:
            spread_deg = math.hypot(
                state.rules.number("drift_prior_deg"), state.rules.number("rod_spread_deg")
            )
        habit = RodHabit(
            rod_diameter_in=state.job.rod.diameter_in,
            past_seat_in=past_seat_in(at),
            drift_sd_deg=spread_deg,
            side_mean_deg=math.degrees(math.atan2(aside_in, section.run_in)),
            side_sd_deg=spread_deg,
        )
        band = rod_band(section, run_deg, along_in=at.number("along_in"), habit=habit)
        grade_in = at.number("grade_to_top_in")
    except ValueError:
        return None
    return PlacedBand(anchor=now.id, band=band, place=place, grade_in=grade_in)


__all__ = ["with_yard"]
