"""How many repairs a place has needed by an age, on average: the mean cumulative function.

M(t) is the sum of d/n over the repair times up to t, n the places watched then. A place that was
repaired once is likelier to be repaired again than chance has it, so the variance is the robust one
of J. F. Lawless, C. Nadeau, Technometrics 37 (1995): the sum over places of the square of what each
adds beyond the mean. Repairs come before the end of a window at the same time. Source besides:
W. B. Nelson, Recurrent Events Data Analysis (2003) (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike, NDArray

from jobs.reports.stats.counts import Numbers

Places = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Recurrence:
    """At each distinct repair time: places watched, repairs, mean repairs a place, its robust
    standard error, and limits on the logarithmic scale, of the larger of the robust and the
    Poisson variance."""

    t: Numbers
    at_risk: Numbers
    repairs: Numbers
    mean: Numbers
    se: Numbers
    low: Numbers
    high: Numbers

    def at(self, t: float) -> float:
        """Mean repairs a place up to a time."""
        step = int(np.searchsorted(self.t, t, side="right")) - 1
        return float(self.mean[step]) if step >= 0 else 0.0


def mean_cumulative(
    starts: ArrayLike,
    ends: ArrayLike,
    system: ArrayLike,
    t: ArrayLike,
    *,
    confidence: float = 0.95,
) -> Recurrence:
    """From the window (start, end] of each of N places and the repairs: the number of the place,
    0 to N - 1, and the time.

    Takes the time of a few sorts. Raises ValueError for a window that ends before it begins, a
    repair outside its window, or a place that there is not.
    """
    begin, end = np.asarray(starts, np.float64), np.asarray(ends, np.float64)
    who, when = np.asarray(system, np.intp), np.asarray(t, np.float64)
    _check(begin, end, who, when)
    times, at = np.unique(when, return_inverse=True)
    d = np.bincount(at, minlength=len(times)).astype(np.float64)
    first, last = np.sort(begin), np.sort(end)
    inside = np.searchsorted(first, times, side="left") - np.searchsorted(last, times, side="left")
    n = inside.astype(np.float64)
    mean: Numbers = np.cumsum(d / n).astype(np.float64)
    se = np.sqrt(_variance(begin, end, who, at, times, d, n))
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    # One place alone, or places all alike, vary by nought: never less than repairs by chance would.
    error = np.maximum(se, np.sqrt(np.cumsum(d / n**2)))
    spread: Numbers = np.exp(z * error / mean).astype(np.float64)
    return Recurrence(times, n, d, mean, se, mean / spread, mean * spread)


def _variance(
    begin: Numbers,
    end: Numbers,
    who: Places,
    at: Places,
    times: Numbers,
    d: Numbers,
    n: Numbers,
) -> Numbers:
    """The sum over places of the square of a, without going through the places.

    a of a place is 1/n for each of its repairs less what the mean took of it, d/n^2 a time, while
    it was watched. Over those watched the steps of a sum up to nought at each time, so that their
    sum changes only by the places that leave; the sum of squares then grows by 2 a x + x^2.
    """
    mean_took = np.concatenate([[0.0], np.cumsum(d / n**2)])
    before_start = mean_took[np.searchsorted(times, begin, side="right")]
    # Repairs of a place at one time together, in order of place and time.
    pairs, many = np.unique(who * (len(times) + 1) + at, return_counts=True)
    place, when = np.divmod(pairs, len(times) + 1)
    adds = many / n[when]
    so_far = np.concatenate([[0.0], np.cumsum(adds)])
    own = so_far[:-1] - so_far[np.searchsorted(place, place, side="left")]
    ahead = own - (mean_took[when] - before_start[place])
    whole = np.bincount(place, adds, len(begin))
    final = whole - (mean_took[np.searchsorted(times, end, side="right")] - before_start)
    leaving = np.argsort(end, kind="stable")
    gone = np.concatenate([[0.0], np.cumsum(final[leaving])])
    watched = -gone[np.searchsorted(end[leaving], times, side="left")]
    products = np.bincount(when, ahead * adds, len(times)) - d / n**2 * watched
    squares = np.bincount(when, adds**2, len(times)) - d**2 / n**3
    variance: Numbers = np.maximum(np.cumsum(2 * products + squares), 0.0).astype(np.float64)
    return variance


def _check(begin: Numbers, end: Numbers, who: Places, when: Numbers) -> None:
    if len(begin) != len(end) or len(who) != len(when):
        raise ValueError("Windows or repairs are of different lengths.")
    if np.any(end < begin):
        raise ValueError("A window does not end before it begins.")
    if np.any((who < 0) | (who >= len(begin))):
        raise ValueError("A repair names a place that there is not.")
    if np.any((when <= begin[who]) | (when > end[who])):
        raise ValueError("A repair lies outside the window of its place.")
