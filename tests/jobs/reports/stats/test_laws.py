"""The binomial and the hypergeometric law, against scipy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from scipy import stats

from jobs.reports.stats.laws import binomial, binomial_law, hypergeometric_law


@settings(deadline=None)
@given(of=some.integers(1, 1500), share=some.floats(1e-6, 1 - 1e-6))
def test_the_binomial_law(of: int, share: float) -> None:
    law = binomial_law(of, share)
    expected = stats.binom.pmf(np.arange(of + 1), of, share)
    assert law.chances == pytest.approx(expected, abs=1e-11)
    assert law.mean == pytest.approx(of * share)
    assert law.variance == pytest.approx(of * share * (1 - share))


@settings(deadline=None)
@given(data=some.data(), of=some.integers(1, 900))
def test_the_hypergeometric_law(data: some.DataObject, of: int) -> None:
    drawn, marked = data.draw(some.integers(0, of)), data.draw(some.integers(0, of))
    law = hypergeometric_law(drawn, marked, of)
    counts = np.arange(law.first, law.first + len(law.chances))
    assert law.chances == pytest.approx(stats.hypergeom.pmf(counts, of, marked, drawn), abs=1e-11)
    assert law.mean == pytest.approx(float(counts @ law.chances), abs=1e-8)
    spread = float((counts - law.mean) ** 2 @ law.chances)
    assert law.variance == pytest.approx(spread, rel=1e-6, abs=1e-8)


@settings(deadline=None)
@given(of=some.integers(1, 300), share=some.floats(0.001, 0.999), count=some.integers(-2, 305))
def test_the_tails_share_what_was_seen(of: int, share: float, count: int) -> None:
    above, below = binomial_law(of, share).tails(count)
    law = stats.binom(of, share)
    assert above == pytest.approx(float(law.sf(count) + law.pmf(count) / 2), abs=1e-11)
    assert above + below == pytest.approx(1, abs=1e-11)


@settings(deadline=None)
@given(of=some.integers(1, 300), share=some.floats(0.01, 0.99), p=some.floats(0.001, 0.999))
def test_a_quantile_is_the_first_count_that_reaches_p(of: int, share: float, p: float) -> None:
    count, reached, own = binomial_law(of, share).quantile(p)
    assert reached >= p - 1e-12
    assert reached - own < p + 1e-12
    assert own == pytest.approx(binomial(count, of, share), rel=1e-9, abs=1e-14)


def test_the_ends() -> None:
    assert binomial(-1, 3, 0.5) == binomial(4, 3, 0.5) == 0
    assert binomial_law(0, 0.3).tails(0) == (0.5, 0.5)
    assert binomial_law(7, 1.0).tails(7) == (0.5, 0.5)
    assert binomial_law(7, 0.0).tails(1) == (0.0, 1.0)
    assert hypergeometric_law(0, 0, 0).mean == 0
    for of, share in ((-1, 0.5), (3, 1.5)):
        with pytest.raises(ValueError, match=r"\.$"):
            binomial_law(of, share)
    with pytest.raises(ValueError, match="larger than the whole"):
        hypergeometric_law(4, 1, 3)
