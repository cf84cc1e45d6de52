"""Many looked at: how many of those that stand out do so by chance alone? Pure.

Y. Benjamini, Y. Hochberg, J. R. Statist. Soc. B 57 (1995) 289-300: of those called outstanding at
an adjusted p below q, a share of at most q is so by chance on average.
"""

from __future__ import annotations

from collections.abc import Sequence


def benjamini_hochberg(ps: Sequence[float]) -> tuple[float, ...]:
    """The adjusted p of each, in the order given; never below its own p, and at most 1.

    Raises ValueError for a p outside 0 to 1.
    """
    if not all(0 <= p <= 1 for p in ps):
        raise ValueError("A p-value lies between 0 and 1.")
    adjusted = [1.0] * len(ps)
    least = 1.0
    largest_first = sorted(range(len(ps)), key=lambda one: ps[one], reverse=True)
    for rank, one in zip(range(len(ps), 0, -1), largest_first, strict=True):
        # m p / rank is never below p; the division is last, so that rounding keeps it so
        least = min(least, max(ps[one], ps[one] * len(ps) / rank))
        adjusted[one] = least
    return tuple(adjusted)
