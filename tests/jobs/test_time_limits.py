"""The last day of a limit, worked by hand and held against two counts that others made.

Rules: our own, as written in jobs/claims/time_limits.py (common practice, no source). The calendar
of 2026 and 2028 was read from `cal`: 1 May 2026 is a Friday, 28 February 2028 a Monday.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta

import numpy as np
import pytest
from dateutil.rrule import DAILY, FR, MO, TH, TU, WE, rrule, rruleset
from hypothesis import given
from hypothesis import strategies as st

from jobs.claims.time_limits import Limit, is_working, last_day

EASTER = frozenset({date(2026, 4, 3), date(2026, 4, 6)})  # Good Friday, Easter Monday

starts = st.dates(date(2000, 1, 1), date(2090, 12, 31))
spans = st.integers(0, 400)


@pytest.mark.parametrize(
    ("start", "days", "working", "holidays", "expected"),
    [
        # Friday 1 May 2026: five working days are the whole next week.
        (date(2026, 5, 1), 5, True, frozenset(), date(2026, 5, 8)),
        (date(2026, 5, 1), 1, True, frozenset(), date(2026, 5, 4)),
        # From a Saturday or Sunday the first working day is Monday.
        (date(2026, 5, 2), 1, True, frozenset(), date(2026, 5, 4)),
        (date(2026, 5, 3), 5, True, frozenset(), date(2026, 5, 8)),
        # Thursday 2 April 2026, over Easter: Tuesday is the first, Wednesday the second.
        (date(2026, 4, 2), 1, True, EASTER, date(2026, 4, 7)),
        (date(2026, 4, 2), 2, True, EASTER, date(2026, 4, 8)),
        (date(2026, 4, 2), 1, True, frozenset(), date(2026, 4, 3)),
        # A holiday on a weekend takes nothing away twice.
        (date(2026, 5, 1), 1, True, frozenset({date(2026, 5, 2)}), date(2026, 5, 4)),
        # 29 February 2028 is a Tuesday and counts.
        (date(2028, 2, 28), 2, True, frozenset(), date(2028, 3, 1)),
        (date(2028, 2, 28), 2, False, frozenset(), date(2028, 3, 1)),
        (date(2027, 2, 28), 2, False, frozenset(), date(2027, 3, 2)),
        # Calendar days over the year, and a limit that ends on a Sunday and stays there.
        (date(2026, 12, 31), 30, False, frozenset(), date(2027, 1, 30)),
        (date(2026, 5, 1), 30, False, frozenset(), date(2026, 5, 31)),
        (date(2026, 5, 1), 0, False, frozenset(), date(2026, 5, 1)),
        (date(2026, 5, 2), 0, True, frozenset(), date(2026, 5, 2)),
    ],
)
def test_worked_by_hand(
    start: date, days: int, working: bool, holidays: frozenset[date], expected: date
) -> None:
    assert last_day(start, days, working=working, holidays=holidays) == expected


def test_a_calendar_limit_moves_off_the_weekend_only_when_told() -> None:
    start = date(2026, 5, 1)  # thirty days later is Sunday 31 May
    assert last_day(start, 30, working=False) == date(2026, 5, 31)
    assert last_day(start, 30, working=False, moves=True) == date(2026, 6, 1)
    monday_off = frozenset({date(2026, 6, 1)})
    assert last_day(start, 30, working=False, moves=True, holidays=monday_off) == date(2026, 6, 2)
    assert last_day(start, 28, working=False, moves=True) == date(2026, 5, 29)  # a Friday stays


def test_what_cannot_be_counted_is_refused() -> None:
    with pytest.raises(ValueError, match="below nought"):
        last_day(date(2026, 5, 1), -1, working=True)
    for working in (True, False):
        with pytest.raises(ValueError, match="last year"):
            last_day(date(9999, 12, 30), 5, working=working)


@given(starts, st.integers(1, 400), st.frozensets(starts, max_size=8))
def test_working_days_as_numpy_counts_them(start: date, days: int, off: frozenset[date]) -> None:
    """numpy.busday_offset counts from a working day; its "backward" roll finds the one before."""
    theirs = np.busday_offset(start, days, roll="backward", holidays=sorted(off))
    ends = last_day(start, days, working=True, holidays=off)
    assert ends == theirs.astype(date)
    limit = Limit(ends, working=True, holidays=off)
    assert limit.days_left(start) == days
    assert is_working(ends, off)


@given(starts, st.integers(1, 60), st.frozensets(st.integers(1, 60), max_size=5))
def test_working_days_as_a_recurrence_rule_gives_them(
    start: date, days: int, ahead: frozenset[int]
) -> None:
    """dateutil.rrule, an RFC 5545 recurrence: daily from Monday to Friday without the holidays."""
    off = frozenset(start + timedelta(days=one) for one in ahead)
    midnight = datetime(start.year, start.month, start.day)  # noqa: DTZ001  (rrule has no dates)
    rules = rruleset()
    rules.rrule(
        rrule(
            DAILY,
            dtstart=midnight + timedelta(days=1),
            byweekday=(MO, TU, WE, TH, FR),
            count=days + len(off),
        )
    )
    for one in ahead:
        rules.exdate(midnight + timedelta(days=one))
    assert last_day(start, days, working=True, holidays=off) == rules[days - 1].date()


@given(starts, spans, st.booleans())
def test_more_days_never_end_sooner(start: date, days: int, working: bool) -> None:
    ends = last_day(start, days, working=working)
    assert start <= ends <= last_day(start, days + 1, working=working)
    assert ends >= last_day(start, days, working=False)


def test_days_left_and_what_is_said() -> None:
    """Friday 8 May 2026 is the last of five working days from Friday 1 May."""
    limit = Limit(date(2026, 5, 8), working=True)
    assert limit.sentence(date(2026, 5, 1)) == (
        "Send the claim by 8 May 2026: 5 working days left."
    )
    assert limit.sentence(date(2026, 5, 3)) == "Send the claim by 8 May 2026: 5 working days left."
    assert limit.sentence(date(2026, 5, 7)) == "Send the claim by 8 May 2026: 1 working day left."
    assert (
        limit.sentence(date(2026, 5, 8)) == "Today, 8 May 2026, is the last day to send the claim."
    )
    assert limit.days_left(date(2026, 5, 8)) == 0
    # Over on the Saturday already, though no working day has passed.
    assert limit.days_left(date(2026, 5, 9)) == -1
    assert limit.sentence(date(2026, 5, 9)) == (
        "The last day to send the claim was 8 May 2026, 1 day ago."
    )
    again = Limit(date(2026, 5, 31), words="send the claim again")
    assert again.sentence(date(2026, 5, 1)) == (
        "Send the claim again by 31 May 2026: 30 days left."
    )
    assert again.sentence(date(2026, 6, 3)) == (
        "The last day to send the claim again was 31 May 2026, 3 days ago."
    )


@pytest.mark.parametrize(
    ("on", "soon"),
    [
        (date(2026, 5, 23), False),  # 8 days left
        (date(2026, 5, 24), True),
        (date(2026, 5, 31), True),
        (date(2026, 6, 1), False),  # over is not soon
    ],
)
def test_soon_is_within_a_week_and_not_over(on: date, soon: bool) -> None:
    assert Limit(date(2026, 5, 31)).soon(on) is soon
