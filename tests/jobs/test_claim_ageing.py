"""How old what is owed is, and medians. The four ages are those the ledger is asked to show."""

from __future__ import annotations

import statistics
from collections import Counter
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.claims.ageing import Age, Share, age_of, days_of, median

TODAY = date(2026, 11, 28)


@pytest.mark.parametrize(
    ("days", "age"),
    [
        (-1, Age.MONTH),
        (0, Age.MONTH),
        (30, Age.MONTH),
        (31, Age.TWO),
        (60, Age.TWO),
        (61, Age.THREE),
        (90, Age.THREE),
        (91, Age.OLDER),
        (4000, Age.OLDER),
    ],
)
def test_each_edge_belongs_to_one_age(days: int, age: Age) -> None:
    assert age_of(TODAY - timedelta(days=days), TODAY) is age


@given(st.integers(-5, 500))
def test_the_days_of_an_age_are_those_that_have_it(days: int) -> None:
    sent = TODAY - timedelta(days=days)
    for age in Age:
        span = days_of(age, TODAY)
        inside = (not span.first or span.first <= sent) and (not span.last or sent <= span.last)
        assert inside == (age_of(sent, TODAY) is age)


@given(st.lists(st.integers(0, 400), min_size=1))
def test_the_median_is_that_of_the_standard_library(values: list[int]) -> None:
    """Checked against statistics.median of Python's own library."""
    assert median(Counter(values)) == statistics.median(values)


def test_there_is_no_median_of_nothing() -> None:
    assert median({}) is None


@pytest.mark.parametrize(
    ("count", "of", "percent"),
    [
        (0, 0, None),
        (0, 5, 0),
        (5, 5, 100),
        (1, 3, 33),
        (2, 3, 67),
        (1, 8, 13),
        (999, 1000, 99),
        (1, 1000, 1),
    ],
)
def test_a_share_is_whole_percent_and_all_only_when_all(
    count: int, of: int, percent: int | None
) -> None:
    assert Share(count, of).percent == percent


def test_a_few_are_said_to_be_few() -> None:
    assert Share(1, 19).small
    assert not Share(1, 20).small
