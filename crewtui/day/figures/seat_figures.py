"""The plate in its pit: where it bears, the face it bears on, and whether a hand sets its nut."""

from __future__ import annotations

from msgspec.structs import replace

from crewtui.day.figures.anchor_figures import AnchorFigures, Work
from crewtui.day.state.pit_here import entry_switches_on
from crewtui.trade.ground.seat import NutFace, NutReach, PlateSeat, nut_face, nut_reach, plate_seat
from crewtui.units import TOLERANCE_IN


def with_seat(work: Work, figures: AnchorFigures) -> AnchorFigures:
    """Add how the plate sits, how its face is cut, and how its nut is set, all before anything is dug."""
    seat = work.attempt("pit", lambda: _seat(work))
    face = work.attempt("pit", lambda: _face(work, figures))
    reach = work.attempt("pit", lambda: _reach(work, figures))
    if seat is not None:
        work.say("pit", *seat.words)
    if face is not None and face.washer and face.by_maker:
        work.say("pit", face.words[1])
    if reach is not None and reach.setting != "from the rim":
        work.say("pit", reach.words)
    return replace(figures, seat=seat, nut_face=face, nut_reach=reach)


def _seat(work: Work) -> PlateSeat:
    at, tools = work.inputs, work.job.tools
    return plate_seat(
        is_round=tools.pit == "auger",
        pit_along_rod_in=at.number("pit_along_rod_in"),
        pit_across_in=at.number("pit_across_in"),
        plate_width_in=at.number("plate_width_in"),
        face=tools.pit_face,
        short_in=at.number("setback_in") - at.number("seat_in"),
        taped=at["seat_in"].source == "as built",
        system=work.system,
    )


def _face(work: Work, figures: AnchorFigures) -> NutFace | None:
    if figures.rod_angle_deg is None:
        return None
    return nut_face(
        figures.rod_angle_deg,
        plate_height_in=work.inputs.number("plate_height_in"),
        takes_deg=work.job.rod.hardware_takes_deg,
        system=work.system,
    )


def _reach(work: Work, figures: AnchorFigures) -> NutReach | None:
    """Return how the nut is set; it lies as deep as the rod, in the plane of the house-side rim."""
    found_in = work.now.value("depth_found_in")
    depth_in = found_in if found_in is not None else figures.aim_depth_in
    if depth_in is None or depth_in <= TOLERANCE_IN:
        return None
    at, rules = work.inputs, work.rules
    pit_in = at.number("pit_depth_in")
    return nut_reach(
        depth_in,
        reach_in=rules.number("arm_reach_in"),
        long_socket_in=work.job.tools.long_socket_in,
        pit_least_in=min(at.number("pit_along_rod_in"), at.number("pit_across_in")),
        entry_least_in=rules.number("pit_entry_least_in"),
        entry_rules=tuple(rule.key for rule in entry_switches_on(work.state, work.now, pit_in)),
        system=work.system,
    )


__all__ = ["with_seat"]
