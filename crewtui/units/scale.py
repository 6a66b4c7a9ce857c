"""Unit systems, their factors, and the one tolerance with which a limit is judged."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any, Final, Literal

if TYPE_CHECKING:
    from pint import UnitRegistry

UnitSystem = Literal["imperial", "metric"]
LengthUnit = Literal["in", "ft", "mm", "cm", "m"]
TorqueUnit = Literal["lbf·ft", "N·m"]

TOLERANCE_IN: Final = 1e-6
"""A limit is judged on the value with this tolerance, so that inches and metres agree."""
MM_PER_IN: Final = 25.4
"""Exact (NIST SP 811, Appendix B)."""
NM_PER_LBF_FT: Final = 1.3558179483314004
"""Newton metres in a pound-force foot: 0.3048 m x 4.4482216152605 N (NIST SP 811, Appendix B)."""
N_PER_LBF: Final = 4.4482216152605
"""Exact (NIST SP 811, Appendix B)."""

_DEFINITIONS: Final = """
metre = [length] = m
centimetre = 0.01 * metre = cm
millimetre = 0.001 * metre = mm
inch = 0.0254 * metre = in
foot = 12 * inch = ft
yard = 3 * foot = yd
kilogram = [mass] = kg
second = [time] = s
newton = kilogram * metre / second ** 2 = N
pound_force = 4.4482216152605 * newton = lbf
kilonewton = 1000 * newton = kN
newton_metre = newton * metre = Nm
pound_force_foot = pound_force * foot = lbfft
pound_force_inch = pound_force * inch = lbfin
"""


@cache
def registry() -> UnitRegistry[Any]:
    """Return the units that people write here; a dozen of them, since a full registry takes half a second."""
    from pint import UnitRegistry  # noqa: PLC0415 - 200 ms that the first screen does not need

    units: UnitRegistry[Any] = UnitRegistry(None)
    for line in _DEFINITIONS.strip().splitlines():
        units.define(line)
    return units


def convert(value: float, unit: str, target: str) -> float:
    """Return a value in another unit of the same kind, both named as in the registry."""
    if unit == target:
        return value
    return float(registry().Quantity(value, unit).to(target).magnitude)


_IN_INCHES: Final[dict[LengthUnit, float]] = {"in": 1.0, "ft": 12.0}


def length_from(value: float, unit: LengthUnit) -> float:
    """Return a length in inches."""
    if unit in _IN_INCHES:
        return value * _IN_INCHES[unit]
    per_mm = {"mm": 1.0, "cm": 10.0, "m": 1000.0}[unit]
    return value * per_mm / MM_PER_IN


def torque_from(value: float, unit: TorqueUnit) -> float:
    """Return a torque in lbf·ft."""
    return value if unit == "lbf·ft" else value / NM_PER_LBF_FT


def at_least(value: float, limit: float, tol: float = TOLERANCE_IN) -> bool:
    """Whether the value reaches the limit; at the limit is enough."""
    return value >= limit - tol


def at_most(value: float, limit: float, tol: float = TOLERANCE_IN) -> bool:
    """Whether the value keeps within the limit; at the limit is enough."""
    return value <= limit + tol
