"""Whether failures come early or with wear: of many kinds at once no oftener than promised."""

from __future__ import annotations

import numpy as np
import pytest
from lifelines import ExponentialFitter, WeibullFitter
from scipy.stats import chi2

from jobs.reports.figures.failure_tables import Curve, patterns
from jobs.reports.stats.counts import Counts, from_lives
from jobs.reports.stats.life_table import life_table
from jobs.reports.stats.weibull import WeibullFit, fit


def _drawn(shape: float, many: int, random: np.random.Generator) -> Counts:
    """Units watched for at most 300 days, a fifth to a half of which fail."""
    lasts = np.ceil(400 * random.weibull(shape, many))
    watched = np.ceil(random.uniform(100, 300, many))
    return from_lives(np.zeros(many), np.minimum(lasts, watched), lasts <= watched)


def _curve(counts: Counts) -> Curve:
    return Curve(life_table(counts), fit(counts))


@pytest.mark.parametrize("shape", [0.7, 1.0, 1.8])
def test_the_p_of_a_steady_rate_is_that_of_the_likelihoods(shape: float) -> None:
    """lifelines' logarithms of both likelihoods, scipy's chi-square of one degree."""
    random = np.random.default_rng(5)
    lasts, watched = np.ceil(400 * random.weibull(shape, 80)), random.uniform(100, 300, 80)
    ages, failed = np.minimum(lasts, watched), lasts <= watched
    found = fit(from_lives(np.zeros(80), ages, failed))
    assert isinstance(found, WeibullFit)
    full = WeibullFitter().fit(ages, failed).log_likelihood_
    steady = ExponentialFitter().fit(ages, failed).log_likelihood_
    assert found.p == pytest.approx(float(chi2.sf(2 * (full - steady), 1)), rel=1e-3)


def test_where_nothing_wears_one_of_many_is_called_no_oftener_than_one_in_twenty() -> None:
    """Two hundred shops of fifteen kinds that fail at any age alike; of two hundred, more than
    eighteen would be seen once in 60. Each by itself, one of fifteen would be called in half."""
    random = np.random.default_rng(20261128)
    together = alone = 0
    for _shop in range(200):
        kinds = {f"kind {at}": _curve(_drawn(1.0, 60, random)) for at in range(15)}
        together += any(one in ("early", "wear_out") for one in patterns(kinds).values())
        alone += any(
            isinstance(one.fit, WeibullFit) and one.fit.pattern in ("early", "wear_out")
            for one in kinds.values()
        )
    assert together <= 18
    assert alone > 60


def test_what_wears_out_is_found_among_those_that_do_not() -> None:
    random = np.random.default_rng(8)
    kinds = {f"kind {at}": _curve(_drawn(1.0, 60, random)) for at in range(14)}
    kinds["worn"] = _curve(_drawn(2.6, 300, random))
    found = patterns(kinds)
    assert found["worn"] == "wear_out"
    assert len(found) == 15


def test_too_few_failures_have_no_pattern() -> None:
    assert patterns({"few": _curve(from_lives([0] * 20, [100] * 20, [1] * 4 + [0] * 16))}) == {}
