"""Trend: the Laplace test in its forms, and the handbook's."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from scipy import stats

from jobs.reports.stats.handbook import military
from jobs.reports.stats.trend import (
    AT_LEAST,
    System,
    laplace,
    laplace_counts,
    laplace_exposure,
    laplace_pooled,
)

times = some.lists(some.floats(0, 1000), max_size=30)


def irwin_hall(total: float, n: int) -> float:
    """P(the sum of n even numbers from 0 to 1 is at most `total`), exactly."""
    terms = ((-1) ** k * math.comb(n, k) * (total - k) ** n for k in range(math.floor(total) + 1))
    return math.fsum(terms) / math.factorial(n)


@pytest.mark.parametrize("n", range(AT_LEAST, 11))
@pytest.mark.parametrize("mean", [0.15, 0.25, 0.35, 0.5, 0.7, 0.8])
def test_from_four_events_on_the_normal_law_is_near_the_exact_one(n: int, mean: float) -> None:
    found = laplace([mean * 100] * n, 100)
    tail = irwin_hall(n * min(mean, 1 - mean), n)
    assert found.p == pytest.approx(min(1.0, 2 * tail), abs=0.006 if found.p < 0.1 else 0.015)
    assert (found.direction in ("worsening", "improving")) == (found.p < 0.05)


def test_the_levels_hold_in_simulated_shops_that_grow() -> None:
    """Counts at a steady rate in a fleet that grows fivefold: no worsening is called more often
    than by chance, though the counts themselves rise."""
    random = np.random.default_rng(20_261)
    exposures = np.linspace(20, 100, 12)
    called = np.mean(
        [
            laplace_counts([int(c) for c in random.poisson(0.02 * exposures)], exposures.tolist()).p
            < 0.05
            for _ in range(4000)
        ]
    )
    assert called == pytest.approx(0.05, abs=0.012)


def test_a_rate_that_doubles_is_seen_as_often_as_the_law_says() -> None:
    """2.5 failures a month for nine months, then 5: a third of 67.5 fall into the first half, so
    the mean place is 0.58 and z about 2.37, which passes 1.96 two times in three."""
    random = np.random.default_rng(7)
    exposures = [50.0] * 18
    means = [0.05 * 50] * 9 + [0.10 * 50] * 9
    found = [
        laplace_counts([int(c) for c in random.poisson(means)], exposures).direction
        for _ in range(800)
    ]
    power = 1 - stats.norm.cdf(1.96 - math.sqrt(12 * 67.5) / 12)
    assert found.count("worsening") / 800 == pytest.approx(power, abs=0.06)
    assert found.count("improving") == 0


@settings(deadline=None)
@given(times=times)
def test_turning_time_round_turns_the_trend_round(times: list[float]) -> None:
    one, other = laplace(times, 1000), laplace([1000 - t for t in times], 1000)
    assert other.z == pytest.approx(-one.z, abs=1e-9)
    turned = {"worsening": "improving", "improving": "worsening"}
    if abs(one.p - 0.05) > 1e-9:
        assert other.direction == turned.get(one.direction, one.direction)


@settings(deadline=None)
@given(times=times, factor=some.floats(0.01, 100))
def test_the_unit_of_time_changes_nothing(times: list[float], factor: float) -> None:
    # The last may come out above the end by a bit of rounding: the end goes with it.
    end = max([1000.0, *times])
    one = laplace(times, end)
    other = laplace([min(t * factor, end * factor) for t in times], end * factor)
    assert other.z == pytest.approx(one.z, abs=1e-6)


@settings(deadline=None)
@given(times=times)
def test_cutting_one_watch_gives_each_part_its_own_middle(times: list[float]) -> None:
    halves = [
        System(tuple(t for t in times if t < 500), 500.0),
        System(tuple(t for t in times if t >= 500), 1000.0, start=500.0),
    ]
    n = len(times)
    away = math.fsum(t - 250 for t in halves[0].times) + math.fsum(t - 750 for t in halves[1].times)
    found = laplace_pooled(halves)
    assert found.events == n
    if n:
        assert found.z == pytest.approx(away / math.sqrt(n * 500**2 / 12))


@settings(deadline=None)
@given(
    steps=some.lists(
        some.tuples(some.integers(0, 6), some.floats(0.1, 100)), min_size=2, max_size=24
    )
)
def test_counts_by_step_are_the_test_of_their_conditional_law(
    steps: list[tuple[int, float]],
) -> None:
    counts, exposures = [c for c, _ in steps], [e for _, e in steps]
    found = laplace_counts(counts, exposures)
    n, total = sum(counts), math.fsum(exposures)
    edges = np.concatenate([[0], np.cumsum(exposures)])
    middles = np.array([(a + b) / 2 for a, b in pairwise(edges)])
    shares = np.array(exposures) / total
    mean = float(shares @ middles)
    spread = float(shares @ (middles - mean) ** 2)
    assert mean == pytest.approx(total / 2)
    if n:
        z = (np.dot(counts, middles) - n * mean) / math.sqrt(n * spread)
        assert found.z == pytest.approx(z, abs=1e-6)
    else:
        assert (found.z, found.p, found.direction) == (0.0, 1.0, "too_few")


def test_many_fine_steps_are_the_test_of_the_events_themselves() -> None:
    places = [130.4, 200.6, 555.5, 700.1, 880.9, 999.2]
    counts = [sum(step <= t < step + 1 for t in places) for step in range(1000)]
    assert laplace_counts(counts, [1.0] * 1000).z == (
        pytest.approx(laplace_exposure(places, 1000).z, abs=0.02)
    )


@pytest.mark.parametrize("ends", [False, True])
def test_the_handbooks_p_is_that_of_the_chi_square_law(ends: bool) -> None:
    events = [5.0, 40, 43, 175, 389, 712, 747, 795, 1299, 1478]
    end = events[-1] if ends else 1500.0
    found = military(events, end, ends_with_event=ends)
    n = len(events) - ends
    law = stats.chi2(2 * n)
    assert found.df == 2 * n
    assert found.chi2 == pytest.approx(2 * sum(math.log(end / t) for t in events))
    assert found.p == pytest.approx(2 * min(law.cdf(found.chi2), law.sf(found.chi2)), rel=1e-9)
    assert found.direction == "improving"


def test_the_handbook_sees_worsening_as_a_small_chi_square() -> None:
    found = military([600.0, 700, 800, 850, 900, 930, 960, 990], 1000.0)
    assert found.direction == "worsening"
    assert found.shape > 1
    assert found.chi2 < found.df


def test_few_events_are_not_judged() -> None:
    assert laplace([], 100).direction == "too_few"
    assert laplace([98.0, 99.0, 99.5], 100).direction == "too_few"
    assert laplace([97.0, 98.0, 99.0, 99.5], 100).direction == "worsening"
    assert laplace_pooled([]).events == 0
    assert laplace_counts([], []).direction == "too_few"
    assert laplace_counts([0, 0], [0.0, 0.0]).direction == "too_few"
    assert laplace_counts([9], [40.0]).direction == "too_few", "one step shows no trend"


def test_what_cannot_be_is_said() -> None:
    for bad in (
        lambda: laplace([101.0], 100),
        lambda: laplace([-1.0], 100),
        lambda: laplace([], 100, ends_with_event=True),
        lambda: laplace([5.0], 100, ends_with_event=True),
        lambda: laplace_pooled([System((), 1.0, start=2.0)]),
        lambda: laplace_counts([1], [0.0]),
        lambda: laplace_counts([-1], [2.0]),
        lambda: laplace_counts([1], [math.inf]),
        lambda: military([0.0], 100),
        lambda: military([], 100),
        lambda: military([100.0], 100, ends_with_event=True),
    ):
        with pytest.raises(ValueError, match=r"[A-Z].*\."):
            bad()
