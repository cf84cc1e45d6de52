"""What is counted as watched, day by day, in shops whose customers leave at random."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from jobs.reports.queries.watch import drops
from jobs.reports.stats.staying import still_coming
from jobs.reports.stats.trend import laplace_counts
from tests.bench.simulated_shops import Law, Size, vehicles

Days = NDArray[np.float64]
Shop = tuple[list[NDArray[np.int64]], Days, NDArray[np.int64]]


def _shop(size: Size, rate: float, random: np.random.Generator) -> Shop:
    """The days each vehicle was seen on; how many still came, and how many failed, on each day.
    Units fail at a steady rate, and bring their vehicle in at once."""
    drawn = vehicles(size, Law(1, 1), random)
    seen, coming = [], np.zeros(size.days + 1)
    failures = np.zeros(size.days + 1, dtype=np.int64)
    for at, end in enumerate(drawn.end):
        failed = drawn.joined[at] + np.cumsum(random.exponential(1 / rate, 40))
        failed = np.floor(failed[failed < end]).astype(np.int64)
        routine = drawn.routine[at][np.isfinite(drawn.routine[at])]
        days = np.unique(np.concatenate([np.floor(routine).astype(np.int64), failed]))
        if days.size:
            seen.append(days)
            coming[days[0] + 1 : int(end) + 1] += 1
            np.add.at(failures, failed[failed > days[0]], 1)
    return seen, coming, failures


def _contacts(seen: list[NDArray[np.int64]]) -> NDArray[np.int64]:
    return np.array([(at, day) for at, days in enumerate(seen) for day in days], dtype=np.int64)


def _watched(seen: list[NDArray[np.int64]], last: int, steps: NDArray[np.int64]) -> Days:
    by_unseen = np.array([(steps >= day).mean() for day in range(last + 2)])
    watched = np.zeros(last + 1)
    for days in seen:
        for begins, ends in zip(days, [*days[1:], last], strict=True):
            watched[begins + 1 : ends + 1] += by_unseen[1 : ends - begins + 1]
    return watched


def _quarters(days: Days) -> Days:
    return np.array([part.sum() for part in np.array_split(days[1:], 4)])


def test_what_is_watched_does_not_grow_thinner_as_a_workshop_grows_older() -> None:
    """By quarters of eighteen months within 3 % of those who still came; counted in full for a
    year after each visit, the last quarter has a tenth more than the first."""
    random, size = np.random.default_rng(20261128), Size(300, 548)
    shares: list[Days] = []
    yearly: list[Days] = []
    for _turn in range(30):
        seen, coming, _failures = _shop(size, 1 / 6000, random)
        for found, steps in (
            (shares, drops(_contacts(seen), size.days)),
            (yearly, np.full(20, 365)),
        ):
            found.append(_quarters(_watched(seen, size.days, steps)) / _quarters(coming))
    mean, before = np.mean(shares, axis=0), np.mean(yearly, axis=0)
    assert np.abs(mean - 1).max() < 0.03
    assert before[-1] / before[0] > 1.08


def test_a_steady_rate_is_called_a_trend_no_more_often_than_promised() -> None:
    """Two hundred shops of 18 months with some 40 failures each: one in twenty, in both ways
    together. Of two hundred, more than eighteen would be seen once in 60."""
    random, size = np.random.default_rng(7), Size(300, 548)
    called = []
    for _turn in range(200):
        seen, _coming, failures = _shop(size, 1 / 2000, random)
        watched = _watched(seen, size.days, drops(_contacts(seen), size.days))
        months = np.array_split(np.arange(1, size.days + 1), 18)
        trend = laplace_counts(
            [int(failures[month].sum()) for month in months],
            [float(watched[month].sum()) for month in months],
        )
        called.append(trend.direction)
    assert sum(one != "no_change" for one in called) <= 18
    assert called.count("improving") <= 12
    assert called.count("worsening") <= 12


def test_the_steps_follow_the_share_that_still_comes() -> None:
    """As many twentieths as the share, to half a one."""
    random, size = np.random.default_rng(3), Size(400, 1095)
    seen, _coming, _failures = _shop(size, 1 / 6000, random)
    steps = drops(_contacts(seen), size.days)
    gaps = np.concatenate([np.diff(days) for days in seen])
    share = still_coming(gaps, [size.days - days[-1] for days in seen])
    falling = np.minimum.accumulate(share)
    for day in (1, 50, 150, 250, 400):
        assert abs((steps >= day).mean() - falling[day]) <= 0.025 + 1e-9
