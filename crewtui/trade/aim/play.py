"""Play: how far a rod, or a coupling on its way through, can tilt in the hole through the wall.

Plane geometry: a rod of diameter d at θ' in a hole of diameter B drilled at θ through a wall of thickness
T has room where |tan θ' − tan θ|·T/2 + d/(2 cos θ') ≤ B/(2 cos θ). The two sides differ a little, since a
steeper rod takes up more of the height.
"""

from __future__ import annotations

import math
from typing import Final

from msgspec import Struct

from crewtui.trade.checks import checked, checked_angle
from crewtui.units import UnitSystem, at_most, show_length_fine

_HALVINGS: Final = 60
"""Halvings of an arc of at most 180°: down to the last digit of a float."""
_UPRIGHT_DEG: Final = 90.0 - 1e-9
"""Short of straight up or down, where no hole through a wall leads."""


class Play(Struct, frozen=True, kw_only=True):
    """The tilt that a hole leaves, from the angle that it was drilled at."""

    hole_angle_deg: float
    hole_diameter_in: float
    rod_diameter_in: float
    hole_length_in: float
    steeper_deg: float
    flatter_deg: float
    sideways_deg: float

    @property
    def steepest_deg(self) -> float:
        """Steepest angle that a straight rod takes in this hole."""
        return self.hole_angle_deg + self.steeper_deg

    @property
    def flattest_deg(self) -> float:
        """Flattest angle that a straight rod takes in this hole."""
        return self.hole_angle_deg - self.flatter_deg


class CouplingPlay(Struct, frozen=True, kw_only=True):
    """Whether a coupling passes the hole, and the tilt left to the rod while it does."""

    corners_in: float
    coupling_length_in: float
    play: Play | None
    """None where the coupling does not pass at all."""
    warnings: tuple[str, ...]


def rod_play(
    hole_angle_deg: float, *, rod_diameter_in: float, hole_diameter_in: float, hole_length_in: float
) -> Play | None:
    """Return the tilt of a rod in a hole through a wall; None where the rod does not go in.

    ``hole_length_in`` is the wall's thickness, level: a bow lengthens the rod's way, not the hole.
    """
    _check(hole_angle_deg, rod_diameter_in, hole_diameter_in, hole_length_in)
    if not at_most(rod_diameter_in, hole_diameter_in):
        return None
    bounds = (_Bound(width_in=rod_diameter_in, length_in=math.inf),)
    return _play(hole_angle_deg, rod_diameter_in, hole_diameter_in, hole_length_in, bounds)


def coupling_play(
    hole_angle_deg: float,
    *,
    rod_diameter_in: float,
    corners_in: float,
    coupling_length_in: float,
    hole_diameter_in: float,
    hole_length_in: float,
    system: UnitSystem = "imperial",
) -> CouplingPlay:
    """Return the tilt left to the rod while a coupling passes, judged over its corners.

    A coupling as long as the hole fills it, and counts like a rod as thick as its corners. A shorter one
    may lie more askew, but at either end of its way the rod leans against one face and the coupling against
    the other: the tilt is then also bound by the mean of both widths over the whole hole.
    """
    _check(hole_angle_deg, rod_diameter_in, hole_diameter_in, hole_length_in)
    checked("The coupling's length", coupling_length_in, above=0)
    if not at_most(rod_diameter_in, checked("The coupling's width over corners", corners_in, above=0)):
        raise ValueError("A coupling is wider over its corners than its rod: check both sizes.")
    if not at_most(corners_in, hole_diameter_in):
        wide = show_length_fine(corners_in, hole_diameter_in, system)
        hole = show_length_fine(hole_diameter_in, corners_in, system)
        warning = (
            f"The coupling is {wide} over its corners and does not pass a hole of {hole}: a"
            " smaller coupling, or"
            " a larger hole if the plan or the maker's sheet allows it."
        )
        return CouplingPlay(
            corners_in=corners_in, coupling_length_in=coupling_length_in, play=None, warnings=(warning,)
        )

    bounds = (
        _Bound(width_in=corners_in, length_in=coupling_length_in),
        _Bound(width_in=(rod_diameter_in + corners_in) / 2, length_in=math.inf),
    )
    play = _play(hole_angle_deg, rod_diameter_in, hole_diameter_in, hole_length_in, bounds)
    return CouplingPlay(corners_in=corners_in, coupling_length_in=coupling_length_in, play=play, warnings=())


def _check(angle_deg: float, rod_in: float, hole_in: float, length_in: float) -> None:
    checked_angle(angle_deg, "The hole's angle")
    checked("The rod's diameter", rod_in, above=0)
    checked("The hole's diameter", hole_in, above=0)
    checked("The wall's thickness", length_in, above=0)


class _Bound(Struct, frozen=True, kw_only=True):
    """Something of a width and a length along the rod that must have room in the hole."""

    width_in: float
    length_in: float


def _play(
    hole_angle_deg: float,
    rod_diameter_in: float,
    hole_diameter_in: float,
    hole_length_in: float,
    bounds: tuple[_Bound, ...],
) -> Play:
    """Return the play within all bounds, by halving: to either side room is lost once and for all."""

    def overlap_in(rod_deg: float, hole_deg: float) -> float:
        rod_cos, hole_cos = math.cos(math.radians(rod_deg)), math.cos(math.radians(hole_deg))
        # |tan θ′ − tan θ|·t/2 + d/(2·cos θ′) ≤ B/(2·cos θ): plane geometry, both edges touching
        change = abs(math.tan(math.radians(rod_deg)) - math.tan(math.radians(hole_deg)))
        return max(
            change * min(hole_length_in, bound.length_in * rod_cos) / 2
            + bound.width_in / (2 * rod_cos)
            - hole_diameter_in / (2 * hole_cos)
            for bound in bounds
        )

    def room_deg(hole_deg: float, end_deg: float) -> float:
        inside, outside = hole_deg, end_deg
        for _ in range(_HALVINGS):
            middle = (inside + outside) / 2
            if overlap_in(middle, hole_deg) <= 0:
                inside = middle
            else:
                outside = middle
        return abs(inside - hole_deg)

    return Play(
        hole_angle_deg=hole_angle_deg,
        hole_diameter_in=hole_diameter_in,
        rod_diameter_in=rod_diameter_in,
        hole_length_in=hole_length_in,
        steeper_deg=room_deg(hole_angle_deg, _UPRIGHT_DEG),
        flatter_deg=room_deg(hole_angle_deg, -_UPRIGHT_DEG),
        sideways_deg=room_deg(0.0, _UPRIGHT_DEG),
    )
