"""The tension that a torque may mean: a band over the state of the threads, beside the rod's yield.

Torque is a poor measure of tension: the same torque may mean two and a half times the tension on waxed
threads that it means on dry ones. So it is given as a band in two digits, and it is no test of the anchor.
"""

from __future__ import annotations

import math
from typing import Final

from msgspec import Struct

from crewtui.trade.checks import positive
from crewtui.trade.tightening.torque import GOVERNS, TorqueSource, TorqueTarget, Verdict
from crewtui.units import at_most

K_WAXED: Final = 0.12
"""Nut factor taken for waxed threads: from memory. Shigley, 9th ed., Table 8-15 has it for anti-seize."""
K_ZINC: Final = 0.20
"""Nut factor, zinc plated: Shigley, 9th ed., Table 8-15."""
K_DRY: Final = 0.30
"""Nut factor, black and dry: Shigley, 9th ed., Table 8-15."""

YIELD_KSI: Final = 36.0
"""Least yield of ASTM A36 and F1554 grade 36 steel."""

YIELD_HOLD_SHARE: Final = 1.0
"""Share of yield at K_ZINC past which the tightening waits (company setting, from memory)."""
YIELD_CAUTION_SHARE: Final = 0.9
"""Share of yield at K_WAXED past which there is a caution (company setting, from memory)."""

TORQUE_SCATTER: Final = 0.30
"""Torque control reaches a tension within 30 % either way: published (secondary)."""
LEFT_OUT: Final = "Torsion from the nut is left out."

_LBF_IN_PER_LBF_FT: Final = 12.0


def stress_area_in2(diameter_in: float, threads_per_in: float) -> float:
    """Return the tensile stress area of a unified inch thread, 0.7854 (D − 0.9743/n)². Source: ASME B1.1."""
    positive("the rod's diameter", diameter_in)
    positive("the number of threads per inch", threads_per_in)
    core_in = diameter_in - 0.9743 / threads_per_in
    if core_in <= 0:
        raise ValueError(f"a {diameter_in:g} in rod cannot carry {threads_per_in:g} threads per inch")
    # A = 0.7854·(D − 0.9743/n)²: ASME B1.1
    return 0.7854 * core_in**2


def nut_torque_lbf_in(force_lbf: float, *, k: float, diameter_in: float) -> float:
    """Return T = K·F·d. Source: Shigley, Mechanical Engineering Design, 9th ed., eq. 8-27 and Table 8-15."""
    positive("the nut factor K", k)
    positive("the rod's diameter", diameter_in)
    return k * force_lbf * diameter_in


def tension_lbf(torque_lbf_ft: float, *, k: float, diameter_in: float) -> float:
    """Return F = T/(K·d), the same formula turned round."""
    return torque_lbf_ft * _LBF_IN_PER_LBF_FT / nut_torque_lbf_in(1.0, k=k, diameter_in=diameter_in)


def two_digits(value: float) -> float:
    """Round to two significant digits: no more is known of a tension that comes from a torque."""
    if value == 0 or not math.isfinite(value):
        return value
    return round(value, 1 - math.floor(math.log10(abs(value))))


class TensionCheck(Struct, frozen=True, kw_only=True):
    """The tension that the torque may mean, beside the rod's yield, and what follows from it."""

    torque_lbf_ft: float
    source: TorqueSource
    diameter_in: float
    threads_per_in: float
    yield_ksi: float
    k_waxed: float
    k_zinc: float
    k_dry: float
    stress_area_in2: float
    yield_lbf: float
    least_lbf: float
    """Dry threads, two digits."""
    greatest_lbf: float
    """Waxed threads, two digits."""
    share_waxed: float
    share_zinc: float
    verdict: Verdict
    words: str
    warnings: tuple[str, ...]
    advice: str = GOVERNS


def check_tension(
    aim: TorqueTarget,
    *,
    threads_per_in: float,
    yield_ksi: float | None = None,
    default_yield_ksi: float = YIELD_KSI,
    k_waxed: float = K_WAXED,
    k_zinc: float = K_ZINC,
    k_dry: float = K_DRY,
    hold_share: float = YIELD_HOLD_SHARE,
    caution_share: float = YIELD_CAUTION_SHARE,
) -> TensionCheck:
    """Return the band of tension for a target torque, the shares of yield, and ok, caution or hold.

    Over the yield at K for zinc, or a rod other than the one the rule of thumb was stated for, holds the
    tightening until the plan or the office gives the figure; over nine tenths at K for waxed threads is a
    caution.
    """
    if not 0 < k_waxed <= k_zinc <= k_dry:
        raise ValueError("the nut factors must rise from waxed over zinc to dry")
    steel_ksi = default_yield_ksi if yield_ksi is None else yield_ksi
    positive("the steel's yield", steel_ksi)
    area_in2 = stress_area_in2(aim.rod_diameter_in, threads_per_in)
    yield_lbf = steel_ksi * 1000.0 * area_in2
    waxed, zinc, dry = (
        tension_lbf(aim.torque_lbf_ft, k=k, diameter_in=aim.rod_diameter_in) for k in (k_waxed, k_zinc, k_dry)
    )
    scattered = waxed / yield_lbf * (1 + TORQUE_SCATTER)
    verdict, words = _judge(
        aim,
        scattered=scattered,
        zinc_over=not at_most(zinc / yield_lbf, hold_share),
        waxed_over=not at_most(waxed / yield_lbf, caution_share),
    )
    warnings: tuple[str, ...] = () if verdict == "ok" else (words,)
    if yield_ksi is None:
        warnings += (
            f"The job file gives no yield for the rod: {steel_ksi:g} ksi is assumed. Read the maker's sheet.",
        )
    return TensionCheck(
        torque_lbf_ft=aim.torque_lbf_ft,
        source=aim.source,
        diameter_in=aim.rod_diameter_in,
        threads_per_in=threads_per_in,
        yield_ksi=steel_ksi,
        k_waxed=k_waxed,
        k_zinc=k_zinc,
        k_dry=k_dry,
        stress_area_in2=area_in2,
        yield_lbf=yield_lbf,
        least_lbf=two_digits(dry),
        greatest_lbf=two_digits(waxed),
        share_waxed=waxed / yield_lbf,
        share_zinc=zinc / yield_lbf,
        verdict=verdict,
        words=words,
        warnings=warnings,
    )


def _judge(aim: TorqueTarget, *, scattered: float, zinc_over: bool, waxed_over: bool) -> tuple[Verdict, str]:
    if zinc_over and aim.source == "office":
        return "caution", (
            "This torque may take the rod past its yield. The office gave the figure; tighten in small "
            "stages and stop if the nut turns and the wrench does not come up."
        )
    if zinc_over:
        return "hold", (
            "This torque may take the rod past its yield even with plain zinc threads. Do not tighten "
            "until the office or the engineer has confirmed or changed the figure."
        )
    if aim.other_rod:
        return "hold", (
            "The torque was stated for another rod than this one. Do not tighten until the plan or the "
            "office gives the figure."
        )
    if waxed_over:
        return "caution", (
            "On waxed threads this torque comes close to the rod's yield or past it. Tighten slowly, "
            "never past the click, and never for a second click."
        )
    if not at_most(scattered, 1.0):
        return "ok", (
            f"Below the rod's yield by the factors of the band. Torque control scatters by 30 % either way:"
            f" waxed threads may reach {scattered:.2f} of the yield. {LEFT_OUT}"
        )
    return "ok", f"Below the rod's yield over the band, its 30 % of scatter included. {LEFT_OUT}"
