"""What readings over the years say of a wall: a rate a year by weighted least squares, and how sure it is.

A reading weighs by its doubt. Tightening moves the wall in a minute, which is no rate: between two
tightenings the wall has a level of its own, and one rate goes through all stretches. The interval is twice
the standard deviation that the doubts give, widened by √(χ²/ν) where the readings scatter more than their
doubts allow, never narrowed where they scatter less.

Source: Bevington and Robinson, Data Reduction and Error Analysis, chapter 6 (weighted straight line; from
memory); the widening is the scale factor S of the Review of Particle Physics, introduction.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from datetime import date
from typing import Final, Literal

from msgspec import Struct

from crewtui.trade.wall.survey import COVERAGE, WithDoubt
from crewtui.units import at_most

DAYS_IN_YEAR: Final = 365.25
SEASON_DAYS: Final = 365
"""Readings over less than this cannot tell a rate from what the season does to the soil."""
Season = Literal["winter", "spring", "summer", "fall"]
_SEASONS: Final[tuple[Season, ...]] = ("winter", "spring", "summer", "fall")


class DatedReading(Struct, frozen=True, kw_only=True):
    """A reading and its doubt, on its day, in one stretch between tightenings."""

    day: date
    reading: WithDoubt
    stretch: int = 0


class Rate(Struct, frozen=True, kw_only=True):
    """A rate in a year with its interval."""

    a_year: WithDoubt
    """The slope, and twice its standard deviation; positive is inward."""
    readings: int
    days: int
    """From the first reading to the last that it rests on."""
    scatter: float | None
    """√(χ²/ν): how the readings scatter beside what their doubts say; None where none is left to tell."""

    @property
    def low(self) -> float:
        """Return the lower end of the interval."""
        return self.a_year.value - self.a_year.uncertainty

    @property
    def high(self) -> float:
        """Return the upper end of the interval."""
        return self.a_year.value + self.a_year.uncertainty


class Movement(Struct, frozen=True, kw_only=True):
    """What the readings of one place say: a rate that is told from none, or how much could hide."""

    rate: Rate | None
    """None while no stretch has two readings on two days."""
    seen: bool
    """Whether the wall moves: the interval leaves out zero."""
    within: float | None
    """Where no movement is seen: over these days it can be this much, never less than the readings' doubt."""
    in_one_year: bool = False
    """All of it within a year, so that the season is in it."""


def season_of(day: date) -> Season:
    """Return the season by its months, as on the northern half of the earth (common practice, no source)."""
    return _SEASONS[day.month % 12 // 3]


class Slope(Struct, frozen=True, kw_only=True):
    """A slope common to all stretches, and its standard deviation by the doubts alone."""

    value: float
    sd: float
    scatter: float | None
    """√(χ²/ν); None where no reading is left over to tell it."""


def weighted_slope(stretches: Sequence[Sequence[tuple[float, float, float]]]) -> Slope:
    """Return one slope through stretches of (t, y, standard deviation of y), each with its own level.

    Weights are 1/σ². With t and y less the weighted mean of their stretch the slope is Σwty/Σwt², its
    standard deviation 1/√Σwt², and ν the readings less a level for each stretch and one slope. ValueError
    where a doubt is not over zero, or no stretch has two different t.
    """
    if any(not (math.isfinite(sd) and sd > 0) for found in stretches for _, _, sd in found):
        raise ValueError("a reading without doubt has no weight")
    carrying = [found for found in stretches if len({t for t, _, _ in found}) > 1]
    if not carrying:
        raise ValueError("a slope needs two readings at two times")
    centered = [row for found in carrying for row in _centered(found)]
    square = math.fsum(w * t * t for t, _, w in centered)
    # weighted least squares: Σwty/Σwt², its variance 1/Σwt², each stretch about its own mean
    slope = math.fsum(w * t * y for t, y, w in centered) / square
    freedom = len(centered) - len(carrying) - 1
    chi_square = math.fsum(w * (y - slope * t) ** 2 for t, y, w in centered)
    return Slope(
        value=slope,
        sd=1.0 / math.sqrt(square),
        scatter=math.sqrt(chi_square / freedom) if freedom > 0 else None,
    )


def _centered(rows: Sequence[tuple[float, float, float]]) -> list[tuple[float, float, float]]:
    """Return t and y less their weighted means, and the weight."""
    # w = 1/σ²
    weights = [1.0 / sd**2 for _, _, sd in rows]
    whole = math.fsum(weights)
    mean_t = math.fsum(w * t for w, (t, _, _) in zip(weights, rows, strict=True)) / whole
    mean_y = math.fsum(w * y for w, (_, y, _) in zip(weights, rows, strict=True)) / whole
    return [(t - mean_t, y - mean_y, w) for w, (t, y, _) in zip(weights, rows, strict=True)]


def rate_of(points: Sequence[DatedReading]) -> Rate | None:
    """Return the rate in a year through all stretches; None where no stretch was read on two days."""
    stretches: dict[int, list[DatedReading]] = defaultdict(list)
    for point in points:
        stretches[point.stretch].append(point)
    carrying = [found for found in stretches.values() if len({one.day for one in found}) > 1]
    if not carrying:
        return None
    slope = weighted_slope(
        [
            [
                (one.day.toordinal() / DAYS_IN_YEAR, one.reading.value, one.reading.uncertainty / COVERAGE)
                for one in found
            ]
            for found in carrying
        ]
    )
    days = [one.day for found in carrying for one in found]
    # widened by √(χ²/ν) where the readings scatter more than their own doubts
    doubt = COVERAGE * slope.sd * max(1.0, slope.scatter or 0.0)
    return Rate(
        a_year=WithDoubt(value=slope.value, uncertainty=doubt),
        readings=len(days),
        days=(max(days) - min(days)).days,
        scatter=slope.scatter,
    )


def movement_of(points: Sequence[DatedReading]) -> Movement:
    """Return whether the readings show that the wall moves.

    It moves where the interval of the rate leaves out zero; of two readings that is where they lie farther
    apart than the doubt of both together. Else no more than ``within`` can have gone unseen: the end of the
    interval that lies farther out, over these days, and never less than the doubt of the difference between
    two of its readings.
    """
    rate = rate_of(points)
    if rate is None:
        return Movement(rate=None, seen=False, within=None)
    one_year = rate.days < SEASON_DAYS
    if not at_most(abs(rate.a_year.value), rate.a_year.uncertainty):
        return Movement(rate=rate, seen=True, within=None, in_one_year=one_year)
    most = max(abs(rate.low), abs(rate.high)) * rate.days / DAYS_IN_YEAR
    doubts = sorted(point.reading.uncertainty for point in points)
    return Movement(rate=rate, seen=False, within=max(most, math.hypot(*doubts[-2:])), in_one_year=one_year)


__all__ = [
    "DAYS_IN_YEAR", "SEASON_DAYS", "DatedReading", "Movement", "Rate", "Season", "Slope", "movement_of",
    "rate_of", "season_of", "weighted_slope",
]  # fmt: skip
