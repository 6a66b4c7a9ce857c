"""Choosing among all that a way on may do: the value nearest to the wanted one that serves best."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

Span = tuple[float, float]
"""From and to, both inclusive."""
_NOTHING = 1e-12
"""A span that is empty by no more than floats lose counts as one value."""


def both(some: Iterable[Span], others: Sequence[Span]) -> list[Span]:
    """Return what lies in one of the first and in one of the others."""
    found = [(max(low, start), min(high, end)) for low, high in some for start, end in others]
    return [(low, max(low, high)) for low, high in found if low <= high + _NOTHING]


def without(spans: Iterable[Span], middle: float, clear: float) -> list[Span]:
    """Return the spans without what lies nearer than ``clear`` to the middle; exactly so far is kept."""
    found: list[Span] = []
    for low, high in spans:
        found += [(low, min(high, middle - clear)), (max(low, middle + clear), high)]
    return [(low, high) for low, high in found if low <= high]


def nearest(wanted: float, spans: Iterable[Span]) -> float | None:
    """Return the value in any span that lies nearest to the wanted one; None where there is no span."""
    tries = (min(max(wanted, low), high) for low, high in spans)
    return min(tries, key=lambda one: abs(one - wanted), default=None)


def best_of(wanted: float, allowed: Sequence[Span], better_first: Sequence[Sequence[Span]]) -> float | None:
    """Return the value nearest to the wanted one that the first wish that can be met allows."""
    for wish in better_first:
        found = nearest(wanted, both(allowed, wish))
        if found is not None:
            return found
    return None


def wishes(least: float, greatest: float, shifts: tuple[float, float, float]) -> list[list[Span]]:
    """Return what serves, the best first, for a value that lands at itself and a shift.

    The shifts are if the miss was chance, if it repeats, and as expected. Best is inside both times, then
    inside as expected, then inside one time, and at last inside only somewhere between the two.
    """
    chance, repeats, expected = ((least - shift, greatest - shift) for shift in shifts)
    between = (least - max(shifts), greatest - min(shifts))
    return [
        both([chance], [repeats]),
        [expected],
        both([chance, repeats], [(-math.inf, math.inf)]),
        [between],
    ]
