"""NIST Special Publication 811 (2008 edition), Appendix B: conversion factors. Published.

Exact: the inch is 0.0254 m, the foot 0.3048 m, the pound-force 4.448 221 615 260 5 N. Moments of
force follow from them and are printed to seven digits: 1 lbf·ft = 1.355 818 N·m, 1 lbf·in = 0.112 984 8 N·m.
Exact rational arithmetic stands beside the program's floats; the tolerance is the rounding of a float.
"""

from __future__ import annotations

import math
from fractions import Fraction

import pint
import pytest

from crewtui import units

METER_PER_INCH = Fraction("0.0254")
METER_PER_FOOT = Fraction("0.3048")
NEWTON_PER_POUND_FORCE = Fraction("4.4482216152605")
NEWTON_METER_PER_LBF_FT = METER_PER_FOOT * NEWTON_PER_POUND_FORCE


def test_the_exact_factors() -> None:
    assert float(METER_PER_INCH * 1000) == units.MM_PER_IN
    assert float(NEWTON_PER_POUND_FORCE) == units.N_PER_LBF
    # The exact product, rounded once; multiplying the two as floats would end in ...4003.
    assert float(NEWTON_METER_PER_LBF_FT) == units.NM_PER_LBF_FT


def test_the_printed_moments_of_force() -> None:
    # Half a unit of the last printed digit.
    assert pytest.approx(1.355818, abs=5e-7) == units.NM_PER_LBF_FT
    assert units.read_torque("1 lbf·in") * units.NM_PER_LBF_FT == pytest.approx(0.1129848, abs=5e-8)


@pytest.mark.parametrize(
    ("text", "meters"),
    [
        ("1 in", METER_PER_INCH),
        ("1 ft", METER_PER_FOOT),
        ("1 yd", Fraction("0.9144")),
        ("1 mm", Fraction("0.001")),
        ("1 cm", Fraction("0.01")),
        ("1 m", Fraction(1)),
        ("12 ft 4 1/2 in", 12 * METER_PER_FOOT + Fraction(9, 2) * METER_PER_INCH),
        ("72 cm", Fraction("0.72")),
        ("1.2 m", Fraction("1.2")),
        ("730mm", Fraction("0.73")),
    ],
)
def test_lengths_as_typed(text: str, meters: Fraction) -> None:
    assert units.read_length(text) == pytest.approx(float(meters / METER_PER_INCH), rel=1e-14)


@pytest.mark.parametrize(
    ("text", "newton_meters"),
    [
        ("1 lbf·ft", NEWTON_METER_PER_LBF_FT),
        ("90 ft-lb", 90 * NEWTON_METER_PER_LBF_FT),
        ("1080 lbf·in", 90 * NEWTON_METER_PER_LBF_FT),
        ("122 N·m", Fraction(122)),
    ],
)
def test_torques_as_typed(text: str, newton_meters: Fraction) -> None:
    got = units.read_torque(text)
    assert got == pytest.approx(float(newton_meters / NEWTON_METER_PER_LBF_FT), rel=1e-14)


PINT = pint.UnitRegistry()
"""A general-purpose units library with a table of factors of its own (pint, its default definitions)."""


@pytest.mark.parametrize("unit", ["in", "ft", "mm", "cm", "m", "yd", "dm"])
@pytest.mark.parametrize("value", [0.001, 1.0, 28.5, 2_400.0])
def test_every_unit_of_length_agrees_with_the_units_library(unit: str, value: float) -> None:
    inches = PINT.Quantity(value, {"in": "inch"}.get(unit, unit)).to("inch").magnitude
    assert units.read_length(f"{value:f} {unit}") == pytest.approx(inches, rel=1e-14)


@pytest.mark.parametrize(
    ("unit", "name"),
    [
        ("lbf·ft", "force_pound * foot"), ("lbf·in", "force_pound * inch"), ("N·m", "newton * meter"),
        ("N·cm", "newton * centimeter"), ("kN·m", "kilonewton * meter"), ("kgf·m", "kilogram_force * meter"),
        ("kgf·cm", "kilogram_force * centimeter"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("value", [0.5, 90.0, 1_080.0])
def test_every_unit_of_torque_agrees_with_the_units_library(unit: str, name: str, value: float) -> None:
    lbf_ft = PINT.Quantity(value, name).to("force_pound * foot").magnitude
    assert units.read_torque(f"{value:f} {unit}") == pytest.approx(lbf_ft, rel=1e-14)


@pytest.mark.parametrize("value", [0.5, 5.3, 45.0])
def test_degrees_and_percent_agree_with_the_units_library(value: float) -> None:
    assert units.read_angle(f"{value} deg") == pytest.approx(
        PINT.Quantity(value, "degree").to("degree").magnitude
    )
    share = PINT.Quantity(value, "percent").to("dimensionless").magnitude
    assert units.read_slope(f"{value} %") == pytest.approx(share, rel=1e-14)
    degrees = PINT.Quantity(math.atan(share), "radian").to("degree").magnitude
    assert units.read_angle(f"{value} %") == pytest.approx(degrees, rel=1e-14)


@pytest.mark.parametrize("unit", ["in", "ft", "mm", "cm", "m"])
def test_a_bare_number_reads_as_with_its_unit(unit: units.LengthUnit) -> None:
    # The quick way without the units library and the library itself agree to the rounding of a float.
    assert units.read_length("37.5", bare=unit) == pytest.approx(units.read_length(f"37.5 {unit}"), rel=1e-14)
    assert units.length_from(37.5, unit) == units.read_length("37.5", bare=unit)
