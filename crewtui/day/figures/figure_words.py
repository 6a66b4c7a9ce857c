"""What the figures of an anchor are worth and how they are said, where a bare value is not enough."""

from __future__ import annotations

import math
from collections.abc import Callable

from crewtui.day.figures.anchor_figures import AnchorFigures
from crewtui.trade.aim.rod_line import Aim
from crewtui.trade.aim.window import Window
from crewtui.trade.rod.rod_words import pieces_in_words
from crewtui.units import UnitSystem, show_angle, show_force, show_length, show_torque

Words = Callable[[AnchorFigures, UnitSystem], str]


def standing_aim(figures: AnchorFigures) -> Aim | None:
    """Return the aim where it serves: without a window, or level and uphill, nothing of it is shown."""
    window, aim = figures.window, figures.aim
    return aim if window is not None and window.open and aim is not None and aim.possible else None


def held_deg(figures: AnchorFigures) -> float | None:
    """Return the angle to hold where the aim serves."""
    return figures.held_angle_deg if standing_aim(figures) is not None else None


def of_aim(value: Callable[[Aim], float]) -> Callable[[AnchorFigures], float | None]:
    """Return what reads a value of the aim where it serves and an angle to hold is known."""

    def found(figures: AnchorFigures) -> float | None:
        aim = standing_aim(figures)
        return value(aim) if aim is not None and figures.held_angle_deg is not None else None

    return found


def exit_in(figures: AnchorFigures) -> float | None:
    """Return how deep the rod comes out outside."""
    return figures.aim.exit_depth_in if figures.aim is not None and figures.aim.possible else None


def joists_words(figures: AnchorFigures, system: UnitSystem) -> str:
    """Say whether the hammer clears the joists."""
    room = figures.tail_room
    if room is None:
        return ""
    return f"{show_length(abs(room.spare_in), system)} {'to spare' if room.clears else 'too little'}"


def stop_words(figures: AnchorFigures, system: UnitSystem) -> str:
    """Say where the stop mark is, and what the rod lacks to it."""
    stop = figures.stop
    if stop is None:
        return ""
    ends = stop.words(system)
    return f"{show_length(stop.from_end_in, system)}{f'. {ends}' if ends else ''}"


def next_rod_words(figures: AnchorFigures, system: UnitSystem) -> str:
    """Say where two rods in three will land, and after how many."""
    found, rods = figures.next_rod, figures.drift.rods
    if found is None:
        return ""
    low, high = (show_length(one, system) for one in (found.low_in, found.high_in))
    behind = f"after {rods} {'rod' if rods == 1 else 'rods'}" if rods else "no rod driven yet"
    return f"{low} to {high}, {behind}"


def pieces_words(figures: AnchorFigures, system: UnitSystem) -> str:
    """Say the pieces of the rod."""
    return pieces_in_words(figures.rod, system) if figures.rod is not None else ""


def spare_words(figures: AnchorFigures, system: UnitSystem) -> str:
    """Say what the rod has over its need, or lacks."""
    spare_in = figures.rod.spare_in if figures.rod is not None else 0.0
    return f"{'short by ' if spare_in < 0 else ''}{show_length(abs(spare_in), system)}"


def trim_words(figures: AnchorFigures, system: UnitSystem) -> str:
    """Say what is cut off in the room."""
    rod = figures.rod
    if rod is None:
        return ""
    return f"{show_length(rod.trimmed_in, system)}{', worth keeping' if rod.trimmed_worth_keeping else ''}"


def setting_words(figures: AnchorFigures, system: UnitSystem) -> str:
    """Say what the wrench is set to, and whether it suits."""
    wrench = figures.wrench
    if wrench is None:
        return ""
    suits = {True: ", in its range", False: ", not this wrench", None: ""}[wrench.suits]
    extension = ", extension on" if figures.inputs.known("extension_in") else ""
    return f"{show_torque(wrench.setting_lbf_ft, system)}{extension}{suits}"


def tension_words(figures: AnchorFigures, system: UnitSystem) -> str:
    """Say which tension the torque may mean, beside the yield."""
    tension = figures.tension
    if tension is None:
        return ""
    least, greatest = (show_force(one, system) for one in (tension.least_lbf, tension.greatest_lbf))
    yields = show_force(tension.yield_lbf, system)
    return f"{least} to {greatest}, give or take 30 %; the rod yields at {yields}"


def over_tail(figures: AnchorFigures, system: UnitSystem) -> str:
    """Say over which length the tail is measured."""
    return f", over {show_length(figures.aim.tail_length_in, system)}" if figures.aim is not None else ""


def serving_window(figures: AnchorFigures) -> Window | None:
    """Return the window where there is one."""
    return figures.window if figures.window is not None and figures.window.open else None


def of_window(value: Callable[[Window], float]) -> Callable[[AnchorFigures], float | None]:
    """Return what reads a value of the window where there is one."""

    def found(figures: AnchorFigures) -> float | None:
        window = serving_window(figures)
        return value(window) if window is not None else None

    return found


def run_words(angle: Callable[[Window], float], depth: Callable[[Window], float]) -> Words:
    """Return what says an end of the window: the angle, and the depth that it makes."""

    def words(figures: AnchorFigures, system: UnitSystem) -> str:
        window = serving_window(figures)
        if window is None:
            return ""
        return f"{show_angle(angle(window))} for {show_length(depth(window), system)}"

    return words


def angles_words(figures: AnchorFigures, _: UnitSystem) -> str:
    """Say between which angles the rod lands in the window."""
    window = figures.window
    if window is None:
        return ""
    return f"{show_angle(window.least_angle_deg)} to {show_angle(window.greatest_angle_deg)}"


def lifts_words(figures: AnchorFigures, system: UnitSystem) -> str:
    """Say how many lifts, and how thick."""
    lifts = figures.lifts
    return f"{lifts.count} of {show_length(lifts.lift_in, system)}, loose" if lifts is not None else ""


def slope_back_words(figures: AnchorFigures, system: UnitSystem) -> str:
    """Say how far the sides are cut back, and for which soil."""
    back = figures.slope_back
    return f"{show_length(back.horizontal_in, system)} (soil {back.counted_type})" if back is not None else ""


def wedge_spare_in(figures: AnchorFigures) -> float | None:
    """Return how much farther out the seat is than both wedges need; -inf where nothing is enough."""
    wedges = figures.wedges
    if wedges is None:
        return None
    return wedges.spare_in if wedges.spare_in is not None else -math.inf


def torque_lbf_ft(figures: AnchorFigures) -> float | None:
    """Return the torque at the nut."""
    return figures.torque.torque_lbf_ft if figures.torque is not None else None


def torque_in(own: bool) -> Words:
    """Say the torque in the job's own unit, or in the other one."""

    def words(figures: AnchorFigures, system: UnitSystem) -> str:
        mine, _, other = show_torque(torque_lbf_ft(figures) or 0.0, system).partition(" (")
        return mine if own else other.rstrip(")")

    return words


def torque_source(figures: AnchorFigures, _: UnitSystem) -> str:
    """Say where the torque comes from."""
    if figures.torque is None:
        return ""
    if figures.inputs["torque_lbf_ft"].source == "typed":
        return "typed here"
    return "rule of thumb for the wall" if figures.torque.source == "wall type" else figures.torque.source
