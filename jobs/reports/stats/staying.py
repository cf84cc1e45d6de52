"""For how long a vehicle is to be followed after it was last seen. Pure.

A vehicle not seen for a while is either due again or has gone elsewhere, and nobody says which.
From how soon vehicles come back, for whatever reason, follows how many still will: customers stay
away for good on a day of chance, at one rate, and gaps between visits have whatever law they show.
The mean time for which a vehicle unseen for u days would still have come here follows for every u,
and one number of days G is chosen for all, so that following each to min(last seen + G, the last
day counted) sums up to the same. The mean residual gap alone, E[g^2] / (2 E[g]), is too short: gaps
still open at the end are long ones, and the time beyond it is cut off from those who are only due
again.

With A(u) the share that still comes and was not seen within u days, K(u) the share not seen
(Kaplan-Meier; the last day counted ends the watching), p the steps of K and m the rate of staying
away: A' = K' - m A, A(0) = 1 and A = 0 in the end, so that the sum of
p exp(m g) is 1. Source: our own derivation; the sum is Lotka's equation of renewal theory. How well
it does is measured in jobs.reports.stats.measured_limits.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from jobs.reports.stats.counts import Numbers

_HALVINGS = 60
Days = NDArray[np.int64]


def followed_for(gaps: ArrayLike, unseen: ArrayLike, ended: ArrayLike = ()) -> float:
    """Days after the last contact, the same for all.

    Whole days: `gaps` between a contact and the next, whatever it was for; `unseen`: of each
    vehicle since its last contact until the last day counted; `ended`: likewise until the day on
    which the vehicle was known to be gone. Those were waited for until then, and nobody follows
    them. Nought where there is no gap above nought, or nothing unseen. Raises ValueError for days
    below nought.
    """
    between, open_ = _whole(gaps), _whole(unseen)
    if not len(between) or not between.max() or not len(open_) or not open_.max():
        return 0.0
    mean = _came(between, np.concatenate([open_, _whole(ended)]), 0)
    return _level(open_, float(mean[open_].sum()))


def came_until(gaps: ArrayLike, unseen: ArrayLike, ended: ArrayLike, days: int) -> Numbers:
    """Of vehicles unseen for 0, 1, 2 ... days on the last day counted the days after their last
    contact for which they still came, on average, up to `days` before that last day.

    `gaps`, `unseen` and `ended` as for `followed_for`: its one number of days for all is right in
    sum, but follows those who left long ago for too long, and those who are only due again not
    long enough. Empty where there is no gap above nought, or nothing unseen. Raises ValueError for
    days below nought.
    """
    between, open_ = _whole(gaps), _whole(unseen)
    if days < 0:
        raise ValueError("Days before the last are not below nought.")
    if not len(between) or not between.max() or not len(open_) or not open_.max():
        return np.zeros(0)
    return _came(between, np.concatenate([open_, _whole(ended)]), days)


def _came(gaps: Days, unseen: Days, before: int) -> Numbers:
    """By days unseen, the mean of the days for which such vehicles came until so long before."""
    steps, not_seen = _returns(gaps, unseen)
    days = np.arange(len(steps), dtype=np.float64)
    comes, rate = _still_coming(steps, int(gaps.max()))
    # Those who stayed away on a day within u: the middle of the day, the mean of its two ends.
    away = rate * (comes[:-1] + comes[1:]) / 2
    left = np.concatenate([[0.0], np.cumsum(away)])
    after = np.concatenate([[0.0], np.cumsum(away * (days[:-1] + 0.5))])
    until = np.maximum(np.arange(len(steps)) - before, 0)
    # Whoever came until then or left later came for all of it, the others until they left.
    whole = until * (comes + left - left[until]) + after[until]
    share = np.where(not_seen > 0, whole / np.maximum(not_seen, 1e-300), until)
    mean: Numbers = np.minimum(share, until)
    return mean


def still_coming(gaps: ArrayLike, unseen: ArrayLike, ended: ArrayLike = ()) -> Numbers:
    """Of customers unseen for 0, 1, 2 ... days the share that still comes, A(u) / K(u).

    `gaps`, `unseen` and `ended` as for `followed_for`. Nought beyond the longest gap; empty where
    there is no gap above nought. Raises ValueError for days below nought.
    """
    between, open_ = _whole(gaps), _whole(unseen)
    if not len(between) or not between.max():
        return np.zeros(0)
    rest = np.concatenate([open_, _whole(ended)])
    steps, not_seen = _returns(between, rest if len(rest) else np.zeros(1, dtype=np.int64))
    longest = int(between.max())
    comes, _rate = _still_coming(steps, longest)
    share = np.where(not_seen > 0, comes / np.maximum(not_seen, 1e-300), 0.0)
    shown: Numbers = np.clip(share[: longest + 1], 0.0, 1.0)
    return shown


def _whole(days: ArrayLike) -> Days:
    whole = np.asarray(days, dtype=np.int64).ravel()
    if np.any(whole < 0):
        raise ValueError("A gap is not below nought.")
    return whole


def _returns(gaps: Days, unseen: Days) -> tuple[Numbers, Numbers]:
    """By days from nought: the share that comes back then, and the share not seen until then."""
    most = int(max(gaps.max(), unseen.max())) + 1
    back = np.bincount(gaps, minlength=most).astype(np.float64)
    out = back + np.bincount(unseen, minlength=most)
    watched = np.cumsum(out[::-1])[::-1]
    share = np.where(watched > 0, back / np.maximum(watched, 1.0), 0.0)
    not_seen: Numbers = np.cumprod(1 - share).astype(np.float64)
    before = np.concatenate([[1.0], not_seen[:-1]])
    return before * share, not_seen


def _still_coming(steps: Numbers, longest: int) -> tuple[Numbers, float]:
    """By days: the share that still comes and was not seen until then; the rate of staying away.

    Nobody is seen after the longest gap: those who were not were gone by then.
    """
    upto = steps[: longest + 1]
    days = np.arange(len(upto), dtype=np.float64)
    rate = _staying_away(upto, days)
    grown = np.exp(rate * days)
    comes = np.zeros(len(steps))
    comes[: longest + 1] = np.maximum(1 - np.cumsum(upto * grown), 0.0) / grown
    return comes, rate


def _staying_away(steps: Numbers, days: Numbers) -> float:
    """The rate a day: where the sum of p exp(m g) is 1; nought where all come back."""

    def short(rate: float) -> bool:
        return float((steps * np.exp(rate * days)).sum()) < 1

    low, high = 0.0, 1.0 / float(days[-1])
    if not short(low):
        return low
    while short(high):
        low, high = high, 2 * high
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if short(middle) else (low, middle)
    return low


def _level(unseen: Days, total: float) -> float:
    """G such that the sum of min(G, unseen) is `total`."""
    rising = np.sort(unseen).astype(np.float64)
    before = np.concatenate([[0.0], np.cumsum(rising)[:-1]])
    above = len(rising) - np.arange(len(rising))
    # With G equal to the i-th: the sum of those below it, and G for it and all above.
    sums = before + rising * above
    place = min(int(np.searchsorted(sums, total)), len(rising) - 1)
    return float((total - before[place]) / above[place])
