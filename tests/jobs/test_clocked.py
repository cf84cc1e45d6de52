"""Time over midnight, over both changes of the clocks, on 29 February, in night shifts.

The changes are those of the IANA time zone database: in Europe/London the clocks went from 01:00
to 02:00 on 29 March 2026 and back from 02:00 to 01:00 on 25 October 2026; in New York from 02:00
to 03:00 on 8 March 2026.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.clocked import (
    NoSuchTime,
    Shift,
    Span,
    TwiceTime,
    at_local,
    available,
    by_day,
    elapsed,
    month_span,
    shift_end,
    shift_span,
)

LONDON, NEW_YORK = ZoneInfo("Europe/London"), ZoneInfo("America/New_York")
DAY = Shift(time(8), time(17), timedelta(hours=1))
NIGHT = Shift(time(22), time(6), timedelta(minutes=30))
HOUR = timedelta(hours=1)
LATER = datetime(2030, 1, 1, tzinfo=UTC)


def local(zone: ZoneInfo, *parts: int, fold: int = 0) -> datetime:
    return datetime(*parts, tzinfo=zone, fold=fold)  # type: ignore[arg-type,misc]


def wall(*parts: int) -> datetime:
    """A time as it is typed: without a zone."""
    return datetime(*parts)  # type: ignore[arg-type]  # noqa: DTZ001


def test_a_night_is_shorter_in_spring_and_longer_in_autumn() -> None:
    spring = Span(local(LONDON, 2026, 3, 28, 22), local(LONDON, 2026, 3, 29, 6))
    autumn = Span(local(LONDON, 2026, 10, 24, 22), local(LONDON, 2026, 10, 25, 6))
    assert (spring.length, autumn.length) == (7 * HOUR, 9 * HOUR)
    assert by_day(spring, LONDON) == {date(2026, 3, 28): 2 * HOUR, date(2026, 3, 29): 5 * HOUR}
    assert by_day(autumn, LONDON) == {date(2026, 10, 24): 2 * HOUR, date(2026, 10, 25): 7 * HOUR}


def test_a_clock_within_the_hour_that_was_twice_counts_what_passed() -> None:
    start, end = local(LONDON, 2026, 10, 25, 1, 50), local(LONDON, 2026, 10, 25, 1, 10, fold=1)
    assert elapsed(start, end) == timedelta(minutes=20)
    assert Span(start, end).length == timedelta(minutes=20)


def test_midnight_parts_the_day_and_the_month() -> None:
    span = Span(local(LONDON, 2026, 6, 30, 23, 15), local(LONDON, 2026, 7, 1, 0, 45))
    assert by_day(span, LONDON) == {
        date(2026, 6, 30): timedelta(minutes=45),
        date(2026, 7, 1): timedelta(minutes=45),
    }
    assert span.inside(month_span(date(2026, 6, 1), LONDON)) == timedelta(minutes=45)
    assert span.start.date() == span.end.date()  # in UTC it is one day: 22:15 to 23:45


def test_february_of_a_leap_year_has_its_day() -> None:
    assert month_span(date(2028, 2, 29), LONDON).length == timedelta(days=29)
    week = dict.fromkeys(range(7), DAY)
    assert available(date(2028, 2, 10), week, (), LONDON, until=LATER) == 29 * 8 * HOUR
    assert available(date(2027, 2, 10), week, (), LONDON, until=LATER) == 28 * 8 * HOUR


@pytest.mark.parametrize(
    ("zone", "typed"),
    [
        (LONDON, wall(2026, 3, 29, 1, 30)),
        (NEW_YORK, wall(2026, 3, 8, 2, 30)),
    ],
)
def test_a_typed_time_that_never_was_is_refused(zone: ZoneInfo, typed: datetime) -> None:
    with pytest.raises(NoSuchTime):
        at_local(typed, zone)
    with pytest.raises(NoSuchTime):
        at_local(typed, zone, second=True)


def test_a_typed_time_that_was_twice_is_asked_about() -> None:
    typed = wall(2026, 10, 25, 1, 30)
    with pytest.raises(TwiceTime):
        at_local(typed, LONDON)
    assert at_local(typed, LONDON, second=False) == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
    assert at_local(typed, LONDON, second=True) == datetime(2026, 10, 25, 1, 30, tzinfo=UTC)
    plain = wall(2026, 11, 25, 9, 0)
    assert at_local(plain, LONDON, second=True) == at_local(plain, LONDON)


def test_a_shift_ends_next_morning_when_its_end_is_before_its_start() -> None:
    span = shift_span(date(2026, 11, 24), NIGHT, LONDON)
    assert (span.end.date(), span.length) == (date(2026, 11, 25), 8 * HOUR)


@pytest.mark.parametrize(
    ("begun", "ends"),
    [
        ((25, 9, 0), (25, 17, 0)),  # Wednesday, within the shift
        ((25, 7, 10), (25, 17, 0)),  # early
        ((25, 17, 5), (26, 1, 5)),  # after it: eight hours on
        ((25, 2, 0), (25, 8, 0)),  # in the night: not into the shift
        ((28, 10, 0), (28, 18, 0)),  # Saturday, no shift
    ],
)
def test_when_a_forgotten_clock_has_to_be_off(
    begun: tuple[int, ...], ends: tuple[int, ...]
) -> None:
    week = dict.fromkeys(range(5), DAY)
    assert shift_end(local(LONDON, 2026, 11, *begun), week, LONDON) == local(
        LONDON, 2026, 11, *ends
    )


def test_the_night_shift_of_yesterday_still_holds_after_midnight() -> None:
    week = {1: NIGHT}  # Tuesday
    begun = local(LONDON, 2026, 11, 25, 3)
    assert shift_end(begun, week, LONDON) == local(LONDON, 2026, 11, 25, 6)


def test_hours_that_are_there_without_absences_and_up_to_now() -> None:
    week = dict.fromkeys(range(5), DAY)
    november = date(2026, 11, 1)
    assert available(november, week, (), LONDON, until=LATER) == 21 * 8 * HOUR
    away = [(date(2026, 11, 2), date(2026, 11, 3)), (date(2026, 11, 3), date(2026, 11, 7))]
    assert available(november, week, away, LONDON, until=LATER) == 16 * 8 * HOUR
    noon = local(LONDON, 2026, 11, 3, 12)
    assert available(november, week, (), LONDON, until=noon) == 12 * HOUR
    assert available(november, {}, (), LONDON, until=LATER) == timedelta()


def test_a_night_over_the_end_of_the_month_counts_in_both() -> None:
    """30 June 2026 is a Tuesday: two hours less the break in June, six in July."""
    week = {1: NIGHT}
    june = available(date(2026, 6, 1), week, (), LONDON, until=LATER)
    july = available(date(2026, 7, 1), week, (), LONDON, until=LATER)
    assert june == 4 * 7.5 * HOUR + 1.5 * HOUR
    assert july == 6 * HOUR + 4 * 7.5 * HOUR
    away = [(date(2026, 6, 30), date(2026, 6, 30))]
    assert available(date(2026, 7, 1), week, away, LONDON, until=LATER) == 4 * 7.5 * HOUR


def test_a_span_that_ends_before_it_starts_is_refused() -> None:
    with pytest.raises(ValueError, match="before"):
        Span(LATER, LATER - HOUR)


moments = st.datetimes(wall(2025, 1, 1), wall(2027, 12, 31), timezones=st.just(UTC))


@given(
    moments, st.integers(1, 80 * 60), st.sampled_from([LONDON, NEW_YORK, ZoneInfo("Asia/Kabul")])
)
def test_the_days_make_the_whole(start: datetime, minutes: int, zone: ZoneInfo) -> None:
    span = Span(start, start + timedelta(minutes=minutes))
    parts = by_day(span, zone)
    assert sum(parts.values(), timedelta()) == span.length
    assert all(part > timedelta() for part in parts.values())


@given(moments)
def test_a_clock_has_to_be_off_after_it_was_on(begun: datetime) -> None:
    week = {0: DAY, 1: NIGHT, 2: NIGHT, 4: DAY}
    end = shift_end(begun, week, NEW_YORK)
    assert begun < end <= begun + 14 * HOUR
