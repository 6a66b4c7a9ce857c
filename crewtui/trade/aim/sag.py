"""How the tail of a rod that is held at its end sags, and how much of the aim that takes.

The tail rests in the hole and in a hand: a beam on two supports under its own weight. Its slope at the hole
is w·L³/(24·E·I) (AISC Steel Construction Manual, Table 3-23, case 1: simple beam, uniform load),
and there the rod points so much flatter than the straight line from the hand to the hole. It leaves out the
hole's own grip, the hammer's weight, couplings, and that the weight works across a slope (less than one part
in a hundred below 8°).
"""

from __future__ import annotations

import math
from typing import Final

from crewtui.trade.checks import checked
from crewtui.trade.safety.lifting import STEEL_LB_PER_FT3
from crewtui.trade.tightening.stretch import E_STEEL_KSI
from crewtui.trade.tightening.tension import stress_area_in2

_IN3_PER_FT3: Final = 1728.0
_PITCH_IN_THREADS: Final = 0.649519
"""Basic pitch diameter is D − 0.649519/n: ASME B1.1."""


def slope_at_support(weight_lb_per_in: float, length_in: float, *, e_psi: float, inertia_in4: float) -> float:
    """Return w·L³/(24·E·I), a slope: AISC Table 3-23, case 1."""
    return weight_lb_per_in * length_in**3 / (24.0 * e_psi * inertia_in4)


def rod_section(diameter_in: float, threads_per_in: float) -> tuple[float, float]:
    """Return a threaded rod's weight in pounds an inch and its second moment of area in in⁴.

    It weighs as its pitch diameter and bends as the circle of its tensile stress area (ASME B1.1).
    """
    stress_in2 = stress_area_in2(diameter_in, threads_per_in)
    pitch_in = diameter_in - _PITCH_IN_THREADS / threads_per_in
    # w = ρ·π·d²/4 with the pitch diameter; I = A²/(4π), the circle of area A
    weight = STEEL_LB_PER_FT3 / _IN3_PER_FT3 * math.pi * pitch_in**2 / 4
    return weight, stress_in2**2 / (4 * math.pi)


def sag_deg(diameter_in: float, threads_per_in: float, tail_length_in: float) -> float:
    """Return how much flatter the rod enters the hole than its tail's height says, in degrees."""
    checked("The length in the room", tail_length_in, least=0)
    weight, inertia_in4 = rod_section(diameter_in, threads_per_in)
    slope = slope_at_support(weight, tail_length_in, e_psi=E_STEEL_KSI * 1000.0, inertia_in4=inertia_in4)
    # the slope of a beam on two supports, as an angle
    return math.degrees(math.atan(slope))


__all__ = ["rod_section", "sag_deg", "slope_at_support"]
