"""Mark, window and aim of an anchor, the angle to hold, and what may come of it."""

from __future__ import annotations

from typing import Final

from msgspec.structs import replace

from crewtui.day.figures.anchor_figures import AnchorFigures, Work
from crewtui.day.state.inputs import Inputs, greatest_depth_of, least_depth_of, section_of
from crewtui.day.state.pit_here import rules_at
from crewtui.day.state.state import DayState
from crewtui.trade.aim import rod_line as aiming
from crewtui.trade.aim import window as windows
from crewtui.trade.aim.aside import share_in_width
from crewtui.trade.aim.drift import Drift, next_rod
from crewtui.trade.aim.sag import sag_deg
from crewtui.trade.checks import checked_angle
from crewtui.trade.ground.excavation import switched_on
from crewtui.units import at_least, at_most, show_angle, show_length

BEST_AIM: Final = (
    "is aimed for, the depth that most rods hit (by drift and spread from memory): neither plan nor company"
    " names one."
)
DEEPER_BY_IN: Final = (2.0, 4.0, 6.0, 8.0, 10.0)
"""How much deeper a pit is looked at, to say what it would add."""


def with_mark(work: Work, figures: AnchorFigures) -> AnchorFigures:
    """Add the mark as a tape shows it in the basement, and the section."""
    at = work.inputs
    mark = work.attempt(
        "mark",
        lambda: aiming.mark_seen_inside(
            at.number("mark_depth_in"),
            grade_to_top_in=at.number("grade_to_top_in"),
            slab_to_top_in=at.number("slab_to_top_in"),
            system=work.system,
        ),
    )
    return replace(figures, mark=mark, section=work.attempt("aim", lambda: section_of(at)))


def with_window(work: Work, figures: AnchorFigures) -> AnchorFigures:
    """Add least and greatest depth, the window between them, and the depth aimed for in it."""
    least = work.attempt("aim", lambda: _least(work))
    greatest_in = work.attempt("aim", lambda: greatest_depth_of(work.inputs.__getitem__))
    figures = replace(figures, least=least, greatest_in=greatest_in)
    section = figures.section
    if section is None or least is None or greatest_in is None:
        return figures
    window = work.attempt("aim", lambda: _window(work, section, least, greatest_in, figures.drift))
    if window is None:
        return figures
    work.say("aim", window.refused, *window.warnings)
    if window.mends:
        work.say("aim", f"What would mend it: {'; or '.join(window.mends)}.")
    return replace(figures, window=window, aim_depth_in=window.aim_in)


def _least(work: Work) -> windows.LeastDepth:
    least = least_depth_of(work.inputs.__getitem__, work.state)
    work.say("aim", *least.warnings)
    return least


def drift_in_use_deg(at: Inputs, drift: Drift) -> float:
    """Return the drift that the angle to hold is corrected for.

    An angle that was chosen as a way on reckons with what the ground has shown, whether or not the lead uses
    the drift elsewhere.
    """
    if at.known("hold_angle_deg") is not None and at["drift_deg"].source == "worked out":
        return drift.mean_deg
    return at.number("drift_deg")


def _window(
    work: Work, section: aiming.Section, least: windows.LeastDepth, greatest_in: float, drift: Drift
) -> windows.Window:
    at = work.inputs

    def judged(depth_in: float) -> windows.Window:
        return windows.window(
            section,
            least_in=least.value_in,
            aim_in=depth_in,
            greatest_in=greatest_in,
            pit_depth_in=at.number("pit_depth_in"),
            system=work.system,
        )

    held_deg = at.known("hold_angle_deg")
    if held_deg is not None:
        run_deg = held_deg + drift_in_use_deg(at, drift)
        return judged(max(0.0, aiming.depth_at_seat_in(section, run_deg)))
    aim_in = at.number("aim_depth_in")
    window = judged(aim_in)
    if at["aim_depth_in"].source == "worked out":
        if window.open:
            work.say("aim", f"{show_length(aim_in, work.system)} {BEST_AIM}")
        return window
    fits = at_least(aim_in, window.shallowest_in) and at_most(aim_in, greatest_in)
    best = windows.best_aim(window)
    if at["aim_depth_in"].source != "company rule" or fits or best is None:
        return window
    work.say(
        "aim",
        f"The company's aim of {show_length(aim_in, work.system)} lies outside this window:"
        f" {show_length(best.depth_in, work.system)}, in its middle, is aimed for.",
    )
    return judged(best.depth_in)


def with_aim(work: Work, figures: AnchorFigures) -> AnchorFigures:
    """Add the aim, the angle to hold, the shares expected, and how the rod ran once it was found."""
    section, window, at = figures.section, figures.window, work.inputs
    if section is None or window is None:
        return figures
    tail_in = at.known("tail_length_in") or 0.0
    aim = work.attempt(
        "aim",
        lambda: aiming.aim(
            section,
            window.aim_in,
            tail_length_in=tail_in,
            system=work.system,
        ),
    )
    found_in = work.now.value("depth_found_in")
    ran_deg = None
    if found_in is not None:
        ran_deg = work.attempt("aim", lambda: aiming.angle_for_deg(section, found_in))
    figures = replace(figures, aim=aim, ran_deg=ran_deg)
    if aim is None:
        return figures
    work.say("aim", aim.refused, *aim.warnings)
    fixed_deg = at.known("hold_angle_deg")
    wanted_deg = fixed_deg if fixed_deg is not None else aim.angle_deg - drift_in_use_deg(at, figures.drift)
    held_deg = work.attempt("aim", lambda: checked_angle(wanted_deg, "The angle to hold"))
    if held_deg is None:
        return figures
    if fixed_deg is not None and at["hold_angle_deg"].source == "new aim":
        work.say("aim", f"Hold {show_angle(fixed_deg)}, as chosen, until there is another aim.")
    sag = work.attempt("aim", lambda: sag_of_tail_deg(work.state, tail_in))
    tail_deg = held_deg + (sag or 0.0)
    rise_in = work.attempt("aim", lambda: aiming.tail_rise_in(tail_deg, tail_in)) if tail_in > 0 else None
    _say_drives_of_unknown_sag(work, figures, sag)
    read_deg = work.now.value("held_angle_deg") if found_in is None else None
    driving_deg = held_deg if read_deg is None else read_deg
    figures = replace(
        figures, held_angle_deg=held_deg, held_rise_in=rise_in, sag_deg=sag, driving_deg=driving_deg
    )
    return _with_landings(work, figures, window, held_deg, tail_in)


def sag_of_tail_deg(state: DayState, tail_in: float) -> float | None:
    """Return the sag that the tail's height carries; None where the aim is not taken by the tail."""
    rod = state.job.rod
    if state.job.tools.aim_by != "tail" or tail_in <= 0:
        return None
    return sag_deg(rod.diameter_in, rod.threads_per_in, tail_in)


def _say_drives_of_unknown_sag(work: Work, figures: AnchorFigures, sag: float | None) -> None:
    """Say which rods the drift rests on whose angle may carry the sag: nobody said how they were held."""
    if not sag:
        return
    used = set(figures.drift.anchors)
    unsaid = [
        now.id
        for now in work.state.anchors.values()
        if now.id in used and any(not drive.held_by for drive in now.drives)
    ]
    if unsaid:
        work.say(
            "aim",
            f"Nobody said how the aim was taken at {', '.join(unsaid)}: by the tail's height without its sag,"
            f" the drift holds {show_angle(sag)} of sag as if it were the ground's.",
        )


def _with_landings(
    work: Work, figures: AnchorFigures, window: windows.Window, held_deg: float, tail_in: float
) -> AnchorFigures:
    """Add where rods held so land: by the ground's own word, whether or not the aim is corrected for it."""
    drift, at = figures.drift, work.inputs
    mean_deg = drift.mean_deg if at["drift_deg"].source == "worked out" else at.number("drift_deg")
    return replace(
        figures,
        best=windows.best_aim(
            window, drift_mean_deg=mean_deg, drift_sd_deg=drift.sd_deg, spread_deg=drift.spread_deg
        ),
        share=windows.chance_held_inside(
            window,
            held_deg,
            drift_mean_deg=mean_deg,
            drift_sd_deg=drift.sd_deg,
            spread_deg=drift.spread_deg,
        )
        if window.open
        else None,
        deeper=_deeper(work, figures, window, mean_deg) if window.open else (),
        next_rod=work.attempt("aim", lambda: next_rod(window.section, held_deg, drift, system=work.system)),
        tail_room=work.attempt(
            "aim", lambda: _tail_room(work, figures, held_deg + (figures.sag_deg or 0.0), tail_in)
        ),
        share_aside=work.attempt("aim", lambda: _share_aside(work, figures)),
    )


def _share_aside(work: Work, figures: AnchorFigures) -> float:
    """Return the share inside the pit's width: nothing is learned sideways, so the prior's spread serves."""
    at = work.inputs
    way_in = at.number("setback_in") + aiming.way_through_in(at.number("thickness_in"), at.number("bow_in"))
    return share_in_width(
        way_in,
        side_sd_deg=figures.drift.unlearned_sd_deg,
        pit_across_in=at.number("pit_across_in"),
        rod_diameter_in=work.job.rod.diameter_in,
    )


def _tail_room(work: Work, figures: AnchorFigures, held_deg: float, tail_in: float) -> aiming.TailRoom | None:
    clearance_in = work.inputs.known("joist_clearance_in")
    if clearance_in is None or figures.mark is None or tail_in <= 0:
        return None
    room = aiming.tail_room(
        held_deg,
        tail_length_in=tail_in,
        hammer_length_in=work.inputs.known("hammer_length_in") or 0.0,
        down_from_top_in=figures.mark.down_from_top_in,
        joist_clearance_in=clearance_in,
        system=work.system,
    )
    work.say("aim", *room.warnings)
    return room


def _deeper(
    work: Work, figures: AnchorFigures, window: windows.Window, mean_deg: float
) -> tuple[windows.DeeperPit, ...]:
    pit_in = work.inputs.number("pit_depth_in")
    before = rules_at(work.state, work.now, pit_in)

    def switched(depth_in: float) -> tuple[str, ...]:
        return tuple(rule.words for rule in switched_on(before, rules_at(work.state, work.now, depth_in)))

    return windows.deeper_pits(
        window,
        [pit_in + by for by in DEEPER_BY_IN],
        plate_height_in=work.inputs.number("plate_height_in"),
        wrench_room_in=work.inputs.number("wrench_room_in"),
        rules_switched_on=switched,
        drift_mean_deg=mean_deg,
        drift_sd_deg=figures.drift.sd_deg,
        spread_deg=figures.drift.spread_deg,
    )
