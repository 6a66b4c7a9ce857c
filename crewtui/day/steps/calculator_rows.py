"""The results of the four calculators as rows: what is shown of an anchor's figures, and in which words."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from crewtui.day.figures.of_anchor import AnchorFigures
from crewtui.day.steps.calculator_sheet import CalcRow
from crewtui.trade.aim.rod_line import Aim
from crewtui.trade.aim.window import Window
from crewtui.trade.rod.rod_plan import RodPlan
from crewtui.trade.rod.rod_words import pieces_in_words
from crewtui.trade.tightening.torque import GOVERNS
from crewtui.units import (
    UnitSystem,
    show_angle,
    show_fall,
    show_force,
    show_length,
    show_share,
    show_torque,
)

ENOUGH_SHARE: Final = 0.95
"""Past so large a share of rods inside a deeper pit is no longer worth a row (from memory)."""
DEEPER_ROWS: Final = 3


def mark_rows(figures: AnchorFigures, system: UnitSystem) -> tuple[CalcRow, ...]:
    """Return where the mark is, as a tape shows it."""
    depth_in = figures.inputs.known("mark_depth_in")
    rows = []
    if depth_in is not None:
        rows.append(
            CalcRow(
                key="depth",
                label="Mark below grade",
                text=show_length(depth_in, system),
                value=depth_in,
                quantity="mark_depth_in",
                step="mark-depth",
            )
        )
    if figures.mark is not None:
        down_in, up_in = figures.mark.down_from_top_in, figures.mark.up_from_slab_in
        rows += [
            CalcRow(
                key="down",
                label="Down from top of wall",
                text=show_length(down_in, system),
                value=down_in,
                big=True,
            ),
            CalcRow(key="up", label="Up from slab", text=show_length(up_in, system), value=up_in),
        ]
    if figures.aim is not None and figures.aim.possible:
        exit_in = figures.aim.exit_depth_in
        rows.append(
            CalcRow(
                key="exit",
                label="Comes out outside, below grade",
                text=show_length(exit_in, system),
                value=exit_in,
            )
        )
    return tuple(rows)


def aim_rows(figures: AnchorFigures, system: UnitSystem) -> tuple[CalcRow, ...]:
    """Return the angle to hold and what comes with it, or why there is none and what mends it."""
    window, aim, held_deg = figures.window, figures.aim, figures.held_angle_deg
    if window is None or aim is None or held_deg is None:
        said = figures.said.get("aim", ())
        return (CalcRow(key="hold", label="Hold", text=said[0] if said else "not known", big=True),)
    rows: list[CalcRow] = []
    if window.open and aim.possible:
        rows.append(
            CalcRow(
                key="hold",
                label="Hold",
                text=show_angle(held_deg),
                value=held_deg,
                quantity="held_angle_deg",
                step="held-angle",
                big=True,
            )
        )
        rows += _held_rows(figures, aim, held_deg, system)
    rows += _window_rows(window, aim, system)
    if window.open and aim.possible:
        rows += _landing_rows(figures, aim, system)
        rows += _deeper_rows(figures, system)
    return tuple(rows)


def _held_rows(figures: AnchorFigures, aim: Aim, held_deg: float, system: UnitSystem) -> Iterator[CalcRow]:
    yield CalcRow(
        key="depth",
        label="Runs to, below the ground at the seat",
        text=show_length(aim.depth_in, system),
        value=aim.depth_in,
    )
    yield CalcRow(key="fall", label="Fall over a level run", text=show_fall(held_deg, system), value=held_deg)
    if figures.held_rise_in is not None:
        yield CalcRow(
            key="tail",
            label=f"Tail above hole, over {show_length(aim.tail_length_in, system)}",
            text=show_length(figures.held_rise_in, system),
            value=figures.held_rise_in,
            big=True,
        )
    if figures.tail_room is not None:
        spare_in = figures.tail_room.spare_in
        word = "to spare" if figures.tail_room.clears else "too little"
        yield CalcRow(
            key="joists",
            label="Hammer under the joists",
            text=f"{show_length(abs(spare_in), system)} {word}",
            value=spare_in,
        )
    yield CalcRow(
        key="drill",
        label="Drill at",
        text=show_angle(held_deg),
        value=held_deg,
        quantity="drilled_angle_deg",
        step="drilled-angle",
    )
    if figures.stop is not None:
        stop_in, ends = figures.stop.from_end_in, figures.stop.words(system)
        yield CalcRow(
            key="stop",
            label="Stop mark on the rod, from its end",
            text=f"{show_length(stop_in, system)}{f'. {ends}' if ends else ''}",
            value=stop_in,
        )


def _window_rows(window: Window, aim: Aim, system: UnitSystem) -> Iterator[CalcRow]:
    if not window.open:
        yield CalcRow(key="window", label="No window", text=window.refused, big=True)
        for number, mend in enumerate(window.mends, start=1):
            yield CalcRow(key=f"mend-{number}", label="Would mend it", text=mend)
        return
    if not aim.possible:
        yield CalcRow(key="window", label="No aim", text=aim.refused, big=True)
    for key, label, angle_deg, depth_in in (
        ("least", "Least, to run at", window.least_angle_deg, window.shallowest_in),
        ("greatest", "Greatest, to run at", window.greatest_angle_deg, window.greatest_in),
    ):
        yield CalcRow(
            key=key,
            label=label,
            text=f"{show_angle(angle_deg)} for {show_length(depth_in, system)}",
            value=angle_deg,
        )


def _landing_rows(figures: AnchorFigures, aim: Aim, system: UnitSystem) -> Iterator[CalcRow]:
    for key, label, value_in in (
        ("per-degree", "One degree makes, in depth", aim.depth_per_degree_in),
        ("sideways", "One degree off square makes, aside", aim.sideways_per_degree_in),
    ):
        yield CalcRow(key=key, label=label, text=show_length(value_in, system), value=value_in)
    if figures.next_rod is not None:
        low, high = (show_length(one, system) for one in (figures.next_rod.low_in, figures.next_rod.high_in))
        rods = figures.drift.rods
        behind = f"after {rods} {'rod' if rods == 1 else 'rods'}" if rods else "no rod driven yet"
        yield CalcRow(
            key="next",
            label=f"Next rod lands, two in three ({behind})",
            text=f"{low} to {high}",
            value=figures.next_rod.middle_in,
        )
    if figures.share is not None:
        yield CalcRow(
            key="share",
            label="Rods expected inside the window",
            text=show_share(figures.share),
            value=figures.share,
        )


def _deeper_rows(figures: AnchorFigures, system: UnitSystem) -> Iterator[CalcRow]:
    """Yield what a deeper pit would add, until it adds little."""
    share = figures.share or 0.0
    shown = 0
    for pit in figures.deeper:
        if share >= ENOUGH_SHARE or shown == DEEPER_ROWS:
            return
        if pit.best is None or pit.share <= share:
            continue
        rules = f"; it switches on: {' '.join(pit.switched_on)}" if pit.switched_on else ""
        aimed = f", aimed at {show_length(pit.best.depth_in, system)}"
        yield CalcRow(
            key=f"deeper-{shown + 1}",
            label=f"In a pit {show_length(pit.pit_depth_in, system)} deep",
            text=f"{show_share(pit.share)} inside{aimed}{rules}",
            value=pit.share,
        )
        share, shown = pit.share, shown + 1


def rod_rows(figures: AnchorFigures, system: UnitSystem, *, rod: RodPlan | str | None) -> tuple[CalcRow, ...]:
    """Return the pieces of the rod in order, where the couplings end up, and what is cut off.

    ``rod`` is as it is to be made; words in its place say why its pieces are not known yet.
    """
    if isinstance(rod, str):
        needed = figures.rod.needed_in if figures.rod is not None else None
        text = "" if needed is None else show_length(needed, system)
        return (
            CalcRow(key="length", label="Length of rod needed", text=text, value=needed),
            CalcRow(key="pieces", label="Pieces, in the order driven", text=rod),
        )
    if rod is None:
        return (CalcRow(key="length", label="Length of rod", text="not known before the aim is"),)
    rows = [
        CalcRow(
            key="length",
            label="Length of rod needed",
            text=show_length(rod.needed_in, system),
            value=rod.needed_in,
        )
    ]
    if rod.refused:
        rows.append(CalcRow(key="refused", label="Cannot be done so", text=rod.refused))
        rows += [
            CalcRow(key=f"mend-{number}", label="Would mend it", text=mend)
            for number, mend in enumerate(rod.mends, start=1)
        ]
    rows += _piece_rows(rod, system)
    return tuple(rows)


def _piece_rows(rod: RodPlan, system: UnitSystem) -> Iterator[CalcRow]:
    if not rod.pieces:
        return
    yield CalcRow(
        key="pieces",
        label="Pieces, in the order driven",
        text=pieces_in_words(rod, system),
        value=rod.total_in,
        big=True,
    )
    for joint in rod.joints:
        where = "out from" if joint.place_in >= 0 else "inside of"
        state = "" if joint.clear else f", too near {joint.near}"
        yield CalcRow(
            key=f"coupling-{joint.number}",
            label=f"Coupling {joint.number}",
            text=f"{show_length(abs(joint.place_in), system)} {where} the outer face{state}",
            value=joint.place_in,
        )
    yield CalcRow(
        key="spare",
        label="Spare" if rod.spare_in >= 0 else "Short by",
        text=show_length(abs(rod.spare_in), system),
        value=rod.spare_in,
    )
    keep = ", worth keeping" if rod.trimmed_worth_keeping else ""
    yield CalcRow(
        key="trim",
        label="Trimmed off in the room",
        text=f"{show_length(rod.trimmed_in, system)}{keep}",
        value=rod.trimmed_in,
    )


def torque_rows(figures: AnchorFigures, system: UnitSystem) -> tuple[CalcRow, ...]:
    """Return the torque, the wrench's setting and the tension that it may mean, beside the yield."""
    target = figures.torque
    if target is None:
        return (CalcRow(key="target", label="Torque at the nut", text="not known: take it from the plan"),)
    own, _, other = show_torque(target.torque_lbf_ft, system).partition(" (")
    source: str = "rule of thumb for the wall" if target.source == "wall type" else target.source
    if figures.inputs["torque_lbf_ft"].source == "typed":
        source = "typed here"
    rows = [
        CalcRow(
            key="target",
            label=f"Torque at the nut ({source})",
            text=own,
            value=target.torque_lbf_ft,
            quantity="first_torque_lbf_ft",
            step="first-torque",
            big=True,
        ),
        CalcRow(key="other-unit", label="The same", text=other.rstrip(")"), value=target.torque_lbf_ft),
    ]
    if figures.wrench is not None:
        setting = figures.wrench.setting_lbf_ft
        suits = {True: ", in its range", False: ", not this wrench", None: ""}[figures.wrench.suits]
        rows.append(
            CalcRow(
                key="setting",
                label="Set the wrench to",
                text=f"{show_torque(setting, system)}{suits}",
                value=setting,
                big=True,
            )
        )
    tension = figures.tension
    if tension is not None:
        least, greatest = (show_force(one, system) for one in (tension.least_lbf, tension.greatest_lbf))
        rows.append(
            CalcRow(
                key="tension",
                label="Tension it may mean, dry to waxed",
                text=(
                    f"{least} to {greatest}, give or take 30 %;"
                    f" the rod yields at {show_force(tension.yield_lbf, system)}"
                ),
                value=tension.greatest_lbf,
            )
        )
    rows.append(CalcRow(key="governs", label="What governs", text=GOVERNS))
    return tuple(rows)
