"""How sure a rate or a share is that was counted: exact limits. Pure.

A rate is a count over the exposure it was counted in; its limits are those of a Poisson mean
(F. Garwood, Biometrika 28, 1936, from memory). A share is a count out of so many; its limits are
those of a binomial chance (C. J. Clopper, E. S. Pearson, Biometrika 26, 1934, from memory). Both
hold the truth at least as often as they say, for any truth. They are limits of what was measured,
not the range in which a next count falls (that is jobs.reports.stats.funnel).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from jobs.reports.stats import beta
from jobs.reports.stats.garwood import garwood

CONFIDENCE = 0.95
RATE_SOURCE = "Exact Poisson limits (Garwood 1936)"
SHARE_SOURCE = "Exact binomial limits (Clopper and Pearson 1934)"


@dataclass(frozen=True, slots=True)
class Rate:
    """`count` in `exposure`: how many per unit of exposure, with its limits."""

    count: int
    exposure: float
    rate: float
    low: float
    high: float
    confidence: float = CONFIDENCE
    source: str = RATE_SOURCE

    def per(self, unit: float) -> Rate:
        """The same rate per `unit` of exposure: per(100) of unit-months is per hundred."""
        if not (unit > 0 and math.isfinite(unit)):
            raise ValueError("A rate is told per an exposure above nought.")
        return Rate(
            self.count,
            self.exposure / unit,
            self.rate * unit,
            self.low * unit,
            self.high * unit,
            self.confidence,
        )


@dataclass(frozen=True, slots=True)
class Share:
    """`count` out of `of`, with its limits between 0 and 1."""

    count: int
    of: int
    share: float
    low: float
    high: float
    confidence: float = CONFIDENCE
    source: str = SHARE_SOURCE


def rate_limits(count: int, exposure: float, confidence: float = CONFIDENCE) -> Rate:
    """The rate of `count` events in `exposure`, with limits at `confidence`.

    With none counted the lower limit is nought and the upper one is not. Raises ValueError without
    exposure: a rate of nothing is not nought (`rate_if_any` gives a blank instead).
    """
    if not (exposure > 0 and math.isfinite(exposure)):
        raise ValueError("Nothing was followed: there is no rate without exposure.")
    low, high = garwood(count, confidence)
    return Rate(count, exposure, count / exposure, low / exposure, high / exposure, confidence)


def rate_if_any(count: int, exposure: float, confidence: float = CONFIDENCE) -> Rate | None:
    """`rate_limits`, or None when nothing was followed."""
    if count == 0 and exposure == 0:
        return None
    return rate_limits(count, exposure, confidence)


def upper_alone(count: int, confidence: float = CONFIDENCE) -> float:
    """What a Poisson mean is at most, one-sided: 2.9957 when none was counted (95 %)."""
    return garwood(count, 2 * confidence - 1)[1]


@lru_cache(maxsize=4096)
def share_limits(count: int, of: int, confidence: float = CONFIDENCE) -> Share:
    """The share of `count` out of `of`, with limits at `confidence`.

    Raises ValueError for none at all, or for more than there are.
    """
    if of < 1:
        raise ValueError("There is no share of nothing.")
    if not 0 <= count <= of:
        raise ValueError("A share counts from none to all.")
    if not 0 < confidence < 1:
        raise ValueError("A confidence lies between 0 and 1.")
    tail = (1 - confidence) / 2
    low = 0.0 if count == 0 else beta.quantile(tail, count, of - count + 1)
    high = 1.0 if count == of else beta.quantile(1 - tail, count + 1, of - count)
    return Share(count, of, count / of, low, high, confidence)


def share_if_any(count: int, of: int, confidence: float = CONFIDENCE) -> Share | None:
    """`share_limits`, or None when there was nothing to be a share of."""
    return None if count == 0 and of == 0 else share_limits(count, of, confidence)
