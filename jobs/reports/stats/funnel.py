"""Who lies outside what chance gives: funnel limits and screening. Pure; never a ranking.

A small shop's supplier, batch or person has few counts, and few counts scatter widely. The funnel
shows between which limits a cell of that size falls by chance when it is like all others
(D. J. Spiegelhalter, Statist. Med. 24, 2005, 1185-1202, appendix A.1.1: limits interpolated between
the steps of the exact law). They are limits of prediction: those of an interval of confidence are
too wide for it (S. E. Seaton, B. N. Manktelow, Statist. Med. 31, 2012).

`screen` judges each row against all the others: given how many came altogether, a row's part of
them is binomial (counts in an exposure) or hypergeometric (so many out of so many), so the row
itself cannot hide in the mean it is held against. Two-sided p: the smaller tail doubled, what was
seen counted by half (mid-P). It is this p that judges: a limit drawn between two steps of the law
lies a little inside them, and a count just beyond it may well be chance. Over the rows large
enough to judge the p-values are adjusted (jobs.reports.stats.discovery).

Cells that differ in age or mix are screened with the count expected of each (from the hazard of
all, summed over its own follow-up) in the place of its exposure. From ten rows on a spread beyond
chance widens the limits (jobs.reports.stats.spread).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from jobs.reports.stats import laws
from jobs.reports.stats.discovery import benjamini_hochberg
from jobs.reports.stats.prediction import between, poisson_limits, share_limits
from jobs.reports.stats.spread import overdispersion, widened, wider

__all__ = [
    "Counted",
    "Part",
    "Screened",
    "Screening",
    "Side",
    "overdispersion",
    "poisson_limits",
    "screen",
    "share_limits",
    "widened",
]

# Our own advice, from no source. Below one expected, two would already stand out, and one vehicle
# with a fault of its own would be enough for that.
LEAST_EXPECTED = 1.0
LEAST_OF = 5  # out of fewer no share is told
LEVEL = 0.05

Side = Literal["", "high", "low"]


@dataclass(frozen=True, slots=True)
class Counted:
    """`observed` events in `exposure`."""

    observed: int
    exposure: float


@dataclass(frozen=True, slots=True)
class Part:
    """`observed` out of `of`."""

    observed: int
    of: int


@dataclass(frozen=True, slots=True)
class Screened:
    """One row, judged against all the others.

    expected: what it would have if it were like all rows together. ratio: observed over expected,
    None when none is expected. low, high: between which counts it falls with 95 % when it is like
    the others (interpolated, as drawn in a funnel). p: None when it is too small to judge;
    adjusted: p for having looked at so many. outside: adjusted p below 5 %, on the `side` named.
    """

    observed: int
    expected: float
    ratio: float | None
    low: float
    high: float
    p: float | None
    adjusted: float | None
    outside: bool
    side: Side
    too_small: bool


@dataclass(frozen=True, slots=True)
class Screening:
    """The rows in the order given, never in that of their numbers.

    judged: how many were large enough. spread: phi, by how much the variance exceeds chance (1 when
    it does not, or when there are fewer than ten rows to tell).
    """

    rows: tuple[Screened, ...]
    judged: int
    spread: float


def screen(rows: Sequence[Counted] | Sequence[Part], level: float = LEVEL) -> Screening:
    """Each row against all the others; see `Screened`.

    Raises ValueError for a row with less than nought, with events but no exposure, or with more
    observed than there are.
    """
    judged = [_judged(row, rows) for row in rows]
    spread = overdispersion([one.z for one in judged if not one.too_small])
    ps = [wider(one.p, spread) for one in judged if not one.too_small]
    adjusted = iter(zip(ps, benjamini_hochberg(ps), strict=True))
    found = []
    for one in judged:
        p, fair = (None, None) if one.too_small else next(adjusted)
        found.append(_screened(one, p, fair, spread, level))
    return Screening(tuple(found), len(ps), spread)


@dataclass(frozen=True, slots=True)
class _Judged:
    observed: int
    expected: float
    z: float
    p: float
    low: float
    high: float
    too_small: bool


def _judged(row: Counted | Part, rows: Sequence[Counted] | Sequence[Part]) -> _Judged:
    law = _law(row, rows)
    mean, spread = law.mean, math.sqrt(law.variance)
    small = mean < LEAST_EXPECTED or spread == 0
    if isinstance(row, Part):
        small = small or row.of < LEAST_OF
    above, below = law.tails(row.observed)
    return _Judged(
        observed=row.observed,
        expected=mean,
        z=0.0 if spread == 0 else (row.observed - mean) / spread,
        p=min(1.0, 2 * min(above, below)),
        low=_place(law, 0.025),
        high=_place(law, 0.975),
        too_small=small,
    )


def _law(row: Counted | Part, rows: Sequence[Counted] | Sequence[Part]) -> laws.Law:
    """What chance gives this row of all that came."""
    total = sum(one.observed for one in rows)
    if isinstance(row, Part):
        of = sum(one.of for one in rows if isinstance(one, Part))
        if not 0 <= row.observed <= row.of:
            raise ValueError("A share counts from none to all.")
        return laws.hypergeometric_law(row.of, total, of)
    exposure = math.fsum(one.exposure for one in rows if isinstance(one, Counted))
    if row.observed < 0 or not 0 <= row.exposure < math.inf:
        raise ValueError("Counts and exposures are not below nought.")
    if row.observed and not row.exposure:
        raise ValueError("An event needs something that was followed.")
    return laws.binomial_law(total, row.exposure / exposure if exposure else 0.0)


def _screened(
    one: _Judged, p: float | None, adjusted: float | None, spread: float, level: float
) -> Screened:
    outside = adjusted is not None and adjusted < level
    side: Side = "" if not outside else "high" if one.observed > one.expected else "low"
    return Screened(
        observed=one.observed,
        expected=one.expected,
        ratio=one.observed / one.expected if one.expected > 0 else None,
        low=widened(one.low, one.expected, spread),
        high=widened(one.high, one.expected, spread),
        p=p,
        adjusted=adjusted,
        outside=outside,
        side=side,
        too_small=one.too_small,
    )


def _place(law: laws.Law, p: float) -> float:
    count, reached, own = law.quantile(p)
    return between(count, reached, own, p)
