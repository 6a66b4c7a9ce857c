"""Every figure of one anchor, from the plan, what was measured, and the company's rules.

A figure that lacks an input is None, and its subject's warnings say which is missing and ask for it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Final, Literal, TypeVar

from crewtui.day.conditions import fact
from crewtui.day.drift_of_wall import drift_of
from crewtui.day.facts import FigureHold, Limit
from crewtui.day.figure_limits import holds_of, limits_of
from crewtui.day.inputs import Inputs, inputs_for
from crewtui.day.line_figures import LineFigures, judge_lines
from crewtui.day.rod_figures import plan_for
from crewtui.day.state import AnchorNow, DayState
from crewtui.trade import aim as aiming
from crewtui.trade import pit as digging
from crewtui.trade import tension as steel
from crewtui.trade import torque as tightening
from crewtui.trade import wedges as soil
from crewtui.trade import window as windows
from crewtui.trade.drift import Drift, NextRod, next_rod
from crewtui.trade.excavation import PitRule, SlopeBack, pit_rules, slope_back, switched_on
from crewtui.trade.play import Play, rod_play
from crewtui.trade.rods import RodPlan
from crewtui.units import at_least, at_most, show_length

Subject = Literal["mark", "aim", "rod", "torque", "pit", "wedges", "lines"]
SUBJECTS: Final[tuple[Subject, ...]] = ("mark", "aim", "rod", "torque", "pit", "wedges", "lines")
DEEPER_BY_IN: Final = (2.0, 4.0, 6.0, 8.0, 10.0)
"""How much deeper a pit is looked at, to say what it would add."""

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class AnchorFigures:
    """Everything that is worked out for one anchor."""

    anchor: str
    inputs: Inputs
    mark: aiming.MarkInside | None = None
    section: aiming.Section | None = None
    least: windows.LeastDepth | None = None
    greatest_in: float | None = None
    aim_depth_in: float | None = None
    """The depth aimed for: the plan's, else the company's where it lies in the window, else the best."""
    window: windows.Window | None = None
    aim: aiming.Aim | None = None
    """At the angle that the rod should run at."""
    held_angle_deg: float | None = None
    """The angle to hold: that of the aim less the drift, where the lead uses it."""
    held_rise_in: float | None = None
    """Height of the rod's tail above the hole, at the angle held."""
    tail_room: aiming.TailRoom | None = None
    best: windows.BestAim | None = None
    share: float | None = None
    """Share of first drives expected inside the window, held as figured."""
    deeper: tuple[windows.DeeperPit, ...] = ()
    drift: Drift | None = None
    next_rod: NextRod | None = None
    play: Play | None = None
    rod: RodPlan | None = None
    torque: tightening.TorqueTarget | None = None
    wrench: tightening.WrenchSetting | None = None
    tension: steel.TensionCheck | None = None
    volume: digging.PitVolume | None = None
    lifts: digging.Lifts | None = None
    pit_rules: tuple[PitRule, ...] = ()
    slope_back: SlopeBack | None = None
    wedges: soil.WedgeCheck | None = None
    lines: LineFigures | None = None
    said: Mapping[Subject, tuple[str, ...]] = field(default_factory=dict)
    """Warnings by subject, in words."""
    limits: Mapping[str, Limit] = field(default_factory=dict)
    holds: tuple[FigureHold, ...] = ()

    @property
    def warnings(self) -> tuple[str, ...]:
        """Return every warning, subject by subject."""
        return tuple(words for subject in SUBJECTS for words in self.said.get(subject, ()))


class _Work:
    """What has been worked out so far, and the sentences on what could not be."""

    def __init__(self, state: DayState, now: AnchorNow, inputs: Inputs) -> None:
        self.state, self.now, self.inputs = state, now, inputs
        self.system = state.job.job.units
        self.figures: dict[str, object] = {}
        self.said: dict[Subject, list[str]] = {}

    def say(self, subject: Subject, *words: str) -> None:
        """Keep warnings, each once."""
        said = self.said.setdefault(subject, [])
        said.extend(word for word in words if word and word not in said)

    def attempt(self, subject: Subject, work: Callable[[], T]) -> T | None:
        """Return what the work gives, or None, and its sentence among the warnings."""
        try:
            return work()
        except ValueError as error:
            self.say(subject, str(error))
            return None


def figures_for(
    state: DayState, anchor_id: str, *, typed: Mapping[str, float] | None = None
) -> AnchorFigures:
    """Return every figure of an anchor; KeyError if there is no such anchor."""
    now = state.anchors[anchor_id]
    work = _Work(state, now, inputs_for(state, anchor_id, typed))
    mark = work.attempt("mark", lambda: _mark(work))
    section = work.attempt("aim", lambda: _section(work))
    least = work.attempt("aim", lambda: _least(work))
    greatest_in = work.attempt("aim", lambda: _greatest_in(work))
    drift = drift_of(state, now.wall)
    window = aim = None
    aim_depth_in = None
    if section is not None and least is not None and greatest_in is not None:
        window, aim_depth_in = _window(work, section, least, greatest_in)
        aim = work.attempt("aim", lambda: _aim(work, section, aim_depth_in))
    figures = AnchorFigures(
        anchor=anchor_id,
        inputs=work.inputs,
        mark=mark,
        section=section,
        least=least,
        greatest_in=greatest_in,
        aim_depth_in=aim_depth_in,
        window=window,
        aim=aim,
        drift=drift,
        **_held(work, window, aim, drift, mark),
        **_rod(work, section, aim),
        **_torque(work),
        **_pit(work),
        wedges=work.attempt("wedges", lambda: _wedges(work, section, aim_depth_in)),
        lines=_lines(work, section, aim, drift),
    )
    return _finished(work, figures)


def _finished(work: _Work, figures: AnchorFigures) -> AnchorFigures:
    from dataclasses import replace  # noqa: PLC0415 - one use

    said = {subject: tuple(words) for subject, words in work.said.items()}
    return replace(
        figures,
        said=said,
        limits=limits_of(figures, work.state),
        holds=holds_of(figures, work.state, work.now),
    )


# Mark and aim.


def _mark(work: _Work) -> aiming.MarkInside:
    return aiming.mark_seen_inside(
        work.inputs.number("mark_depth_in"),
        grade_to_top_in=work.inputs.number("grade_to_top_in"),
        slab_to_top_in=work.inputs.number("slab_to_top_in"),
        system=work.system,
    )


def _section(work: _Work) -> aiming.Section:
    at = work.inputs
    if at.known("drop_in") is None:
        raise ValueError(aiming.DROP_MISSING)
    seat_in = aiming.seat_from_setback_in(
        at.number("setback_in"), pit_along_rod_in=at.number("pit_along_rod_in")
    )
    return aiming.Section(
        mark_depth_in=at.number("mark_depth_in"),
        way_in=at.number("thickness_in") + max(0.0, at.number("bow_in")),
        seat_in=seat_in,
        drop_in=at.number("drop_in"),
    )


def _least(work: _Work) -> windows.LeastDepth:
    rules = work.state.rules
    least = windows.least_depth(
        plan_in=work.inputs.known("plan_least_depth_in"),
        company_in=rules.number("least_plate_depth_in"),
        frost_in=work.inputs.known("frost_depth_in"),
        plate_height_in=work.inputs.number("plate_height_in"),
        frost_to="plate top edge" if rules.text("frost_to") == "plate top edge" else "rod",
        system=work.system,
    )
    work.say("aim", *least.warnings)
    return least


def _greatest_in(work: _Work) -> float:
    at = work.inputs
    return windows.greatest_depth_in(
        at.number("pit_depth_in"),
        plate_height_in=at.number("plate_height_in"),
        wrench_room_in=at.number("wrench_room_in"),
    )


def _window(
    work: _Work, section: aiming.Section, least: windows.LeastDepth, greatest_in: float
) -> tuple[windows.Window, float]:
    asked = work.inputs["aim_depth_in"]
    aim_in = work.inputs.number("aim_depth_in")

    def judged(depth_in: float) -> windows.Window:
        return windows.window(
            section,
            least_in=least.value_in,
            aim_in=depth_in,
            greatest_in=greatest_in,
            pit_depth_in=work.inputs.number("pit_depth_in"),
            system=work.system,
        )

    window = judged(aim_in)
    fits = at_least(aim_in, window.shallowest_in) and at_most(aim_in, greatest_in)
    if asked.source == "company rule" and window.open and not fits:
        best = windows.best_aim(window)
        if best is not None:
            window = judged(best.depth_in)
            work.say(
                "aim",
                f"The company's aim of {show_length(aim_in, work.system)} lies outside this window: the"
                f" middle of it, {show_length(best.depth_in, work.system)}, is aimed for.",
            )
    work.say("aim", window.refused, *window.warnings)
    if window.mends:
        work.say("aim", "What would mend it: " + "; ".join(window.mends) + ".")
    return window, window.aim_in


def _aim(work: _Work, section: aiming.Section, depth_in: float | None) -> aiming.Aim | None:
    if depth_in is None:
        return None
    tail_in = work.inputs.known("tail_length_in")
    aim = aiming.aim(
        section,
        depth_in,
        pit_along_rod_in=work.inputs.number("pit_along_rod_in"),
        tail_length_in=tail_in if tail_in is not None else 0.0,
        system=work.system,
    )
    work.say("aim", aim.refused, *aim.warnings)
    return aim


def _held(
    work: _Work,
    window: windows.Window | None,
    aim: aiming.Aim | None,
    drift: Drift,
    mark: aiming.MarkInside | None,
) -> dict[str, object]:
    if window is None or aim is None:
        return {}
    used_deg = work.inputs.number("drift_deg")
    held_deg = aim.angle_deg - used_deg
    tail_in = aim.tail_length_in
    share = windows.chance_held_inside(
        window,
        held_deg,
        drift_mean_deg=used_deg,
        drift_sd_deg=drift.sd_deg,
        spread_deg=drift.spread_deg,
    )
    best = windows.best_aim(
        window, drift_mean_deg=used_deg, drift_sd_deg=drift.sd_deg, spread_deg=drift.spread_deg
    )
    return {
        "held_angle_deg": held_deg,
        "held_rise_in": aiming.tail_rise_in(held_deg, tail_in) if tail_in > 0 else None,
        "best": best,
        "share": share if window.open else None,
        "deeper": _deeper(work, window, drift) if window.open else (),
        "next_rod": next_rod(window.section, held_deg, drift, system=work.system),
        "tail_room": work.attempt("aim", lambda: _tail_room(work, held_deg, tail_in, mark)),
    }


def _tail_room(
    work: _Work, held_deg: float, tail_in: float, mark: aiming.MarkInside | None
) -> aiming.TailRoom | None:
    clearance_in = work.inputs.known("joist_clearance_in")
    if clearance_in is None or mark is None or tail_in <= 0:
        return None
    room = aiming.tail_room(
        held_deg,
        tail_length_in=tail_in,
        hammer_length_in=work.inputs.known("hammer_length_in") or 0.0,
        down_from_top_in=mark.down_from_top_in,
        joist_clearance_in=clearance_in,
        system=work.system,
    )
    work.say("aim", *room.warnings)
    return room


def _deeper(work: _Work, window: windows.Window, drift: Drift) -> tuple[windows.DeeperPit, ...]:
    pit_in = work.inputs.number("pit_depth_in")
    before = _rules_at(work, pit_in)

    def switched(depth_in: float) -> tuple[str, ...]:
        return tuple(rule.words for rule in switched_on(before, _rules_at(work, depth_in)))

    return windows.deeper_pits(
        window,
        [pit_in + by for by in DEEPER_BY_IN],
        plate_height_in=work.inputs.number("plate_height_in"),
        wrench_room_in=work.inputs.number("wrench_room_in"),
        rules_switched_on=switched,
        drift_mean_deg=work.inputs.number("drift_deg"),
        drift_sd_deg=drift.sd_deg,
        spread_deg=drift.spread_deg,
    )


# Rod and torque.


def _rod(work: _Work, section: aiming.Section | None, aim: aiming.Aim | None) -> dict[str, object]:
    if section is None or aim is None or not aim.possible:
        return {}
    play = work.attempt("rod", lambda: _play(work, aim.angle_deg))
    plan = work.attempt("rod", lambda: plan_for(work.state, work.now, work.inputs, section, aim.angle_deg))
    if plan is not None:
        work.say("rod", *plan.warnings)
    return {"play": play, "rod": plan}


def _play(work: _Work, angle_deg: float) -> Play | None:
    drilled = work.now.value("drilled_angle_deg")
    return rod_play(
        drilled if drilled is not None else angle_deg,
        rod_diameter_in=work.state.job.rod.diameter_in,
        hole_diameter_in=work.inputs.number("hole_diameter_in"),
        hole_length_in=work.inputs.number("thickness_in"),
    )


def _torque(work: _Work) -> dict[str, object]:
    rules, job = work.state.rules, work.state.job
    target = work.attempt(
        "torque",
        lambda: tightening.target(
            job.wall(work.now.wall).type,
            rod_diameter_in=job.rod.diameter_in,
            plan_lbf_ft=work.inputs.known("torque_lbf_ft"),
            by_wall_lbf_ft={
                "poured concrete": rules.number("torque_poured_lbf_ft"),
                "block": rules.number("torque_block_lbf_ft"),
                "clay tile": rules.number("torque_tile_lbf_ft"),
            },
            stated_for_rod_in=rules.number("torque_stated_for_rod_in"),
        ),
    )
    if target is None:
        return {}
    wrench = work.attempt("torque", lambda: _wrench(work, target.torque_lbf_ft))
    tension = work.attempt("torque", lambda: _tension(work, target))
    work.say("torque", *target.warnings)
    work.say("torque", *(wrench.warnings if wrench else ()), *(tension.warnings if tension else ()))
    return {"torque": target, "wrench": wrench, "tension": tension}


def _wrench(work: _Work, torque_lbf_ft: float) -> tightening.WrenchSetting:
    at = work.inputs
    return tightening.setting(
        torque_lbf_ft,
        wrench_length_in=at.number("wrench_length_in"),
        extension_in=at.number("extension_in"),
        extension_angle_deg=at.number("extension_angle_deg"),
        wrench_least_lbf_ft=at.known("wrench_least_lbf_ft"),
        wrench_greatest_lbf_ft=at.known("wrench_greatest_lbf_ft"),
        least_share=work.state.rules.number("wrench_least_share"),
    )


def _tension(work: _Work, target: tightening.TorqueTarget) -> steel.TensionCheck:
    rules = work.state.rules
    return steel.check_tension(
        target,
        threads_per_in=work.state.job.rod.threads_per_in,
        yield_ksi=work.inputs.known("yield_ksi"),
        default_yield_ksi=rules.number("yield_ksi"),
        k_waxed=rules.number("k_waxed"),
        k_zinc=rules.number("k_zinc"),
        k_dry=rules.number("k_dry"),
        hold_share=rules.number("yield_hold_share"),
        caution_share=rules.number("yield_caution_share"),
    )


# Pit, soil, lines.


def _rules_at(work: _Work, depth_in: float) -> tuple[PitRule, ...]:
    return pit_rules(
        depth_in,
        somebody_below_rim=work.now.pit_entry,
        soil_type=work.state.job.ground.soil_type,
        bad_air=fact(work.state, "bad air expected"),
        cave_in_sign=fact(work.state, "sign of cave-in", unanswered=False),
        water=fact(work.state, "water in the pit", unanswered=False),
    )


def _pit(work: _Work) -> dict[str, object]:
    at, job = work.inputs, work.state.job
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
    rule = work.state.rules.rule("lift_greatest_in")
    limit = digging.LiftLimit(
        greatest_in=work.state.rules.number("lift_greatest_in"),
        source=rule.said_by or rule.source,
        mark=rule.mark,
    )
    return {
        "volume": volume,
        "lifts": work.attempt("pit", lambda: digging.lifts(depth_in, limits=(limit,))),
        "pit_rules": work.attempt("pit", lambda: _rules_at(work, depth_in)) or (),
        "slope_back": work.attempt("pit", lambda: slope_back(depth_in, soil_type=job.ground.soil_type)),
    }


def _wedges(
    work: _Work, section: aiming.Section | None, aim_depth_in: float | None
) -> soil.WedgeCheck | None:
    base_in = work.inputs.known("base_to_grade_in")
    if section is None or aim_depth_in is None or base_in is None:
        return None
    check = soil.check_wedges(
        section.seat_in,
        base_to_grade_in=base_in,
        plate_base_depth_in=aim_depth_in + work.inputs.number("plate_height_in") / 2,
        friction_angle_deg=work.inputs.number("friction_angle_deg"),
        fall=section.fall,
    )
    if not check.clear:
        work.say("wedges", check.words, *check.warnings)
    return check


def _lines(
    work: _Work, section: aiming.Section | None, aim: aiming.Aim | None, drift: Drift
) -> LineFigures | None:
    found = work.attempt(
        "lines", lambda: judge_lines(work.state, work.now, work.inputs, section, aim, drift)
    )
    if found is not None:
        work.say("lines", *found.words)
    return found
