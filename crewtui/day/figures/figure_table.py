"""Every figure of an anchor that is shown, worded once: what it is called, its value, how it is shown, where.

A figure that is added here stands on the calculator, on the paper, in the record and in the office's table
that it names, in the table's order.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, Literal

from msgspec import Struct

from crewtui.day.figures.anchor_figures import AnchorFigures
from crewtui.day.figures.figure_words import (
    Words,
    angles_words,
    exit_in,
    held_deg,
    joists_words,
    lifts_words,
    next_rod_words,
    of_aim,
    of_window,
    over_tail,
    pieces_words,
    run_words,
    setting_words,
    slope_back_words,
    spare_words,
    stop_words,
    tension_words,
    torque_in,
    torque_lbf_ft,
    torque_source,
    trim_words,
    wedge_spare_in,
)
from crewtui.job.tables.quantities import Calculator, by_key

Shown = Literal["length", "angle", "fall", "slope", "share", "torque"]
Paper = Literal["mark", "pit", "aim", "rod", "torque"]


class Figure(Struct, frozen=True, kw_only=True):
    """One figure."""

    key: str
    label: str
    value: Callable[[AnchorFigures], float | None]
    """None where it is not known, or must not be shown."""
    shown: Shown = "length"
    words: Words | None = None
    """Says it otherwise than as a bare value."""
    beside: Words | None = None
    """What stands behind its label, such as the length that it is measured over."""
    calculator: Calculator | None = None
    paper: Paper | None = None
    blank: bool = False
    """On paper a blank stands beside it."""
    quantity: str = ""
    """The as-built quantity that it may be taken over into."""
    step: str = ""
    big: bool = False
    """Whether it is called out across the basement."""
    record: str = ""
    """Its name in the record, and behind ``figured_`` in the office's table, with its unit."""


FIGURES: Final[tuple[Figure, ...]] = (
    Figure(
        key="depth-least",
        label="Depth, least",
        paper="aim",
        record="least_depth_in",
        value=lambda f: f.window.shallowest_in if f.window is not None else None,
    ),
    Figure(
        key="depth-aim",
        label="Depth, aim",
        paper="aim",
        blank=True,
        record="aim_depth_in",
        value=lambda f: f.aim_depth_in,
    ),
    Figure(
        key="depth-greatest",
        label="Depth, greatest",
        paper="aim",
        record="greatest_depth_in",
        value=lambda f: f.greatest_in,
    ),
    Figure(
        key="angles",
        label="Angles inside the window",
        words=angles_words,
        paper="aim",
        value=of_window(lambda window: window.least_angle_deg),
    ),
    Figure(
        key="down",
        label="Down from top of wall",
        calculator="mark",
        paper="mark",
        blank=True,
        big=True,
        value=lambda f: f.mark.down_from_top_in if f.mark is not None else None,
    ),
    Figure(
        key="up",
        label="Up from slab",
        calculator="mark",
        paper="mark",
        blank=True,
        value=lambda f: f.mark.up_from_slab_in if f.mark is not None else None,
    ),
    Figure(
        key="exit",
        label="Comes out outside, below grade",
        value=exit_in,
        calculator="mark",
        paper="aim",
        record="exit_depth_in",
    ),
    Figure(
        key="seat",
        label="Face to plate's seat",
        paper="pit",
        blank=True,
        value=lambda f: f.section.seat_in if f.section is not None else None,
    ),
    Figure(
        key="ground-fall",
        label="Fall of the ground",
        shown="slope",
        paper="pit",
        value=lambda f: f.section.fall if f.section is not None else None,
    ),
    Figure(
        key="lifts",
        label="Backfill, lifts",
        words=lifts_words,
        paper="pit",
        blank=True,
        value=lambda f: f.lifts.count if f.lifts is not None else None,
    ),
    Figure(
        key="slope-back",
        label="Slope-back, if entered",
        words=slope_back_words,
        paper="pit",
        value=lambda f: f.slope_back.horizontal_in if f.slope_back is not None else None,
    ),
    Figure(
        key="wedges",
        label="Soil wedges",
        words=lambda f, _: f.wedges.words if f.wedges is not None else "",
        paper="pit",
        value=wedge_spare_in,
    ),
    Figure(
        key="run",
        label="Angle that the rod should run at",
        shown="angle",
        record="angle_deg",
        value=of_aim(lambda aim: aim.angle_deg),
    ),
    Figure(
        key="hold",
        label="Angle to hold",
        value=held_deg,
        shown="angle",
        calculator="aim",
        paper="aim",
        blank=True,
        quantity="held_angle_deg",
        step="held-angle",
        big=True,
        record="held_angle_deg",
    ),
    Figure(
        key="depth",
        label="Lands at, below the ground there",
        calculator="aim",
        paper="aim",
        blank=True,
        value=of_aim(lambda aim: aim.depth_in),
    ),
    Figure(
        key="fall",
        label="Fall over a level run",
        value=held_deg,
        shown="fall",
        calculator="aim",
        paper="aim",
    ),
    Figure(
        key="sag",
        label="Sag of the tail, in its height",
        shown="angle",
        calculator="aim",
        paper="aim",
        value=lambda f: f.sag_deg if held_deg(f) is not None else None,
    ),
    Figure(
        key="tail",
        label="Tail above hole",
        calculator="aim",
        paper="aim",
        big=True,
        value=lambda f: f.held_rise_in if held_deg(f) is not None else None,
        beside=over_tail,
    ),
    Figure(
        key="joists",
        label="Hammer under the joists",
        words=joists_words,
        calculator="aim",
        paper="aim",
        value=lambda f: f.tail_room.spare_in if f.tail_room is not None and held_deg(f) is not None else None,
    ),
    Figure(
        key="drill",
        label="Drill at",
        value=held_deg,
        shown="angle",
        calculator="aim",
        quantity="drilled_angle_deg",
        step="drilled-angle",
    ),
    Figure(
        key="stop",
        label="Stop mark, from the rod's front end",
        words=stop_words,
        calculator="aim",
        paper="aim",
        record="stop_mark_in",
        value=lambda f: f.stop.from_end_in if f.stop is not None and held_deg(f) is not None else None,
    ),
    Figure(
        key="per-degree",
        label="One degree makes, in depth",
        calculator="aim",
        paper="aim",
        value=of_aim(lambda aim: aim.depth_per_degree_in),
    ),
    Figure(
        key="sideways",
        label="One degree off square makes, aside",
        calculator="aim",
        paper="aim",
        value=of_aim(lambda aim: aim.sideways_per_degree_in),
    ),
    Figure(
        key="next",
        label="Next rod lands, two in three",
        words=next_rod_words,
        calculator="aim",
        paper="aim",
        value=lambda f: f.next_rod.middle_in if f.next_rod is not None and held_deg(f) is not None else None,
    ),
    Figure(
        key="share",
        label="Rods expected inside the window",
        shown="share",
        calculator="aim",
        paper="aim",
        value=lambda f: f.share if held_deg(f) is not None else None,
    ),
    Figure(
        key="share-aside",
        label="Rods expected in the pit's width",
        shown="share",
        calculator="aim",
        paper="aim",
        value=lambda f: f.share_aside if held_deg(f) is not None else None,
    ),
    Figure(
        key="least",
        label="Least, to run at",
        words=run_words(lambda window: window.least_angle_deg, lambda window: window.shallowest_in),
        calculator="aim",
        value=of_window(lambda window: window.least_angle_deg),
    ),
    Figure(
        key="greatest",
        label="Greatest, to run at",
        words=run_words(lambda window: window.greatest_angle_deg, lambda window: window.greatest_in),
        calculator="aim",
        value=of_window(lambda window: window.greatest_angle_deg),
    ),
    Figure(
        key="length",
        label="Length of rod needed",
        calculator="rod",
        paper="rod",
        record="rod_needed_in",
        value=lambda f: f.rod.needed_in if f.rod is not None else None,
    ),
    Figure(
        key="pieces",
        label="Pieces, in the order driven",
        words=pieces_words,
        calculator="rod",
        paper="rod",
        big=True,
        value=lambda f: f.rod.total_in if f.rod is not None and f.rod.pieces else None,
    ),
    Figure(
        key="spare",
        label="Spare over the need",
        words=spare_words,
        calculator="rod",
        paper="rod",
        value=lambda f: f.rod.spare_in if f.rod is not None and f.rod.pieces else None,
    ),
    Figure(
        key="trim",
        label="Trimmed off in the room",
        words=trim_words,
        calculator="rod",
        paper="rod",
        value=lambda f: f.rod.trimmed_in if f.rod is not None and f.rod.pieces else None,
    ),
    Figure(
        key="couplings",
        label="Couplings",
        words=lambda f, _: str(len(f.rod.joints)) if f.rod is not None else "",
        paper="rod",
        value=lambda f: len(f.rod.joints) if f.rod is not None else None,
    ),
    Figure(
        key="target",
        label="Torque at the nut",
        words=torque_in(own=True),
        beside=lambda f, system: f" ({torque_source(f, system)})",
        calculator="torque",
        quantity="first_torque_lbf_ft",
        step="first-torque",
        big=True,
        record="torque_lbf_ft",
        value=torque_lbf_ft,
    ),
    Figure(
        key="other-unit",
        label="The same",
        words=torque_in(own=False),
        calculator="torque",
        value=torque_lbf_ft,
    ),
    *(
        Figure(
            key=key, label=by_key(key).label, shown="torque", paper="torque", blank=True, value=torque_lbf_ft
        )
        for key in ("first_torque_lbf_ft", "second_torque_lbf_ft")
    ),
    Figure(
        key="torque-source",
        label="Figure comes from",
        words=torque_source,
        paper="torque",
        value=torque_lbf_ft,
    ),
    Figure(
        key="setting",
        label="Set the wrench to",
        words=setting_words,
        calculator="torque",
        paper="torque",
        big=True,
        record="wrench_setting_lbf_ft",
        value=lambda f: f.wrench.setting_lbf_ft if f.wrench is not None else None,
    ),
    Figure(
        key="tension",
        label="Tension it may mean, dry to waxed",
        words=tension_words,
        calculator="torque",
        paper="torque",
        value=lambda f: f.tension.greatest_lbf if f.tension is not None else None,
    ),
)
"""In the order shown."""


def worded(key: str) -> str:
    """Return what a figure is called; StopIteration if there is no such figure."""
    return next(figure.label for figure in FIGURES if figure.key == key)
