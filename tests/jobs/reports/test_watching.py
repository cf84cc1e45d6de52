"""Watches: a bad batch is called, a good one seldom, and no later day moves an alarm."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.reports.stats.run_lengths import call_gap
from jobs.reports.watching import (
    BASE_DAYS,
    BASE_EXPOSURE,
    LAG_DAYS,
    MONTHS_BETWEEN,
    course,
    height,
    its_own,
    the_others,
    watched_from,
)

DAYS = 900


def _whole(*values: int) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    return np.array(values, dtype=np.int64)


def test_before_its_first_year_is_over_a_kind_is_not_watched() -> None:
    year = np.full(BASE_DAYS, 20.0)
    assert its_own(np.zeros(BASE_DAYS, dtype=np.int64), year) is None
    assert its_own(np.zeros(DAYS, dtype=np.int64), np.zeros(DAYS)) is None
    usual = its_own(np.zeros(DAYS, dtype=np.int64), np.full(DAYS, 20.0))
    assert usual is not None
    assert usual.from_day == BASE_DAYS
    # Nothing failed, yet chance may have hidden 1.609 failures: exp(-1.609) = 0.2.
    assert usual.expected[BASE_DAYS] == pytest.approx(-np.log(0.2) / BASE_DAYS)
    assert usual.expected[-1] == pytest.approx(-np.log(0.2) / (DAYS - 1 - LAG_DAYS))


def test_a_kind_that_joins_later_is_watched_from_a_year_after_it_came() -> None:
    """Five hundred days without a unit of it: its own first year is what it is held against."""
    exposure = np.where(np.arange(1_400) < 500, 0.0, 20.0)
    failures = np.zeros(1_400, dtype=np.int64)
    failures[[520, 700]] = 1
    failures[1_000:1_020] = 1
    usual = its_own(failures, exposure)
    assert usual is not None
    assert usual.from_day == 500 + BASE_DAYS
    # Of a mean of 4.279 two or fewer are seen once in five: the limit is of the two of that year.
    assert usual.expected[865] == pytest.approx(4.279 / BASE_DAYS, rel=1e-3)
    assert course(failures, usual, 4.0).raised is not None


def test_few_units_are_watched_when_ten_could_have_been_for_a_year() -> None:
    """Two units: 3,650 unit-days are there after five years, and not before."""
    exposure = np.full(1_900, 2.0)
    assert BASE_EXPOSURE == 3_650
    assert watched_from(exposure[:1_825]) is None
    assert watched_from(exposure) == 1_825


def test_a_batch_that_is_the_only_one_cannot_be_held_against_others() -> None:
    failures, exposure = _whole(*[0] * 20, 1), np.ones(21)
    assert the_others(failures, exposure, (failures, exposure)) is None


def test_a_batch_is_held_against_what_the_others_did_before_that_day() -> None:
    exposure, whole = np.full(DAYS, 10.0), np.full(DAYS, 110.0)
    mine = np.zeros(DAYS, dtype=np.int64)
    others = mine.copy()
    others[100] = others[500] = 1
    usual = the_others(mine, exposure, (mine + others, whole))
    assert usual is not None
    assert usual.from_day == 1
    assert usual.expected[0] == 0
    assert usual.expected[100] == pytest.approx(10 * -np.log(0.2) / (100 * 100))
    assert usual.expected[101] > usual.expected[100]
    assert (usual.failures, usual.exposure) == (2, DAYS * 100.0)


def test_nothing_to_be_expected_has_no_height() -> None:
    assert height([]) is None


def test_the_height_is_that_of_all_watches_together() -> None:
    """Twice as many watches: as many false alarms of all, so each calls higher."""
    usual = its_own(np.ones(DAYS, dtype=np.int64), np.ones(DAYS) * 50)
    assert usual is not None
    one, two = height([usual]), height([usual, usual])
    assert one is not None
    assert two is not None
    assert two.h > one.h
    assert two.a_year == pytest.approx(2 * one.a_year)
    for chosen in (one, two):
        assert chosen.months_between >= MONTHS_BETWEEN
        ratio = round(1 / np.log(2), 6)
        gap = call_gap(ratio, chosen.h)
        assert chosen.months_between == pytest.approx(gap / (chosen.a_year / 12))
        assert call_gap(ratio, chosen.h - 0.5) < MONTHS_BETWEEN * chosen.a_year / 12


def test_an_alarm_stands_until_the_level_is_back_at_nought() -> None:
    days = 1_300
    failures = np.zeros(days, dtype=np.int64)
    failures[[400, 401, 402, 403]] = 1
    failures[[1_200, 1_201, 1_202]] = 1
    usual = its_own(failures, np.full(days, 10.0))
    assert usual is not None
    found = course(failures, usual, 1.9)
    assert found.before == (401,)
    assert found.raised == 1_201
    assert found.seen == 3
    assert found.began == 1_200
    assert found.level > 1.9
    shorter = its_own(failures[:1_100], np.full(1_100, 10.0))
    assert shorter is not None
    quiet = course(failures[:1_100], shorter, 1.9)
    assert quiet.raised is None
    assert quiet.before == (401,)


@settings(max_examples=50)
@given(st.integers(450, DAYS), st.integers(0, 2**32 - 1))
def test_later_days_move_no_alarm(until: int, seed: int) -> None:
    """The path up to a day is the same whatever came after it."""
    failures = np.random.default_rng(seed).poisson(0.03, DAYS).astype(np.int64)
    exposure = np.linspace(10, 30, DAYS)
    whole, part = (
        its_own(failures, exposure),
        its_own(failures[:until], exposure[:until]),
    )
    assert whole is not None
    assert part is not None
    path = course(failures, whole, 4.0).path
    assert course(failures[:until], part, 4.0).path == path[: until - BASE_DAYS]


def test_false_alarms_are_as_rare_as_stated_and_a_doubled_rate_is_called() -> None:
    """Forty seeded shops, watched for two years after the first, with ten kinds each.

    At the usual rate all kinds together call at most once in 24 months; the estimate of what is
    usual errs to the safe side, so that it is less often.
    """
    rng = np.random.default_rng(20261128)
    years, rate = 3, 0.02
    calls = found = 0
    for _shop in range(40):
        exposure = np.full(365 * years, 10.0)
        kinds = rng.poisson(rate, (10, exposure.size)).astype(np.int64)
        kinds[0, 365:] = rng.poisson(4 * rate, exposure.size - 365)
        usuals = [its_own(one, exposure) for one in kinds]
        known = [one for one in usuals if one is not None]
        assert len(known) == 10
        chosen = height(known)
        assert chosen is not None
        courses = [
            course(kind, usual, chosen.by_day) for kind, usual in zip(kinds, known, strict=True)
        ]
        found += courses[0].raised is not None or bool(courses[0].before)
        calls += sum((one.raised is not None) + len(one.before) for one in courses[1:])
    assert calls <= 40
    assert found >= 38


@settings(max_examples=50, deadline=None)
@given(st.integers(450, DAYS), st.integers(0, 2**32 - 1))
def test_a_workshop_that_grows_moves_no_alarm_of_before(until: int, seed: int) -> None:
    """Five times as many units at the end: the height of the last day is another, that of a day
    gone by is not, and so the alarms up to a day are those that were raised by then."""
    failures = np.random.default_rng(seed).poisson(0.05, DAYS).astype(np.int64)
    exposure = np.linspace(10, 50, DAYS)

    def alarms(days: int) -> list[int]:
        usual = its_own(failures[:days], exposure[:days])
        assert usual is not None
        chosen = height([usual])
        assert chosen is not None
        found = course(failures[:days], usual, chosen.by_day)
        standing = [] if found.raised is None else [found.raised]
        return [day for day in (*found.before, *standing) if day < until]

    assert alarms(DAYS) == alarms(until)


def test_in_its_first_months_a_watch_calls_no_lower_than_in_its_first_year() -> None:
    """Thirty days of one failure a day that is usual are 365 a year, as a year of them is."""
    exposure = np.full(DAYS, 20.0)
    usual = its_own(np.ones(DAYS, dtype=np.int64), exposure)
    assert usual is not None
    chosen = height([usual])
    assert chosen is not None
    assert chosen.by_day[BASE_DAYS + 30] == chosen.by_day[BASE_DAYS + 300] == chosen.h


def test_an_alarm_that_falls_below_its_height_and_comes_back_is_one() -> None:
    """1.609 failures are usual in the first year, so k is 0.00636 a day and less each day after
    half a year. Three failures pass 1.9, sixty days and more bring the level below it, one more
    brings it back: all without a day at nought between."""
    days = 1_300
    failures = np.zeros(days, dtype=np.int64)
    failures[[400, 401, 402, 640, 641]] = 1
    usual = its_own(failures, np.full(days, 10.0))
    assert usual is not None
    found = course(failures, usual, 1.9)
    path = dict(enumerate(found.path, start=found.from_day))
    assert 0 < path[639] < 1.9 <= path[641]
    assert found.level == 0
    assert found.before == (401,)
