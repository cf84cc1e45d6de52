"""Do rows that should be alike scatter more than by chance, and what follows. Pure.

Units of one kind often differ by more than chance from place to place; from ten rows on this spread
is measured and widens the limits. It is measured by the median, not by the mean square of values
drawn in at both ends: with two bad batches among a dozen the latter is made by just those, and
hides them (docs/statistics.md has the figures).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import NormalDist, median

LEAST_ROWS_TO_SPREAD = 10  # with fewer one outstanding row would hide itself by widening the limits
_NORMAL_DISTANCE = NormalDist().inv_cdf(0.75)


def widened(limit: float, centre: float, spread: float) -> float:
    """A limit moved away from the centre by the root of the spread, never below nought."""
    return max(0.0, centre + (limit - centre) * math.sqrt(max(1.0, spread)))


def overdispersion(zs: Sequence[float]) -> float:
    """phi: by how much standardised values scatter more than by chance, as a variance.

    The median distance from the median over that of the normal law, squared: up to half of the
    rows may stand out without touching it. 1 when there are fewer than ten rows, or when they
    scatter less than by chance. F. R. Hampel (1974) (from memory).
    """
    if len(zs) < LEAST_ROWS_TO_SPREAD:
        return 1.0
    middle = median(zs)
    return max(1.0, (median(abs(z - middle) for z in zs) / _NORMAL_DISTANCE) ** 2)


def wider(p: float, spread: float) -> float:
    """The p-value when everything scatters more than by chance."""
    if spread <= 1 or not 0 < p < 1:
        return p
    normal = NormalDist()
    return 2 * normal.cdf(normal.inv_cdf(p / 2) / math.sqrt(spread))
