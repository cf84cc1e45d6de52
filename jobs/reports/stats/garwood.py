"""The exact limits of a Poisson mean, quickly for any count. Pure.

The same as jobs.poisson.limits (F. Garwood, Biometrika 28, 1936, from memory), which takes longer
the more were counted and goes to 100,000. Held against scipy in the tests.
"""

from __future__ import annotations

import math
from functools import lru_cache
from statistics import NormalDist

from jobs import poisson

_FEW, _MANY = 30, 50_000
_STEPS, _CLOSE = 12, 1e-13


@lru_cache(maxsize=4096)
def garwood(count: int, confidence: float) -> tuple[float, float]:
    """The two-sided limits of the mean, when `count` were seen; raises ValueError for a count or a
    confidence that cannot be."""
    if count <= _FEW or not 0 < confidence < 1:
        return poisson.limits(count, confidence)
    tail = (1 - confidence) / 2
    return _mean_where(count - 1, 1 - tail), _mean_where(count, tail)


def _mean_where(count: int, probability: float) -> float:
    """The mean at which P(at most `count`) is `probability`, for more than a few counted.

    Newton's way from the cube-root form of E. B. Wilson and M. M. Hilferty (1931), which for very
    many counted is near enough by itself (relative error below 1e-8).
    """
    half = count + 1  # of the degrees of freedom of the chi-square law
    z = -NormalDist().inv_cdf(probability)
    mean = half * (1 - 1 / (9 * half) + z / (3 * math.sqrt(half))) ** 3
    for _ in range(_STEPS if count <= _MANY else 0):
        step = (poisson.cdf(count, mean) - probability) / poisson.pmf(count, mean)
        mean += step
        if abs(step) <= _CLOSE * mean:
            break
    return mean
