"""A watch that adds up what comes above the acceptable, and calls when it is too much. Pure.

Poisson CUSUM (J. M. Lucas, Technometrics 27, 1985, 129-144): S = max(0, S + count - k exposure),
alarm when S >= h. k lies between the acceptable and the detectable rate, where the likelihood of
both is the same: (d - a) / ln(d / a). Scaled by the exposure it may change from step to step.

How often it calls for nothing is worked out in jobs.reports.stats.run_lengths.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from jobs.reports.stats.run_lengths import call_gap

__all__ = ["Threshold", "Watch", "call_gap", "reference", "run", "threshold"]

# Sums of many small numbers: S reaches h when it is this near.
_ROUNDING = 1e-9
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


def _reached(level: float, h: float) -> bool:
    return level >= h - _ROUNDING
