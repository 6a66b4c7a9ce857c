"""What earlier records of a house say beside a record: the visit before it, and the series up to it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from msgspec import Struct

from crewtui.record.house.house import HouseError, house_of
from crewtui.record.house.series import HouseSeries, series_of
from crewtui.record.house.visits import Earlier, earlier_of
from crewtui.record.signed.verify import Verdict


class Past(Struct, frozen=True, kw_only=True):
    """The days of a house before a record."""

    earlier: Earlier
    """The last of them."""
    series: HouseSeries
    """All of them, and the record's own day."""
    first_day: date


def past_of(verdict: Verdict, earlier: Sequence[Verdict]) -> Past:
    """Return what earlier records say; HouseError where they are of another house, visit or later day."""
    house = house_of([*earlier, verdict])
    last = house.days[-1]
    if last.verdict.record_hash != verdict.record_hash:
        raise HouseError(
            f"{last.name} of {last.done_on} is no earlier visit: name records of days before the sheet"
        )
    if len(house.days) == 1:
        raise HouseError("what was named as earlier is of the same visit; name the record of one before it")
    return Past(
        earlier=earlier_of(house.days[-2].verdict), series=series_of(house), first_day=house.days[0].done_on
    )


__all__ = ["Past", "past_of"]
