"""How many come by chance when so many are expected: the Poisson law and its wider kin. Pure.

Counts are whole numbers from 0, means are expected counts from 0 to 100,000. Sums run from the
largest term outwards, so that neither a tail nor a large mean loses its digits. The wider law is
the negative binomial with variance `clumping` times the mean: what comes of a Poisson stream of
customers who each take one or several; with clumping 1 it is the Poisson law itself.
Sources: N. L. Johnson, A. W. Kemp, S. Kotz, Univariate Discrete Distributions, chapters 4 and 5
(from memory); exact limits: F. Garwood, Biometrika 28 (1936) 437-442 (from memory).
"""

from __future__ import annotations

import math
import sys
from collections.abc import Iterator

LARGEST_MEAN = 1e5
LEAST_CLUMPING = 1.0 + 1e-9  # closer to one than this is the Poisson law
_NEGLIGIBLE = 1e-18
# Below this a float is rounded so coarsely that a shrinking term may never reach nought.
_NOTHING = sys.float_info.min
_HALVINGS = 200


def pmf(count: int, mean: float, clumping: float = 1.0) -> float:
    """The probability of exactly `count`. Raises ValueError for a mean that cannot be."""
    _check(mean, clumping)
    if count < 0:
        return 0.0
    if mean == 0:
        return 1.0 if count == 0 else 0.0
    if clumping < LEAST_CLUMPING:
        return math.exp(count * math.log(mean) - mean - math.lgamma(count + 1))
    size = mean / (clumping - 1)
    if size == 0:
        return 1.0 if count == 0 else 0.0
    ways = math.lgamma(count + size) - math.lgamma(size) - math.lgamma(count + 1)
    return math.exp(ways - size * math.log(clumping) + count * math.log1p(-1 / clumping))


def cdf(count: int, mean: float, clumping: float = 1.0) -> float:
    """The probability of at most `count`."""
    if count < 0:
        return 0.0
    if count < mean:
        return min(1.0, math.fsum(p for _k, p in _downwards(count, mean, clumping)))
    return 1.0 - more_than(count, mean, clumping)


def more_than(count: int, mean: float, clumping: float = 1.0) -> float:
    """The probability of more than `count`, exact where it is small."""
    if count < mean:
        return 1.0 - cdf(count, mean, clumping)
    return min(1.0, math.fsum(p for _k, p in _upwards(count + 1, mean, clumping)))


def quantile(probability: float, mean: float, clumping: float = 1.0) -> int:
    """The smallest s with P(at most s) >= `probability`, which lies between 0 and 1."""
    if not 0 < probability < 1:
        raise ValueError("A probability lies between 0 and 1.")
    low, high = -1, 1
    while cdf(high, mean, clumping) < probability:
        low, high = high, high * 2
    while high - low > 1:
        middle = (low + high) // 2
        if cdf(middle, mean, clumping) < probability:
            low = middle
        else:
            high = middle
    return high


def expected_beyond(count: int, mean: float, clumping: float = 1.0) -> float:
    """E(D - count)+: how many are missing on average when `count` lie there."""
    _check(mean, clumping)
    if count < 0:
        raise ValueError("A level is not below nought.")
    if count < mean:
        left = math.fsum((count - k) * p for k, p in _downwards(count, mean, clumping))
        return mean - count + left
    return math.fsum((k - count) * p for k, p in _upwards(count + 1, mean, clumping))


def limits(count: int, confidence: float = 0.95) -> tuple[float, float]:
    """The exact (Garwood) two-sided limits of the mean, when `count` were seen.

    Lower: P(at least `count`) = (1 - confidence) / 2; upper: P(at most `count`) = the same.
    """
    if count < 0 or not 0 < confidence < 1:
        raise ValueError("A count is not below nought; a confidence lies between 0 and 1.")
    tail = (1 - confidence) / 2
    lower = 0.0 if count == 0 else _mean_where(count - 1, 1 - tail)
    return lower, _mean_where(count, tail)


def _mean_where(count: int, probability: float) -> float:
    """The mean at which P(at most `count`) is `probability`; it falls as the mean grows."""
    low, high = 0.0, count + 1.0
    while cdf(count, high) > probability:
        low, high = high, high * 2
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if cdf(count, middle) > probability:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _downwards(count: int, mean: float, clumping: float) -> Iterator[tuple[int, float]]:
    """(k, P(exactly k)) for k = count, count - 1, ... while it matters."""
    term, largest = pmf(count, mean, clumping), 0.0
    for k in range(count, -1, -1):
        largest = max(largest, term)
        if term <= largest * _NEGLIGIBLE:
            return
        yield k, term
        if k:
            term /= _ratio(k - 1, mean, clumping)


def _upwards(count: int, mean: float, clumping: float) -> Iterator[tuple[int, float]]:
    term, k, largest = pmf(count, mean, clumping), count, 0.0
    while term > max(largest * _NEGLIGIBLE, _NOTHING):
        largest = max(largest, term)
        yield k, term
        term *= _ratio(k, mean, clumping)
        k += 1


def _ratio(k: int, mean: float, clumping: float) -> float:
    """P(k + 1) over P(k)."""
    if clumping < LEAST_CLUMPING:
        return mean / (k + 1)
    # (k + size) / (k + 1) times (clumping - 1) / clumping, with size = mean / (clumping - 1)
    return (k * (clumping - 1) + mean) / ((k + 1) * clumping)


def _check(mean: float, clumping: float) -> None:
    if not 0 <= mean <= LARGEST_MEAN:
        raise ValueError(f"A mean lies between 0 and {LARGEST_MEAN:.0f}.")
    if not (clumping >= 1 and math.isfinite(clumping)):
        raise ValueError("Counts that clump vary more than by chance: at least 1.")
