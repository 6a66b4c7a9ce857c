"""The sag of a tail held at its end, and the share of rods in the pit's width, against general references.

- AISC Steel Construction Manual, Table 3-23, case 1 (simple beam, uniformly distributed load): greatest
  deflection 5wL⁴/(384EI); the same table's curve x(L³ − 2Lx² + x³)·w/(24EI), whose slope at a support is
  wL³/(24EI). Checked here by scipy's integration of the beam's equation, EI·y'' = −M(x), tolerance one part
  in 10⁶.
- Weight of a threaded rod, 3/4-10: about 1.25 lb/ft by the mean of its thread (from memory: makers' tables
  say 1.2 to 1.3). Tolerance 0.1 lb/ft.
- scipy's normal distribution, and shares counted over 20,000 straight rods drawn at random (tolerance 0.02).
"""

from __future__ import annotations

import math
import random
from typing import Any

import pytest
from scipy.integrate import quad, solve_bvp
from scipy.stats import norm

from crewtui.trade.aim.aside import share_in_width
from crewtui.trade.aim.sag import rod_section, sag_deg, slope_at_support
from crewtui.trade.tightening.stretch import E_STEEL_KSI

E_PSI = E_STEEL_KSI * 1000


@pytest.mark.parametrize(
    ("length_in", "diameter_in", "threads"), [(81.625, 0.75, 10), (60, 1.0, 8), (96, 0.625, 11)]
)
def test_the_slope_at_the_hole_is_that_of_the_beams_equation_integrated(
    length_in: float, diameter_in: float, threads: float
) -> None:
    weight, inertia_in4 = rod_section(diameter_in, threads)

    def beam(x: Any, y: Any) -> list[Any]:
        return [y[1], -(weight * length_in * x / 2 - weight * x**2 / 2) / (E_PSI * inertia_in4)]

    x = [length_in * step / 200 for step in range(201)]
    solved = solve_bvp(beam, lambda a, b: [a[0], b[0]], x, [[0.0] * 201, [0.0] * 201], tol=1e-9)
    slope = slope_at_support(weight, length_in, e_psi=E_PSI, inertia_in4=inertia_in4)
    assert abs(solved.y[1][0]) == pytest.approx(slope, rel=1e-6)
    assert max(abs(solved.y[0])) == pytest.approx(
        5 * weight * length_in**4 / (384 * E_PSI * inertia_in4), rel=1e-5
    )
    assert sag_deg(diameter_in, threads, length_in) == pytest.approx(math.degrees(math.atan(slope)))


def test_a_long_tail_of_three_quarter_rod_takes_half_a_degree_and_an_inch_and_a_half_at_twelve_feet() -> None:
    sag = sag_deg(0.75, 10, 81.625)
    assert sag == pytest.approx(0.53, abs=0.01)
    assert 163 * math.tan(math.radians(sag)) == pytest.approx(1.5, abs=0.02)


def test_a_threaded_rod_weighs_about_what_tables_say() -> None:
    assert rod_section(0.75, 10)[0] * 12 == pytest.approx(1.25, abs=0.1)


@pytest.mark.parametrize("number", range(12))
def test_the_share_in_the_width_is_counted_and_integrated(number: int) -> None:
    chance = random.Random(number)  # noqa: S311 - cases to try, no secrets
    run_in, across_in = chance.uniform(100, 220), chance.uniform(10, 36)
    sd_deg, rod_in, aside_in = chance.uniform(0.3, 2.5), 0.75, chance.uniform(-3, 3)
    found = share_in_width(
        run_in, side_sd_deg=sd_deg, pit_across_in=across_in, rod_diameter_in=rod_in, aside_in=aside_in
    )
    half_in = (across_in - rod_in) / 2

    def inside(off_deg: float) -> bool:
        return abs(aside_in + run_in * math.tan(math.radians(off_deg))) <= half_in

    counted = sum(inside(chance.gauss(0, sd_deg)) for _ in range(20_000)) / 20_000
    assert found == pytest.approx(counted, abs=0.02)
    edges = [math.degrees(math.atan((side * half_in - aside_in) / run_in)) for side in (-1, 1)]
    whole, _ = quad(lambda off: norm.pdf(off, 0, sd_deg), *edges)
    assert found == pytest.approx(whole, abs=1e-9)
