"""A watch that adds up what comes above the acceptable, and calls when it is too much. Pure.

Poisson CUSUM (J. M. Lucas, Technometrics 27, 1985, 129-144): S = max(0, S + count - k exposure),
alarm when S >= h. k lies between the acceptable and the detectable rate, where the likelihood of
both is the same: (d - a) / ln(d / a). Scaled by the exposure it may change from step to step.

How often such a watch calls for nothing. Measured in exposure, failures at a steady rate come as
an even stream however the fleet grows or shrinks, so the watch looked at after every failure has
one law, in `call_gap`: the number of failures between calls depends on h and on k over the rate
alone. Looked at by the day or by the month, S is never higher than that at the end of a step, so
false calls are no more frequent than promised. Only the turn into months takes the exposure of a
month as it is now; this is an approximation. `average_run_length` is the law of the chart
with equal steps, as Lucas tabled it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

import numpy as np

from jobs import poisson

# Sums of many small numbers: S reaches h when it is this near.
_ROUNDING = 1e-9
_FINEST = 240  # the lattice of a chart with equal steps has at most so many points to one count
# Points to one failure, where the watch is looked at after every failure. With the finer the error
# is below 0.1 %, with the coarser, for a high h, below 1 %.
_GRID, _COARSE_GRID, _POINTS = 48, 16, 340
_LEAST_H = 1.5  # one failure alone never calls; two must come close together
_LARGEST_H = 60.0


@dataclass(frozen=True, slots=True)
class Watch:
    """The path of S after each step, and where it called.

    alarm_at: the first step with S >= h, None when there is none. alarms: every step at which S
    came to h from below. began_at: the step after S last was nought before the first alarm, the
    usual guess of when the change began. over: whether S stands at h or above at the end.
    """

    path: tuple[float, ...]
    h: float
    reference: float
    alarm_at: int | None
    alarms: tuple[int, ...]
    began_at: int | None
    over: bool


@dataclass(frozen=True, slots=True)
class Threshold:
    """h, and what it costs and gives, in months of the present exposure.

    months_between: between two false calls at the acceptable rate, on average. months_to_call: from
    a change to the detectable rate until the call, on average, beginning with S = 0.
    failures_to_call: how many failures that is. wanted: the months between false calls that were
    asked for.
    """

    h: float
    months_between: float
    months_to_call: float
    failures_to_call: float
    wanted: float


def reference(acceptable: float, detectable: float) -> float:
    """k, per unit of exposure. Raises ValueError unless 0 < acceptable < detectable."""
    if not 0 < acceptable < detectable < math.inf:
        raise ValueError("The detectable rate is above the acceptable one, and that above nought.")
    return (detectable - acceptable) / math.log(detectable / acceptable)


def run(
    counts: Sequence[int],
    exposures: Sequence[float],
    acceptable: float,
    detectable: float,
    h: float,
    start: float = 0.0,
) -> Watch:
    """The watch over steps (days, months) with their counts and exposures, in order of time.

    start: S before the first step; h / 2 is a head start. Raises ValueError for anything negative.
    """
    if h <= 0 or not 0 <= start < h:
        raise ValueError("A watch starts at nought or more and below where it calls.")
    if any(c < 0 for c in counts) or any(not 0 <= e < math.inf for e in exposures):
        raise ValueError("Counts and exposures are not below nought.")
    k = reference(acceptable, detectable)
    path: list[float] = []
    alarms: list[int] = []
    level, zero_at, began = start, -1, None
    for step, (count, exposure) in enumerate(zip(counts, exposures, strict=True)):
        was_over, level = _reached(level, h), max(0.0, level + count - k * exposure)
        path.append(level)
        if level == 0:
            zero_at = step
        if _reached(level, h) and not was_over:
            began = zero_at + 1 if not alarms else began
            alarms.append(step)
    return Watch(
        path=tuple(path),
        h=h,
        reference=k,
        alarm_at=alarms[0] if alarms else None,
        alarms=tuple(alarms),
        began_at=began,
        over=_reached(level, h),
    )


def average_run_length(k: float, h: float, mean: float, start: float = 0.0) -> float:
    """Steps until the call on average, with Poisson counts of `mean` a step, by a Markov chain.

    k and h are put on a common lattice, as near as 1/240: exact when both are multiples of such a
    fraction. Raises ValueError unless k, h and mean are above nought and 0 <= start < h.
    """
    _check_chart(k, h, mean, start)
    fine = _lattice(k)
    down, top = round(k * fine), math.ceil(h * fine - _ROUNDING)
    chances = _chances(mean, (top + down) // fine)
    moves = np.zeros((top, top))
    for state in range(top):
        for count, chance in enumerate(chances):
            lands = max(0, state + count * fine - down)
            if lands < top:
                moves[state, lands] += chance
    lengths = np.linalg.solve(np.eye(top) - moves, np.ones(top))
    return float(lengths[min(top - 1, round(start * fine))])


@lru_cache(maxsize=1024)
def call_gap(ratio: float, h: float) -> float:
    """Failures until the call on average, beginning with S = 0, looked at after every failure.

    ratio: k over the rate at which failures come: what S loses between two failures on average.
    After a failure S = s; before the next it has fallen by an exponential of mean `ratio`, not
    below nought, and then rises by 1. The mean is the solution of a linear integral equation, put
    on a grid. Raises ValueError unless both are above nought.
    """
    if not (0 < ratio < math.inf and 0 < h < math.inf):
        raise ValueError("A watch needs a reference and a height above nought.")
    room = h - 1  # before a failure S = u; it calls when u is `room` or more
    if room <= _ROUNDING:
        return 1.0
    points = min(math.ceil(room * _GRID), max(_POINTS, math.ceil(room * _COARSE_GRID)))
    step = room / points
    # Of a failure at u = 0, step, ... S becomes u + 1, and falls to v before the next one:
    # P(v <= x) = exp(-(u + 1 - x) / ratio), with all of it at nought that would fall below.
    after = np.arange(points) * step + 1
    edges = np.append((np.arange(points - 1) + 0.5) * step, room)
    at_most = np.exp(-np.clip(after[:, None] - edges[None, :], 0, None) / ratio)
    moves = np.diff(at_most, axis=1, prepend=0.0)
    beyond = 1 - at_most[:, -1]  # the next failure calls
    lengths = np.linalg.solve(np.eye(points) - moves, 1 + beyond)
    return float(lengths[0])


def threshold(
    acceptable: float, detectable: float, exposure_a_month: float, months: float
) -> Threshold:
    """The least h (to 0.05) with which false calls come at most once in `months` on average.

    acceptable, detectable: failures per unit of exposure; exposure_a_month: of the present fleet.
    h is never below 1.5, so that one failure alone does not call. Raises ValueError without
    exposure or months.
    """
    if not (0 < exposure_a_month < math.inf and 0 < months < math.inf):
        raise ValueError("A watch needs vehicles that are followed, and a time between calls.")
    k = reference(acceptable, detectable)
    monthly = acceptable * exposure_a_month
    h = _least_height(round(k / acceptable, 6), months * monthly)
    needed = call_gap(round(k / detectable, 6), h)
    return Threshold(
        h=h,
        months_between=call_gap(round(k / acceptable, 6), h) / monthly,
        months_to_call=needed / (detectable * exposure_a_month),
        failures_to_call=needed,
        wanted=months,
    )


def _least_height(ratio: float, failures: float) -> float:
    """The least multiple of 0.05 from 1.5 with `call_gap` of at least `failures`."""
    low = high = round(_LEAST_H * 20)
    while call_gap(ratio, high / 20) < failures and high < _LARGEST_H * 20:
        low, high = high + 1, min(high * 2, round(_LARGEST_H * 20))
    while low < high:
        middle = (low + high) // 2
        if call_gap(ratio, middle / 20) >= failures:
            high = middle
        else:
            low = middle + 1
    return low / 20


def _lattice(k: float) -> int:
    """Points to one count, so that k lies on one of them, or as near as the finest lattice has."""
    return Fraction(k).limit_denominator(_FINEST).denominator


def _chances(mean: float, most: int) -> list[float]:
    return [poisson.pmf(count, mean) for count in range(most + 1)]


def _reached(level: float, h: float) -> bool:
    return level >= h - _ROUNDING


def _check_chart(k: float, h: float, mean: float, start: float) -> None:
    if not (0 < k < math.inf and 0 < h < math.inf and mean > 0 and 0 <= start < h):
        raise ValueError("A chart needs k, h and a mean above nought, and starts below h.")
