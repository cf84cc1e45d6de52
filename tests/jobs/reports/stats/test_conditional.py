"""How often limits of a ratio hold the truth, worked out exactly over all outcomes."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from jobs.reports.stats.conditional import above, below, doubled

EXPECTED = ((1.0, 1.0), (3.0, 2.0), (3.0, 9.0), (8.0, 8.0), (20.0, 5.0))


def held(expected: tuple[float, float], own: float) -> float:
    """The probability that limits at 95 % hold the true ratio of two Poisson counts: that the test
    of the true ratio does not give p below 0.05. With nothing failed they hold anything."""
    total = sum(expected)
    share = expected[0] / total
    chance = 0.0
    for of in range(int(stats.poisson.ppf(1 - 1e-9, total)) + 1):
        counts = np.arange(of + 1)
        chances = stats.binom.pmf(counts, of, share)
        keep = [doubled(int(count), of, share, own) >= 0.05 for count in counts]
        chance += float(stats.poisson.pmf(of, total) * chances[keep].sum())
    return chance


@pytest.mark.parametrize("expected", EXPECTED)
def test_exact_limits_hold_the_truth_at_least_as_often_as_they_say(
    expected: tuple[float, float],
) -> None:
    assert held(expected, 1.0) >= 0.95


@pytest.mark.parametrize("expected", EXPECTED)
def test_mid_p_limits_hold_it_about_as_often_as_they_say(expected: tuple[float, float]) -> None:
    mid = held(expected, 0.5)
    assert mid >= 0.94
    assert abs(mid - 0.95) <= abs(held(expected, 1.0) - 0.95) + 1e-12


@pytest.mark.parametrize("own", [0.5, 1.0])
def test_the_tails_share_or_count_twice_what_was_seen(own: float) -> None:
    for count in range(13):
        both = above(count, 12, 0.3, own) + below(count, 12, 0.3, own)
        seen = float(stats.binom.pmf(count, 12, 0.3))
        assert both == pytest.approx(1 + (2 * own - 1) * seen, abs=1e-12)
