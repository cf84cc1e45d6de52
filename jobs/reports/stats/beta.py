"""The beta and the binomial law, without a library: exact limits of shares hang on them. Pure.

The incomplete beta function by its continued fraction (modified Lentz), as in W. H. Press and
others, Numerical Recipes, section 6.4 (from memory); quantiles by bisection. Held against
scipy.special in the tests: absolute error below 1e-12 for a + b up to 20,000, relative error of a
quantile below 1e-10.
"""

from __future__ import annotations

import math

_TINY = 1e-300
_CLOSE = 1e-16
_TERMS = 20_000
_HALVINGS = 200


def cdf(x: float, a: float, b: float) -> float:
    """P(B <= x) of a beta law with shapes a and b, both above nought; x from 0 to 1.

    Raises ValueError for anything else.
    """
    if not (a > 0 and b > 0 and 0 <= x <= 1):
        raise ValueError("A beta law has shapes above nought, and is asked from 0 to 1.")
    if x in (0.0, 1.0):
        return float(x)
    ways = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b)
    front = math.exp(ways + a * math.log(x) + b * math.log1p(-x))
    if x < (a + 1) / (a + b + 2):
        return min(1.0, front * _fraction(x, a, b) / a)
    return max(0.0, 1.0 - front * _fraction(1 - x, b, a) / b)


def quantile(probability: float, a: float, b: float) -> float:
    """The x with P(B <= x) = `probability`, which lies between 0 and 1."""
    if not 0 < probability < 1:
        raise ValueError("A probability lies between 0 and 1.")
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if cdf(middle, a, b) < probability:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def at_most(count: int, of: int, share: float) -> float:
    """P(at most `count`) of a binomial law: `of` tries that each succeed with chance `share`."""
    if count < 0:
        return 0.0
    if count >= of:
        return 1.0
    return cdf(1 - share, of - count, count + 1)


def at_least(count: int, of: int, share: float) -> float:
    """P(at least `count`), exact where it is small."""
    if count <= 0:
        return 1.0
    if count > of:
        return 0.0
    return cdf(share, count, of - count + 1)


def _fraction(x: float, a: float, b: float) -> float:
    """The continued fraction of the incomplete beta function; quick for x below the mean."""
    c, d = 1.0, 1.0 / _away(1 - (a + b) * x / (a + 1))
    found = d
    for m in range(1, _TERMS):
        for step in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1.0 / _away(1 + step * d)
            c = _away(1 + step / c)
            change = d * c
            found *= change
        if abs(change - 1) < _CLOSE:
            break
    return found


def _away(value: float) -> float:
    """`value`, kept away from nought, by which is divided."""
    return value if abs(value) > _TINY else _TINY
