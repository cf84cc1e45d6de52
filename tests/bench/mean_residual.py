"""How long a vehicle is likely to have gone on after it was last seen. Pure.

A vehicle that fails closes its own last interval, a healthy one that drifts away does not: a life
that ended at the last visit would be too short, one that ended today too long. So it ends the mean
residual gap after the last contact: of an interval between routine visits that is looked at on a
day chosen by chance, what is left of it on average.
Source: renewal theory, mean residual life of the interval that holds a given moment,
E[g^2] / (2 E[g]) (from memory; D. R. Cox, Renewal Theory, section 5.4).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike


def mean_residual(gaps: ArrayLike) -> float:
    """E[g^2] / (2 E[g]) of the gaps between contacts, in the unit in which they are given.

    Gaps are not below nought (ValueError); nought where there is none above nought.
    """
    lengths = np.asarray(gaps, dtype=np.float64)
    if np.any(lengths < 0):
        raise ValueError("A gap is not below nought.")
    sum_of_gaps = float(lengths.sum())
    return float((lengths**2).sum()) / (2 * sum_of_gaps) if sum_of_gaps > 0 else 0.0
