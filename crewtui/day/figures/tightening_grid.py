"""The grid of tightening: rounds by anchors along a wall, with the wrench's setting and what came of each.

Every anchor of the wall is brought to a round's share before any goes further; the last round is the step at
which the torque itself is entered. Common practice, no source; the plan and the maker's sheet govern.
"""

from __future__ import annotations

from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from crewtui.day.figures.anchor_figures import AnchorFigures
from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.state.inputs import inputs_for
from crewtui.day.state.state import CLICKED, TIGHTENINGS, AnchorNow, DayState, Tightening
from crewtui.trade.aim.rod_line import rod_line_in
from crewtui.trade.tightening.stretch import NutTravel, nut_travel
from crewtui.trade.tightening.torque import at_share
from crewtui.units import UnitSystem, at_most, show_length, show_torque

_FINE: Final = 16


class RoundCell(Struct, frozen=True, kw_only=True):
    """One round at one anchor."""

    anchor: str
    tightening: Tightening
    round: int
    of: int
    share: float
    torque_lbf_ft: float | None
    """At the nut; None while no torque is known."""
    set_lbf_ft: float | None
    """What the wrench is set to."""
    suits: bool | None
    """Whether the setting lies in the wrench's range; None while that is not known."""
    done: bool = False
    clicked: bool | None = None
    came_in_in: float | None = None
    travel: NutTravel | None = None

    @property
    def last(self) -> bool:
        """Return whether this is the round at which the step itself is entered."""
        return self.round == self.of


class Grid(Struct, frozen=True, kw_only=True):
    """The rounds of one tightening along one wall."""

    wall: str
    tightening: Tightening
    cells: tuple[RoundCell, ...]
    """Round by round, anchors in their order along the wall."""

    @property
    def upcoming(self) -> RoundCell | None:
        """Return the cell that comes next: the first open one of the earliest round that is not through."""
        return next((cell for cell in self.cells if not cell.done), None)

    def at(self, anchor: str, number: int) -> RoundCell:
        """Return the cell of an anchor's round; KeyError if there is none."""
        for cell in self.cells:
            if cell.anchor == anchor and cell.round == number:
                return cell
        raise KeyError(anchor, number)


def shares(rounds: int) -> tuple[float, ...]:
    """Return the shares of the torque, round by round, rising evenly to the whole."""
    return tuple(number / rounds for number in range(1, rounds + 1))


def grid(state: DayState, wall: str, tightening: Tightening) -> Grid:
    """Return the grid of one tightening of a wall, as planned and as done."""
    along = sorted(
        (now for now in state.live() if now.wall == wall),
        key=lambda now: inputs_for(state, now.id).number("along_in"),
    )
    of = round(state.rules.number("tightening_rounds"))
    found = {now.id: figures_for(state, now.id) for now in along}
    return Grid(
        wall=wall,
        tightening=tightening,
        cells=tuple(
            _cell(
                now,
                found[now.id],
                tightening,
                number=number,
                share=share,
                of=of,
                least_share=state.rules.number("wrench_least_share"),
            )
            for number, share in enumerate(shares(of), start=1)
            for now in along
        ),
    )


def _cell(
    now: AnchorNow,
    figures: AnchorFigures,
    tightening: Tightening,
    *,
    number: int,
    share: float,
    of: int,
    least_share: float,
) -> RoundCell:
    at, target, wrench = TIGHTENINGS[tightening], figures.torque, figures.wrench
    torque = target.torque_lbf_ft * share if target is not None else None
    setting = at_share(wrench, share, least_share=least_share) if wrench is not None else None
    cell = RoundCell(
        anchor=now.id,
        tightening=tightening,
        round=number,
        of=of,
        share=share,
        torque_lbf_ft=torque,
        set_lbf_ft=setting.setting_lbf_ft if setting is not None else None,
        suits=setting.suits if setting is not None else None,
    )
    if number == of:
        value = now.as_built.get(at.torque)
        if value is None:
            return cell
        came, clicked, torque = now.value(at.came_in), value.then == CLICKED, value.value
    else:
        done = now.rounds.get((tightening, number))
        # A torque that was entered whole, as on older days, went through every round before it.
        if done is None:
            through = at.torque in now.as_built
            return cell if not through else _with(cell, None, None, None)
        came, clicked, torque = done.came_in_in, done.clicked, done.torque_lbf_ft
    return _with(cell, clicked, came, travel(figures, torque, came))


def _with(
    cell: RoundCell, clicked: bool | None, came_in_in: float | None, nut: NutTravel | None
) -> RoundCell:
    return replace(cell, done=True, clicked=clicked, came_in_in=came_in_in, travel=nut)


def travel(figures: AnchorFigures, torque_lbf_ft: float, came_in_in: float | None) -> NutTravel | None:
    """Return the rod's stretch at a torque and what is left of the way that the nut came in."""
    angle_deg = figures.ran_deg
    if angle_deg is None and figures.aim is not None and figures.aim.possible:
        angle_deg = figures.aim.angle_deg
    if figures.tension is None or figures.section is None or angle_deg is None:
        return None
    length_in = rod_line_in(figures.section, angle_deg)
    return nut_travel(figures.tension, torque_lbf_ft, length_in=length_in, came_in_in=came_in_in)


def cell_words(cell: RoundCell, system: UnitSystem) -> str:
    """Return what a round asks of an anchor: the wrench's setting first, then what it is at the nut."""
    if cell.torque_lbf_ft is None or cell.set_lbf_ft is None:
        return "no torque is known: ask the office"
    nut = show_torque(cell.torque_lbf_ft, system)
    if at_most(abs(cell.set_lbf_ft - cell.torque_lbf_ft), 0.5):
        return f"set the wrench to {nut}"
    return f"set the wrench to {show_torque(cell.set_lbf_ft, system)}; {nut} at the nut"


def travel_words(nut: NutTravel | None, greatest_in: float, system: UnitSystem) -> str:
    """Return what of the way in is stretch, what is left over, and how much of the limit that is."""
    if nut is None:
        return ""
    low, high = (
        show_length(one, system, step=_FINE) for one in (nut.least_stretch_in, nut.greatest_stretch_in)
    )
    stretch = f"{low} to {high}" if low != high else low
    turns = f"{nut.least_turns:.1f} to {nut.greatest_turns:.1f} turns"
    if nut.came_in_in is None or nut.least_rest_in is None or nut.greatest_rest_in is None:
        return f"The rod itself stretches {stretch} ({turns} of the nut)."
    rest = [show_length(one, system, step=_FINE) for one in (nut.least_rest_in, nut.greatest_rest_in)]
    moved = f"{rest[0]} to {rest[1]}" if rest[0] != rest[1] else rest[0]
    return (
        f"Came in {show_length(nut.came_in_in, system, step=_FINE)} of at most"
        f" {show_length(greatest_in, system, step=_FINE)}: {stretch} is the rod's stretch, {moved} is plate"
        " and wall."
    )


__all__ = ["Grid", "RoundCell", "cell_words", "grid", "shares", "travel", "travel_words"]
