"""Every figure of an anchor that is shown, worded once: what it is called, its value, how it is shown, where.

A figure that is added here stands on the calculator and on the paper that it names, in the table's order.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Final, Literal

from msgspec import Struct

from crewtui.day.figures.anchor_figures import AnchorFigures
from crewtui.job.tables.quantities import Calculator
from crewtui.trade.aim.rod_line import Aim
from crewtui.trade.rod.rod_plan import Joint
from crewtui.trade.rod.rod_words import pieces_in_words
from crewtui.units import (
    UnitSystem,
    show_angle,
    show_fall,
    show_force,
    show_length,
    show_share,
    show_slope,
    show_torque,
)

Shown = Literal["length", "angle", "fall", "slope", "share", "torque"]
Paper = Literal["mark", "pit", "aim", "rod", "torque"]
Words = Callable[[AnchorFigures, UnitSystem], str]

_SHOW: Final[Mapping[Shown, Callable[[float, UnitSystem], str]]] = {
    "length": show_length,
    "angle": lambda value, _: show_angle(value),
    "fall": show_fall,
    "slope": lambda value, _: show_slope(value),
    "share": lambda value, _: show_share(value),
    "torque": show_torque,
}


class Figure(Struct, frozen=True, kw_only=True):
    """One figure."""

    key: str
    label: str
    value: Callable[[AnchorFigures], float | None]
    """None where it is not known, or must not be shown."""
    shown: Shown = "length"
    words: Words | None = None
    """Says it otherwise than as a bare value."""
    over: Callable[[AnchorFigures], float | None] | None = None
    """The length that it is measured over, which stands beside its label."""
    calculator: Calculator | None = None
    paper: Paper | None = None
    blank: bool = False
    """On paper a blank stands beside it."""
    quantity: str = ""
    """The as-built quantity that it may be taken over into."""
    step: str = ""
    big: bool = False
    """Whether it is called out across the basement."""


class FigureShown(Struct, frozen=True, kw_only=True):
    """A figure of one anchor, in words."""

    figure: Figure
    label: str
    text: str
    value: float


def shown(figure: Figure, figures: AnchorFigures, system: UnitSystem) -> FigureShown | None:
    """Return a figure of an anchor in words; None where it is not known."""
    value = figure.value(figures)
    if value is None:
        return None
    text = figure.words(figures, system) if figure.words is not None else _SHOW[figure.shown](value, system)
    over_in = figure.over(figures) if figure.over is not None else None
    label = figure.label if over_in is None else f"{figure.label}, over {show_length(over_in, system)}"
    return FigureShown(figure=figure, label=label, text=text, value=value)


def of_calculator(
    figures: AnchorFigures, calculator: Calculator, system: UnitSystem
) -> Iterator[FigureShown]:
    """Yield what is known of a calculator's figures, in the table's order."""
    for figure in FIGURES:
        found = shown(figure, figures, system) if figure.calculator == calculator else None
        if found is not None:
            yield found


def of_paper(figures: AnchorFigures, paper: Paper, system: UnitSystem) -> Iterator[FigureShown]:
    """Yield what is known of a part of the plan sheet, in the table's order."""
    for figure in FIGURES:
        found = shown(figure, figures, system) if figure.paper == paper else None
        if found is not None:
            yield found


def joint_in_words(joint: Joint, system: UnitSystem) -> str:
    """Return where a coupling ends up, and what it is too near to."""
    where = "out from" if joint.place_in >= 0 else "inside of"
    state = "" if joint.clear else f", too near {joint.near}"
    return f"{show_length(abs(joint.place_in), system)} {where} the outer face{state}"


def _standing(figures: AnchorFigures) -> Aim | None:
    """Return the aim where it serves: without a window, or level and uphill, nothing of it is shown."""
    window, aim = figures.window, figures.aim
    return aim if window is not None and window.open and aim is not None and aim.possible else None


def _held_deg(figures: AnchorFigures) -> float | None:
    return figures.held_angle_deg if _standing(figures) is not None else None


def _of_aim(value: Callable[[Aim], float]) -> Callable[[AnchorFigures], float | None]:
    def found(figures: AnchorFigures) -> float | None:
        aim = _standing(figures)
        return value(aim) if aim is not None and figures.held_angle_deg is not None else None

    return found


def _exit_in(figures: AnchorFigures) -> float | None:
    return figures.aim.exit_depth_in if figures.aim is not None and figures.aim.possible else None


def _joists(figures: AnchorFigures, system: UnitSystem) -> str:
    room = figures.tail_room
    if room is None:
        return ""
    return f"{show_length(abs(room.spare_in), system)} {'to spare' if room.clears else 'too little'}"


def _stop(figures: AnchorFigures, system: UnitSystem) -> str:
    stop = figures.stop
    if stop is None:
        return ""
    ends = stop.words(system)
    return f"{show_length(stop.from_end_in, system)}{f'. {ends}' if ends else ''}"


def _next_rod(figures: AnchorFigures, system: UnitSystem) -> str:
    found, rods = figures.next_rod, figures.drift.rods
    if found is None:
        return ""
    low, high = (show_length(one, system) for one in (found.low_in, found.high_in))
    behind = f"after {rods} {'rod' if rods == 1 else 'rods'}" if rods else "no rod driven yet"
    return f"{low} to {high}, {behind}"


def _pieces(figures: AnchorFigures, system: UnitSystem) -> str:
    return pieces_in_words(figures.rod, system) if figures.rod is not None else ""


def _spare(figures: AnchorFigures, system: UnitSystem) -> str:
    spare_in = figures.rod.spare_in if figures.rod is not None else 0.0
    return f"{'short by ' if spare_in < 0 else ''}{show_length(abs(spare_in), system)}"


def _trim(figures: AnchorFigures, system: UnitSystem) -> str:
    rod = figures.rod
    if rod is None:
        return ""
    return f"{show_length(rod.trimmed_in, system)}{', worth keeping' if rod.trimmed_worth_keeping else ''}"


def _setting(figures: AnchorFigures, system: UnitSystem) -> str:
    wrench = figures.wrench
    if wrench is None:
        return ""
    suits = {True: ", in its range", False: ", not this wrench", None: ""}[wrench.suits]
    return f"{show_torque(wrench.setting_lbf_ft, system)}{suits}"


def _tension(figures: AnchorFigures, system: UnitSystem) -> str:
    tension = figures.tension
    if tension is None:
        return ""
    least, greatest = (show_force(one, system) for one in (tension.least_lbf, tension.greatest_lbf))
    yields = show_force(tension.yield_lbf, system)
    return f"{least} to {greatest}, give or take 30 %; the rod yields at {yields}"


FIGURES: Final[tuple[Figure, ...]] = (
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
        key="exit", label="Comes out outside, below grade", value=_exit_in, calculator="mark", paper="aim"
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
        key="hold",
        label="Angle to hold",
        value=_held_deg,
        shown="angle",
        calculator="aim",
        paper="aim",
        blank=True,
        quantity="held_angle_deg",
        step="held-angle",
        big=True,
    ),
    Figure(
        key="depth",
        label="Runs to, below the ground at the seat",
        calculator="aim",
        paper="aim",
        blank=True,
        value=_of_aim(lambda aim: aim.depth_in),
    ),
    Figure(
        key="fall",
        label="Fall over a level run",
        value=_held_deg,
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
        value=lambda f: f.sag_deg if _held_deg(f) is not None else None,
    ),
    Figure(
        key="tail",
        label="Tail above hole",
        calculator="aim",
        paper="aim",
        big=True,
        value=lambda f: f.held_rise_in if _held_deg(f) is not None else None,
        over=lambda f: f.aim.tail_length_in if f.aim is not None else None,
    ),
    Figure(
        key="joists",
        label="Hammer under the joists",
        words=_joists,
        calculator="aim",
        paper="aim",
        value=lambda f: (
            f.tail_room.spare_in if f.tail_room is not None and _held_deg(f) is not None else None
        ),
    ),
    Figure(
        key="drill",
        label="Drill at",
        value=_held_deg,
        shown="angle",
        calculator="aim",
        quantity="drilled_angle_deg",
        step="drilled-angle",
    ),
    Figure(
        key="stop",
        label="Stop mark on the rod, from its end",
        words=_stop,
        calculator="aim",
        paper="aim",
        value=lambda f: f.stop.from_end_in if f.stop is not None and _held_deg(f) is not None else None,
    ),
    Figure(
        key="per-degree",
        label="One degree makes, in depth",
        calculator="aim",
        paper="aim",
        value=_of_aim(lambda aim: aim.depth_per_degree_in),
    ),
    Figure(
        key="sideways",
        label="One degree off square makes, aside",
        calculator="aim",
        paper="aim",
        value=_of_aim(lambda aim: aim.sideways_per_degree_in),
    ),
    Figure(
        key="next",
        label="Next rod lands, two in three",
        words=_next_rod,
        calculator="aim",
        paper="aim",
        value=lambda f: f.next_rod.middle_in if f.next_rod is not None and _held_deg(f) is not None else None,
    ),
    Figure(
        key="share",
        label="Rods expected inside the window",
        shown="share",
        calculator="aim",
        paper="aim",
        value=lambda f: f.share if _held_deg(f) is not None else None,
    ),
    Figure(
        key="share-aside",
        label="Rods expected in the pit's width",
        shown="share",
        calculator="aim",
        paper="aim",
        value=lambda f: f.share_aside if _held_deg(f) is not None else None,
    ),
    Figure(
        key="length",
        label="Length of rod needed",
        calculator="rod",
        paper="rod",
        value=lambda f: f.rod.needed_in if f.rod is not None else None,
    ),
    Figure(
        key="pieces",
        label="Pieces, in the order driven",
        words=_pieces,
        calculator="rod",
        paper="rod",
        big=True,
        value=lambda f: f.rod.total_in if f.rod is not None and f.rod.pieces else None,
    ),
    Figure(
        key="spare",
        label="Spare over the need",
        words=_spare,
        calculator="rod",
        paper="rod",
        value=lambda f: f.rod.spare_in if f.rod is not None and f.rod.pieces else None,
    ),
    Figure(
        key="trim",
        label="Trimmed off in the room",
        words=_trim,
        calculator="rod",
        paper="rod",
        value=lambda f: f.rod.trimmed_in if f.rod is not None and f.rod.pieces else None,
    ),
    Figure(
        key="setting",
        label="Set the wrench to",
        words=_setting,
        calculator="torque",
        paper="torque",
        big=True,
        value=lambda f: f.wrench.setting_lbf_ft if f.wrench is not None else None,
    ),
    Figure(
        key="tension",
        label="Tension it may mean, dry to waxed",
        words=_tension,
        calculator="torque",
        paper="torque",
        value=lambda f: f.tension.greatest_lbf if f.tension is not None else None,
    ),
)
"""In the order shown."""


def worded(key: str) -> str:
    """Return what a figure is called; StopIteration if there is no such figure."""
    return next(figure.label for figure in FIGURES if figure.key == key)
