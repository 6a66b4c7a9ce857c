"""What is so on a wall, worked out for each anchor as it stands: places, openings, block, marks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from crewtui.day.state.inputs import Inputs, inputs_for, number_now
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.job.file.model import Anchor, Opening
from crewtui.trade.wall.block import BlockMark, check_block_mark, joint_after_move
from crewtui.trade.wall.layout import (
    Conflict,
    MarksCheck,
    Obstacle,
    SpacingCheck,
    check_marks,
    check_spacing,
    opening_conflicts,
)
from crewtui.units import UnitSystem, show_length


class Looking:
    """One wall being looked at."""

    def __init__(self, state: DayState, name: str) -> None:
        self.state, self.rules = state, state.rules
        self.wall = state.job.wall(name)
        self.system: UnitSystem = state.job.job.units
        self.anchors = [now for now in state.live() if now.wall == name]
        self.dropped = [now for now in state.anchors.values() if now.wall == name and now.dropped]
        self.inputs = {now.id: inputs_for(state, now.id) for now in (*self.anchors, *self.dropped)}

    def length(self, value_in: float) -> str:
        """Return a length in the job's units."""
        return show_length(value_in, self.system)

    def along_in(self, now: AnchorNow) -> float:
        """Return its place along the wall as it stands."""
        return self.inputs[now.id].number("along_in")

    def height_in(self, now: AnchorNow) -> float:
        """Return the mark's height above the slab."""
        inputs = self.inputs[now.id]
        return (
            inputs.number("slab_to_top_in")
            - inputs.number("grade_to_top_in")
            - inputs.number("mark_depth_in")
        )

    def on_wall(self, along_in: float) -> bool:
        """Return whether that place lies between the corners."""
        return 0.0 <= along_in <= self.wall.length_in

    def spacing(self, places_in: Sequence[tuple[str, float]]) -> SpacingCheck | None:
        """Judge corners and spacing; None without anchors, or where one is off the wall."""
        if not places_in or not all(self.on_wall(along_in) for _, along_in in places_in):
            return None
        return check_spacing(
            places_in,
            wall_length_in=self.wall.length_in,
            corner_greatest_in=self.rules.number("corner_greatest_in"),
            spacing_greatest_in=self.rules.number("spacing_greatest_in"),
            spacing_least_in=self.rules.number("spacing_least_in"),
        )


def conflicts(at: Looking, now: AnchorNow) -> tuple[Conflict, ...]:
    """Return where the wall plate of an anchor meets an opening."""
    return opening_conflicts(
        [(now.id, at.along_in(now), at.height_in(now))],
        [obstacle(one) for one in at.wall.openings],
        wall_length_in=at.wall.length_in,
        plate_width_in=number_now(at.state, now, "wall_plate_width_in"),
        plate_height_in=number_now(at.state, now, "wall_plate_height_in"),
    )


def obstacle(one: Opening) -> Obstacle:
    """Return an opening of the job file as the arithmetic has it."""
    return Obstacle(
        name=one.name,
        start_in=one.start_in,
        end_in=one.end_in,
        bottom_in=one.bottom_in,
        top_in=one.top_in,
    )


def block_mark(state: DayState, now: AnchorNow, inputs: Inputs) -> BlockMark | None:
    """Judge a mark where it stands now; None while a joint's distance is not known there.

    The plan's distances hold at the plan's mark. Where the mark moved since, they move with it, if it is
    known on which side the joint lies.
    """
    course_in, length_in = (number_now(state, now, key) for key in ("block_course_in", "block_length_in"))
    down_in, along_in = _moved(now, inputs)
    bed, head = now.plan.bed_joint_in, now.plan.head_joint_in
    if bed is None or head is None:
        return None
    bed_side, head_side = now.plan.bed_joint_side, now.plan.head_joint_side
    bed_now = joint_after_move(
        bed, down_in, spacing_in=course_in, before=None if bed_side is None else bed_side == "above"
    )
    head_now = joint_after_move(
        head, along_in, spacing_in=length_in, before=None if head_side is None else head_side == "start"
    )
    if bed_now is None or head_now is None:
        return None
    rules = state.rules
    return check_block_mark(
        bed_now[0],
        head_now[0],
        hole_diameter_in=inputs.number("hole_diameter_in"),
        bed_joint_side=None if bed_now[1] is None else "above" if bed_now[1] else "below",
        head_joint_side=None if head_now[1] is None else "start" if head_now[1] else "end",
        mark_depth_in=inputs.number("mark_depth_in"),
        band_top_in=rules.number("mark_band_top_in"),
        band_bottom_in=rules.number("mark_band_bottom_in"),
        course_in=course_in,
        block_length_in=length_in,
    )


def _moved(now: AnchorNow, inputs: Inputs) -> tuple[float, float]:
    """Return how far the mark moved down and along since its joints were measured."""
    plan, before = now.plan, now.planned
    if before is None:
        return 0.0, 0.0
    down_in = along_in = 0.0
    if _same(plan, before, "bed_joint_in") and before.mark_depth_in is not None:
        down_in = inputs.number("mark_depth_in") - before.mark_depth_in
    if _same(plan, before, "head_joint_in"):
        along_in = inputs.number("along_in") - before.along_in
    return down_in, along_in


def _same(plan: Anchor, before: Anchor, name: str) -> bool:
    return bool(getattr(plan, name) == getattr(before, name))


def marks(at: Looking) -> Iterator[tuple[str, MarksCheck]]:
    """Yield how far the marks inside and outside differ, where somebody entered it."""
    agree_in = at.rules.number("marks_agree_in")
    for now in at.anchors:
        differ_in = now.value("marks_differ_in")
        if differ_in is not None:
            yield now.id, check_marks(0.0, differ_in, agree_in=agree_in)
