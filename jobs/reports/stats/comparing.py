"""Two rates against each other: does one group fail more often than the other? Pure.

Given how many failed altogether, the first group's part of them is binomial: with the same rate in
both its chance is t1 / (t1 + t2), with the first rate R times the second R t1 / (R t1 + t2). No
normal law is needed, and no count is too small (J. Przyborowski, H. Wilenski, Biometrika 31, 1940;
K. J. Rothman, S. Greenland, Modern Epidemiology; both from memory).

There are several honest two-sided p-values of this test, and they differ. `p` here is the doubled
mid-P: twice the smaller tail, what was seen itself counted by half. `p_doubled` counts it whole,
`p_least_likely` sums all outcomes no likelier than the one seen. `low` and `high` belong to `p`:
they leave out 1 when p is below one minus the confidence. `exact_low` and `exact_high` belong to
`p_doubled`, are wider, and hold the truth at least as often as they say.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from jobs.reports.stats.conditional import doubled, least_likely, ratio_where

P_IS = (
    "Exact test given the sum of both counts; two-sided p by doubling the smaller tail, "
    "with the outcome seen counted by half (mid-P)."
)


@dataclass(frozen=True, slots=True)
class Compared:
    """The first rate over the second.

    ratio, high: None when nothing failed in the second group, for then there is no upper end;
    ratio and both limits are None when nothing failed in either.
    """

    count_1: int
    exposure_1: float
    count_2: int
    exposure_2: float
    ratio: float | None
    low: float | None
    high: float | None
    exact_low: float | None
    exact_high: float | None
    p: float
    p_doubled: float
    p_least_likely: float
    confidence: float
    p_is: str = P_IS


@lru_cache(maxsize=4096)
def two_rates(
    count_1: int, exposure_1: float, count_2: int, exposure_2: float, confidence: float = 0.95
) -> Compared:
    """Compares count_1 in exposure_1 with count_2 in exposure_2 (the same unit of exposure).

    Raises ValueError for a count below nought or an exposure that is not above it.
    """
    _check(count_1, exposure_1, count_2, exposure_2, confidence)
    of, share = count_1 + count_2, exposure_1 / (exposure_1 + exposure_2)
    tail = (1 - confidence) / 2
    scale = exposure_2 / exposure_1
    low, high = ratio_where(count_1, of, scale, tail, 0.5)
    exact_low, exact_high = ratio_where(count_1, of, scale, tail, 1.0)
    ratio = None if count_2 == 0 else (count_1 / count_2) * scale
    return Compared(
        count_1=count_1,
        exposure_1=exposure_1,
        count_2=count_2,
        exposure_2=exposure_2,
        ratio=ratio,
        low=low,
        high=high,
        exact_low=exact_low,
        exact_high=exact_high,
        p=doubled(count_1, of, share, 0.5),
        p_doubled=doubled(count_1, of, share, 1.0),
        p_least_likely=least_likely(count_1, of, share),
        confidence=confidence,
    )


def _check(
    count_1: int, exposure_1: float, count_2: int, exposure_2: float, confidence: float
) -> None:
    if count_1 < 0 or count_2 < 0:
        raise ValueError("A count is not below nought.")
    if not all(t > 0 and math.isfinite(t) for t in (exposure_1, exposure_2)):
        raise ValueError("Two rates are compared where both groups were followed for some time.")
    if not 0 < confidence < 1:
        raise ValueError("A confidence lies between 0 and 1.")
