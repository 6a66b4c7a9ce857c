"""Named conditions: when a step is asked and when a rule applies, on what is built, else on what is planned.

A question of safety that nobody has answered counts as yes. Strict and inclusive depths each have their name.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from math import hypot
from typing import Final

from crewtui.day.inputs import planned_drop_in, setback_in
from crewtui.day.state import AnchorNow, DayState
from crewtui.trade.excavation import near_footing
from crewtui.units import TOLERANCE_IN, at_least, at_most

Condition = Callable[[DayState, str | None], bool]

FOOT_IN: Final = 12.0
FACTS: Final[Mapping[str, str]] = {
    "bad air expected": "Is bad air to be expected in the pits (landfill, fuel, sewage, rotting matter)?",
    "private lines": "Does the owner have lines of their own in the yard (lights, sprinklers, septic)?",
    "indoor chipping": "Is anything chipped with a powered tool indoors?",
    "sign of cave-in": "Is there any sign of cave-in at a pit (cracks, bulges, sloughing)?",
    "water in the pit": "Does water stand or gather in a pit?",
}
"""Asked once a job, by the condition that the answer decides."""
UNANSWERED_IS_NO: Final = frozenset({"sign of cave-in", "water in the pit"})
"""What somebody would have seen: until it is said, it is not so. Every other question counts as yes."""


def pit_depth_in(state: DayState, now: AnchorNow) -> float:
    """Return the pit's depth: as built, else as newly aimed for, else as planned, else the shop's rule."""
    here = now.here("pit_depth_in")
    if here is not None:
        return here
    planned = state.job.tools.pit_depth_in
    return planned if planned is not None else state.rules.number("pit_depth_in")


def drop_known(state: DayState, now: AnchorNow) -> bool:
    """Return whether the ground's drop at the pit was shot, taped or planned there; it is never assumed."""
    if now.here("drop_in") is not None:
        return True
    return planned_drop_in(state, now, setback_in(state, now)) is not None


def fact(state: DayState, name: str) -> bool:
    """Return the answer to a question asked once a job, or what it counts as until it is answered."""
    return state.shared.facts.get(name, name not in UNANSWERED_IS_NO)


def applies(names: Iterable[str], state: DayState, anchor: str | None) -> bool:
    """Return whether every one of the named conditions is true; KeyError for a name that there is not."""
    return all(CONDITIONS[name](state, anchor) for name in names)


def _at_anchor(test: Callable[[DayState, AnchorNow], bool]) -> Condition:
    """Judge at the anchor, or for the whole job whether any anchor would have it so."""

    def judged(state: DayState, anchor: str | None) -> bool:
        if anchor is None:
            return any(test(state, now) for now in state.live())
        now = state.anchors.get(anchor)
        return now is not None and test(state, now)

    return judged


def _of_job(test: Callable[[DayState], bool]) -> Condition:
    return lambda state, _: test(state)


def _pit_from(feet: float) -> Condition:
    return _at_anchor(lambda state, now: at_least(pit_depth_in(state, now), feet * FOOT_IN))


def _pit_over(feet: float) -> Condition:
    return _at_anchor(lambda state, now: not at_most(pit_depth_in(state, now), feet * FOOT_IN))


def _wall_type(kind: str) -> Condition:
    return _at_anchor(lambda state, now: state.job.wall(now.wall).type == kind)


def _coupled(state: DayState, now: AnchorNow) -> bool:
    """Return whether the rod may need a coupling: its way out and in is longer than any rod on the truck."""
    longest = max((stock.length_in for stock in state.job.stock.rods), default=0.0)
    setback = now.here("setback_in") or now.plan.setback_in or state.rules.number("setback_in")
    return setback + state.job.wall(now.wall).thickness_in > longest


def _below_a_footing(state: DayState, now: AnchorNow) -> bool:
    """Return whether the pit goes below a footing nearby, inside that footing's slope line."""
    setback = now.here("setback_in") or now.plan.setback_in or state.rules.number("setback_in")
    along_rod = now.here("pit_along_rod_in") or state.job.tools.pit_along_rod_in
    half_in = (along_rod if along_rod is not None else state.rules.number("pit_auger_in")) / 2
    drop = now.here("drop_in")
    drop = drop if drop is not None else now.plan.drop_in or 0.0
    return any(
        not near_footing(
            max(pit_depth_in(state, now) + drop, TOLERANCE_IN),
            footing_bottom_in=footing.bottom_depth_in,
            distance_in=max(
                0.0, hypot(footing.along_in - now.plan.along_in, footing.out_in - setback) - half_in
            ),
            soil_type=state.job.ground.soil_type,
        ).clear
        for footing in state.job.footings
        if footing.wall == now.wall
    )


def _bow_past_limit(state: DayState, now: AnchorNow) -> bool:
    limit = state.rules.number_or_none("shore_bow_in")
    bow = now.here("bow_in")
    return limit is not None and not at_most(bow if bow is not None else now.plan.bow_in, limit)


def _cave_in_sign(state: DayState, now: AnchorNow) -> bool:
    """Return whether somebody saw a sign: said for the job, or by refusing to sign this pit off."""
    seen = now.holding.hazards.get("no-cave-in-sign")
    return fact(state, "sign of cave-in") or (seen is not None and not seen.in_place)


def _did_not_come_up(now: AnchorNow, quantity: str) -> bool:
    measured = now.as_built.get(quantity)
    return measured is not None and measured.then == "did not come up"


def _private_lines(state: DayState) -> bool:
    return any(line.private for line in state.job.lines) or fact(state, "private lines")


CONDITIONS: Final[Mapping[str, Condition]] = {
    "": lambda _state, _anchor: True,
    "block wall": _wall_type("block"),
    "poured wall": _wall_type("poured concrete"),
    "clay tile wall": _wall_type("clay tile"),
    "pit 4 ft or more": _pit_from(4),
    "pit over 4 ft": _pit_over(4),
    "pit 5 ft or more": _pit_from(5),
    "pit 6 ft or more": _pit_from(6),
    "somebody in the pit": _at_anchor(lambda _, now: now.somebody_in_pit),
    "nobody in the pit": _at_anchor(lambda _, now: not now.somebody_in_pit),
    "hand pit": _of_job(lambda state: state.job.tools.pit == "hand"),
    "auger pit": _of_job(lambda state: state.job.tools.pit == "auger"),
    "soil not rock": _of_job(lambda state: state.job.ground.soil_type != "rock"),
    "bad air expected": _of_job(lambda state: fact(state, "bad air expected")),
    "sign of cave-in": _at_anchor(_cave_in_sign),
    "pit below a footing": _at_anchor(_below_a_footing),
    "bow past the company's limit": _at_anchor(_bow_past_limit),
    "water in the pit": _of_job(lambda state: fact(state, "water in the pit")),
    "frost given": _of_job(lambda state: state.job.ground.frost_depth_in is not None),
    "coupling used": _at_anchor(_coupled),
    "private lines": _of_job(_private_lines),
    "indoor chipping": _of_job(lambda state: fact(state, "indoor chipping")),
    "ticket given": _of_job(lambda state: state.job.ticket is not None),
    "lines known": _of_job(lambda state: bool(state.job.lines)),
    "second torque did not come up": _at_anchor(lambda _, now: _did_not_come_up(now, "second_torque_lbf_ft")),
    "first torque did not come up": _at_anchor(lambda _, now: _did_not_come_up(now, "first_torque_lbf_ft")),
    "owner adjustable": _at_anchor(lambda _, now: now.plan.owner_adjustable),
    "bowed wall": _at_anchor(lambda _, now: (now.here("bow_in") or now.plan.bow_in) > 0),
}
