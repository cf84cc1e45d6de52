"""Repairs again and again, and months in service: libraries, slow sums, edges."""

from __future__ import annotations

import math
import warnings

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from surpyval.recurrent import NonParametricCounting

from jobs.reports.stats.recurrence import mean_cumulative
from jobs.reports.stats.triangle import months_in_service


def drawn(seed: int, size: int = 25) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Windows from nought, and repairs inside them by place."""
    rng = np.random.default_rng(seed)
    ends = rng.integers(50, 500, size).astype(float)
    who = np.sort(rng.integers(0, size, 60))
    when = np.ceil(rng.uniform(0, 1, 60) * ends[who])
    return ends, who, when


@pytest.mark.parametrize("seed", range(8))
def test_surpyval_has_the_same_mean(seed: int) -> None:
    """surpyval 0.25: NonParametricCounting, repairs with their windows' ends as censorings."""
    ends, who, when = drawn(seed)
    found = mean_cumulative(np.zeros(len(ends)), ends, who, when)
    rows = [(t, place, 0) for t, place in zip(when, who, strict=True)]
    rows += [(end, place, 1) for place, end in enumerate(ends)]
    rows.sort(key=lambda row: (row[1], row[0], row[2]))
    x, i, c = (np.array(column) for column in zip(*rows, strict=True))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns of its own interpolation
        theirs = NonParametricCounting.fit(x, i=i, c=c)
    mine = [found.at(t) for t in theirs.x]
    assert np.allclose(theirs.mcf_hat, mine, rtol=1e-9)


def slow_error(ends: np.ndarray, who: np.ndarray, when: np.ndarray, until: float) -> float:
    """Lawless and Nadeau's sum as it is written, place by place and time by time."""
    times = sorted(set(when.tolist()))
    squares = 0.0
    for place, end in enumerate(ends):
        beyond = 0.0
        for t in times:
            if t > until or t > end:
                continue
            n = sum(1 for one in ends if t <= one)
            own = sum(1 for p, at in zip(who, when, strict=True) if p == place and at == t)
            every = sum(1 for at in when if at == t)
            beyond += (own - every / n) / n
        squares += beyond**2
    return math.sqrt(squares)


@pytest.mark.parametrize("seed", [1, 2])
def test_the_error_is_the_sum_as_it_is_written(seed: int) -> None:
    ends, who, when = drawn(seed, 12)
    found = mean_cumulative(np.zeros(len(ends)), ends, who, when)
    for at in (0, len(found.t) // 2, len(found.t) - 1):
        assert math.isclose(found.se[at], slow_error(ends, who, when, found.t[at]), rel_tol=1e-9)


@given(st.integers(0, 10_000), st.randoms())
def test_the_order_of_repairs_changes_nothing(seed: int, chance: object) -> None:
    ends, who, when = drawn(seed)
    order = list(range(len(who)))
    chance.shuffle(order)  # type: ignore[attr-defined]
    one = mean_cumulative(np.zeros(len(ends)), ends, who, when)
    other = mean_cumulative(np.zeros(len(ends)), ends, who[order], when[order])
    assert np.allclose(one.mean, other.mean)
    assert np.allclose(one.se, other.se)
    assert np.all(one.low < one.mean)
    assert np.all(one.mean < one.high)


def test_a_place_seen_late_is_not_at_risk_before() -> None:
    found = mean_cumulative([0, 50], [100, 100], [0, 1], [40, 60])
    assert list(found.at_risk) == [1, 2]
    assert list(found.mean) == [1, 1.5]


def test_no_repair_is_an_empty_curve() -> None:
    found = mean_cumulative([0, 0], [10, 20], [], [])
    assert not len(found.t)
    assert found.at(15) == 0


@pytest.mark.parametrize(
    ("starts", "ends", "who", "when", "said"),
    [
        ([5], [4], [], [], "before it begins"),
        ([0], [9], [1], [3], "there is not"),
        ([0], [9], [0], [10], "outside"),
        ([2], [9], [0], [2], "outside"),
        ([0], [9, 9], [0], [3], "different lengths"),
    ],
)
def test_windows_and_repairs_that_cannot_be_are_refused(
    starts: list[float], ends: list[float], who: list[int], when: list[float], said: str
) -> None:
    with pytest.raises(ValueError, match=said):
        mean_cumulative(starts, ends, who, when)


def test_a_month_is_divided_by_the_cohorts_that_reached_it() -> None:
    found = months_in_service([100, 50], [[2, 1], [1, 0]], [1, 0])
    assert list(found.reached) == [150, 100]
    assert np.allclose(found.cumulative, [3 / 150, 3 / 150 + 1 / 100])
    assert np.all(found.low < found.cumulative)
    assert np.allclose(found.se**2, [0.02 / 150, 0.02 / 150 + 0.01 / 100])


def test_months_without_a_failure_are_nought_and_no_cohort_gives_no_month() -> None:
    assert list(months_in_service([10], [[0, 0]], [1]).cumulative) == [0, 0]
    assert not len(months_in_service([], np.zeros((0, 3)), []).rate)


def test_failures_ahead_of_their_time_and_shares_that_fall_are_refused() -> None:
    with pytest.raises(ValueError, match="not reached"):
        months_in_service([10], [[0, 1]], [0])
    with pytest.raises(ValueError, match="rise"):
        months_in_service([10], [[1]], [0], lag=[0.9, 0.8, 1])


def test_one_place_alone_and_places_all_alike_are_not_held_for_certain() -> None:
    """Places that do not differ vary by nought; limits are then those of repairs by chance."""
    alone = mean_cumulative([0], [100], [0], [40])
    assert alone.se[0] == 0
    assert math.isclose(alone.low[0], math.exp(-1.959964), rel_tol=1e-6)
    assert math.isclose(alone.high[0], math.exp(1.959964), rel_tol=1e-6)
    alike = mean_cumulative([0] * 4, [100] * 4, [0, 1, 2, 3], [40] * 4)
    assert math.isclose(alike.high[0], math.exp(1.959964 / 2), rel_tol=1e-6)


@pytest.mark.parametrize("seed", range(6))
def test_windows_that_begin_late_have_the_error_of_the_sum_place_by_place(seed: int) -> None:
    rng = np.random.default_rng(seed)
    begin = rng.integers(0, 50, 20).astype(float)
    end = begin + rng.integers(1, 60, 20)
    who = rng.integers(0, 20, 40)
    when = begin[who] + np.ceil(rng.uniform(1e-6, 1, 40) * (end - begin)[who])
    found = mean_cumulative(begin, end, who, when)
    beyond = np.zeros(20)
    for number, t in enumerate(found.t):
        watched = (begin < t) & (t <= end)
        beyond[watched] -= found.repairs[number] / watched.sum() ** 2
        np.add.at(beyond, who[when == t], 1 / watched.sum())
        assert math.isclose(found.se[number], math.sqrt(beyond @ beyond), rel_tol=1e-8)


def test_no_failure_in_the_triangle_has_the_exact_upper_limit_of_the_fewest_units() -> None:
    found = months_in_service([100, 50], [[0, 0], [0, 0]], [1, 0])
    assert list(found.low) == [0, 0]
    assert np.allclose(found.high, [3.688879 / 150, 3.688879 / 100], rtol=1e-6)


def test_one_month_of_the_triangle_has_the_exact_limits_of_its_rate() -> None:
    found = months_in_service([400], [[3]], [0])
    assert np.allclose([found.low[0], found.high[0]], [0.618672 / 400, 8.767273 / 400], rtol=1e-6)
