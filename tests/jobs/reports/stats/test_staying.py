"""For how long vehicles are followed after they were last seen: known laws, edges."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.reports.stats.staying import came_until, followed_for
from tests.bench.mean_residual import mean_residual


@dataclass
class Customers:
    """Of one shop: visits about every 180 days, away for good at random; days after the last visit
    that passed, and for how many of them each still came."""

    gaps: list[int] = field(default_factory=list)
    unseen: list[int] = field(default_factory=list)
    still: list[int] = field(default_factory=list)
    failures: int = 0

    def followed(self, level: float) -> float:
        """All days followed over all days for which they came."""
        return float(np.minimum(level, self.unseen).sum() / sum(self.still))


def customers(
    seed: int, many: int, years: float, stay: float, fails: float = math.inf
) -> Customers:
    """`stay`: days on average; `fails`: days on average until a failure brings a customer in."""
    rng = np.random.default_rng(seed)
    until, some = years * 365.0, Customers()
    for joined in rng.uniform(0, until, many):
        end, last = min(joined + rng.exponential(stay), until), joined
        while True:
            routine, failure = rng.gamma(4, 45), rng.exponential(1.0) * fails
            day = last + min(routine, failure)
            if day >= end:
                break
            some.gaps.append(int(day) - int(last))
            some.failures += failure < routine
            last = day
        some.unseen.append(int(until) - int(last))
        some.still.append(int(end) - int(last))
    return some


@pytest.mark.parametrize("years", [1.5, 3, 6])
@pytest.mark.parametrize("stay", [500, 1200, 1e9])
def test_all_together_are_followed_for_as_long_as_they_came(years: float, stay: float) -> None:
    """Within three hundredths of what no shop knows, where the mean residual gap falls short."""
    some = customers(7, 20_000, years, stay)
    assert abs(some.followed(followed_for(some.gaps, some.unseen)) - 1) < 0.03
    assert some.followed(mean_residual(some.gaps)) < 0.97


@pytest.mark.parametrize("fails", [100, 250, 1000])
def test_failures_between_the_visits_change_nothing(fails: float) -> None:
    """However often a failure brings a customer in before the next routine visit."""
    some = customers(8, 15_000, 3, 1200, fails)
    assert some.failures > 0.1 * len(some.gaps)
    assert abs(some.followed(followed_for(some.gaps, some.unseen)) - 1) < 0.03


@pytest.mark.parametrize("years", [1.5, 3, 6])
@pytest.mark.parametrize("stay", [500, 1200])
def test_up_to_a_year_ago_each_is_followed_for_as_long_as_it_came(
    years: float, stay: float
) -> None:
    """Within three hundredths of what no shop knows; the one number of days for all follows those
    who were last seen so long ago for too long, by a twentieth at least."""
    some = customers(9, 20_000, years, stay)
    until = np.maximum(np.array(some.unseen) - 365, 0)
    truly = np.minimum(some.still, until).sum()
    came = came_until(some.gaps, some.unseen, (), 365)
    assert abs(came[some.unseen].sum() / truly - 1) < 0.03
    level = followed_for(some.gaps, some.unseen)
    assert np.minimum(level, until).sum() / truly > 1.05


@given(
    st.lists(st.integers(0, 900), max_size=30),
    st.lists(st.integers(0, 2000), max_size=30),
    st.integers(0, 500),
)
def test_nobody_came_for_longer_than_until_then_and_in_sum_as_the_one_number_says(
    gaps: list[int], unseen: list[int], days: int
) -> None:
    came = came_until(gaps, unseen, (), days)
    if not len(came):
        return
    until = np.maximum(np.arange(len(came)) - days, 0)
    assert np.all((came >= 0) & (came <= until))
    whole = came_until(gaps, unseen, (), 0)[unseen].sum()
    assert np.minimum(followed_for(gaps, unseen), unseen).sum() == pytest.approx(whole)


def test_where_everybody_comes_back_nobody_stayed_away() -> None:
    """All gaps of one length, unseen for less: each was still a customer on the last day."""
    assert followed_for([200] * 30, [10, 60, 110, 160]) == pytest.approx(160)


@given(
    st.lists(st.integers(0, 900), max_size=30),
    st.lists(st.integers(0, 2000), max_size=30),
)
def test_it_is_a_number_of_days_between_nought_and_the_longest_unseen(
    gaps: list[int], unseen: list[int]
) -> None:
    level = followed_for(gaps, unseen)
    assert 0 <= level <= max(unseen, default=0) + 1e-9


@given(st.integers(0, 1000), st.randoms())
def test_the_order_of_gaps_changes_nothing(seed: int, chance: object) -> None:
    some = customers(seed, 20, 2, 700)
    level = followed_for(some.gaps, some.unseen)
    chance.shuffle(some.gaps)  # type: ignore[attr-defined]
    assert followed_for(some.gaps, some.unseen[::-1]) == pytest.approx(level, rel=1e-9)


def test_nothing_known_follows_nobody_and_what_cannot_be_is_refused() -> None:
    assert followed_for([], [30, 40]) == 0
    assert followed_for([100], []) == 0
    assert followed_for([100], [0, 0]) == 0
    assert followed_for([0, 0], [30, 40]) == 0
    with pytest.raises(ValueError, match="not below nought"):
        followed_for([-1], [3])


def test_those_known_to_be_gone_count_as_waited_for_and_are_not_followed() -> None:
    """Whom nobody follows adds nothing to the days that are shared out."""
    gaps, open_ = [50, 100, 150, 200] * 20, [30, 60, 90, 250] * 10
    without = followed_for(gaps, open_)
    assert followed_for(gaps, open_, []) == without
    # Gone after ten days each: before anybody comes back, so no share is changed.
    assert followed_for(gaps, open_, [10] * 40) == pytest.approx(without, rel=1e-9)
    # Waited for in vain to the last day instead, they make customers seem to stay away.
    assert followed_for(gaps, open_, [240] * 40) < without
    with pytest.raises(ValueError, match="below nought"):
        followed_for(gaps, open_, [-1])
