"""Unit systems, their factors, and the one tolerance with which a limit is judged."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING, Any, Final, Literal

if TYPE_CHECKING:
    from pint import UnitRegistry

UnitSystem = Literal["imperial", "metric"]
LengthUnit = Literal["in", "ft", "mm", "cm", "m"]
TorqueUnit = Literal["lbf·ft", "N·m", "lbf·in"]

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
inch = 0.0254 * metre = in
yard = 36 * inch = yd
decimetre = 0.1 * metre = dm
kilogram = [mass] = kg
second = [time] = s
newton = kilogram * metre / second ** 2 = N
pound_force_foot = 1.3558179483314004 * newton * metre = lbfft
newton_centimetre = 0.01 * newton * metre = Ncm
kilonewton_metre = 1000 * newton * metre = kNm
kilogram_force_metre = 9.80665 * newton * metre = kgfm
kilogram_force_centimetre = 0.01 * kilogram_force_metre = kgfcm
"""


@cache
def _registry() -> UnitRegistry[Any]:
    """Return the rarer units; a few of them, since a full registry takes half a second."""
    from pint import UnitRegistry  # noqa: PLC0415 - 200 ms that what is common does not need

    units: UnitRegistry[Any] = UnitRegistry(None)
    for line in _DEFINITIONS.strip().splitlines():
        units.define(line)
    return units


def convert(value: float, unit: str, target: str) -> float:
    """Return a value of one of the rarer units in another of its kind, both named as in the registry."""
    return float(_registry().Quantity(value, unit).to(target).magnitude)


_MM_IN: Final[Mapping[str, float]] = {"mm": 1.0, "cm": 10.0, "m": 1000.0}
_INCHES_IN: Final[Mapping[str, float]] = {"in": 1.0, "ft": 12.0}


def length_from(value: float, unit: LengthUnit) -> float:
    """Return a length in inches."""
    if unit in _INCHES_IN:
        return value * _INCHES_IN[unit]
    return value * _MM_IN[unit] / MM_PER_IN


def torque_from(value: float, unit: TorqueUnit) -> float:
    """Return a torque in lbf·ft."""
    if unit == "lbf·in":
        return value / 12.0
    return value if unit == "lbf·ft" else value / NM_PER_LBF_FT


def at_least(value: float, limit: float, tol: float = TOLERANCE_IN) -> bool:
    """Whether the value reaches the limit; at the limit is enough."""
    return value >= limit - tol


def at_most(value: float, limit: float, tol: float = TOLERANCE_IN) -> bool:
    """Whether the value keeps within the limit; at the limit is enough."""
    return value <= limit + tol
