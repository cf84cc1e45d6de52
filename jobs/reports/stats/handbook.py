"""The trend test of the military handbook: does the rate of failing go with a power of time? Pure.

For one thing watched from 0 to T, 2 sum ln(T / t) is chi-square with 2n degrees of freedom if
nothing changes; it is small when things worsen. MIL-HDBK-189 (1981); L. H. Crow (1974), both as
quoted in the NIST/SEMATECH e-Handbook 8.2.3.4 (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from jobs import poisson
from jobs.reports.stats.trend import Direction, direction_of


@dataclass(frozen=True, slots=True)
class Military:
    """chi2 with df degrees of freedom; p is two-sided, by doubling the smaller tail.

    shape: of the power law, n / sum ln(T / t); above 1 when things worsen.
    """

    chi2: float
    df: int
    p: float
    shape: float
    events: int
    direction: Direction


def military(times: Sequence[float], end: float, *, ends_with_event: bool = False) -> Military:
    """2 sum ln(T / t) over one thing watched from 0 to `end`; raises ValueError for a time that is
    not above 0 and at most `end`, or when no event is left to judge by."""
    if not all(0 < t <= end for t in times):
        raise ValueError("Events lie within the time that was watched, after its start.")
    used = sorted(times)[:-1] if ends_with_event else list(times)
    half = math.fsum(math.log(end / t) for t in used)
    if half <= 0:
        raise ValueError("There is no trend in nothing.")
    count = len(used)
    # A chi-square of 2n degrees exceeds x as often as a Poisson count of mean x / 2 is below n.
    above = poisson.cdf(count - 1, half)
    p = min(1.0, 2 * min(above, poisson.more_than(count - 1, half)))
    sign = 0.5 - above if p < 1 else 0.0
    return Military(
        2 * half, 2 * count, p, len(times) / half, len(times), direction_of(-sign, p, count)
    )
