"""What a series says, in words: it moves so much in a year, or no movement is seen within so much."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, Final

from crewtui.day.state.wall_reading import STEP, uncertainty
from crewtui.record.house.series import QUANTITIES, AnchorSeries, HouseSeries, Point, Quantity, Turned
from crewtui.trade.wall.trend import Movement
from crewtui.units import MM_PER_IN, UnitSystem, show_length, show_torque

_NAMES: Final[dict[Quantity, str]] = {"bow": "Bow", "lean": "Lean of the top"}
INWARD: Final = (
    "Before and after are those of tightening. Inward is plus; behind ± stands how far a reading may be off"
    " (95 in 100)."
)
SEASON: Final = "Soil swells and shrinks with the season: compare a season with the same season."


def movement_words(found: Movement, quantity: Quantity, system: UnitSystem) -> str:
    """Return whether it moves: by how much a year, or within how much no movement is seen."""
    rate = found.rate
    if rate is None:
        return "read on one day between tightenings: no rate yet"
    season = f" ({rate.days} days only: the season is in it)" if found.in_one_year else ""
    if found.within is not None:
        return f"no movement seen within {_up(found.within, system)}{season}"
    low, high = sorted((abs(rate.low), abs(rate.high)))
    way = _way(quantity, inward=rate.a_year.value > 0)
    return f"moves {_span(low, high, system)} in a year, {way}{season}"


def _way(quantity: Quantity, *, inward: bool) -> str:
    if quantity == "lean":
        return "top inward" if inward else "top outward"
    return "inward" if inward else "outward"


def _up(value_in: float, system: UnitSystem) -> str:
    """Return a doubt as a length, rounded up to what a tape shows."""
    return uncertainty(value_in, system).removeprefix("±")


def _span(low_in: float, high_in: float, system: UnitSystem) -> str:
    """Return both ends of an interval, rounded outward; in inches "0.1 to 0.3" reads on as "in a year"."""
    scale = MM_PER_IN if system == "metric" else 1.0
    digits = 0 if system == "metric" else 1
    if low_in * scale < 10.0**-digits:
        digits += 1
    step = 10.0**digits
    low = math.floor(low_in * scale * step + 1e-9) / step
    high = math.ceil(high_in * scale * step - 1e-9) / step
    return f"{low:.{digits}f} to {high:.{digits}f}{' mm' if system == 'metric' else ''}"


def point_words(point: Point, system: UnitSystem) -> str:
    """Return one reading with its doubt."""
    value = show_length(point.value_in, system, step=STEP)
    if point.doubt_in is None:
        return f"{value} (typed, its doubt is not known)"
    return f"{value} ({uncertainty(point.doubt_in, system)})"


def torque_words(turned: Turned, system: UnitSystem) -> str:
    """Return the torque as it was found and as it was left."""
    parts = [
        f"{word} {show_torque(torque, system)}"
        for word, torque in (("found", turned.found_lbf_ft), ("left", turned.left_lbf_ft))
        if torque is not None
    ]
    return ", ".join(parts)


def anchor_words(one: AnchorSeries, system: UnitSystem) -> tuple[str, ...]:
    """Return what bow and lean of an anchor do, a line each; those that were never read are left out."""
    return tuple(
        f"{_NAMES[quantity]}: {movement_words(one.movement[quantity], quantity, system)}"
        for quantity in QUANTITIES
        if one.points[quantity]
    )


def house_words(found: HouseSeries) -> str:
    """Return in one sentence what the wall's bow does, the anchors that move first."""
    said: dict[str, list[str]] = {}
    for one in sorted(found.anchors, key=lambda each: not each.movement["bow"].seen):
        if any(point.doubt_in is not None for point in one.points["bow"]):
            words = movement_words(one.movement["bow"], "bow", found.units)
            said.setdefault(words, []).append(one.anchor)
    return "; ".join(f"{', '.join(idents)}: {words}" for words, idents in said.items()) or "nothing was read"


def rows_of(one: AnchorSeries, system: UnitSystem) -> Sequence[str]:
    """Return the readings of an anchor by date, a line each, with season and doubt."""
    lean = {(point.record, point.when): point for point in one.points["lean"]}
    said = []
    for point in one.points["bow"]:
        beside = lean.get((point.record, point.when))
        top = f", top {point_words(beside, system)}" if beside is not None else ""
        said.append(f"{point.day} {point.season}, {point.when}: bow {point_words(point, system)}{top}")
    said += [f"{turned.day} torque {torque_words(turned, system)}" for turned in one.torques]
    return sorted(said)


def series_as_json(found: HouseSeries) -> dict[str, Any]:
    """Return a series as plain values, with the units in their names."""
    return {
        "house": found.house.id,
        "site": found.house.site,
        "records": [
            {
                "path": str(day.verdict.path) if day.verdict.path else None,
                "job": day.verdict.job_id,
                "day": day.verdict.day,
                "done_on": day.done_on.isoformat(),
                "revision": day.verdict.revision,
                "state": day.verdict.state,
                "words": day.verdict.words,
            }
            for day in found.house.days
        ],
        "said": [*found.house.said, *found.strange],
        "words": house_words(found),
        "anchors": [_anchor_as_json(one, found.units) for one in found.anchors],
    }


def _anchor_as_json(one: AnchorSeries, system: UnitSystem) -> dict[str, Any]:
    return {
        "anchor": one.anchor,
        **{quantity: _quantity_as_json(one, quantity, system) for quantity in QUANTITIES},
        "torque": [
            {
                "day": turned.day.isoformat(),
                "found_lbf_ft": turned.found_lbf_ft,
                "left_lbf_ft": turned.left_lbf_ft,
            }
            for turned in one.torques
        ],
    }


def _quantity_as_json(one: AnchorSeries, quantity: Quantity, system: UnitSystem) -> dict[str, Any]:
    movement = one.movement[quantity]
    rate = movement.rate
    return {
        "words": movement_words(movement, quantity, system),
        "moves": movement.seen,
        "in_a_year_in": rate.a_year.value if rate is not None and movement.seen else None,
        "in_a_year_doubt_in": rate.a_year.uncertainty if rate is not None and movement.seen else None,
        "within_in": movement.within,
        "days": rate.days if rate is not None else 0,
        "readings": [
            {
                "day": point.day.isoformat(),
                "season": point.season,
                "when": point.when,
                "value_in": point.value_in,
                "doubt_in": point.doubt_in,
                "stretch": point.stretch,
            }
            for point in one.points[quantity]
        ],
    }


__all__ = [
    "INWARD", "SEASON", "anchor_words", "house_words", "movement_words", "point_words", "rows_of",
    "series_as_json", "torque_words",
]  # fmt: skip
