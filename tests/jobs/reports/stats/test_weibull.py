"""The Weibull law against two libraries, what must always hold, and when none is fitted."""

from __future__ import annotations

import math
import warnings

import numpy as np
import pytest
import surpyval
from hypothesis import given, settings
from hypothesis import strategies as st
from lifelines import WeibullFitter
from scipy import stats

from jobs.reports.stats.counts import counts_of, from_lives, merged
from jobs.reports.stats.weibull import NoFit, WeibullFit, fit
from tests.jobs.reports.stats.lives_drawn import Lives, weibull_lives

LAWS = [(1, 80, 0.7), (2, 300, 1.0), (3, 200, 2.2), (4, 2000, 3.5), (5, 60, 1.4)]


def law_of(some: Lives) -> WeibullFit:
    law = fit(some.counts)
    assert isinstance(law, WeibullFit)
    return law


@pytest.mark.parametrize(("seed", "size", "shape"), LAWS)
def test_lifelines_and_surpyval_find_the_same_law(seed: int, size: int, shape: float) -> None:
    """lifelines 0.30 WeibullFitter with `entry`; surpyval 0.25 Weibull with `tl`."""
    some = weibull_lives(seed, size, shape)
    law = law_of(some)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # their optimisers warn on the way
        first = WeibullFitter().fit(some.exit, some.failed, entry=some.entry)
        censored = 1 - np.array(some.failed, dtype=int)
        second = surpyval.Weibull.fit(
            x=np.array(some.exit, float), c=censored, tl=np.array(some.entry, float)
        )
    assert np.allclose([first.lambda_, first.rho_], [law.scale, law.shape], rtol=1e-3)
    assert np.allclose(second.params, [law.scale, law.shape], rtol=1e-3)
    assert math.isclose(first.log_likelihood_, law.loglik, rel_tol=1e-6)


def test_scipy_finds_the_same_law_without_late_entries() -> None:
    """scipy.stats.weibull_min.fit on right-censored data."""
    life = 500 * np.random.default_rng(9).weibull(1.7, 300)
    ends = np.minimum(life, 600.0)
    data = stats.CensoredData(uncensored=ends[life <= 600], right=ends[life > 600])
    shape, _where, scale = stats.weibull_min.fit(data, floc=0)
    law = fit(from_lives(np.zeros(300), ends, life <= 600))
    assert isinstance(law, WeibullFit)
    assert np.allclose([law.shape, law.scale], [shape, scale], rtol=1e-3)


@given(st.integers(1, 10_000), st.sampled_from([0.8, 1.0, 2.5]), st.floats(0.01, 1000.0))
@settings(deadline=None, max_examples=40)
def test_a_slower_clock_scales_the_scale_and_leaves_the_shape(
    seed: int, shape: float, factor: float
) -> None:
    some = weibull_lives(seed, 120, shape)
    law, slower = fit(some.counts), fit(some.times(factor))
    if isinstance(law, NoFit) or isinstance(slower, NoFit):
        assert type(law) is type(slower)
        return
    assert math.isclose(slower.shape, law.shape, rel_tol=1e-6)
    assert math.isclose(slower.scale, law.scale * factor, rel_tol=1e-6)
    assert math.isclose(slower.shape_low, law.shape_low, rel_tol=1e-5)


@given(st.integers(1, 10_000), st.data())
@settings(deadline=None, max_examples=40)
def test_lives_told_in_parts_and_in_any_order_give_the_same_law(
    seed: int, data: st.DataObject
) -> None:
    some = weibull_lives(seed, 100, 1.8)
    at = data.draw(
        st.sampled_from([n for n in range(len(some.entry)) if some.exit[n] - some.entry[n] > 1])
    )
    when = data.draw(st.integers(some.entry[at] + 1, some.exit[at] - 1))
    parts = some.split(at, when)
    law, again = law_of(some), law_of(parts.in_order(list(range(len(parts.entry)))[::-1]))
    assert math.isclose(law.shape, again.shape, rel_tol=1e-9)
    assert math.isclose(law.scale, again.scale, rel_tol=1e-9)


def test_limits_hold_the_law_and_narrow_with_more_lives() -> None:
    few, many = law_of(weibull_lives(7, 60, 2.0)), law_of(weibull_lives(7, 3000, 2.0))
    for law in (few, many):
        assert law.shape_low < law.shape < law.shape_high
        assert law.scale_low < law.scale < law.scale_high
    assert many.shape_high - many.shape_low < few.shape_high - few.shape_low


def test_the_profile_limits_leave_the_likelihood_half_a_chi_square_lower() -> None:
    """Two sides of the definition: scipy's own likelihood at the limits, scale refitted by hand."""
    some = weibull_lives(11, 150, 1.6)
    law = law_of(some)
    x, e, d = (np.array(one, float) for one in (some.exit, some.entry, some.failed))
    drop = stats.chi2.ppf(0.95, 1) / 2

    def best(shape: float) -> float:
        scale = ((x**shape - e**shape).sum() / d.sum()) ** (1 / shape)
        hazard = stats.weibull_min.logpdf(x, shape, scale=scale) * d
        alive = stats.weibull_min.logsf(x, shape, scale=scale) * (1 - d)
        born = stats.weibull_min.logsf(e, shape, scale=scale)
        return float((hazard + alive - born).sum())

    assert math.isclose(best(law.shape), law.loglik, rel_tol=1e-9)
    for limit in (law.shape_low, law.shape_high):
        assert math.isclose(law.loglik - best(limit), drop, rel_tol=1e-4)


@pytest.mark.parametrize(
    ("law", "pattern"),
    [
        ((0.5, 0.9), "early"),
        ((1.2, 3.0), "wear_out"),
        ((0.8, 1.3), "random"),
        ((0.3, 1.6), "unclear"),
        ((0.9, 2.4), "unclear"),
    ],
)
def test_the_pattern_is_what_the_limits_of_the_shape_allow(
    law: tuple[float, float], pattern: str
) -> None:
    low, high = law
    assert WeibullFit(1, 1, 1, (low + high) / 2, low, high, 0, 9).pattern == pattern


def test_survival_and_the_time_by_which_a_share_failed_are_each_others_reverse() -> None:
    law = law_of(weibull_lives(3, 200, 2.2))
    assert math.isclose(law.survival(law.reached(0.1)), 0.9, rel_tol=1e-12)
    assert law.survival(0) == 1
    with pytest.raises(ValueError, match="between 0 and 1"):
        law.reached(1)


def test_no_law_with_few_failures_or_all_at_one_age() -> None:
    few = fit(from_lives([0] * 40, [300] * 40, [True] * 4 + [False] * 36))
    assert isinstance(few, NoFit)
    assert "there are 4" in few.reason
    together = fit(from_lives([0] * 12, [300] * 12, [True] * 12))
    assert isinstance(together, NoFit)
    assert "too close together" in together.reason
    nobody = fit(merged([]))
    assert isinstance(nobody, NoFit)


def test_a_scale_far_beyond_what_was_watched_is_known_for_a_guess() -> None:
    """Six of a thousand fail on the first days, then none for three years: early, and no more."""
    first = fit(counts_of([0, 1, 2, 1000], [1e3, 0, 0, 0], [0, 4, 2, 994], [0, 4, 2, 0]))
    assert isinstance(first, WeibullFit)
    assert first.pattern == "early"
    assert math.isfinite(first.scale_high)
    assert not first.scale_is_known
    assert law_of(weibull_lives(3, 200, 2.2)).scale_is_known
