"""What a nut brings in: the rod's own stretch, and the rest, which is the plate moving and the wall closing.

Only the stretch is figured, as a band over the state of the threads like the tension it comes from. It leaves
out the rod's bend, the take-up of couplings and washers, and torsion; it is no test of the anchor.
"""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from crewtui.trade.checks import not_negative, positive
from crewtui.trade.tightening.tension import TensionCheck, tension_lbf

E_STEEL_KSI: Final = 29_000.0
"""Modulus of elasticity of steel. Source: Shigley, Mechanical Engineering Design."""


def stretch_in(force_lbf: float, *, length_in: float, area_in2: float, e_ksi: float = E_STEEL_KSI) -> float:
    """Return how much longer a rod is under a force, F·L/(A·E), in inches. Source: Shigley."""
    not_negative("the force", force_lbf)
    positive("the rod's length between its nuts", length_in)
    positive("the rod's area", area_in2)
    positive("the steel's modulus", e_ksi)
    # δ = F·L/(A·E): Hooke; E in ksi, so a thousand to the psi
    return force_lbf * length_in / (area_in2 * e_ksi * 1000.0)


def turns_for(stretch: float, *, threads_per_in: float) -> float:
    """Return the turns of the nut that take up a stretch: a turn is one pitch."""
    positive("the number of threads per inch", threads_per_in)
    return stretch * threads_per_in


class NutTravel(Struct, frozen=True, kw_only=True):
    """How far a nut comes at a torque: the stretch as a band, and the rest where it was measured."""

    torque_lbf_ft: float
    length_in: float
    """Of rod between the nuts, along the rod."""
    least_stretch_in: float
    """Dry threads."""
    greatest_stretch_in: float
    """Waxed threads."""
    least_turns: float
    greatest_turns: float
    came_in_in: float | None
    least_rest_in: float | None
    """Plate moving in the soil and wall closing together; never below nothing."""
    greatest_rest_in: float | None


def nut_travel(
    check: TensionCheck, torque_lbf_ft: float, *, length_in: float, came_in_in: float | None = None
) -> NutTravel:
    """Return the stretch that a torque may mean, in inches and turns, and what of the way in is left over.

    The band runs from dry to waxed threads, as the tension's does.
    """
    band = [
        stretch_in(
            tension_lbf(torque_lbf_ft, k=k, diameter_in=check.diameter_in),
            length_in=length_in,
            area_in2=check.stress_area_in2,
        )
        for k in (check.k_dry, check.k_waxed)
    ]
    rest = [None, None] if came_in_in is None else [max(came_in_in - one, 0.0) for one in reversed(band)]
    return NutTravel(
        torque_lbf_ft=torque_lbf_ft,
        length_in=length_in,
        least_stretch_in=band[0],
        greatest_stretch_in=band[1],
        least_turns=turns_for(band[0], threads_per_in=check.threads_per_in),
        greatest_turns=turns_for(band[1], threads_per_in=check.threads_per_in),
        came_in_in=came_in_in,
        least_rest_in=rest[0],
        greatest_rest_in=rest[1],
    )
