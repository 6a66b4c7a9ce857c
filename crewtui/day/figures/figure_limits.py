"""The named limits of an anchor's measured values, as its figures and the company's rules give them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from crewtui.day.figures.aim_figures import drift_in_use_deg
from crewtui.day.figures.anchor_figures import AnchorFigures
from crewtui.day.state.facts import Limit
from crewtui.day.state.inputs import expected
from crewtui.day.state.state import HOLD, AnchorNow, DayState
from crewtui.trade.aim.drift import next_rod
from crewtui.trade.aim.window import pit_depth_for_in
from crewtui.trade.ground.pit import KEEP_BACK_IN, ground_sheet
from crewtui.units import UnitSystem, at_least, show_angle, show_length, show_torque

AIMED_MARK_IN: Final = 0.5
"""A mark that the plan or a new aim sets outside the company's band may be off by so much (from memory)."""

_SAME_LBF_FT: Final = 0.5
_SHOWN_ALIKE_DEG: Final = 0.05
"""Drifts nearer than this show as the same tenth of a degree."""
CHOSEN: Final = "the way on chosen"

Named = Iterator[tuple[str, Limit]]


def limits_of(figures: AnchorFigures, state: DayState) -> dict[str, Limit]:
    """Return every limit that is known, by name; a name that is missing limits nothing, or is a rule's."""
    now = state.anchors[figures.anchor]
    found: dict[str, Limit] = {}
    for part in (
        _place(figures, now),
        _pit(figures, state, now),
        _mark(figures, state),
        _angles(figures, state),
    ):
        found.update(part)
    found.update(_depths(figures))
    found.update(_side(figures, state))
    found.update(_torque(figures, state))
    found.update(_visit_torque(figures, state))
    if figures.lifts is not None:
        found["least_lifts"] = Limit(value=float(figures.lifts.count), source=figures.lifts.limit.source)
    return found


def hints_of(figures: AnchorFigures, state: DayState) -> dict[str, str]:
    """Return what figures and the company's rules say to how a step is done, by step."""
    system = state.job.job.units
    offer = drift_offer(figures, system)
    return {
        **_sod_hint(figures, state),
        **_wax_hint(state),
        **({"held-angle": f"{offer}. Take it in Figures."} if offer else {}),
        **_wrench_hint(figures, system),
    }


def _sod_hint(figures: AnchorFigures, state: DayState) -> dict[str, str]:
    """Say how wide the sod is cut, the company's width or the pit's, and whether the sheet holds the heap."""
    at, system = figures.inputs, state.job.job.units
    across_in = max(
        state.rules.number("sod_across_in"), at.number("pit_along_rod_in"), at.known("pit_across_in") or 0.0
    )
    side_in = state.rules.number("ground_sheet_in")
    words = f"Cut it {show_length(across_in, system)} across; sheet of {show_length(side_in, system)} square"
    if figures.volume is not None:
        back_in = KEEP_BACK_IN if state.anchors[figures.anchor].somebody_in_pit else 0.0
        sheet = ground_sheet(figures.volume, side_in=side_in, keep_back_in=back_in)
        words += "" if sheet.big_enough else ", and more: the heap is too big for one"
    return {"sod": f"{words}."}


def _wax_hint(state: DayState) -> dict[str, str]:
    leading, wall_end = (
        show_length(state.rules.number(key), state.job.job.units)
        for key in ("wax_leading_in", "wax_wall_end_in")
    )
    return {"wax": f"Wax {leading} of the leading end and {wall_end} of the wall-plate end."}


def _wrench_hint(figures: AnchorFigures, system: UnitSystem) -> dict[str, str]:
    """Say that with an extension the wrench shows less."""
    wrench = figures.wrench
    if wrench is None or abs(wrench.setting_lbf_ft - wrench.torque_lbf_ft) < _SAME_LBF_FT:
        return {}
    shows, nut = (show_torque(one, system) for one in (wrench.setting_lbf_ft, wrench.torque_lbf_ft))
    words = f"With this extension the wrench is set to {shows}; at the nut that is {nut}: enter that."
    return {"first-torque": words, "second-torque": words}


def drift_offer(figures: AnchorFigures, system: UnitSystem) -> str:
    """Return what the wall's rods have shown and which angle it asks for; empty where the aim has it."""
    section, aim, held_deg, drift = figures.section, figures.aim, figures.held_angle_deg, figures.drift
    if section is None or aim is None or held_deg is None or figures.ran_deg is not None:
        return ""
    if not drift.used or not drift.offered or figures.inputs.known(HOLD) is not None:
        return ""
    if abs(drift.mean_deg - figures.inputs.number("drift_deg")) < _SHOWN_ALIKE_DEG:
        return ""
    better_deg = aim.angle_deg - drift.mean_deg
    rods, _, where = next_rod(section, better_deg, drift, system=system).words.partition("; ")
    return f"{rods}: hold {show_angle(better_deg)} in place of {show_angle(held_deg)}; {where}"


def _place(figures: AnchorFigures, now: AnchorNow) -> Named:
    reach_in = now.plan.obstacle_reach_in
    if reach_in is not None:
        half_in = figures.inputs.number("pit_along_rod_in") / 2
        yield "least_setback_in", Limit(value=reach_in + half_in, source=f"past {now.plan.obstacle}")


def _pit(figures: AnchorFigures, state: DayState, now: AnchorNow) -> Named:
    at = figures.inputs
    depth_in = figures.aim_depth_in
    if figures.window is not None and not figures.window.open and figures.least is not None:
        depth_in = max(figures.window.shallowest_in, figures.aim_depth_in or 0.0)
    if depth_in is not None:
        needed_in = pit_depth_for_in(
            depth_in, plate_height_in=at.number("plate_height_in"), wrench_room_in=at.number("wrench_room_in")
        )
        aim = show_length(depth_in, state.job.job.units)
        yield "least_pit_depth_in", Limit(value=needed_in, source=f"plate and wrench at the aim of {aim}")
    yield "least_pit_along_rod_in", _planned_pit(state, now)
    half_in = at.number("pit_along_rod_in") / 2
    yield "least_seat_in", Limit(value=at.number("setback_in") - half_in, source="the pit's house side")
    yield "greatest_seat_in", Limit(value=at.number("setback_in") + half_in, source="the pit's far side")


def _planned_pit(state: DayState, now: AnchorNow) -> Limit:
    item = expected(state, now, "pit_along_rod_in")
    return Limit(value=item.value, source=item.said)


def _mark(figures: AnchorFigures, state: DayState) -> Named:
    now, rules = state.anchors[figures.anchor], state.rules
    asked = expected(state, now, "mark_depth_in")
    asked_in = asked.value if asked.source in {"new aim", "plan"} else None
    for key, way in (("mark_band_top_in", -1), ("mark_band_bottom_in", 1)):
        rule_in, shop = rules.number(key), rules.rule(key)
        own_in = None if asked_in is None else asked_in + way * AIMED_MARK_IN
        if own_in is not None and way * own_in > way * rule_in:
            yield key, Limit(value=own_in, source=asked.source)
        else:
            yield key, Limit(value=rule_in, source=shop.said_by or "company rule")


def _angles(figures: AnchorFigures, state: DayState) -> Named:
    window, held_deg = figures.window, figures.held_angle_deg
    if window is None or not window.open or held_deg is None:
        return
    drift_deg = drift_in_use_deg(figures.inputs, figures.drift)
    corrected = " less the drift" if drift_deg else ""
    low, high = (f"{words}{corrected}" for words in _sources(figures))
    least_deg, greatest_deg = window.least_angle_deg - drift_deg, window.greatest_angle_deg - drift_deg
    if figures.inputs[HOLD].source == "new aim":
        read_deg = state.rules.number("level_reading_deg")
        if held_deg - read_deg < least_deg:
            least_deg, low = held_deg - read_deg, CHOSEN
        if held_deg + read_deg > greatest_deg:
            greatest_deg, high = held_deg + read_deg, CHOSEN
    yield "least_angle_deg", Limit(value=least_deg, source=low)
    yield "greatest_angle_deg", Limit(value=greatest_deg, source=high)
    flatter_deg, steeper_deg = _hole_tilt_deg(figures, state)
    tilt = "the rod's play in the hole"
    yield "least_drilled_angle_deg", Limit(value=held_deg - steeper_deg, source=tilt)
    yield "greatest_drilled_angle_deg", Limit(value=held_deg + flatter_deg, source=tilt)


def _hole_tilt_deg(figures: AnchorFigures, state: DayState) -> tuple[float, float]:
    """Return how much steeper and how much flatter the hole may be and still let the rod be held as figured.

    Where couplings have yet to pass, their tilt is the smaller. Never less than a level reads.
    """
    read_deg = state.rules.number("level_reading_deg")
    flatter_deg = steeper_deg = read_deg
    if figures.play is not None:
        flatter_deg = max(read_deg, figures.play.flatter_deg)
        steeper_deg = max(read_deg, figures.play.steeper_deg)
    rod = figures.rod
    if rod is not None and rod.couplings_to_fit and rod.coupling_way.tilt_deg is not None:
        tilt_deg = max(read_deg, rod.coupling_way.tilt_deg)
        flatter_deg, steeper_deg = min(flatter_deg, tilt_deg), min(steeper_deg, tilt_deg)
    return flatter_deg, steeper_deg


def _sources(figures: AnchorFigures) -> tuple[str, str]:
    """Return what sets the least and the greatest depth."""
    least, section = figures.least, figures.section
    low: str = least.governs if least is not None else ""
    if section is not None and least is not None and not at_least(least.value_in, section.level_depth_in):
        low = "a level rod"
    return low, "plate and wrench in this pit"


def _depths(figures: AnchorFigures) -> Named:
    low, high = _sources(figures)
    if figures.window is not None:
        yield "least_depth_in", Limit(value=figures.window.shallowest_in, source=low)
    elif figures.least is not None:
        yield "least_depth_in", Limit(value=figures.least.value_in, source=low)
    if figures.greatest_in is not None:
        yield "greatest_depth_in", Limit(value=figures.greatest_in, source=high)


def side_allowed_in(pit_across_in: float, plate_width_in: float, *, marks_agree_in: float) -> float:
    """Return how far off the pit's middle a rod may be and its plate still fits.

    A plate as wide as its pit is let in by cutting the pit's side as it is set: as much as the marks inside
    and outside may differ. At the pit's half width the rod counts as not found.
    """
    slack_in = max((pit_across_in - plate_width_in) / 2, marks_agree_in)
    return min(slack_in, pit_across_in / 2)


def _side(figures: AnchorFigures, state: DayState) -> Named:
    at = figures.inputs
    allowed_in = side_allowed_in(
        at.number("pit_across_in"),
        at.number("plate_width_in"),
        marks_agree_in=state.rules.number("marks_agree_in"),
    )
    yield "least_side_offset_in", Limit(value=-allowed_in, source="the plate's width in this pit")
    yield "greatest_side_offset_in", Limit(value=allowed_in, source="the plate's width in this pit")


def _torque(figures: AnchorFigures, state: DayState) -> Named:
    if figures.torque is None:
        return
    share = state.rules.number("torque_agrees_share")
    target = figures.torque.torque_lbf_ft
    source = "rule of thumb for the wall" if figures.torque.source == "wall type" else figures.torque.source
    yield "least_torque_lbf_ft", Limit(value=target * (1 - share), source=source)
    yield "greatest_torque_lbf_ft", Limit(value=target * (1 + share), source=source)


def _visit_torque(figures: AnchorFigures, state: DayState) -> Named:
    """Yield the most that a visit may turn a nut to: schedule, own torque, a step over the last time."""
    later, now = state.job.tightening, state.anchors[figures.anchor]
    built, target = now.plan.built, figures.torque
    bounds: list[tuple[float, str]] = []
    if later is not None and later.greatest_torque_lbf_ft is not None:
        bounds.append((later.greatest_torque_lbf_ft, f"never past, by {later.said_by}"))
    if target is not None:
        bounds.append((target.torque_lbf_ft, "the anchor's own torque"))
    last = built.torque_left_lbf_ft if built is not None else None
    if last is not None and later is not None and later.step_torque_lbf_ft is not None:
        bounds.append((last + later.step_torque_lbf_ft, "the most that one visit adds"))
    if bounds and state.job.job.day == "visit":
        most, source = min(bounds)
        yield "greatest_visit_torque_lbf_ft", Limit(value=most, source=source)
