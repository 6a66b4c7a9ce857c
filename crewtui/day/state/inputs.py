"""The inputs of an anchor's figures, each with where it comes from.

What was typed into a calculator beats what was measured, that beats what is newly aimed for on site, that
beats the plan, and the plan beats the company's rule. What nobody gave stays None: nothing is assumed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final, Literal

from msgspec import Struct
from msgspec.structs import replace

from crewtui.day.state.state import AnchorNow, DayState, Drive
from crewtui.job.tables.steps import Measure
from crewtui.trade.aim.rod_line import DROP_MISSING, Section, seat_from_setback_in
from crewtui.units import at_most

Source = Literal["typed", "as built", "new aim", "plan", "company rule", "worked out", "missing"]

Kind = Measure | Literal["slope"]


class Sourced(Struct, frozen=True, kw_only=True):
    """One input: its value in the unit of its key, and where it comes from."""

    key: str
    label: str
    value: float | None
    measure: Kind
    source: Source
    said_by: str = ""
    """Who set a company rule in place of its default."""


LABELS: Final[Mapping[str, tuple[str, Kind]]] = {
    "along_in": ("Place along the wall", "length"),
    "setback_in": ("Set-back, wall face to pit middle", "length"),
    "drop_in": ("Drop of the ground, wall to pit", "length"),
    "mark_depth_in": ("Mark below grade", "length"),
    "grade_to_top_in": ("Grade to top of wall", "length"),
    "slab_to_top_in": ("Slab to top of wall", "length"),
    "thickness_in": ("Wall thickness", "length"),
    "bow_in": ("Inward bow at the mark", "length"),
    "plan_least_depth_in": ("Least depth by the plan", "length"),
    "aim_depth_in": ("Depth to aim for", "length"),
    "frost_depth_in": ("Frost depth", "length"),
    "pit_depth_in": ("Depth of the pit", "length"),
    "pit_along_rod_in": ("Pit along the rod", "length"),
    "pit_across_in": ("Pit across the rod", "length"),
    "plate_width_in": ("Plate width", "length"),
    "plate_height_in": ("Plate height", "length"),
    "wrench_room_in": ("Room for hand and wrench", "length"),
    "hole_diameter_in": ("Hole through the wall", "length"),
    "free_room_in": ("Free room inside", "length"),
    "hammer_length_in": ("Hammer and driver", "length"),
    "tail_length_in": ("Rod sticking into the room", "length"),
    "drift_deg": ("Drift used in the aim", "angle"),
    "torque_lbf_ft": ("Torque by the plan", "torque"),
    "wrench_length_in": ("Wrench, drive to grip", "length"),
    "extension_in": ("Extension on the wrench", "length"),
    "extension_angle_deg": ("Extension's angle to the handle", "angle"),
    "wrench_least_lbf_ft": ("Wrench range from", "torque"),
    "wrench_greatest_lbf_ft": ("Wrench range to", "torque"),
    "yield_ksi": ("Steel yield, ksi", ""),
    "base_to_grade_in": ("Base of wall to grade", "length"),
    "friction_angle_deg": ("Friction angle of the soil", "angle"),
    "joist_clearance_in": ("Wall top to joists", "length"),
    "hold_angle_deg": ("Angle to hold, as chosen", "angle"),
}
"""What each input is called, and how it is read."""


class Inputs(Mapping[str, Sourced]):
    """Every input of one anchor, by key."""

    def __init__(self, items: Mapping[str, Sourced]) -> None:
        self._items = dict(items)

    def __getitem__(self, key: str) -> Sourced:
        return self._items[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._items)

    def __len__(self) -> int:
        return len(self._items)

    def known(self, key: str) -> float | None:
        """Return the value, or None where nobody gave it."""
        return self._items[key].value

    def number(self, key: str) -> float:
        """Return the value; ValueError with a sentence where nobody gave it."""
        item = self._items[key]
        if item.value is None:
            raise ValueError(
                f"{item.label} is missing: measure it on site and enter it; it is never assumed."
            )
        return item.value


class _Gathering:
    def __init__(self, state: DayState, now: AnchorNow, typed: Mapping[str, float]) -> None:
        self.state, self.now, self.typed = state, now, typed
        self.items: dict[str, Sourced] = {}

    def put(self, key: str, plan: float | None = None, *, rule: str = "", source: Source = "plan") -> None:
        """Keep the value of the strongest source."""
        label, measure = LABELS[key]
        value, found, said_by = plan, source if plan is not None else "missing", ""
        if plan is None and rule:
            shop = self.state.rules.rule(rule)
            value = self.state.rules.number_or_none(rule)
            found, said_by = ("company rule" if value is not None else "missing"), shop.said_by
        if key in self.typed:
            value, found = self.typed[key], "typed"
        elif key in self.now.as_built:
            value, found = self.now.as_built[key].value, "as built"
        elif key in self.now.aim:
            value, found = self.now.aim[key], "new aim"
        self.items[key] = Sourced(
            key=key, label=label, value=value, measure=measure, source=found, said_by=said_by
        )

    def worked_out(self, key: str, value: float | None) -> None:
        """Keep a value that follows from others, unless somebody gave one."""
        self.put(key, value, source="worked out")

    def known(self, key: str) -> float | None:
        return self.items[key].value


def inputs_for(state: DayState, anchor_id: str, typed: Mapping[str, float] | None = None) -> Inputs:
    """Return the inputs of an anchor's figures; KeyError if there is no such anchor."""
    return _inputs_of(state, state.anchors[anchor_id], typed or {})


def _inputs_of(state: DayState, now: AnchorNow, typed: Mapping[str, float]) -> Inputs:
    gathering = _Gathering(state, now, typed)
    _place(gathering)
    _wall(gathering)
    _pit(gathering)
    _rod_and_wrench(gathering)
    return Inputs(gathering.items)


def inputs_as_driven(state: DayState, anchor_id: str, drive: Drive) -> Inputs:
    """Return the inputs of an anchor as it stood when this rod was driven; later values change nothing."""
    now = state.anchors[anchor_id]
    then = replace(now, plan=drive.plan, as_built=drive.as_built, aim=drive.aim)
    return _inputs_of(state, then, {})


def section_of(at: Inputs) -> Section:
    """Return wall, mark, seat and ground seen from the side; ValueError says which measure is missing."""
    if at.known("drop_in") is None:
        raise ValueError(DROP_MISSING)
    seat_in = seat_from_setback_in(at.number("setback_in"), pit_along_rod_in=at.number("pit_along_rod_in"))
    return Section(
        mark_depth_in=at.number("mark_depth_in"),
        way_in=at.number("thickness_in") + max(0.0, at.number("bow_in")),
        seat_in=seat_in,
        drop_in=at.number("drop_in"),
    )


def _place(at: _Gathering) -> None:
    plan = at.now.plan
    at.put("along_in", plan.along_in)
    at.put("setback_in", plan.setback_in, rule="setback_in")
    at.put("drop_in", planned_drop_in(at.state, at.now, at.known("setback_in")))
    if _tried_elsewhere(at):
        at.items["drop_in"] = replace(at.items["drop_in"], value=None, source="missing")
    at.put("mark_depth_in", plan.mark_depth_in)
    if at.known("mark_depth_in") is None:
        rules = at.state.rules
        middle = (rules.number("mark_band_top_in") + rules.number("mark_band_bottom_in")) / 2
        at.put("mark_depth_in", middle, source="company rule")
    at.put("bow_in", plan.bow_in)
    at.put("free_room_in", plan.free_room_in)


def _tried_elsewhere(at: _Gathering) -> bool:
    """Return whether a set-back is tried out so far off that the drop known is not the one there."""
    if "setback_in" not in at.typed or at.items["drop_in"].source not in {"as built", "new aim"}:
        return False
    moved_in = abs(at.typed["setback_in"] - setback_in(at.state, at.now))
    return not at_most(moved_in, pit_along_rod_in(at.state, at.now) / 2)


def planned_drop_in(state: DayState, now: AnchorNow, setback_in: float | None) -> float | None:
    """Return the plan's drop where it still serves; another set-back or place has its own, but in a plane.

    A set-back within half the pit of the planned one counts as the same place.
    """
    plan = now.plan
    setback = setback_in if setback_in is not None else state.rules.number("setback_in")
    if plan.yard_slope is not None:
        return plan.yard_slope * (setback - pit_along_rod_in(state, now) / 2)
    if plan.drop_in is None or now.planned is None:
        return plan.drop_in
    if plan.drop_in != now.planned.drop_in:
        return plan.drop_in
    first = now.planned.setback_in if now.planned.setback_in is not None else state.rules.number("setback_in")
    half_pit_in = pit_along_rod_in(state, now) / 2
    same_place = plan.along_in == now.planned.along_in and at_most(abs(setback - first), half_pit_in)
    return plan.drop_in if same_place else None


def pit_along_rod_in(state: DayState, now: AnchorNow) -> float:
    """Return the pit's size along the rod: as built, newly aimed for, the job's, else the company's rule."""
    here = now.here("pit_along_rod_in")
    if here is not None:
        return here
    tools = state.job.tools
    rule = "pit_auger_in" if tools.pit == "auger" else "pit_hand_along_rod_in"
    return tools.pit_along_rod_in if tools.pit_along_rod_in is not None else state.rules.number(rule)


def _wall(at: _Gathering) -> None:
    plan, wall = at.now.plan, at.state.job.wall(at.now.wall)
    at.put(
        "grade_to_top_in", plan.grade_to_top_in if plan.grade_to_top_in is not None else wall.grade_to_top_in
    )
    at.put("slab_to_top_in", wall.slab_to_top_in)
    at.put("thickness_in", wall.thickness_in)
    at.put("base_to_grade_in", wall.base_to_grade_in)
    at.put("joist_clearance_in", wall.joist_clearance_in)


def setback_in(state: DayState, now: AnchorNow) -> float:
    """Return the set-back: as built, newly aimed for, the plan's, else the company's rule."""
    here = now.here("setback_in")
    if here is not None:
        return here
    planned = now.plan.setback_in
    return planned if planned is not None else state.rules.number("setback_in")


def _pit(at: _Gathering) -> None:
    plan, job = at.now.plan, at.state.job
    auger = job.tools.pit == "auger"
    at.put("plan_least_depth_in", plan.least_depth_in)
    at.put("aim_depth_in", plan.aim_depth_in, rule="aim_depth_in")
    at.put("frost_depth_in", job.ground.frost_depth_in)
    at.put("pit_depth_in", job.tools.pit_depth_in, rule="pit_depth_in")
    along_rule = "pit_auger_in" if auger else "pit_hand_along_rod_in"
    at.put("pit_along_rod_in", job.tools.pit_along_rod_in, rule=along_rule)
    across = job.tools.pit_across_in
    if auger:
        at.worked_out("pit_across_in", across if across is not None else at.known("pit_along_rod_in"))
    else:
        at.put("pit_across_in", across, rule="pit_hand_across_in")
    at.put("plate_width_in", plan.plate.width_in if plan.plate else None, rule="plate_width_in")
    at.put("plate_height_in", plan.plate.height_in if plan.plate else None, rule="plate_height_in")
    at.put("wrench_room_in", None, rule="wrench_room_in")
    at.put("friction_angle_deg", job.ground.friction_angle_deg, rule="friction_angle_deg")


def _rod_and_wrench(at: _Gathering) -> None:
    job = at.state.job
    tools = job.tools
    at.put("hole_diameter_in", tools.hole_diameter_in, rule="hole_diameter_in")
    at.put("hammer_length_in", tools.hammer_length_in)
    at.worked_out("tail_length_in", _tail_in(at))
    choice = at.state.shared.drift.get(at.now.wall)
    at.worked_out("drift_deg", choice.mean_deg if choice is not None and choice.on else 0.0)
    at.put("hold_angle_deg")
    at.put("torque_lbf_ft", at.now.plan.torque_lbf_ft)
    at.put("wrench_length_in", tools.wrench_length_in, rule="wrench_length_in")
    at.put("extension_in", tools.extension_in if tools.extension_in is not None else 0.0)
    at.put("extension_angle_deg", tools.extension_angle_deg)
    at.put("wrench_least_lbf_ft", tools.wrench_least_lbf_ft)
    at.put("wrench_greatest_lbf_ft", tools.wrench_greatest_lbf_ft)
    at.put("yield_ksi", job.rod.yield_ksi)


def _tail_in(at: _Gathering) -> float | None:
    """Return what sticks into the room when the first piece starts: the longest rod that the room takes."""
    longest = max((stock.length_in for stock in at.state.job.stock.rods), default=None)
    room, hammer = at.known("free_room_in"), at.known("hammer_length_in") or 0.0
    way = (at.known("thickness_in") or 0.0) + (at.known("bow_in") or 0.0)
    bounds = [
        length for length in (longest - way if longest else None, room - hammer if room else None) if length
    ]
    return max(min(bounds), 0.0) if bounds else None
