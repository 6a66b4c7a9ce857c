"""The share of rods that come into the pit sideways, by the spread that drift and one rod have."""

from __future__ import annotations

import math
from statistics import NormalDist

from crewtui.trade.checks import checked


def share_in_width(
    run_in: float, *, side_sd_deg: float, pit_across_in: float, rod_diameter_in: float, aside_in: float = 0.0
) -> float:
    """Return the share of rods, held square, whose whole rod passes within the pit's width at its middle.

    ``run_in`` is the level way from the inner face to the pit's middle, and ``aside_in`` how far the hole
    lies beside the pit's line. The angle off square is taken as normal about nothing.
    """
    checked("The way to the pit's middle", run_in, above=0)
    half_in = (checked("The pit's width", pit_across_in, above=0) - rod_diameter_in) / 2
    if half_in <= 0:
        return 0.0
    # atan((±b/2 − x) / (S + t)): where the pit's sides are seen from the hole
    left_deg, right_deg = (math.degrees(math.atan2(side * half_in - aside_in, run_in)) for side in (-1, 1))
    if side_sd_deg == 0:
        return float(left_deg <= 0 <= right_deg)
    off = NormalDist(0.0, checked("The deviation sideways", side_sd_deg, above=0))
    return off.cdf(right_deg) - off.cdf(left_deg)


__all__ = ["share_in_width"]
