"""What a shelf would have done: by hand, against a walk through the days, in the long run."""

from __future__ import annotations

import heapq
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.base_stock import DAYS_A_MONTH, at_level
from jobs.demand import Strength, demand, months
from jobs.shelf_replay import replay

days = st.lists(st.integers(0, 400), max_size=40)


def walked(demand_days: list[int], level: int, lead: int) -> list[float]:
    """The same by keeping the pieces themselves: when each of them comes."""
    coming = [float("-inf")] * level
    waits = []
    for day in sorted(demand_days):
        heapq.heappush(coming, day + lead)
        waits.append(max(0.0, heapq.heappop(coming) - day))
    return waits


def test_one_piece_serves_whoever_comes_after_it_was_replaced() -> None:
    assert replay([0, 3, 20], 1, 5).waits == (0, 2, 0)
    assert replay([0, 3, 20], 0, 5).waits == (5, 5, 5)
    assert replay([0, 3, 20], 2, 5).waited == 0
    assert replay([0, 5], 1, 5).waited == 0  # it comes the same day
    assert replay([], 3, 5).wanted == 0
    assert replay([0, 0, 0], 1, 2).days == 4


@given(days, st.integers(0, 6), st.integers(0, 60))
def test_it_agrees_with_a_walk_through_the_days(wanted: list[int], level: int, lead: int) -> None:
    assert list(replay(wanted, level, lead).waits) == walked(wanted, level, lead)


@given(days, st.integers(0, 6), st.integers(0, 60))
def test_more_on_the_shelf_never_makes_more_wait(wanted: list[int], level: int, lead: int) -> None:
    here, more = replay(wanted, level, lead), replay(wanted, level + 1, lead)
    assert more.waited <= here.waited
    assert more.days <= here.days
    assert replay(wanted, len(wanted), lead).waited == 0


@pytest.mark.parametrize(("level", "lead"), [(1, 4.0), (3, 20.0), (6, 30.0)])
def test_in_the_long_run_the_share_served_is_what_the_law_says(level: int, lead: float) -> None:
    """20,000 customers who come by chance, one in ten days; the seed is fixed."""
    dice, day, came = random.Random(1907), 0.0, []
    for _ in range(20_000):
        day += dice.expovariate(0.1)
        came.append(day)
    done = replay(came, level, lead)
    law = at_level(level, 0.1 * lead, 0.9)
    assert 1 - done.waited / done.wanted == pytest.approx(law.served, abs=0.015)
    assert done.days / day == pytest.approx(law.missing, rel=0.08)  # Little's law


def test_what_cannot_be_replayed_is_refused() -> None:
    with pytest.raises(ValueError, match="below nought"):
        replay([1], -1, 5)
    with pytest.raises(ValueError, match="below nought"):
        replay([1], 1, -5)


def test_the_rate_is_the_count_over_the_time_with_its_exact_limits() -> None:
    found = demand([1, 40, 200, 500], 730.5)
    assert found.per_month == pytest.approx(4 / 24)
    assert found.low * DAYS_A_MONTH == pytest.approx(1.0898653736 / 24)
    assert found.high * DAYS_A_MONTH == pytest.approx(10.2415886754 / 24)
    assert found.strength is Strength.VERY_SMALL


@pytest.mark.parametrize(
    ("count", "said"),
    [
        (0, Strength.NONE),
        (1, Strength.VERY_SMALL),
        (4, Strength.VERY_SMALL),
        (5, Strength.SMALL),
        (9, Strength.SMALL),
        (10, Strength.FAIR),
    ],
)
def test_small_counts_are_said_to_be_small(count: int, said: Strength) -> None:
    assert demand([5.0] * count, 365.25).strength is said


def test_pieces_that_come_together_widen_the_law_only_when_enough_were_seen() -> None:
    together = [10.0] * 4 + [300.0] * 4
    assert demand(together, 730.5).clumping > 3
    assert demand([10.0] * 3, 730.5).clumping == 1.0
    assert demand([10.0] * 8, 90).clumping == 1.0
    assert demand([15 + 30.4375 * n for n in range(12)], 365.25).clumping == 1.0


def test_months_are_counted_back_and_a_broken_one_is_left_out() -> None:
    assert months([0, 29, 31, 62], 92) == (2, 1, 1)
    assert months([91.5], 92) == (0, 0, 0)
    assert months([3], 20) == ()


def test_a_rate_needs_a_time_and_pieces_within_it() -> None:
    with pytest.raises(ValueError, match="needs a time"):
        demand([], 0)
    with pytest.raises(ValueError, match="outside"):
        demand([31], 30)


def test_a_seldom_part_is_said_by_the_year_and_a_common_one_by_the_month() -> None:
    seldom, common = demand([5.0], 365.25), demand([5.0] * 40, 365.25)
    assert not seldom.often
    assert seldom.said == pytest.approx((1, 0.0253178079, 5.5716433909))
    assert common.often
    assert common.said[0] == pytest.approx(40 / 12)
