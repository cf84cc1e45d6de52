"""Between which limits a count, or a share, falls by chance when its law is known. Pure.

Limits of prediction, interpolated between the steps of the exact law, for drawing a funnel: with r
the first count that reaches probability p, r - (F(r) - p) / f(r), never below nought.
D. J. Spiegelhalter, Statist. Med. 24 (2005) 1185-1202, appendix A.1.1 (from memory).
"""

from __future__ import annotations

from functools import lru_cache

from jobs import poisson
from jobs.reports.stats import beta, laws


@lru_cache(maxsize=8192)
def poisson_limits(expected: float, p: float) -> float:
    """The ratio of observed to expected below which chance falls with probability p.

    Raises ValueError unless something is expected and 0 < p < 1.
    """
    if not 0 < expected <= poisson.LARGEST_MEAN:
        raise ValueError("A funnel needs an expected count above nought.")
    count = poisson.quantile(p, expected)
    reached = poisson.cdf(count, expected)
    return between(count, reached, poisson.pmf(count, expected), p) / expected


@lru_cache(maxsize=8192)
def share_limits(of: int, share: float, p: float) -> float:
    """The share of `of` below which chance falls with probability p, when the true one is `share`.

    Raises ValueError unless there is something, and share and p lie between 0 and 1.
    """
    if of < 1 or not 0 < share < 1 or not 0 < p < 1:
        raise ValueError("A funnel of shares needs cells, and a share between none and all.")
    low, high = -1, of
    while high - low > 1:
        middle = (low + high) // 2
        if beta.at_most(middle, of, share) < p:
            low = middle
        else:
            high = middle
    return between(high, beta.at_most(high, of, share), laws.binomial(high, of, share), p) / of


def between(count: int, reached: float, own: float, p: float) -> float:
    """Between the steps of a law: `count` is the first that reaches p, `own` its probability."""
    if own <= 0:
        return float(count)
    return max(0.0, count - (reached - p) / own)
