"""One-call tickets of four states, as data of a job: how each counts, and when it is up.

Source: the states' one-call laws as published by their centers: Alabama 2 to 10 working days' notice and a
ticket of 20 working days; Nebraska 17 calendar days; Colorado 30 days; Ohio 48 hours' notice. Place: the
centers' pages on notice and life of a ticket. Mark: published; each changes by its own law, so check the
current one. Dates by a printed calendar of 2026; Memorial Day is 2026-05-25. Tolerance: exact.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta, timezone

import pytest

from crewtui.day.safety.locates import ends, starts
from crewtui.job.file.model import Ticket
from crewtui.trade.safety.one_call import counted_on, remaining

CENTRAL = timezone(timedelta(hours=-5))
MONDAY = datetime(2026, 5, 4, 7, 0, tzinfo=CENTRAL)
MEMORIAL_DAY = date(2026, 5, 25)


def ticket(**more: object) -> Ticket:
    return Ticket.model_validate(
        {
            "number": "555-0100",
            "valid_from": MONDAY,
            "valid_to": datetime(2026, 12, 31, tzinfo=CENTRAL),
            **more,
        }
    )


@pytest.mark.parametrize(
    ("state", "more", "last"),
    [
        ("Alabama", {"life": 20, "counted_in": "working days"}, datetime(2026, 6, 1, 7, tzinfo=CENTRAL)),
        (
            "Alabama with a holiday",
            {"life": 20, "counted_in": "working days", "holidays": [MEMORIAL_DAY]},
            datetime(2026, 6, 2, 7, tzinfo=CENTRAL),
        ),
        ("Nebraska", {"life": 17, "counted_in": "calendar days"}, datetime(2026, 5, 21, 7, tzinfo=CENTRAL)),
        ("Colorado", {"life": 30, "counted_in": "calendar days"}, datetime(2026, 6, 3, 7, tzinfo=CENTRAL)),
    ],
)
def test_the_life_of_a_ticket(state: str, more: dict[str, object], last: datetime) -> None:
    assert ends(ticket(**more)) == last, state


@pytest.mark.parametrize(
    ("state", "called", "more", "first"),
    [
        (
            "Alabama: called on a Thursday, two working days",
            datetime(2026, 5, 7, 9, 0, tzinfo=CENTRAL),
            {"notice": 2, "notice_counted_in": "working days"},
            datetime(2026, 5, 11, 9, 0, tzinfo=CENTRAL),
        ),
        (
            "Ohio: 48 hours",
            datetime(2026, 5, 3, 16, 30, tzinfo=CENTRAL),
            {"notice": 48, "notice_counted_in": "hours"},
            datetime(2026, 5, 5, 16, 30, tzinfo=CENTRAL),
        ),
    ],
)
def test_notice_is_waited_for(state: str, called: datetime, more: dict[str, object], first: datetime) -> None:
    assert starts(ticket(called_at=called, **more)) == first, state


def test_the_dates_on_the_ticket_stand_where_they_are_stricter() -> None:
    early = MONDAY + timedelta(days=3)
    assert ends(ticket(valid_to=early, life=17, counted_in="calendar days")) == early
    late = ticket(called_at=MONDAY - timedelta(days=9), notice=2, notice_counted_in="working days")
    assert starts(late) == MONDAY


def test_what_is_left_is_counted_as_the_state_counts() -> None:
    last = counted_on(MONDAY, 20, "working days", holidays=[MEMORIAL_DAY])
    friday = datetime(2026, 5, 22, 12, 0, tzinfo=CENTRAL)
    assert remaining(friday, last, "working days", holidays=[MEMORIAL_DAY]).count == 6
    assert remaining(friday, last, "calendar days").count == 11
    assert remaining(friday, last, "hours").count == 10 * 24 + 19
