"""The binomial and the hypergeometric law as tables of probabilities. Pure.

For what one row has of all that came: how many of N events fall to it by its share of exposure, or
how many of M things, N of them marked, are among its n. N. L. Johnson, A. W. Kemp, S. Kotz,
Univariate Discrete Distributions, chapters 3 and 6 (from memory); held against scipy.stats.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, eq=False)
class Law:
    """P(first), P(first + 1), ... summing to 1, with the mean and the variance."""

    first: int
    chances: NDArray[np.float64]
    mean: float
    variance: float

    def tails(self, count: int) -> tuple[float, float]:
        """P(more than `count`) and P(fewer), each with half of P(exactly `count`)."""
        place = count - self.first
        if place < 0:
            return 1.0, 0.0
        if place >= len(self.chances):
            return 0.0, 1.0
        own = float(self.chances[place])
        return (
            float(self.chances[place + 1 :].sum()) + own / 2,
            float(self.chances[:place].sum()) + own / 2,
        )

    def quantile(self, p: float) -> tuple[int, float, float]:
        """The first count that reaches p, the probability of at most that, and of exactly that."""
        reached = np.cumsum(self.chances)
        place = min(int(np.searchsorted(reached, p)), len(reached) - 1)
        return self.first + place, float(reached[place]), float(self.chances[place])


def binomial(count: int, of: int, share: float) -> float:
    """P(exactly `count`) of `of` tries that each succeed with chance `share`, between 0 and 1."""
    if not 0 <= count <= of:
        return 0.0
    return math.exp(_ways(of, count) + count * math.log(share) + (of - count) * math.log1p(-share))


def binomial_law(of: int, share: float) -> Law:
    """Of `of` events each falls to the row with chance `share`, from 0 to 1."""
    if of < 0 or not 0 <= share <= 1:
        raise ValueError("A chance lies between 0 and 1, a count is not below nought.")
    mean, variance = of * share, of * share * (1 - share)
    if of == 0 or share in (0.0, 1.0):
        return Law(round(mean), np.ones(1), mean, 0.0)
    counts = np.arange(of + 1)
    logs = _ways_of(of, counts) + counts * math.log(share) + (of - counts) * math.log1p(-share)
    return Law(0, _normed(logs), mean, variance)


def hypergeometric_law(drawn: int, marked: int, of: int) -> Law:
    """How many of `marked` among `of` are found in `drawn`."""
    if not (0 <= drawn <= of and 0 <= marked <= of):
        raise ValueError("A part is not larger than the whole.")
    if of == 0:
        return Law(0, np.ones(1), 0.0, 0.0)
    share = marked / of
    variance = drawn * share * (1 - share) * (of - drawn) / (of - 1) if of > 1 else 0.0
    first, last = max(0, drawn + marked - of), min(drawn, marked)
    counts = np.arange(first, last + 1)
    logs = _ways_of(marked, counts) + _ways_of(of - marked, drawn - counts)
    return Law(first, _normed(logs), drawn * share, variance)


def _normed(logs: NDArray[np.float64]) -> NDArray[np.float64]:
    weights = np.exp(logs - logs.max())
    return np.asarray(weights / weights.sum(), dtype=np.float64)


def _ways(of: int, count: int) -> float:
    return math.lgamma(of + 1) - math.lgamma(count + 1) - math.lgamma(of - count + 1)


def _ways_of(of: int, counts: NDArray[np.int64]) -> NDArray[np.float64]:
    """ln of the ways to choose each of `counts` out of `of`."""
    logs = _log_factorials(1 << of.bit_length())
    return np.asarray(logs[of] - logs[counts] - logs[of - counts], dtype=np.float64)


@lru_cache(maxsize=24)
def _log_factorials(size: int) -> NDArray[np.float64]:
    """ln of 0!, 1!, ... up to `size`!."""
    return np.array([math.lgamma(one + 1) for one in range(size + 1)])
