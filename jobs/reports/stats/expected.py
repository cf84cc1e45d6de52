"""How many events the hazard of all would bring to some of them, in their own time. Pure.

Nelson-Aalen's summed hazard d/n, taken at the ages at which each one began and ceased to be
followed. Over all lives it gives as many as were seen (indirect standardisation by age).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from jobs.reports.stats.counts import HALF, Counts, Numbers, at_risk


def summed_hazard(of: Counts, ages: ArrayLike) -> Numbers:
    """The summed hazard of all up to each age (same unit as `of.t`); nought before its first."""
    wanted = np.asarray(ages, dtype=np.float64)
    if not len(of.t):
        return np.zeros(wanted.shape)
    risk = at_risk(of)
    steps = np.divide(of.failed, risk, out=np.zeros(len(risk)), where=risk > 0)
    summed = np.concatenate([[0.0], np.cumsum(steps)])
    found: Numbers = summed[np.searchsorted(of.t, wanted, side="right")]
    return found


def expected(of: Counts, own: Counts) -> float:
    """What the hazard of all brings to `own` while they were followed."""
    return float((summed_hazard(of, own.t) * (own.left - own.entered)).sum())


def expected_since(of: Counts, ends: ArrayLike, since: ArrayLike, many: ArrayLike) -> float:
    """What it brings after a day, to `many` lives each that began at age nought.

    ends: ages at which they ceased to be followed, nought being half a day. since: their age at
    the end of that day; below nought for those that began later, nought for that day itself.
    """
    end = np.maximum(np.asarray(ends, dtype=np.float64), HALF)
    turned = np.asarray(since, dtype=np.float64)
    begin = np.minimum(np.where(turned < 0, 0.0, np.maximum(turned, HALF)), end)
    brought = summed_hazard(of, end) - summed_hazard(of, begin)
    return float((brought * np.asarray(many, dtype=np.float64)).sum())
