"""Which records are one house, each visit once and in order: the kinds that are refused or put right."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import pytest

from crewtui.record.house.house import HouseError, house_of
from crewtui.record.signed.canonical import canonical_hash
from crewtui.record.signed.known_keys import KnownKey, KnownKeys
from crewtui.record.signed.sign import RECORD_FORMAT, RECORD_KIND, sign_record
from crewtui.record.signed.signing_keys import SigningKey
from crewtui.record.signed.verify import verify_data

KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
KNOWN = KnownKeys((KnownKey(public=KEY.public, name="Lee Sample"),))
PLANNED = date(2050, 1, 1)


def signed(
    job: str, year: int, *, house: str = "", site: str = "Sample House", **more: Any
) -> dict[str, Any]:
    done = datetime(year, 4, 15, 10, 0, tzinfo=UTC)
    anchor = {"id": "N1", "value": [{"quantity": "bow_after_in", "value": 1.0, "done_at": done}]}
    data = {"kind": RECORD_KIND, "format": RECORD_FORMAT, "job": {"id": job, "site": site, "date": PLANNED},
            "anchor": [anchor], **({"house": {"id": house}} if house else {}), **more}  # fmt: skip
    return sign_record(data, KEY, signed_at=datetime(2045, 1, 1, tzinfo=UTC))


def revised(record: dict[str, Any], year: int, *, number: int = 2) -> dict[str, Any]:
    revision = {"number": number, "before": canonical_hash(record), "reason": "a slip"}
    job = record["job"]
    return signed(job["id"], year, site=job["site"], revision=revision)


def house(*records: dict[str, Any]) -> Any:
    return house_of([verify_data(one, KNOWN) for one in records])


def test_days_are_put_in_the_order_of_their_entries_never_of_the_plan() -> None:
    found = house(signed("J-3", 2029), signed("J-1", 2027), signed("J-2", 2028))
    assert [day.done_on.year for day in found.days] == [2027, 2028, 2029]
    assert any("Put in the order" in words for words in found.said)
    assert not house(signed("J-1", 2027), signed("J-2", 2028)).said


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ({"house": "H-1"}, {"house": "H-2"}),
        ({"site": "Sample House"}, {"site": "Other House"}),
        ({"house": "H-1", "site": "Sample House"}, {"site": "Other House"}),
        ({"house": "H-1"}, {"house": "H-2", "site": "Other House"}),
    ],
)
def test_two_houses_are_refused(first: dict[str, str], second: dict[str, str]) -> None:
    with pytest.raises(HouseError, match="name the records of one house"):
        house(signed("J-1", 2027, **first), signed("J-2", 2028, **second))


def test_one_house_may_change_what_its_site_is_called_and_old_records_go_by_the_site() -> None:
    assert (
        len(
            house(signed("J-1", 2027, house="H-1", site="A"), signed("J-2", 2028, house="H-1", site="B")).days
        )
        == 2
    )
    assert len(house(signed("J-1", 2027, site="sample  house"), signed("J-2", 2028, house="H-1")).days) == 2


def test_a_revision_stands_in_the_place_of_what_it_replaces() -> None:
    first = signed("J-1", 2027)
    second = revised(first, 2027)
    third = revised(second, 2027, number=3)
    for listed in ((first, second), (second, first), (first, second, third), (first, third)):
        found = house(*listed)
        assert len(found.days) == 1
        assert any("is left out" in words for words in found.said)


def test_two_signings_of_one_visit_are_refused() -> None:
    with pytest.raises(HouseError, match="ask the lead which one stands"):
        house(signed("J-1", 2027), signed("J-1", 2027, open=["another"]))


def test_a_copy_counts_once_and_an_altered_record_never() -> None:
    first = signed("J-1", 2027)
    assert len(house(first, first).days) == 1
    with pytest.raises(HouseError, match="Altered"):
        house(first, signed("J-2", 2028) | {"complete": True})
