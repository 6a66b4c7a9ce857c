"""The inputs of an anchor's figures, each with where it comes from.

What was typed into a calculator beats what was measured, that beats what is newly aimed for on site, that
beats the plan, and the plan beats the company's rule. What nobody gave stays None: nothing is assumed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Final, Literal

from msgspec import Struct
from msgspec.structs import replace

from crewtui.day.state.state import AnchorNow, DayState, Drive
from crewtui.job.file.planned import Planned, planned
from crewtui.job.tables import quantities
from crewtui.job.tables.quantities import Measure
from crewtui.trade.aim.rod_line import (
    DROP_MISSING,
    SEAT,
    Section,
    skewed,
    way_through_in,
)
from crewtui.trade.aim.window import LeastDepth, best_aim, greatest_depth_in, least_depth, window
from crewtui.trade.checks import checked
from crewtui.trade.ground.seat import chord_short_in
from crewtui.units import at_most

Source = Literal["typed", "as built", "new aim", "plan", "company rule", "worked out", "missing"]


class Sourced(Struct, frozen=True, kw_only=True):
    """One quantity at an anchor: its value in the unit of its key, and where it comes from."""

    key: str
    label: str
    value: float | None
    measure: Measure
    source: Source
    said_by: str = ""
    """Who set the company rule in place of its default, also where something stronger than it stands."""

    @property
    def said(self) -> str:
        """Return where it comes from, in words, with who set a company rule."""
        return self.said_by if self.said_by and self.source == "company rule" else self.source

    @property
    def number(self) -> float:
        """Return the value; ValueError with a sentence where nobody gave it."""
        if self.value is None:
            raise ValueError(
                f"{self.label} is missing: measure it on site and enter it; it is never assumed."
            )
        return self.value


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
        return self._items[key].number


Found = tuple[float | None, Source]


class _Gathering:
    """An anchor's quantities as they are asked for, each worked out once."""

    def __init__(self, state: DayState, now: AnchorNow, typed: Mapping[str, float]) -> None:
        self.state, self.now, self.typed = state, now, typed
        self.items: dict[str, Sourced] = {}

    def get(self, key: str) -> Sourced:
        """Return the value of the strongest source."""
        if key not in self.items:
            self.items[key] = self._found(key)
        return self.items[key]

    def known(self, key: str) -> float | None:
        return self.get(key).value

    def _found(self, key: str) -> Sourced:
        plan = planned(self.state.job, self.state.rules, self.now.plan, key)
        own, built = _OF_ITS_OWN.get(key), self.now.as_built.get(key)
        value: float | None
        source: Source
        if key in self.typed:
            value, source = self.typed[key], "typed"
        elif key == "drop_in" and _tried_elsewhere(self):
            value, source = None, "missing"
        elif built is not None and not (key == "seat_in" and self.typed.keys() & _SEAT_RESTS_ON):
            value, source = built.value, "as built"
        elif key in self.now.aim:
            value, source = self.now.aim[key], "new aim"
        else:
            value, source = own(self, plan) if own is not None else (plan.value, plan.source)
        quantity = quantities.by_key(key)
        return Sourced(
            key=key,
            label=quantity.label,
            value=value,
            measure=quantity.measure,
            source=source,
            said_by=plan.said_by,
        )


def value_now(state: DayState, now: AnchorNow, key: str, typed: Mapping[str, float] | None = None) -> Sourced:
    """Return what a quantity of an anchor is now, and from where; KeyError if there is no such quantity.

    Typed into a calculator, else as built, else newly aimed for, else planned, else the company's rule, else
    worked out from others, else missing.
    """
    return _Gathering(state, now, typed or {}).get(key)


def number_now(state: DayState, now: AnchorNow, key: str) -> float:
    """Return what a quantity is now; ValueError with a sentence where nobody gave it."""
    return value_now(state, now, key).number


def expected(state: DayState, now: AnchorNow, key: str) -> Sourced:
    """Return what a quantity is to be, whatever was measured: newly aimed for, planned, or by rule."""
    others = {name: value for name, value in now.as_built.items() if name != key}
    return value_now(state, replace(now, as_built=others), key)


def inputs_for(state: DayState, anchor_id: str, typed: Mapping[str, float] | None = None) -> Inputs:
    """Return the inputs of an anchor's figures; KeyError if there is no such anchor."""
    return _inputs_of(state, state.anchors[anchor_id], typed or {})


def _inputs_of(state: DayState, now: AnchorNow, typed: Mapping[str, float]) -> Inputs:
    gathering = _Gathering(state, now, typed)
    return Inputs({quantity.key: gathering.get(quantity.key) for quantity in quantities.inputs()})


def inputs_as_driven(state: DayState, anchor_id: str, drive: Drive) -> Inputs:
    """Return the inputs of an anchor as it stood when this rod was driven; later values change nothing."""
    now = state.anchors[anchor_id]
    then = replace(now, plan=drive.plan, as_built=drive.as_built, aim=drive.aim)
    return _inputs_of(state, then, {})


Get = Callable[[str], Sourced]
"""How a quantity is asked for, by its key."""


def section_of(at: Inputs) -> Section:
    """Return wall, mark, seat and ground seen from the side; ValueError says which measure is missing."""
    return _section(at.__getitem__)


def _section(get: Get) -> Section:
    if get("drop_in").value is None:
        raise ValueError(DROP_MISSING)
    section = Section(
        mark_depth_in=get("mark_depth_in").number,
        way_in=way_through_in(get("thickness_in").number, get("bow_in").number),
        seat_in=checked(SEAT, get("seat_in").number, above=0),
        drop_in=get("drop_in").number,
    )
    return skewed(section, get("hole_aside_in").value or 0.0)


def past_seat_in(at: Inputs) -> float:
    """Return the distance from the seat to the pit's far side, where the rod's end stops."""
    far_in = at.number("setback_in") + at.number("pit_along_rod_in") / 2
    return checked("The pit past the seat", far_in - at.number("seat_in"), above=0)


def least_depth_of(get: Get, state: DayState) -> LeastDepth:
    """Return the least depth of the rod, and what sets it."""
    return least_depth(
        plan_in=get("plan_least_depth_in").value,
        company_in=state.rules.number("least_plate_depth_in"),
        frost_in=get("frost_depth_in").value,
        plate_height_in=get("plate_height_in").number,
        frost_to="plate top edge" if state.rules.text("frost_to") == "plate top edge" else "rod",
        system=state.job.job.units,
    )


def greatest_depth_of(get: Get) -> float:
    """Return the deepest rod whose plate fits the pit."""
    return greatest_depth_in(
        get("pit_depth_in").number,
        plate_height_in=get("plate_height_in").number,
        wrench_room_in=get("wrench_room_in").number,
    )


# Quantities whose plan does not serve everywhere, or that follow from others.


def _tried_elsewhere(at: _Gathering) -> bool:
    """Return whether a set-back is tried out so far off that the drop known is not the one there."""
    if "setback_in" not in at.typed or not ("drop_in" in at.now.as_built or "drop_in" in at.now.aim):
        return False
    moved_in = abs(at.typed["setback_in"] - number_now(at.state, at.now, "setback_in"))
    return not at_most(moved_in, number_now(at.state, at.now, "pit_along_rod_in") / 2)


def _drop(at: _Gathering, plan: Planned) -> Found:
    """Return the plan's drop where it still serves; another set-back or place has its own, but in a plane.

    A set-back within half the pit of the planned one counts as the same place.
    """
    now, setback_in = at.now, at.get("setback_in").number
    half_pit_in = number_now(at.state, now, "pit_along_rod_in") / 2
    if now.plan.yard_slope is not None:
        return now.plan.yard_slope * at.get("seat_in").number, "plan"
    if plan.value is None or now.planned is None or now.plan.drop_in != now.planned.drop_in:
        return plan.value, plan.source
    first_in = planned(at.state.job, at.state.rules, now.planned, "setback_in").number
    same_place = now.plan.along_in == now.planned.along_in
    if same_place and at_most(abs(setback_in - first_in), half_pit_in):
        return plan.value, plan.source
    return None, "missing"


def _seat(at: _Gathering, _: Planned) -> Found:
    """Return where the plate bears while nobody taped it: the pit's house side, in a round hole its chord.

    A round pit whose face nobody spoke of, and one that its plate does not go into, is figured as squared.
    """
    setback_in, pit_in = at.known("setback_in"), at.known("pit_along_rod_in")
    if setback_in is None or pit_in is None:
        return None, "missing"
    tools, plate_in = at.state.job.tools, at.known("plate_width_in")
    if tools.pit == "auger" and tools.pit_face == "as augered" and plate_in is not None:
        short_in = chord_short_in(pit_in, plate_in)
        if short_in is not None:
            return setback_in - short_in, "plan"
    return setback_in - pit_in / 2, "worked out"


def _pit_across(at: _Gathering, plan: Planned) -> Found:
    """Return an augered pit as wide as it is long, where the plan does not give it."""
    if at.state.job.tools.pit != "auger":
        return plan.value, plan.source
    given = at.state.job.tools.pit_across_in is not None
    return (plan.value if given else at.known("pit_along_rod_in")), "worked out"


def _drift(at: _Gathering, _: Planned) -> Found:
    choice = at.state.shared.drift.get(at.now.wall)
    return (choice.mean_deg if choice is not None and choice.on else 0.0), "worked out"


def _tail(at: _Gathering, _: Planned) -> Found:
    """Return what sticks into the room when the first piece starts: the longest rod that the room takes."""
    longest = max((stock.length_in for stock in at.state.job.stock.rods), default=None)
    room, hammer = at.known("free_room_in"), at.known("hammer_length_in") or 0.0
    way = way_through_in(at.known("thickness_in") or 0.0, at.known("bow_in") or 0.0)
    bounds = [
        length for length in (longest - way if longest else None, room - hammer if room else None) if length
    ]
    return (max(min(bounds), 0.0), "worked out") if bounds else (None, "missing")


def _aim(at: _Gathering, plan: Planned) -> Found:
    """Return the depth in the window that most rods hit, where neither plan nor company names one."""
    if plan.value is not None:
        return plan.value, plan.source
    try:
        section, least = _section(at.get), least_depth_of(at.get, at.state)
        greatest_in = greatest_depth_of(at.get)
    except ValueError:
        return None, "missing"
    least_in = least.value_in
    best = best_aim(window(section, least_in=least_in, aim_in=least_in, greatest_in=greatest_in))
    return (max(least_in, 0.0) if best is None else best.depth_in), "worked out"


_SEAT_RESTS_ON: Final = frozenset({"setback_in", "pit_along_rod_in"})
"""What tried out means another seat than the one taped."""
_OF_ITS_OWN: Final[Mapping[str, Callable[[_Gathering, Planned], Found]]] = {
    "seat_in": _seat,
    "drop_in": _drop,
    "pit_across_in": _pit_across,
    "aim_depth_in": _aim,
    "drift_deg": _drift,
    "tail_length_in": _tail,
}
