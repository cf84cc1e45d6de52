"""Watches over kinds of components and over batches, from days of failures and exposure. Pure.

Each watch is a Poisson CUSUM (jobs.reports.stats.cusum) on the clock of the failures that would be
usual, so that all of them have one law and one height. What is usual is not known, only estimated;
so the watch takes the rate that chance could have hidden: the upper limit that lies above the true
rate four times in five. Then false calls are as rare as stated at least so often (the idea of
guaranteed conditional performance: A. Gandy, J. T. Kvaløy, Scandinavian Journal of Statistics 40,
2013, from memory).

A kind is held against its own earlier rate: of its first year here, and later of all its time up to
half a year before. A kind that joins later has its first year later; before ten units of it could
have been watched for a year there is nothing to hold it against, and it is not watched. A batch is
held against all other units of its kind up to the day before. What calls is a rate twice as high as
usual.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from jobs import poisson
from jobs.reports.stats import cusum
from jobs.reports.stats.run_lengths import call_gap

TIMES: Final = 2.0  # the rate that is to be found, over the usual one
BASE_DAYS: Final = 365
BASE_EXPOSURE: Final = 3_650.0
"""Unit-days, ten units for a year: with less behind it even a rate many times as high would pass
for usual (our advice, no source)."""
LAG_DAYS: Final = 183
MONTHS_BETWEEN: Final = 24.0  # between false calls of all the kinds together; of the batches too
_SURE: Final = 0.6  # two-sided, so that the upper limit alone is passed once in five
_YEAR: Final = 365
_HEIGHTS: Final = tuple(half / 2 for half in range(3, 41))

Whole = NDArray[np.int64]
Many = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Usual:
    """What is held to be usual on each day: `expected` failures by the upper limit of the rate.

    `from_day`: the first index that is watched. `failures`, `exposure`: what it rests on at last.
    """

    expected: Many
    from_day: int
    failures: int
    exposure: float


@dataclass(frozen=True, slots=True)
class Course:
    """A watch over its days (indexes of days count from the first of the data).

    `raised`: the first day at or above `h` since it was last at nought, while it has not come back
    to nought; None where no alarm stands. `before`: days of earlier alarms. `began`: the day after
    it was last at nought. `seen` and `usual`: failures since then, and those that are usual.
    """

    path: tuple[float, ...]
    from_day: int
    raised: int | None
    before: tuple[int, ...]
    began: int
    seen: int
    usual: float

    @property
    def level(self) -> float:
        return self.path[-1] if self.path else 0.0


@dataclass(frozen=True, slots=True)
class Height:
    """The height at which a family of watches calls, and what that costs.

    `by_day`: the height on each day, by what was known on it, so that a workshop that grows moves
    no alarm of before; `h`: that of the last day. `a_year`: failures that are usual in a year over
    all of them, by the days of the last one that were watched; `months_between`: false calls of all
    together are that far apart on average, by the rate that chance could have hidden.
    `failures_to_call`: from a rate twice as high until the call, on average.
    """

    h: float
    by_day: Many
    a_year: float
    months_between: float
    failures_to_call: float


def watched_from(exposure: Many) -> int | None:
    """The index of the first day on which a kind is watched: a year after its own first, and no
    sooner than enough of it was. None: not yet."""
    seen = np.flatnonzero(exposure > 0)
    if not seen.size:
        return None
    enough = np.flatnonzero(np.cumsum(exposure) >= BASE_EXPOSURE)
    if not enough.size:
        return None
    begins = max(int(seen[0]) + BASE_DAYS, int(enough[0]) + 1)
    return begins if begins < exposure.size else None


def its_own(failures: Whole, exposure: Many) -> Usual | None:
    """A kind held against what it did before; None while that is too little."""
    begins = watched_from(exposure)
    if begins is None:
        return None
    until = np.maximum(begins, np.arange(exposure.size) - LAG_DAYS) - 1
    count, watched = np.cumsum(failures)[until], np.cumsum(exposure)[until]
    expected = exposure * _all_hidden(count) / watched
    return Usual(expected, begins, int(count[-1]), float(watched[-1]))


def the_others(failures: Whole, exposure: Many, whole: tuple[Whole, Many]) -> Usual | None:
    """A batch held against all other units of its kind, by what was known on the day before."""
    others, at_risk = whole[0] - failures, whole[1] - exposure
    count, watched = np.cumsum(others) - others, np.cumsum(at_risk) - at_risk
    days = np.flatnonzero((watched > 0) & (np.cumsum(exposure) > 0))
    if not days.size:
        return None
    safe = np.where(watched > 0, watched, 1.0)
    expected = np.where(watched > 0, exposure * _all_hidden(count) / safe, 0.0)
    return Usual(expected, int(days[0]), int(others.sum()), float(at_risk.sum()))


def height(usual: Sequence[Usual]) -> Height | None:
    """The common height of a family of watches; None where nothing is to be expected.

    The least multiple of a half, from 1.5, that keeps the promise on that day.
    """
    if not usual:
        return None
    years = np.sum([_a_year(one) for one in usual], axis=0)
    a_year = float(years[-1])
    if a_year <= 0:
        return None
    k = cusum.reference(1.0, TIMES)
    gaps = np.array([call_gap(round(k, 6), h) for h in _HEIGHTS])
    place = np.searchsorted(gaps, MONTHS_BETWEEN * years / 12)
    by_day = np.array(_HEIGHTS)[np.minimum(place, len(_HEIGHTS) - 1)]
    h = float(by_day[-1])
    return Height(
        h,
        by_day,
        a_year,
        call_gap(round(k, 6), h) / (a_year / 12),
        call_gap(round(k / TIMES, 6), h),
    )


def _a_year(one: Usual) -> Many:
    """On each day the failures that are usual in a year, by those of the last 365 days that were
    watched."""
    passed = np.cumsum(np.where(np.arange(one.expected.size) < one.from_day, 0.0, one.expected))
    before = np.append(np.zeros(_YEAR), passed)[: passed.size]
    days = np.clip(np.arange(passed.size) - one.from_day + 1, 1, _YEAR)
    found: Many = (passed - before) * _YEAR / days
    return found


def course(failures: Whole, usual: Usual, h: float | Many) -> Course:
    """The path of one watch, day by day, and the alarm that stands. `h`: one height, or one a
    day."""
    start = usual.from_day
    heights = np.broadcast_to(np.asarray(h, dtype=np.float64), failures.shape)[start:]
    counts, expected = failures[start:], usual.expected[start:]
    if not counts.any():
        return Course((0.0,) * counts.size, start, None, (), start + counts.size, 0, 0.0)
    ran = cusum.run(counts.tolist(), expected.tolist(), 1.0, TIMES, float(heights.max()))
    path = np.array(ran.path)
    noughts = np.flatnonzero(path <= 0)
    began = int(noughts[-1]) + 1 if noughts.size else 0
    alarms = _alarms(path, heights, counts)
    raised = next((day for day in alarms if day >= began), None)
    return Course(
        path=ran.path,
        from_day=start,
        raised=None if raised is None else start + raised,
        before=tuple(start + day for day in alarms if day < began),
        began=start + began,
        seen=int(counts[began:].sum()),
        usual=float(expected[began:].sum()),
    )


def _alarms(path: Many, heights: Many, counts: Whole) -> tuple[int, ...]:
    """Days on which a failure brought the level to that day's height, once between two days at
    nought."""
    found, ready = [], True
    for day in np.flatnonzero((path <= 0) | (counts > 0)).tolist():
        if path[day] <= 0:
            ready = True
        elif ready and path[day] >= heights[day]:
            found.append(day)
            ready = False
    return tuple(found)


def _all_hidden(counts: Whole) -> Many:
    different, place = np.unique(counts, return_inverse=True)
    return np.array([_hidden(int(one)) for one in different])[place]


@lru_cache(maxsize=4096)
def _hidden(count: int) -> float:
    """The mean that lies above the true one four times in five, when `count` were seen."""
    return poisson.limits(count, _SURE)[1]
