"""How many of one part to keep, when every piece taken is ordered again. Pure.

The level is the smallest s with P(demand in the lead time <= s) at least the target; when orders
go out only every R days, the demand of L + R days counts. The demand in the lead time is Poisson,
whatever the lead times' spread, if customers come one by one (C. Palm): only the mean lead time
matters. Counts that vary more than that are taken as negative binomial (jobs.poisson).
Sources: the rule as in W. J. Stevenson, Operations Management, 14th edition, example 15; expected
backorders as in C. C. Sherbrooke, Optimal Inventory Modeling of Systems (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from jobs.poisson import LEAST_CLUMPING, cdf, expected_beyond, more_than, quantile

DAYS_A_MONTH = 365.25 / 12
SOURCE = "Poisson base stock: smallest s with P(demand in the lead time <= s) >= target"


@dataclass(frozen=True, slots=True)
class Level:
    """`level` pieces, free or on order together.

    mean: pieces expected in the lead time. lasts: P(demand in it <= level), what the target asks.
    served: the share of customers who find one at once in the long run, P(demand < level).
    runs_out: 1 - lasts. missing: pieces owed to jobs on average. clumping: variance over mean,
    1 for Poisson.
    """

    level: int
    target: float
    mean: float
    lasts: float
    served: float
    runs_out: float
    missing: float
    clumping: float
    reason: str
    source: str = SOURCE


def lead_demand(per_day: float, lead_days: float, review_days: float = 0.0) -> float:
    """Pieces expected from one look at the shelf until what it orders has come.

    Raises ValueError for anything below nought.
    """
    if min(per_day, lead_days, review_days) < 0:
        raise ValueError("Rates and times are not below nought.")
    return per_day * (lead_days + review_days)


def base_stock(mean: float, target: float, clumping: float = 1.0) -> Level:
    """The level for `mean` pieces in the lead time and a target between 0 and 1.

    Raises ValueError for a target outside, or a mean that is negative or beyond 100,000.
    """
    if not 0 < target < 1:
        raise ValueError("A target lies between 0 and 100 percent.")
    return at_level(quantile(target, mean, clumping), mean, target, clumping)


def at_level(level: int, mean: float, target: float, clumping: float = 1.0) -> Level:
    """What keeping `level` would do, whoever chose it."""
    if level < 0:
        raise ValueError("A level is not below nought.")
    lasts = cdf(level, mean, clumping)
    return Level(
        level=level,
        target=target,
        mean=mean,
        lasts=lasts,
        served=cdf(level - 1, mean, clumping),
        runs_out=more_than(level, mean, clumping),
        missing=expected_beyond(level, mean, clumping),
        clumping=clumping,
        reason=_reason(level, mean, lasts, target, clumping),
    )


def clumping_of(counts: Sequence[int]) -> float:
    """Variance over mean of the counts of equal times, by moments; never below 1.

    The variance is the unbiased one (n - 1). Fewer than two times, or no piece at all, say
    nothing about it: 1. Below 1 is taken as chance.
    """
    if len(counts) < 2 or not any(counts):
        return 1.0
    mean = sum(counts) / len(counts)
    variance = sum((count - mean) ** 2 for count in counts) / (len(counts) - 1)
    return max(1.0, variance / mean)


def _reason(level: int, mean: float, lasts: float, target: float, clumping: float) -> str:
    law = "Poisson"
    if clumping >= LEAST_CLUMPING:
        law = f"negative binomial, variance {clumping:.1f} times the mean"
    meets = "at least" if lasts >= target else "less than"
    return (
        f"With {mean:.2f} expected in the lead time ({law}), at most {level} are asked for with "
        f"probability {lasts:.3f}, {meets} {target:.3f}."
    )
