"""What plates and rods weigh, and whether one person lifts them by the company's own limit.

No regulation cited here limits what one person lifts: the limit is a setting of the company. A weight that
the job file gives, from the maker's sheet, replaces the one worked out from the size.
"""

from __future__ import annotations

import math
from typing import Final

from msgspec import Struct

from crewtui.units import at_most

STEEL_LB_PER_FT3: Final = 490.0
"""AISC Steel Construction Manual: weight of rolled steel."""
_IN3_PER_FT3: Final = 1728.0


def plate_lb(*, width_in: float, height_in: float, thickness_in: float) -> float:
    """Return the weight of a solid steel plate."""
    _positive(width_in=width_in, height_in=height_in, thickness_in=thickness_in)
    # ρ·w·h·t
    return width_in * height_in * thickness_in * STEEL_LB_PER_FT3 / _IN3_PER_FT3


def rod_lb(*, diameter_in: float, length_in: float) -> float:
    """Return the weight of a round steel rod by its outside diameter: thread makes it a little lighter."""
    _positive(diameter_in=diameter_in, length_in=length_in)
    # ρ·L·π·d²/4
    return math.pi / 4 * diameter_in**2 * length_in * STEEL_LB_PER_FT3 / _IN3_PER_FT3


class Lift(Struct, frozen=True, kw_only=True):
    """Who lifts one thing."""

    name: str
    weight_lb: float
    two_lift: bool
    words: str


def lift(name: str, weight_lb: float, *, alone_greatest_lb: float, from_size: bool = False) -> Lift:
    """Return whether one person lifts it by the company's limit; at the limit one still does."""
    _positive(weight_lb=weight_lb, alone_greatest_lb=alone_greatest_lb)
    two = not at_most(weight_lb, alone_greatest_lb)
    about = "about " if from_size else ""
    return Lift(
        name=name,
        weight_lb=weight_lb,
        two_lift=two,
        words=f"{name} {about}{weight_lb:.0f} lb{', TWO LIFT' if two else ''}",
    )


def _positive(**values: float) -> None:
    for name, value in values.items():
        if not (math.isfinite(value) and value > 0):
            raise ValueError(f"{name} must be over zero; it is {value:g}.")


__all__ = ["STEEL_LB_PER_FT3", "Lift", "lift", "plate_lb", "rod_lb"]
