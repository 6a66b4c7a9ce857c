"""The records of one house in their order, as `verify` says them."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from crewtui.record.signed.canonical import canonical_hash
from crewtui.record.signed.chain import NOT_CHAINED, Report, report_of
from crewtui.record.signed.known_keys import KnownKey, KnownKeys
from crewtui.record.signed.sign import RECORD_FORMAT, RECORD_KIND, sign_record
from crewtui.record.signed.signing_keys import SigningKey
from crewtui.record.signed.verify import verify_data

KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
KNOWN = KnownKeys((KnownKey(public=KEY.public, name="Lee Sample"),))


def day_of(
    job: str, year: int, *, day: str = "visit", follows: str = "", house: str = "H-1"
) -> dict[str, Any]:
    done = datetime(year, 4, 15, 10, 0, tzinfo=UTC)
    anchor = {"id": "N1", "value": [{"quantity": "bow_after_in", "value": 1.0, "done_at": done}]}
    named = {"id": house} | ({"follows": follows} if follows else {})
    data = {"kind": RECORD_KIND, "format": RECORD_FORMAT, "day": day, "house": named, "job": {"id": job},
            "anchor": [anchor]}  # fmt: skip
    return sign_record(data, KEY, signed_at=datetime(2040, 1, 1, tzinfo=UTC))


def report(*records: dict[str, Any]) -> Report:
    return report_of([verify_data(one, KNOWN) for one in records])


def test_install_and_visits_stand_in_the_order_of_their_own_dates() -> None:
    first = day_of("S-1", 2027, day="install")
    second = day_of("S-1-V2", 2028, follows=canonical_hash(first))
    third = day_of("S-1-V3", 2029, follows=canonical_hash(second))
    found = report(third, first, second)
    assert found.exit_code == 0
    assert (
        "House H-1: install of 2027-04-15, then visit of 2028-04-15, then visit of 2029-04-15."
        in found.remarks
    )


def test_a_visit_by_itself_is_good() -> None:
    assert report(day_of("S-1-V2", 2028, follows="0" * 64)).exit_code == 0


def test_a_record_that_a_visit_rests_on_is_missed() -> None:
    found = report(day_of("S-1", 2027, day="install"), day_of("S-1-V2", 2028, follows="0" * 64))
    assert found.exit_code == NOT_CHAINED
    assert "follows a record 000000000000… that is not among these files" in found.problems[0]


def test_a_visit_that_rests_on_another_house_or_on_a_later_day_is_named() -> None:
    other = day_of("S-2", 2027, day="install", house="H-2")
    (problem,) = report(other, day_of("S-1-V2", 2028, follows=canonical_hash(other))).problems
    assert "is of house" in problem
    later = day_of("S-1", 2030, day="install")
    (problem,) = report(later, day_of("S-1-V2", 2028, follows=canonical_hash(later))).problems
    assert "was done on 2028-04-15, before" in problem


def test_visits_without_their_install_say_so() -> None:
    first = day_of("S-1-V2", 2028)
    found = report(first, day_of("S-1-V3", 2029, follows=canonical_hash(first)))
    assert "House H-1: the record of the install is not among these files." in found.remarks
