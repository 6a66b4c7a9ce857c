"""The figures of an anchor beside its aim: rod, torque, pit, soil wedges, lines in the ground."""

from __future__ import annotations

from msgspec.structs import replace

from crewtui.day.figures.anchor_figures import AnchorFigures, Work
from crewtui.day.figures.line_figures import judge_lines
from crewtui.day.figures.rod_figures import plan_for
from crewtui.day.state.inputs import past_seat_in
from crewtui.day.state.pit_here import rules_at, slope_at
from crewtui.trade.aim.play import rod_play
from crewtui.trade.ground import pit as digging
from crewtui.trade.ground import wedges as soil
from crewtui.trade.rod.rod_inputs import STUB_IN
from crewtui.trade.rod.stop_mark import stop_mark
from crewtui.trade.tightening import tension as steel
from crewtui.trade.tightening import torque as tightening


def with_rod(work: Work, figures: AnchorFigures) -> AnchorFigures:
    """Add the rod's pieces and its play in the hole, at the angle that it ran at, else at the aim's."""
    section, angle_deg = figures.section, figures.rod_angle_deg
    if section is None or angle_deg is None:
        return figures
    held_deg = figures.held_angle_deg if figures.held_angle_deg is not None else angle_deg
    drilled_deg = work.now.value("drilled_angle_deg")
    play = work.attempt(
        "rod",
        lambda: rod_play(
            drilled_deg if drilled_deg is not None else held_deg,
            rod_diameter_in=work.job.rod.diameter_in,
            hole_diameter_in=work.inputs.number("hole_diameter_in"),
            hole_length_in=work.inputs.number("thickness_in"),
        ),
    )
    plan = work.attempt("rod", lambda: plan_for(work.state, work.now, work.inputs, section, angle_deg))
    if plan is not None:
        work.say("rod", *plan.warnings)
    stop = work.attempt(
        "rod",
        lambda: stop_mark(
            section,
            angle_deg,
            past_seat_in=past_seat_in(work.inputs),
            rod_total_in=plan.total_in if plan is not None and plan.pieces else None,
            tail_least_in=plan.inputs.stub_in if plan is not None else STUB_IN,
        ),
    )
    return replace(figures, play=play, rod=plan, stop=stop)


def with_torque(work: Work, figures: AnchorFigures) -> AnchorFigures:
    """Add the torque to bring the nut to, the wrench's setting, and the tension that it may mean.

    A figure that was newly given on the day is the office's.
    """
    rules, given = work.rules, work.inputs["torque_lbf_ft"]
    by_office = given.source == "new aim"
    target = work.attempt(
        "torque",
        lambda: tightening.target(
            work.job.wall(work.now.wall).type,
            rod_diameter_in=work.job.rod.diameter_in,
            plan_lbf_ft=None if by_office else given.value,
            office_lbf_ft=given.value if by_office else None,
            by_wall_lbf_ft={
                "poured concrete": rules.number("torque_poured_lbf_ft"),
                "block": rules.number("torque_block_lbf_ft"),
                "clay tile": rules.number("torque_tile_lbf_ft"),
            },
            stated_for_rod_in=rules.number("torque_stated_for_rod_in"),
        ),
    )
    if target is None:
        return figures
    wrench = work.attempt("torque", lambda: _wrench(work, target.torque_lbf_ft))
    tension = work.attempt("torque", lambda: _tension(work, target))
    work.say("torque", *target.warnings)
    work.say("torque", *(wrench.warnings if wrench else ()), *(tension.warnings if tension else ()))
    return replace(figures, torque=target, wrench=wrench, tension=tension)


def _wrench(work: Work, torque_lbf_ft: float) -> tightening.WrenchSetting:
    at = work.inputs
    return tightening.setting(
        torque_lbf_ft,
        wrench_length_in=at.number("wrench_length_in"),
        extension_in=at.number("extension_in"),
        extension_angle_deg=at.number("extension_angle_deg"),
        wrench_least_lbf_ft=at.known("wrench_least_lbf_ft"),
        wrench_greatest_lbf_ft=at.known("wrench_greatest_lbf_ft"),
        least_share=work.rules.number("wrench_least_share"),
    )


def _tension(work: Work, target: tightening.TorqueTarget) -> steel.TensionCheck:
    rules = work.rules
    return steel.check_tension(
        target,
        threads_per_in=work.job.rod.threads_per_in,
        yield_ksi=work.inputs.known("yield_ksi"),
        default_yield_ksi=rules.number("yield_ksi"),
        k_waxed=rules.number("k_waxed"),
        k_zinc=rules.number("k_zinc"),
        k_dry=rules.number("k_dry"),
        hold_share=rules.number("yield_hold_share"),
        caution_share=rules.number("yield_caution_share"),
    )


def with_pit(work: Work, figures: AnchorFigures) -> AnchorFigures:
    """Add what comes out of the pit and goes back, the rules of its depth, and its slope."""
    at, job = work.inputs, work.job
    depth_in = at.number("pit_depth_in")
    volume = work.attempt(
        "pit",
        lambda: digging.pit_volume(
            job.tools.pit,
            depth_in=depth_in,
            along_rod_in=at.number("pit_along_rod_in"),
            across_in=at.known("pit_across_in"),
            soil=job.ground.soil,
        ),
    )
    work.say("pit", *(volume.warnings if volume else ()))
    rule = work.rules.rule("lift_greatest_in")
    limit = digging.LiftLimit(
        greatest_in=work.rules.number("lift_greatest_in"), source=rule.said_by or rule.source, mark=rule.mark
    )
    return replace(
        figures,
        volume=volume,
        lifts=work.attempt("pit", lambda: digging.lifts(depth_in, limits=(limit,))),
        pit_rules=work.attempt("pit", lambda: rules_at(work.state, work.now, depth_in)) or (),
        slope_back=work.attempt("pit", lambda: slope_at(work.state, depth_in)),
    )


def with_wedges(work: Work, figures: AnchorFigures) -> AnchorFigures:
    """Add the soil wedges against the distance to the seat, with the plate where the rod is or will be."""
    section, base_in = figures.section, work.inputs.known("base_to_grade_in")
    if section is None or figures.aim_depth_in is None or base_in is None:
        return figures
    found_in = work.now.value("depth_found_in")
    plate_in = found_in if found_in is not None else figures.aim_depth_in
    check = work.attempt(
        "wedges",
        lambda: soil.check_wedges(
            section.seat_in,
            base_to_grade_in=base_in,
            plate_base_depth_in=plate_in + work.inputs.number("plate_height_in") / 2,
            friction_angle_deg=work.inputs.number("friction_angle_deg"),
            fall=section.fall,
        ),
    )
    if check is not None and not check.clear:
        work.say("wedges", check.words, *check.warnings)
    return replace(figures, wedges=check)


def with_lines(work: Work, figures: AnchorFigures) -> AnchorFigures:
    """Add every line of the wall, judged for this pit and over the whole band where the rod may run."""
    window = figures.window
    found = work.attempt(
        "lines",
        lambda: judge_lines(
            work.state,
            work.now,
            work.inputs,
            section=figures.section,
            held_deg=figures.driving_deg,
            drift=figures.drift,
            depths_in=(window.shallowest_in, window.greatest_in)
            if window is not None and window.open
            else None,
        ),
    )
    if found is not None:
        work.say("lines", *found.words)
    return replace(figures, lines=found)


__all__ = ["with_lines", "with_pit", "with_rod", "with_torque", "with_wedges"]
