"""Where a way on lands, as a bar against the least and the greatest depth."""

from __future__ import annotations

from typing import Final

LEAST_COLUMNS: Final = 12
_ROOM: Final = 0.5
"""Of the window's own width, so much is drawn on either side of it."""
NOTHING, LIMIT, ENDS, SPAN, SPOT, OUTSIDE = "·", "|", ("[", "]"), "=", "#", "<>"


def landing_bar(
    least_in: float, greatest_in: float, chance_in: float, repeats_in: float, columns: int
) -> str:
    """Return one line: the two limits, and the span from the landing by chance to the one that repeats.

    What lies past the bar's end stands at its end as an arrow.
    """
    columns = max(LEAST_COLUMNS, columns)
    wide_in = max(greatest_in - least_in, 1e-6)
    first_in, last_in = least_in - _ROOM * wide_in, greatest_in + _ROOM * wide_in

    def column(depth_in: float) -> int:
        return round((depth_in - first_in) / (last_in - first_in) * (columns - 1))

    bar = [NOTHING] * columns
    low, high = sorted((column(chance_in), column(repeats_in)))
    for at in range(max(0, low), min(columns - 1, high) + 1):
        bar[at] = SPAN
    if low == high and 0 <= low < columns:
        bar[low] = SPOT
    elif low != high:
        for at, sign in zip((low, high), ENDS, strict=True):
            if 0 <= at < columns:
                bar[at] = sign
    for limit_in in (least_in, greatest_in):
        bar[column(limit_in)] = LIMIT
    if low < 0:
        bar[0] = OUTSIDE[0]
    if high >= columns:
        bar[-1] = OUTSIDE[1]
    return "".join(bar)
