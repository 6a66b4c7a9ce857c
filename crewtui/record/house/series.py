"""A house's readings over the years: bow and lean of every anchor by date with their doubt, and their rate.

Between two tightenings the wall has a level of its own; one rate goes through all stretches. A bow that was
typed on its step has no doubt that is known: it is shown, and no rate rests on it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime
from typing import Final, Literal

from msgspec import Struct

from crewtui.day.state.state import TIGHTENINGS
from crewtui.day.state.wall_reading import AFTER, BEFORE, TAPE_ALONE, When
from crewtui.day.steps.visit_word import NUT_STEP
from crewtui.day.wall.anchor_account import LEFT_AS_FOUND, TORQUE_FOUND, TORQUE_LEFT
from crewtui.record.house import record_look
from crewtui.record.house.house import DayTold, House
from crewtui.record.house.visits import readings_of
from crewtui.record.signed.form import NO_TIME, AnchorDone
from crewtui.trade.wall.survey import WithDoubt
from crewtui.trade.wall.trend import DatedReading, Movement, Season, movement_of, season_of
from crewtui.units import UnitSystem

Quantity = Literal["bow", "lean"]
QUANTITIES: Final[tuple[Quantity, ...]] = ("bow", "lean")
_TYPED: Final[Mapping[When, str]] = {"before": "bow_in", "after": "bow_after_in"}


class Point(Struct, frozen=True, kw_only=True):
    """A bow or a lean on one day."""

    day: date
    when: When
    value_in: float
    doubt_in: float | None
    """None where it was typed and nobody said how finely it was read."""
    stretch: int
    """Which stretch between two tightenings it lies in."""
    record: str

    @property
    def season(self) -> Season:
        """Return the season in which it was read."""
        return season_of(self.day)


class Turned(Struct, frozen=True, kw_only=True):
    """The torque of an anchor on one day: as it was found, and as it was left."""

    day: date
    found_lbf_ft: float | None
    left_lbf_ft: float | None
    record: str


class AnchorSeries(Struct, frozen=True, kw_only=True):
    """One anchor over the years."""

    anchor: str
    points: Mapping[Quantity, tuple[Point, ...]]
    movement: Mapping[Quantity, Movement]
    torques: tuple[Turned, ...]

    @property
    def moves_in(self) -> bool:
        """Return whether bow or lean is seen to go farther inward."""
        found = [one.rate for one in self.movement.values() if one.seen]
        return any(rate is not None and rate.a_year.value > 0 for rate in found)


class HouseSeries(Struct, frozen=True, kw_only=True):
    """Every anchor of a house over the years."""

    house: House
    days: tuple[DayTold, ...]
    """The days of the records, and today's where it is shown with them."""
    anchors: tuple[AnchorSeries, ...]
    strange: tuple[str, ...]
    """Readings that are none, in words."""

    @property
    def units(self) -> UnitSystem:
        """Return the units in which it is said."""
        return self.house.units


def series_of(house: House, *, today: DayTold | None = None) -> HouseSeries:
    """Return the series of every anchor that a day of the house, or today, has a reading or a torque of."""
    days = (*house.days, *([today] if today is not None else []))
    strange: list[str] = []
    by_anchor: dict[str, list[tuple[DayTold, AnchorDone]]] = {}
    for day in days:
        for anchor in day.record.anchor:
            if anchor.state != "dropped":
                by_anchor.setdefault(anchor.id, []).append((day, anchor))
    found = tuple(_anchor_series(ident, days, strange) for ident, days in by_anchor.items())
    return HouseSeries(
        house=house,
        days=days,
        anchors=tuple(one for one in found if any(one.points.values()) or one.torques),
        strange=tuple(dict.fromkeys(strange)),
    )


def _anchor_series(
    ident: str, days: Sequence[tuple[DayTold, AnchorDone]], strange: list[str]
) -> AnchorSeries:
    points: dict[Quantity, list[Point]] = {quantity: [] for quantity in QUANTITIES}
    stretch = 0
    for day, anchor in days:
        before = list(_read(day, anchor, BEFORE, stretch, strange))
        after = list(_read(day, anchor, AFTER, stretch, strange))
        if _was_tightened(anchor) or (before and after):
            stretch += 1
            after = [(quantity, _in_stretch(point, stretch)) for quantity, point in after]
        for quantity, point in (*before, *after):
            points[quantity].append(point)
    torques = [turned for day, anchor in days if (turned := turned_on(day, anchor)) is not None]
    return AnchorSeries(
        anchor=ident,
        points={quantity: tuple(listed) for quantity, listed in points.items()},
        movement={quantity: movement_of(_dated(listed)) for quantity, listed in points.items()},
        torques=tuple(torques),
    )


def _in_stretch(point: Point, stretch: int) -> Point:
    return Point(
        day=point.day, when=point.when, value_in=point.value_in, doubt_in=point.doubt_in, stretch=stretch,
        record=point.record,
    )  # fmt: skip


def _dated(points: Sequence[Point]) -> list[DatedReading]:
    return [
        DatedReading(
            day=point.day,
            reading=WithDoubt(value=point.value_in, uncertainty=point.doubt_in),
            stretch=point.stretch,
        )
        for point in points
        if point.doubt_in is not None
    ]


def _read(
    day: DayTold, anchor: AnchorDone, when: When, stretch: int, strange: list[str]
) -> Iterator[tuple[Quantity, Point]]:
    """Yield bow and lean read then; where the wall was not read, the bow that was typed."""
    rows = {row.when: row for row in anchor.reading}
    visit = readings_of(anchor, strange).get(when)
    if visit is not None:
        if visit.reading.repeat_sd_in <= 0 and TAPE_ALONE not in strange:
            strange.append(TAPE_ALONE)
        on = _day_of(rows[when].done_at, day)
        measured: dict[Quantity, WithDoubt] = {"bow": visit.reading.bow_in, "lean": visit.reading.lean_in}
        for quantity, one in measured.items():
            yield (
                quantity,
                Point(
                    day=on, when=when, value_in=one.value, doubt_in=one.uncertainty, stretch=stretch,
                    record=day.name,
                ),
            )  # fmt: skip
        return
    typed = next((value for value in anchor.value if value.quantity == _TYPED[when]), None)
    value_in = record_look.number(typed.value) if typed is not None else None
    if typed is not None and value_in is not None:
        yield (
            "bow",
            Point(
                day=_day_of(typed.done_at, day), when=when, value_in=value_in, doubt_in=None, stretch=stretch,
                record=day.name,
            ),
        )  # fmt: skip


def _day_of(done_at: datetime, day: DayTold) -> date:
    return done_at.date() if done_at != NO_TIME else day.done_on


def _was_tightened(anchor: AnchorDone) -> bool:
    """Return whether the nut was turned on that day."""
    found, left = (record_look.built(anchor, key) for key in (TORQUE_FOUND, TORQUE_LEFT))
    turned_on_visit = left is not None and left != found
    return turned_on_visit or any(record_look.built(anchor, at.torque) for at in TIGHTENINGS.values())


def turned_on(day: DayTold, anchor: AnchorDone) -> Turned | None:
    """Return the torque of an anchor as one day found and left it; None where the day says nothing of it."""
    found, left = (record_look.built(anchor, key) for key in (TORQUE_FOUND, TORQUE_LEFT))
    installed = [record_look.built(anchor, at.torque) for at in TIGHTENINGS.values()]
    last = next((torque for torque in reversed(installed) if torque is not None), None)
    if left is None:
        left = found if record_look.answered(anchor, NUT_STEP) == LEFT_AS_FOUND else last
    if found is None and left is None:
        return None
    return Turned(day=day.done_on, found_lbf_ft=found, left_lbf_ft=left, record=day.name)


__all__ = [
    "QUANTITIES", "AnchorSeries", "HouseSeries", "Point", "Quantity", "Turned",
    "series_of", "turned_on",
]  # fmt: skip
