"""Showing lengths, angles, slopes, torques and forces in the job's own units."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Final

from crewtui.units.scale import MM_PER_IN, N_PER_LBF, NM_PER_LBF_FT, TOLERANCE_IN, UnitSystem

TAPE_STEP: Final = 8
"""A tape is read to an eighth of an inch unless asked finer."""
FEET_FROM_IN: Final = 96.0
"""From here up a length is shown in feet and inches."""
_FINEST: Final = 1024
_FINEST_DECIMALS: Final = 6


def _fraction(inches: Fraction) -> str:
    whole, part = divmod(inches, 1)
    if not part:
        return str(int(whole))
    return f"{int(whole)} {part}" if whole else str(part)


def _tape(value_in: float, step: int) -> str:
    steps = round(abs(value_in) * step)
    sign = "-" if value_in < 0 and steps else ""
    inches = Fraction(steps, step)
    if inches < FEET_FROM_IN:
        return f"{sign}{_fraction(inches)} in"
    feet, rest = divmod(inches, 12)
    return f"{sign}{int(feet)} ft {_fraction(rest)} in" if rest else f"{sign}{int(feet)} ft"


def show_length(value_in: float, system: UnitSystem = "imperial", *, step: int = TAPE_STEP) -> str:
    """Return a length as a tape shows it: to 1/``step`` in, or to the millimetre."""
    if system == "metric":
        return f"{round(value_in * MM_PER_IN) + 0} mm"
    return _tape(value_in, step)


def show_length_fine(value_in: float, limit_in: float, system: UnitSystem = "imperial") -> str:
    """Return a length as finely as the verdict against a limit needs: 35 31/32 in is short of 36 in.

    The other way round it shows the limit as finely: both then differ on paper as they do in truth.
    """
    gap = value_in - limit_in
    if system == "metric":
        for decimals in range(_FINEST_DECIMALS):
            shown, limit = (round(length * MM_PER_IN, decimals) for length in (value_in, limit_in))
            if _same_side(shown - limit, gap):
                return f"{_plain(shown, decimals)} mm"
        return f"{value_in * MM_PER_IN:.{_FINEST_DECIMALS}f} mm"
    step = TAPE_STEP
    while step <= _FINEST:
        if _same_side(round(value_in * step) - round(limit_in * step), gap):
            return _tape(value_in, step)
        step *= 2
    return f"{value_in:.{_FINEST_DECIMALS}f} in"


def _same_side(shown_gap: float, gap: float) -> bool:
    """Whether the figures shown differ as the true ones do; within the tolerance those are equal."""
    tiny = 1e-9
    return abs(gap) <= TOLERANCE_IN or (abs(shown_gap) > tiny and (shown_gap > 0) == (gap > 0))


def show_angle(angle_deg: float, *, decimals: int = 1) -> str:
    """Return an angle from level, to a tenth of a degree as a level reads it."""
    return f"{_plain(angle_deg, decimals)}°"


def _plain(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}"
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text


def show_fall(angle_deg: float, system: UnitSystem = "imperial") -> str:
    """Return an angle as the fall over a level foot or metre, to 1/16 in or a millimetre."""
    slope = math.tan(math.radians(angle_deg))
    if system == "metric":
        return f"{round(slope * 1000) + 0} mm/m"
    return f"{_tape(slope * 12.0, 16).removesuffix(' in')} in/ft"


def show_slope(drop_per_run: float) -> str:
    """Return a slope in percent."""
    return f"{_plain(drop_per_run * 100.0, 1)} %"


def show_torque(torque_lbf_ft: float, system: UnitSystem = "imperial") -> str:
    """Return a torque in both units, the job's own first."""
    own, other = f"{torque_lbf_ft:.0f} lbf·ft", f"{torque_lbf_ft * NM_PER_LBF_FT:.0f} N·m"
    return f"{own} ({other})" if system == "imperial" else f"{other} ({own})"


def show_force(force_lbf: float, system: UnitSystem = "imperial") -> str:
    """Return a force to two digits: it is never known better."""
    value = force_lbf if system == "imperial" else force_lbf * N_PER_LBF
    digits = 2
    if value:
        power = digits - 1 - math.floor(math.log10(abs(value)))
        value = round(value, power)
    thousand = value / 1000.0
    return f"{thousand:.{_decimals(thousand)}f} {'kip' if system == 'imperial' else 'kN'}"


def _decimals(value: float) -> int:
    return 0 if abs(value) >= 10 else 1 if abs(value) >= 1 else 2  # noqa: PLR2004 - two digits in all


def show_share(share: float) -> str:
    """Return a share as whole percent; what is not quite all, or not quite none, is never shown as that."""
    percent = share * 100.0
    if round(percent) in {0, 100} and percent not in {0.0, 100.0}:
        tenths = _plain(percent, 1)
        if tenths == "100.0":
            return "over 99.9 %" if percent < 100.0 else "over 100 %"  # noqa: PLR2004 - all of it
        return "under 0.1 %" if tenths == "0.0" else f"{tenths} %"
    return f"{percent:.0f} %"


def count_of(count: int, what: str) -> str:
    """Return how many in words that agree: ``1 line``, ``2 lines``, ``0 entries``, ``3 boxes``."""
    if count == 1:
        return f"1 {what}"
    if what.endswith("y") and what[-2:-1] not in {"a", "e", "o", "u"}:
        return f"{count} {what[:-1]}ies"
    return f"{count} {what}{'es' if what.endswith(('s', 'x', 'ch', 'sh')) else 's'}"
