"""The tails of a binomial count, the p-values made of them, and the ratios they allow. Pure.

`own` is the part by which what was seen counts in its tail: 1 for the exact tail, 0.5 for mid-P.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from jobs.reports.stats import beta, laws

_HALVINGS = 200
_AS_LIKELY = 1 + 1e-7  # two outcomes this near to each other are equally likely, but for rounding


def above(count: int, of: int, share: float, own: float) -> float:
    """P(more than `count`) and `own` times P(exactly `count`): it grows with the share."""
    tail = beta.at_least(count, of, share)
    return tail if own == 1 else own * tail + (1 - own) * beta.at_least(count + 1, of, share)


def below(count: int, of: int, share: float, own: float) -> float:
    """P(fewer than `count`) and `own` times P(exactly `count`): it falls as the share grows."""
    tail = beta.at_most(count, of, share)
    return tail if own == 1 else own * tail + (1 - own) * beta.at_most(count - 1, of, share)


def doubled(count: int, of: int, share: float, own: float) -> float:
    """The two-sided p: twice the smaller tail, at most 1."""
    return min(1.0, 2 * min(above(count, of, share, own), below(count, of, share, own)))


def least_likely(count: int, of: int, share: float) -> float:
    """The sum of all outcomes no likelier than `count`, from the two ends inwards."""
    if of == 0:
        return 1.0
    most = laws.binomial(count, of, share) * _AS_LIKELY
    mode = min(of, math.floor((of + 1) * share))
    if count == mode:
        return 1.0
    if count < mode:
        other = _first(lambda k: laws.binomial(k, of, share) <= most, mode, of + 1)
        return min(1.0, beta.at_most(count, of, share) + beta.at_least(other, of, share))
    other = mode - _first(lambda k: laws.binomial(mode - k, of, share) <= most, 0, mode + 1)
    return min(1.0, beta.at_least(count, of, share) + beta.at_most(other, of, share))


def ratio_where(
    count: int, of: int, scale: float, tail: float, own: float
) -> tuple[float | None, float | None]:
    """The ratios at which the tail above, and the tail below, `count` has probability `tail`.

    `own`: the part by which what was seen counts in its tail, 1 (exact) or 0.5 (mid-P). None where
    there is no such ratio; nought below when none was seen in the first group.
    """
    if of == 0:
        return None, None
    low = 0.0 if count == 0 else _odds(_solved(lambda q: above(count, of, q, own), tail)) * scale
    if count == of:
        return low, None
    return low, _odds(_solved(lambda q: 1 - below(count, of, q, own), 1 - tail)) * scale


def _first(holds: Callable[[int], bool], low: int, beyond: int) -> int:
    """The first whole number from `low` for which `holds`, or `beyond`; once true, it stays so."""
    while low < beyond:
        middle = (low + beyond) // 2
        if holds(middle):
            beyond = middle
        else:
            low = middle + 1
    return low


def _solved(rising: Callable[[float], float], at: float) -> float:
    """Where a rising function of a share reaches `at`."""
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if rising(middle) < at:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _odds(share: float) -> float:
    return share / (1 - share) if share < 1 else math.inf
