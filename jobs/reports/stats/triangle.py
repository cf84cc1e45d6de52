"""Failures by months in service, of units fitted month by month.

A month in service is divided only by the cohorts that have reached it: lambda(a) = failures in
month a over units of the cohorts that are old enough. Where units are lost sight of, the units of a
cohort are those at risk in that month: the unit-months for which they were followed in it. With a
reporting lag a cohort counts by the share G of its failures that is known by now. Source:
J. D. Kalbfleisch, J. F. Lawless, J. A. Robinson, Technometrics 33 (1991) (from memory); variance:
the sum of lambda(a) / R(a).
Limits of the sum: the exact limits of the count, brought to its scale (A. J. Dobson and others,
Statistics in Medicine 10 (1991) 457-462, from memory); with no failure at all the exact upper limit
over the fewest units of a month, which is on the safe side.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from jobs.reports.stats.counts import Numbers
from jobs.reports.stats.garwood import garwood


@dataclass(frozen=True, slots=True)
class Triangle:
    """By month in service from 0: failures, units whose cohorts reached it, failures a unit, and
    their sum up to that month with its standard error and limits."""

    failures: Numbers
    reached: Numbers
    rate: Numbers
    cumulative: Numbers
    se: Numbers
    low: Numbers
    high: Numbers


def months_in_service(
    sizes: ArrayLike,
    failures: ArrayLike,
    reached: Sequence[int],
    *,
    lag: Sequence[float] = (1.0,),
    confidence: float = 0.95,
) -> Triangle:
    """From D cohorts of `sizes` units (D, or D x A where they differ by month in service), D x A
    `failures` by month in service, and the last month that each cohort has `reached`. `lag`: the
    share of failures known 0, 1, ... months after, its last entry for all later ones.

    Months that no cohort reached are left out. Raises ValueError for failures of a month that a
    cohort has not reached, or shares that do not rise to 1.
    """
    seen = np.asarray(failures, np.float64)
    known = np.asarray(lag, np.float64)
    if not len(known) or known[-1] != 1 or np.any(np.diff(known) < 0) or np.any(known < 0):
        raise ValueError("The shares known rise from nought or more to 1.")
    months = np.arange(seen.shape[1] if seen.ndim == 2 else 0)
    since = np.asarray(reached, np.int64)[:, None] - months[None, :]
    there = since >= 0
    if np.any(seen[~there] > 0):
        raise ValueError("A cohort cannot have failures in a month it has not reached.")
    share = np.where(there, known[np.clip(since, 0, len(known) - 1)], 0.0)
    at_risk = np.asarray(sizes, np.float64)
    units = ((at_risk if at_risk.ndim == 2 else at_risk[:, None]) * share).sum(axis=0)
    kept = units > 0
    failed, units = (seen * there).sum(axis=0)[kept], units[kept]
    rate = failed / units
    cumulative: Numbers = np.cumsum(rate).astype(np.float64)
    se: Numbers = np.sqrt(np.cumsum(rate / units)).astype(np.float64)
    low, high = _limits(failed, units, cumulative, se, confidence)
    return Triangle(failed, units, rate, cumulative, se, low, high)


def _limits(
    failed: Numbers, units: Numbers, cumulative: Numbers, se: Numbers, confidence: float
) -> tuple[Numbers, Numbers]:
    count = np.cumsum(failed)
    exact = np.array([garwood(round(one), confidence) for one in count]).reshape(-1, 2)
    fewest = np.minimum.accumulate(units)
    with np.errstate(divide="ignore", invalid="ignore"):
        scale = np.where(count > 0, se / np.sqrt(count), 1 / fewest)
    low = np.maximum(cumulative + scale * (exact[:, 0] - count), 0.0)
    high = cumulative + scale * (exact[:, 1] - count)
    return low, high
