"""Does something fail more and more often, or less and less? Pure.

The Laplace test: if nothing changes, each event falls anywhere in the time it was watched with the
same chance, so their mean is near the middle (P. A. W. Lewis, D. R. Cox, The Statistical Analysis
of Series of Events, 1966, from memory). Positive z: events crowd towards the end, worsening.
The fleet changes, so for a whole shop the clock is not the calendar but the exposure passed:
`laplace_exposure`, or `laplace_counts` when counts are kept by the month.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import Literal

Direction = Literal["worsening", "improving", "no_change", "too_few"]
# From four on the mean of the events' places follows the normal law closely enough (the tests
# hold it against the exact law); fewer are not judged.
AT_LEAST = 4
LEVEL = 0.05


@dataclass(frozen=True, slots=True)
class Trend:
    """z is positive when events crowd towards the end; p is two-sided.

    With no event, or none that could be placed, z is 0, p is 1 and the direction "too_few".
    """

    z: float
    p: float
    events: int
    direction: Direction


@dataclass(frozen=True, slots=True)
class System:
    """One thing watched from `start` to `end`, with the times of its events."""

    times: tuple[float, ...]
    end: float
    start: float = 0.0


def laplace(times: Sequence[float], end: float, *, ends_with_event: bool = False) -> Trend:
    """One thing watched from 0 to `end`.

    ends_with_event: watching ended because of the last event; then that one tells nothing, and
    `end` is its time. Raises ValueError for a time outside the watch.
    """
    if ends_with_event:
        if not times or max(times) != end:
            raise ValueError("A watch that ends with an event ends at the last one's time.")
        times = sorted(times)[:-1]
    return laplace_pooled([System(tuple(times), end)])


def laplace_pooled(systems: Iterable[System]) -> Trend:
    """Several things, each against the middle of its own watch:
    z = sum of (t - middle) / sqrt(sum of n T^2 / 12)."""
    away, spread, events = 0.0, 0.0, 0
    for one in systems:
        length = one.end - one.start
        if length < 0 or not all(one.start <= t <= one.end for t in one.times):
            raise ValueError("Events lie within the time that was watched.")
        middle = (one.start + one.end) / 2
        away += math.fsum(t - middle for t in one.times)
        spread += len(one.times) * length**2 / 12
        events += len(one.times)
    return _judged(away, spread, events)


def laplace_exposure(failures: Sequence[float], total: float) -> Trend:
    """`failures`: the exposure of the whole fleet that had passed when each came; `total`: the
    exposure until the end. A fleet that grows then is no worsening."""
    return laplace(failures, total)


def laplace_counts(counts: Sequence[int], exposures: Sequence[float]) -> Trend:
    """The same for counts by the month (or any step) with the exposure of each.

    Each event stands in the middle of its step's exposure; the spread is that of this grouping,
    not of the even law, so that a few coarse steps are judged right. Raises ValueError for a count
    without exposure, or anything below nought.
    """
    pairs = list(zip(counts, exposures, strict=True))
    if any(count < 0 or not 0 <= exposure < math.inf for count, exposure in pairs):
        raise ValueError("Counts and exposures are not below nought.")
    if any(count and not exposure for count, exposure in pairs):
        raise ValueError("An event needs a step in which something was followed.")
    total, events = math.fsum(exposures), sum(counts)
    away, spread, passed = 0.0, 0.0, 0.0
    for count, exposure in pairs:
        place = passed + exposure / 2 - total / 2
        away += count * place
        spread += exposure * place**2
        passed += exposure
    return _judged(away, events * spread / total if total else 0.0, events)


def _judged(away: float, spread: float, events: int) -> Trend:
    if not events or spread <= 0:
        return Trend(0.0, 1.0, events, "too_few")
    z = away / math.sqrt(spread)
    p = min(1.0, 2 * NormalDist().cdf(-abs(z)))
    return Trend(z, p, events, direction_of(z, p, events))


def direction_of(sign: float, p: float, events: int) -> Direction:
    """What is said of a sign (positive: worsening) with its two-sided p."""
    if events < AT_LEAST:
        return "too_few"
    if p >= LEVEL:
        return "no_change"
    return "worsening" if sign > 0 else "improving"
