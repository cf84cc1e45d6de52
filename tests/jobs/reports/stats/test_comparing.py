"""Two rates: the exact conditional test, against scipy and by what must always hold."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from scipy import stats

from jobs.reports.stats.comparing import P_IS, two_rates

counts = some.integers(0, 150)
exposures = some.floats(0.5, 1e5)


@settings(deadline=None)
@given(c1=counts, t1=exposures, c2=counts, t2=exposures)
def test_p_is_that_of_the_binomial_law_of_the_parts(c1: int, t1: float, c2: int, t2: float) -> None:
    found = two_rates(c1, t1, c2, t2)
    law = stats.binom(c1 + c2, t1 / (t1 + t2))
    above, below, own = law.sf(c1 - 1), law.cdf(c1), law.pmf(c1)
    assert found.p_doubled == pytest.approx(min(1, 2 * min(above, below)), rel=1e-8, abs=1e-13)
    assert found.p == pytest.approx(min(1, 2 * min(above, below) - own), rel=1e-8, abs=1e-13)


@settings(deadline=None)
@given(c1=some.integers(0, 60), t1=exposures, c2=some.integers(1, 60), t2=exposures)
def test_the_least_likely_outcomes_are_those_of_scipy(
    c1: int, t1: float, c2: int, t2: float
) -> None:
    expected = stats.binomtest(c1, c1 + c2, t1 / (t1 + t2)).pvalue
    assert two_rates(c1, t1, c2, t2).p_least_likely == pytest.approx(expected, rel=1e-6, abs=1e-12)


@settings(deadline=None)
@given(c1=counts, t1=exposures, c2=counts, t2=exposures)
def test_swapping_the_groups_inverts_the_ratio_and_keeps_p(
    c1: int, t1: float, c2: int, t2: float
) -> None:
    one, other = two_rates(c1, t1, c2, t2), two_rates(c2, t2, c1, t1)
    assert other.p == pytest.approx(one.p, rel=1e-8, abs=1e-13)
    assert other.p_doubled == pytest.approx(one.p_doubled, rel=1e-8, abs=1e-13)
    assert other.p_least_likely == pytest.approx(one.p_least_likely, rel=1e-6, abs=1e-12)
    if c1 and c2:
        assert one.ratio is not None
        assert other.ratio == pytest.approx(1 / one.ratio)
        assert one.low is not None
        assert other.high == pytest.approx(1 / one.low, rel=1e-7)
        assert one.exact_high is not None
        assert other.exact_low == pytest.approx(1 / one.exact_high, rel=1e-7)


@settings(deadline=None)
@given(
    c1=some.integers(1, 150),
    t1=exposures,
    c2=some.integers(1, 150),
    t2=exposures,
    confidence=some.floats(0.5, 0.98),
)
def test_limits_hold_the_ratio_widen_with_confidence_and_agree_with_p(
    c1: int, t1: float, c2: int, t2: float, confidence: float
) -> None:
    found, surer = (two_rates(c1, t1, c2, t2, c) for c in (confidence, confidence + 0.01))
    ladder = [
        found.exact_low, found.low, found.ratio, found.high, found.exact_high,
    ]  # fmt: skip
    assert None not in ladder
    assert ladder == sorted(ladder, key=lambda one: one or 0)
    assert surer.low is not None
    assert found.low is not None
    assert surer.low < found.low
    for p, low, high in (
        (found.p, found.low, found.high),
        (found.p_doubled, found.exact_low, found.exact_high),
    ):
        assert low is not None
        assert high is not None
        if abs(p - (1 - confidence)) > 1e-6:
            assert (p < 1 - confidence) == (not low < 1 < high)


@settings(deadline=None)
@given(
    c1=some.integers(1, 150), t1=exposures, c2=counts, t2=exposures, factor=some.floats(0.01, 100)
)
def test_the_unit_of_exposure_changes_nothing(
    c1: int, t1: float, c2: int, t2: float, factor: float
) -> None:
    one, other = two_rates(c1, t1, c2, t2), two_rates(c1, t1 * factor, c2, t2 * factor)
    assert other.p == pytest.approx(one.p, rel=1e-8, abs=1e-12)
    assert other.low == pytest.approx(one.low, rel=1e-8)


def test_no_failure_in_a_group_leaves_an_honest_blank() -> None:
    none_second = two_rates(4, 100.0, 0, 100.0)
    assert (none_second.ratio, none_second.high, none_second.exact_high) == (None, None, None)
    assert none_second.low is not None
    assert none_second.low > 0
    assert none_second.p == pytest.approx(0.5**4)
    none_first = two_rates(0, 100.0, 4, 100.0)
    assert (none_first.ratio, none_first.low, none_first.exact_low) == (0.0, 0.0, 0.0)
    assert none_first.high is not None
    nothing = two_rates(0, 100.0, 0, 50.0)
    assert (nothing.ratio, nothing.low, nothing.high, nothing.p) == (None, None, None, 1.0)


def test_the_p_says_which_it_is() -> None:
    found = two_rates(41, 28010, 15, 19017)
    assert found.p_is == P_IS
    assert "mid-P" in P_IS
    assert len({round(p, 4) for p in (found.p, found.p_doubled, found.p_least_likely)}) == 3


@pytest.mark.parametrize(
    ("c1", "t1", "c2", "t2", "confidence"),
    [
        (-1, 1.0, 2, 1.0, 0.95),
        (1, 0.0, 2, 1.0, 0.95),
        (1, 1.0, 2, -1.0, 0.95),
        (1, 1.0, 2, float("inf"), 0.95),
        (1, 1.0, 2, 1.0, 1.0),
    ],
)
def test_what_cannot_be_compared_is_said(
    c1: int, t1: float, c2: int, t2: float, confidence: float
) -> None:
    with pytest.raises(ValueError, match=r"[A-Z].*\."):
        two_rates(c1, t1, c2, t2, confidence)
