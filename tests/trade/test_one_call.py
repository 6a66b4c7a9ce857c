from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewtui.trade.safety.one_call import DayCount, counted_back, counted_on, is_working_day, remaining

MONDAY = datetime(2026, 5, 4, 7, 0, tzinfo=timezone(timedelta(hours=-5)))
STARTS = st.datetimes(datetime(2020, 1, 1), datetime(2035, 1, 1), timezones=st.just(UTC))  # noqa: DTZ001
KINDS = st.sampled_from(["calendar days", "working days", "hours"])


@pytest.mark.parametrize(
    ("ends", "kind", "words"),
    [
        (MONDAY - timedelta(seconds=1), "working days", "over"),
        (MONDAY, "hours", "less than an hour left"),
        (MONDAY + timedelta(minutes=59), "calendar days", "less than an hour left"),
        (MONDAY + timedelta(minutes=60), "calendar days", "1 hour left"),
        (MONDAY + timedelta(hours=10), "working days", "10 hours left"),
        (MONDAY + timedelta(hours=30), "hours", "30 hours left"),
        (MONDAY + timedelta(days=1), "calendar days", "good today and 1 more calendar day"),
        (MONDAY + timedelta(days=8), "working days", "good today and 6 more working days"),
        (MONDAY + timedelta(days=8), "calendar days", "good today and 8 more calendar days"),
    ],
)
def test_what_is_left_in_words(ends: datetime, kind: DayCount, words: str) -> None:
    assert remaining(MONDAY, ends, kind).words == words


def test_over_a_weekend_no_working_day_is_left() -> None:
    friday = MONDAY + timedelta(days=4)
    found = remaining(friday, friday + timedelta(days=2), "working days")
    assert (found.count, found.words) == (0, "no working day left after today")


def test_days_are_those_of_the_ticket_s_own_zone() -> None:
    ends = datetime(2026, 5, 4, 23, 59, tzinfo=timezone(timedelta(hours=-5)))
    abroad = datetime(2026, 5, 5, 1, 0, tzinfo=timezone(timedelta(hours=2)))
    assert remaining(abroad, ends, "calendar days").words == "5 hours left"


def test_a_time_without_an_offset_and_a_count_that_is_none_are_refused() -> None:
    with pytest.raises(ValueError, match="offset"):
        counted_on(datetime(2026, 5, 4), 3, "hours")  # noqa: DTZ001
    with pytest.raises(ValueError, match="between"):
        counted_on(MONDAY, -1, "hours")


@given(start=STARTS, count=st.integers(0, 60), kind=KINDS)
@settings(max_examples=80, deadline=None)
def test_what_was_counted_is_what_is_left(start: datetime, count: int, kind: DayCount) -> None:
    ends = counted_on(start, count, kind)
    assert ends >= start
    left = remaining(start, ends, kind)
    assert not left.over
    if kind != "hours" and ends.date() != start.date():
        assert left.count == count
    if kind == "working days" and count:
        assert is_working_day(ends.date())


@given(start=STARTS, count=st.integers(1, 40), off=st.sets(st.integers(0, 60), max_size=8))
@settings(max_examples=60, deadline=None)
def test_a_holiday_never_shortens_a_count(start: datetime, count: int, off: set[int]) -> None:
    holidays = [date(start.year, start.month, 1) + timedelta(days=n) for n in off]
    assert counted_on(start, count, "working days", holidays=holidays) >= counted_on(
        start, count, "working days"
    )


@given(
    end=STARTS,
    count=st.integers(0, 20),
    kind=KINDS,
    holidays=st.lists(st.dates(date(2020, 1, 1), date(2035, 1, 1)), max_size=4),
)
@settings(max_examples=60)
def test_who_calls_in_time_has_the_next_ticket_before_this_one_ends(
    end: datetime, count: int, kind: DayCount, holidays: list[date]
) -> None:
    call = counted_back(end, count, kind, holidays=holidays)
    assert counted_on(call, count, kind, holidays=holidays) <= end
    if count:
        late = call + timedelta(days=1)
        assert counted_on(late, count, kind, holidays=holidays) > end


def test_two_working_days_before_a_monday_are_the_thursday_before() -> None:
    assert counted_back(MONDAY, 2, "working days") == MONDAY - timedelta(days=4)
