"""What the replacements of a workshop say about how often a part is wanted. Pure.

The rate is the count over the time it was looked for; its limits are the exact ones of a Poisson
mean (Garwood), so that a small count shows how little it says.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from jobs.base_stock import DAYS_A_MONTH, clumping_of
from jobs.poisson import limits

CONFIDENCE = 0.95
DAYS_A_YEAR = 12 * DAYS_A_MONTH
# Below these a rate is little more than a guess; the numbers are ours, no source.
VERY_SMALL, SMALL = 5, 10
# A clumping seen in fewer months or pieces than this is told from chance by nobody.
LEAST_MONTHS, LEAST_PIECES = 6, 4


class Strength(StrEnum):
    """How much a count says."""

    NONE = "none"
    VERY_SMALL = "very_small"
    SMALL = "small"
    FAIR = "fair"


@dataclass(frozen=True, slots=True)
class Demand:
    """`count` pieces in `days`; rates per day, with two-sided limits at 95 %.

    clumping: variance over mean of the whole months in it, 1 where it is not above chance or
    where too little was seen.
    """

    count: int
    days: float
    per_day: float
    low: float
    high: float
    clumping: float
    strength: Strength

    @property
    def often(self) -> bool:
        """Whether a month says more than a year: at least one is wanted in it."""
        return self.per_month >= 1

    @property
    def said(self) -> tuple[float, float, float]:
        """Rate, lower and upper limit, per month when `often`, else per year."""
        times = DAYS_A_MONTH if self.often else DAYS_A_YEAR
        return self.per_day * times, self.low * times, self.high * times

    @property
    def per_month(self) -> float:
        return self.per_day * DAYS_A_MONTH


def demand(days_ago: Sequence[float], days: float) -> Demand:
    """The demand behind pieces wanted so many days ago, all within the last `days`.

    Raises ValueError for a time of nought or a piece outside it.
    """
    if days <= 0:
        raise ValueError("A rate needs a time.")
    if any(not 0 <= ago <= days for ago in days_ago):
        raise ValueError("A piece lies outside the time.")
    count = len(days_ago)
    low, high = limits(count, CONFIDENCE)
    return Demand(
        count=count,
        days=days,
        per_day=count / days,
        low=low / days,
        high=high / days,
        clumping=_clumping(days_ago, days),
        strength=strength(count),
    )


def strength(count: int) -> Strength:
    """How much so many pieces say about a rate."""
    if count == 0:
        return Strength.NONE
    if count < VERY_SMALL:
        return Strength.VERY_SMALL
    return Strength.SMALL if count < SMALL else Strength.FAIR


def months(days_ago: Sequence[float], days: float) -> tuple[int, ...]:
    """Pieces in each whole month that fits into the time, the latest first."""
    counts = [0] * int(days / DAYS_A_MONTH)
    for ago in days_ago:
        index = int(ago / DAYS_A_MONTH)
        if index < len(counts):
            counts[index] += 1
    return tuple(counts)


def _clumping(days_ago: Sequence[float], days: float) -> float:
    counts = months(days_ago, days)
    if len(counts) < LEAST_MONTHS or sum(counts) < LEAST_PIECES:
        return 1.0
    return clumping_of(counts)
