"""Months against dateutil's relativedelta, which adds them as we define it: same day of the month,
or the last of a month without such a day (Regulation 1182/71, article 3(2)(c), from memory)."""

from __future__ import annotations

from datetime import date

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import example, given
from hypothesis import strategies as st

from jobs.coverage.spans import MOST_MONTHS, days_left, metres_left, months_after

days = st.dates(date(1900, 1, 1), date(2200, 12, 31))
months = st.integers(0, MOST_MONTHS)


@given(days, months)
@example(date(2024, 2, 29), 12)
@example(date(2023, 2, 28), 12)
@example(date(2023, 8, 31), 6)
@example(date(2025, 12, 31), 2)
@example(date(1900, 1, 31), 1)  # no leap year
@example(date(2000, 1, 31), 1)  # a leap year
def test_months_as_relativedelta_adds_them(day: date, span: int) -> None:
    assert months_after(day, span) == day + relativedelta(months=span)


@given(days, months, st.integers(0, 60))
def test_more_months_never_end_sooner(day: date, span: int, more: int) -> None:
    longer = min(span + more, MOST_MONTHS)
    assert day <= months_after(day, span) <= months_after(day, longer)


@given(days, days, months)
def test_a_later_start_never_ends_sooner(one: date, other: date, span: int) -> None:
    first, second = sorted((one, other))
    assert months_after(first, span) <= months_after(second, span)


@pytest.mark.parametrize("wrong", [-1, MOST_MONTHS + 1])
def test_months_that_cannot_be(wrong: int) -> None:
    with pytest.raises(ValueError, match="Months go from 0"):
        months_after(date(2026, 1, 1), wrong)


def test_the_last_year_there_is() -> None:
    assert months_after(date(9998, 12, 31), 12) == date(9999, 12, 31)
    with pytest.raises(ValueError, match="last year"):
        months_after(date(9999, 1, 31), 12)


@given(days, days)
def test_days_left(last: date, on: date) -> None:
    assert days_left(last, on) == last.toordinal() - on.toordinal()


def test_a_metre_is_rounding_and_two_are_not() -> None:
    """A mile is 1609.344 m exactly (NIST SP 811): two distances kept in whole metres sum to within
    one metre of the third."""
    assert [metres_left(100, now) for now in (98, 99, 100, 101, 102)] == [2, 0, 0, 0, -2]


@given(st.integers(0, 500_000), st.integers(0, 150_000))
def test_miles_end_on_the_mile(start: int, length: int) -> None:
    def kept(miles: int) -> int:
        return round(miles * 1609.344)

    assert metres_left(kept(start) + kept(length), kept(start + length)) == 0
    assert metres_left(kept(start) + kept(length), kept(start + length + 1)) < 0
