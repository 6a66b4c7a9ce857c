"""Named conditions: when a step is asked and when a rule applies, on what is built, else on what is planned.

A question of safety that nobody has answered counts as yes. Strict and inclusive depths each have their name.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from math import hypot
from typing import Final

from crewtui.day.state.exposures import noise_is_over, respirator_needed
from crewtui.day.state.inputs import number_now, value_now
from crewtui.day.state.state import LOOSE_FILL_FOUND, AnchorNow, DayState
from crewtui.job.file.placing import things_in_ground, yard_of
from crewtui.job.tables.condition_names import pit_depth
from crewtui.trade.ground.excavation import FootingCheck, near_footing, soil_type_used
from crewtui.trade.ground.in_ground import pit_to_outline_in
from crewtui.trade.ground.lines import PitPlan
from crewtui.trade.vocabulary import SoilType
from crewtui.units import TOLERANCE_IN, at_least, at_most

Condition = Callable[[DayState, str | None], bool]

FOOT_IN: Final = 12.0
IN_THE_PIT: Final = "somebody in the pit"
"""True of an anchor until it is said that nobody goes in."""
FACTS: Final[Mapping[str, tuple[str, str]]] = {
    "bad air expected": (
        "Bad air to be expected in the pits?",
        "Is bad air to be expected in the pits (landfill, fuel, sewage, rotting matter)?",
    ),
    "private lines": (
        "Owner's own lines in the yard?",
        "Does the owner have lines of their own in the yard (lights, sprinklers, septic)?",
    ),
    "indoor chipping": ("Powered chipping indoors?", "Is anything chipped with a powered tool indoors?"),
    "sign of cave-in": (
        "Sign of cave-in at a pit?",
        "Is there any sign of cave-in at a pit (cracks, bulges, sloughing)?",
    ),
    "water in the pit": ("Water in a pit?", "Does water stand or gather in a pit?"),
    LOOSE_FILL_FOUND: (
        "Loose fill out of the wall?",
        "Did loose fill, like insulation, come out of a hole in the wall?",
    ),
}
"""Asked for the whole job, in short and in full, by the condition that the answer decides."""
UNANSWERED_IS_NO: Final = frozenset({"sign of cave-in", "water in the pit", LOOSE_FILL_FOUND})
"""What somebody would have seen: until it is said, it is not so. Every other question counts as yes."""


HAMMERED: Final = True
"""Rods are driven with a hammer beside every pit: Subpart P App. A bars type A where soil is shaken."""


def drop_known(state: DayState, now: AnchorNow) -> bool:
    """Return whether the ground's drop at the pit was shot, taped or planned there; it is never assumed."""
    return value_now(state, now, "drop_in").value is not None


def fact(state: DayState, name: str) -> bool:
    """Return the answer to a question asked once a job, or what it counts as until it is answered."""
    return state.shared.facts.get(name, name not in UNANSWERED_IS_NO)


def applies(names: Iterable[str], state: DayState, anchor: str | None) -> bool:
    """Return whether every one of the named conditions is true; KeyError for a name that there is not."""
    return all(condition(name)(state, anchor) for name in names)


def condition(name: str) -> Condition:
    """Return what a name means; any depth of a pit may be named. KeyError for a name that there is not."""
    found = CONDITIONS.get(name)
    if found is not None:
        return found
    depth = pit_depth(name)
    if depth is None:
        raise KeyError(name)
    return _pit_from(depth.limit_in / FOOT_IN) if depth.inclusive else _pit_over(depth.limit_in / FOOT_IN)


def pit_begun_n(now: AnchorNow) -> int | None:
    """Return the number of the entry with which the anchor's pit was begun; None while it is not."""
    found = [drive.n for drive in now.drives[:1]]
    if "sod" in now.answers:
        found.append(now.answers["sod"].n)
    if "pit_depth_in" in now.as_built:
        found.append(now.as_built["pit_depth_in"].n)
    return min(found, default=None)


def pit_is_there(state: DayState, anchor: str | None) -> bool:
    """Return whether the anchor's pit was begun."""
    return anchor is not None and pit_begun_n(state.anchors[anchor]) is not None


def pit_is_open(now: AnchorNow) -> bool:
    """Return whether the anchor's pit was begun and is not yet filled."""
    return pit_begun_n(now) is not None and "lifts" not in now.as_built


def counted_soil(state: DayState) -> SoilType:
    """Return the soil type that counts: C until judged, at best B where the ground was dug before."""
    ground = state.job.ground
    return soil_type_used(ground.soil_type, disturbed=not ground.undisturbed, shaken=HAMMERED)[0]


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
    return _at_anchor(lambda state, now: at_least(number_now(state, now, "pit_depth_in"), feet * FOOT_IN))


def _pit_over(feet: float) -> Condition:
    return _at_anchor(lambda state, now: not at_most(number_now(state, now, "pit_depth_in"), feet * FOOT_IN))


def _wall_type(kind: str) -> Condition:
    return _at_anchor(lambda state, now: state.job.wall(now.wall).type == kind)


def _coupled(state: DayState, now: AnchorNow) -> bool:
    """Return whether the rod may need a coupling: its way out and in is longer than any rod on the truck."""
    longest = max((stock.length_in for stock in state.job.stock.rods), default=0.0)
    way_in = number_now(state, now, "setback_in") + number_now(state, now, "thickness_in")
    return way_in > longest


def footing_checks(state: DayState, now: AnchorNow) -> Iterator[tuple[str, FootingCheck]]:
    """Yield how the pit lies to each footing near it, the wall's own among them where its depth is known."""
    out_in, along_in = number_now(state, now, "setback_in"), number_now(state, now, "along_in")
    drop_in = value_now(state, now, "drop_in").value or 0.0
    depth_in = max(number_now(state, now, "pit_depth_in") + drop_in, TOLERANCE_IN)
    half_in = max(number_now(state, now, "pit_along_rod_in"), number_now(state, now, "pit_across_in")) / 2
    wall = state.job.wall(now.wall)
    yard = yard_of(state.job)
    near = [
        (one.name, one.bottom_depth_in, hypot(at[0] - along_in, at[1] - out_in))
        for one in state.job.footings
        if yard.knows(one.wall, now.wall)
        for at in yard.carried(((one.along_in, one.out_in),), measured_from=one.wall, to=now.wall)
    ]
    base_in = value_now(state, now, "base_to_grade_in").value
    if base_in is not None:
        near.append((f"{wall.name} wall", base_in, out_in))
    pit = PitPlan(
        along_in=along_in,
        setback_in=out_in,
        along_rod_in=number_now(state, now, "pit_along_rod_in"),
        across_in=number_now(state, now, "pit_across_in"),
        round=state.job.tools.pit == "auger",
    )
    near += [
        (thing.called, thing.base_in, half_in + pit_to_outline_in(pit, thing.outline))
        for thing in things_in_ground(state.job, now.wall)
        if thing.kind in {"footing", "frost wall"} and thing.base_in is not None
    ]
    for name, bottom_in, away_in in near:
        yield (
            name,
            near_footing(
                depth_in,
                footing_bottom_in=bottom_in,
                distance_in=max(0.0, away_in - half_in),
                soil_type=state.job.ground.soil_type,
                disturbed=not state.job.ground.undisturbed,
                shaken=HAMMERED,
            ),
        )


def _below_a_footing(state: DayState, now: AnchorNow) -> bool:
    """Return whether the pit goes below a footing nearby, inside that footing's slope line."""
    return any(not check.clear for _, check in footing_checks(state, now))


def _left_overnight(state: DayState, now: AnchorNow) -> bool:
    """Return whether the pit is open and was begun before today."""
    begun_n = pit_begun_n(now)
    return begun_n is not None and pit_is_open(now) and begun_n < state.shared.day_began_n


def _bow_past_limit(state: DayState, now: AnchorNow) -> bool:
    limit = state.rules.number_or_none("shore_bow_in")
    return limit is not None and not at_most(number_now(state, now, "bow_in"), limit)


def _cave_in_sign(state: DayState, now: AnchorNow) -> bool:
    """Return whether somebody saw a sign: said for the job, or by refusing to sign this pit off."""
    seen = now.holding.hazards.get("no-cave-in-sign")
    return fact(state, "sign of cave-in") or (seen is not None and not seen.in_place)


def _came_in_or_not_up(state: DayState, now: AnchorNow) -> bool:
    """Return whether the second way in is asked: the first had one, or the nut did not come up."""
    del state
    return (now.value("pull_in_in") or 0.0) > 0 or _did_not_come_up(now, "second_torque_lbf_ft")


def _did_not_come_up(now: AnchorNow, quantity: str) -> bool:
    measured = now.as_built.get(quantity)
    return measured is not None and measured.then == "did not come up"


def _seat_to_be_taped(state: DayState, now: AnchorNow) -> bool:
    """Return whether the plate bears elsewhere than at the pit's house side, or may: in a round pit."""
    tools = state.job.tools
    if tools.pit != "auger":
        return False
    fits = at_most(number_now(state, now, "plate_width_in"), number_now(state, now, "pit_along_rod_in"))
    return tools.pit_face != "squared" or not fits


def _may_be_turned(state: DayState, now: AnchorNow) -> bool:
    """Return whether a schedule lets this anchor's nut be turned later."""
    return state.job.tightening is not None and now.plan.owner_adjustable


def _nut_turned(state: DayState, now: AnchorNow) -> bool:
    del state
    answer = now.answers.get("nut")
    return answer is not None and answer.answer == "tightened"


def _read_after(state: DayState, now: AnchorNow) -> bool:
    """Return whether the wall is read again: on a visit only where the nut was turned."""
    return state.job.job.day == "install" or _nut_turned(state, now)


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
    IN_THE_PIT: _at_anchor(lambda _, now: now.somebody_in_pit),
    "nobody in the pit": _at_anchor(lambda _, now: not now.somebody_in_pit),
    "hand pit": _of_job(lambda state: state.job.tools.pit == "hand"),
    "auger pit": _of_job(lambda state: state.job.tools.pit == "auger"),
    "soil not rock": _of_job(lambda state: counted_soil(state) != "rock"),
    "pit left open overnight": _at_anchor(_left_overnight),
    "bad air expected": _of_job(lambda state: fact(state, "bad air expected")),
    "sign of cave-in": _at_anchor(_cave_in_sign),
    "pit below a footing": _at_anchor(_below_a_footing),
    "bow past the company's limit": _at_anchor(_bow_past_limit),
    "water in the pit": _of_job(lambda state: fact(state, "water in the pit")),
    "seat to be taped": _at_anchor(_seat_to_be_taped),
    "frost given": _of_job(lambda state: state.job.ground.frost_depth_in is not None),
    "coupling used": _at_anchor(_coupled),
    "private lines": _of_job(_private_lines),
    "indoor chipping": _of_job(lambda state: fact(state, "indoor chipping")),
    "respirator asked for": _of_job(respirator_needed),
    "noise over the dose": _of_job(noise_is_over),
    LOOSE_FILL_FOUND: _of_job(lambda state: fact(state, LOOSE_FILL_FOUND)),
    "ticket given": _of_job(lambda state: state.job.ticket is not None),
    "lines known": _of_job(lambda state: bool(state.job.lines)),
    "second torque did not come up": _at_anchor(lambda _, now: _did_not_come_up(now, "second_torque_lbf_ft")),
    "first torque did not come up": _at_anchor(lambda _, now: _did_not_come_up(now, "first_torque_lbf_ft")),
    "rod came in before or did not come up": _at_anchor(_came_in_or_not_up),
    "nut may be turned": _at_anchor(_may_be_turned),
    "nut turned": _at_anchor(_nut_turned),
    "wall read after tightening": _at_anchor(_read_after),
    "covers over wall plates ordered": _at_anchor(
        lambda state, now: bool(state.job.wall(now.wall).plate_covers)
    ),
    "owner adjustable": _at_anchor(lambda _, now: now.plan.owner_adjustable),
    "bowed wall": _at_anchor(lambda state, now: number_now(state, now, "bow_in") > 0),
}
