"""Elongation of a bar, F·L/(A·E), against worked examples that others published.

- Philippine structural engineering board examination, November 2016 (as reprinted with its solution by a
  review site): 8,000 kg stretch a square bar 1 m long by 1 mm, E = 2 x 10^6 kg/cm2; its side is 2 cm. The
  formula takes any one set of units. Tolerance: one part in a thousand million.
- A rod loaded to 36,000 psi (thermodynamics text, problem on elastic work): 10 ft long, 2 in2, E = 30 x 10^6
  psi, hence a strain of 0.0012 and 0.144 in. Computed from the published inputs.
- A 2 in rod of steel, 20 ft long, under 70 kip: by the formula with E = 29,000 ksi, 0.1844 in. Computed.
"""

from __future__ import annotations

import math

import pytest

from crewtui.trade.tightening.stretch import stretch_in, turns_for


def test_the_square_bar_of_the_board_examination() -> None:
    # In kg and cm: the function multiplies ksi by 1000, so E goes in as 2 x 10^3.
    assert stretch_in(8000.0, length_in=100.0, area_in2=4.0, e_ksi=2.0e3) == pytest.approx(0.1, rel=1e-9)


def test_a_rod_at_its_yield() -> None:
    assert stretch_in(72_000.0, length_in=120.0, area_in2=2.0, e_ksi=30_000.0) == pytest.approx(
        0.144, rel=1e-9
    )


def test_a_long_rod_of_steel() -> None:
    area_in2 = math.pi * 2.0**2 / 4
    assert stretch_in(70_000.0, length_in=240.0, area_in2=area_in2) == pytest.approx(0.1844, abs=5e-5)


def test_a_turn_of_the_nut_is_one_pitch() -> None:
    # ASME B1.1: 3/4-10 has ten threads in an inch.
    assert turns_for(0.1, threads_per_in=10) == pytest.approx(1.0)
