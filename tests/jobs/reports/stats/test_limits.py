"""Exact limits of rates and shares, against scipy and by what must always hold."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from scipy import stats

from jobs.reports.stats import beta
from jobs.reports.stats.limits import (
    rate_if_any,
    rate_limits,
    share_if_any,
    share_limits,
    upper_alone,
)

COUNTS = (0, 1, 2, 3, 7, 30, 31, 32, 400, 5000, 49_999)


@pytest.mark.parametrize("count", COUNTS)
@pytest.mark.parametrize("confidence", [0.5, 0.9, 0.95, 0.999])
def test_the_limits_of_a_rate_are_those_of_the_chi_square_law(
    count: int, confidence: float
) -> None:
    rate = rate_limits(count, 412.5, confidence)
    tail = (1 - confidence) / 2
    low = stats.chi2.ppf(tail, 2 * count) / 2 if count else 0.0
    high = stats.chi2.ppf(1 - tail, 2 * count + 2) / 2
    assert rate.rate == count / 412.5
    assert rate.low == pytest.approx(low / 412.5, rel=1e-10)
    assert rate.high == pytest.approx(high / 412.5, rel=1e-10)


@pytest.mark.parametrize("count", [50_001, 250_000, 3_000_000])
def test_very_many_are_near_enough(count: int) -> None:
    rate = rate_limits(count, 1.0)
    assert rate.low == pytest.approx(stats.chi2.ppf(0.025, 2 * count) / 2, rel=1e-8)
    assert rate.high == pytest.approx(stats.chi2.ppf(0.975, 2 * count + 2) / 2, rel=1e-8)


@pytest.mark.parametrize("of", [1, 5, 29, 263, 2000, 20_000])
@pytest.mark.parametrize("part", [0.0, 0.001, 0.05, 0.31, 0.5, 0.9, 1.0])
@pytest.mark.parametrize("confidence", [0.8, 0.95])
def test_the_limits_of_a_share_are_those_of_the_beta_law(
    of: int, part: float, confidence: float
) -> None:
    count = round(of * part)
    share = share_limits(count, of, confidence)
    exact = stats.binomtest(count, of).proportion_ci(confidence, method="exact")
    assert share.low == pytest.approx(exact.low, rel=1e-9, abs=1e-12)
    assert share.high == pytest.approx(exact.high, rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("a", [0.3, 1, 2.5, 40, 900, 12_000])
@pytest.mark.parametrize("b", [0.3, 1, 7, 300, 8_000])
@pytest.mark.parametrize("x", [1e-9, 0.001, 0.03, 0.3, 0.5, 0.77, 0.999])
def test_the_beta_law(a: float, b: float, x: float) -> None:
    assert beta.cdf(x, a, b) == pytest.approx(stats.beta.cdf(x, a, b), rel=1e-10, abs=1e-12)


@settings(deadline=None)
@given(of=some.integers(1, 800), count=some.integers(-2, 805), share=some.floats(0.001, 0.999))
def test_the_binomial_tails_meet(of: int, count: int, share: float) -> None:
    assert beta.at_most(count, of, share) + beta.at_least(count + 1, of, share) == (
        pytest.approx(1, abs=1e-11)
    )
    assert beta.at_most(count, of, share) == (
        pytest.approx(float(stats.binom.cdf(count, of, share)), abs=1e-11)
    )


@settings(deadline=None)
@given(
    count=some.integers(0, 300),
    exposure=some.floats(0.01, 1e6),
    confidence=some.floats(0.5, 0.99),
)
def test_limits_of_a_rate_hold_it_and_widen_with_confidence(
    count: int, exposure: float, confidence: float
) -> None:
    rate, surer = (rate_limits(count, exposure, c) for c in (confidence, confidence + 0.009))
    assert surer.low <= rate.low <= rate.rate <= rate.high < surer.high
    assert (rate.low > 0) == (count > 0)
    per_hundred = rate.per(100)
    assert per_hundred.rate == pytest.approx(100 * rate.rate)
    assert per_hundred.high == pytest.approx(100 * rate.high)
    assert per_hundred.count / per_hundred.exposure == pytest.approx(per_hundred.rate)


@settings(deadline=None)
@given(data=some.data(), of=some.integers(1, 400), confidence=some.floats(0.5, 0.99))
def test_limits_of_a_share_hold_it_and_widen_with_confidence(
    data: some.DataObject, of: int, confidence: float
) -> None:
    count = data.draw(some.integers(0, of))
    share, surer = (share_limits(count, of, c) for c in (confidence, confidence + 0.009))
    assert 0 <= surer.low <= share.low <= share.share <= share.high <= surer.high <= 1
    mirrored = share_limits(of - count, of, confidence)
    assert mirrored.low == pytest.approx(1 - share.high, abs=1e-12)


def test_none_counted_is_no_certainty() -> None:
    assert rate_limits(0, 100.0).low == 0
    assert rate_limits(0, 100.0).high == pytest.approx(0.036888794541)
    assert upper_alone(0) == pytest.approx(2.995732273554)
    assert share_limits(0, 20).high < 0.17
    assert share_limits(20, 20).low > 0.83


def test_nothing_gives_a_blank_and_the_impossible_a_sentence() -> None:
    assert rate_if_any(0, 0.0) is None
    assert share_if_any(0, 0) is None
    assert rate_if_any(2, 8.0) == rate_limits(2, 8.0)
    assert share_if_any(2, 8) == share_limits(2, 8)
    for bad in (
        lambda: rate_limits(0, 0.0),
        lambda: rate_limits(1, -3.0),
        lambda: rate_limits(-1, 3.0),
        lambda: rate_limits(1, float("nan")),
        lambda: rate_limits(1, 3.0, 1.0),
        lambda: rate_limits(1, 3.0).per(0),
        lambda: rate_if_any(1, 0.0),
        lambda: share_limits(0, 0),
        lambda: share_limits(3, 2),
        lambda: share_limits(-1, 2),
        lambda: share_limits(1, 2, 0.0),
        lambda: beta.cdf(1.5, 1, 1),
        lambda: beta.quantile(1.0, 1, 1),
    ):
        with pytest.raises(ValueError, match=r"[A-Z].*\."):
            bad()
