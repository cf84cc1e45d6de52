"""A Weibull law fitted to lives that were watched from some age on, to failure or further.

The likelihood has the failures' hazards and, for every life, the hazard summed from entry to exit
(left truncation, right censoring). With A(b) = sum exit^b - sum entry^b and r failures the scale is
(A(b) / r)^(1/b), so that only the shape b is searched for. Limits of the shape: profile likelihood;
of the scale: Wald's on the log scale from the observed information. Source: J. F. Lawless,
Statistical Models and Methods for Lifetime Data, sections 2.4 and 5.2 (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from statistics import NormalDist
from typing import Literal

import numpy as np

from jobs.reports.stats.counts import Counts, Numbers

FEWEST = 5
"""Failures, with fewer of which no law is fitted: our own advice."""
LEAST_SHAPE, MOST_SHAPE = 0.02, 60.0
_HALVINGS = 80
Pattern = Literal["early", "random", "wear_out", "unclear"]


@dataclass(frozen=True, slots=True)
class NoFit:
    """Why there is none, in a sentence."""

    reason: str


@dataclass(frozen=True, slots=True)
class WeibullFit:
    """`scale` in the unit of the clock (63 % have failed by then), `shape` without one."""

    scale: float
    scale_low: float
    scale_high: float
    shape: float
    shape_low: float
    shape_high: float
    loglik: float
    failures: int

    @property
    def pattern(self) -> Pattern:
        """Whether the rate falls with age, does not change, or rises, by the shape's limits.

        "random" only where the limits hold 1 and leave out both 0.5 and 2; else "unclear".
        """
        if self.shape_high < 1:
            return "early"
        if self.shape_low > 1:
            return "wear_out"
        close = self.shape_low > 0.5 and self.shape_high < 2
        return "random" if close else "unclear"

    def survival(self, t: float) -> float:
        """The share of new units that survive to a time."""
        return math.exp(-((t / self.scale) ** self.shape))

    def reached(self, share: float) -> float:
        """The time by which this share of new units has failed; raises ValueError for none."""
        if not 0 < share < 1:
            raise ValueError("A share lies between 0 and 1.")
        return float(self.scale * (-math.log1p(-share)) ** (1 / self.shape))


@dataclass(frozen=True, slots=True)
class _Sums:
    """Times over the greatest one, so that no power of them overflows; only those above nought."""

    t: Numbers
    log_t: Numbers
    weight: Numbers  # exits less entries
    failures: float
    logs_of_failures: float

    def powers(self, shape: float) -> tuple[float, float, float]:
        """A(b) and its first two derivatives."""
        at = self.weight * np.exp(shape * self.log_t)
        return float(at.sum()), float((at * self.log_t).sum()), float((at * self.log_t**2).sum())

    def score(self, shape: float) -> float:
        whole, first, _second = self.powers(shape)
        if whole <= 0:
            return math.nan
        return self.failures / shape + self.logs_of_failures - self.failures * first / whole

    def profile(self, shape: float) -> float:
        """The logarithm of the likelihood at the best scale for this shape."""
        whole, _first, _second = self.powers(shape)
        if whole <= 0:
            return -math.inf
        r = self.failures
        return (
            r * math.log(shape) + (shape - 1) * self.logs_of_failures - r * math.log(whole / r) - r
        )


def fit(counts: Counts, *, confidence: float = 0.95) -> WeibullFit | NoFit:
    """The law of greatest likelihood with its limits, or why none is fitted.

    Raises ValueError for a confidence that is none.
    """
    if not 0 < confidence < 1:
        raise ValueError("A confidence lies between 0 and 1.")
    if counts.failures < FEWEST:
        return NoFit(f"A law is fitted from {FEWEST} failures on; there are {counts.failures}.")
    most = float(counts.t[-1])
    sums = _sums(counts, most)
    shape = _shape(sums)
    if shape is None:
        return NoFit("The failures lie too close together in age for the shape of a law.")
    low, high = _shape_limits(sums, shape, confidence)
    whole, _first, _second = sums.powers(shape)
    log_scale = math.log(whole / sums.failures) / shape
    spread = NormalDist().inv_cdf((1 + confidence) / 2) * _scale_error(sums, shape, log_scale)
    return WeibullFit(
        scale=most * math.exp(log_scale),
        scale_low=most * math.exp(log_scale - spread),
        scale_high=most * math.exp(log_scale + spread),
        shape=shape,
        shape_low=low,
        shape_high=high,
        loglik=sums.profile(shape) - sums.failures * math.log(most),
        failures=counts.failures,
    )


def _sums(counts: Counts, most: float) -> _Sums:
    inside = counts.t > 0
    t = counts.t[inside] / most
    log_t = np.log(t)
    failed = counts.failed[inside]
    return _Sums(
        t=t,
        log_t=log_t,
        weight=(counts.left - counts.entered)[inside],
        failures=float(failed.sum()),
        logs_of_failures=float((failed * log_t).sum()),
    )


def _shape(sums: _Sums) -> float | None:
    low, high = LEAST_SHAPE, MOST_SHAPE
    if not (sums.score(low) > 0 > sums.score(high)):
        return None
    return _between(lambda b: sums.score(b) > 0, low, high)


def _shape_limits(sums: _Sums, shape: float, confidence: float) -> tuple[float, float]:
    """Where the profile lies half the chi-square of one degree below its top."""
    drop = NormalDist().inv_cdf((1 + confidence) / 2) ** 2 / 2
    least = sums.profile(shape) - drop

    def above(b: float) -> bool:
        return sums.profile(b) > least

    low = (
        LEAST_SHAPE if above(LEAST_SHAPE) else _between(lambda b: not above(b), LEAST_SHAPE, shape)
    )
    high = MOST_SHAPE if above(MOST_SHAPE) else _between(above, shape, MOST_SHAPE)
    return low, high


def _between(goes_on: Callable[[float], bool], low: float, high: float) -> float:
    """Where `goes_on`, true at low and false at high, turns; bisection on the logarithm."""
    for _ in range(_HALVINGS):
        middle = math.sqrt(low * high)
        if goes_on(middle):
            low = middle
        else:
            high = middle
    return math.sqrt(low * high)


def _scale_error(sums: _Sums, shape: float, log_scale: float) -> float:
    """The standard error of the logarithm of the scale, from the observed information."""
    whole, first, second = sums.powers(shape)
    r = sums.failures
    by_scale = shape**2 * r
    both = -shape * r * (first / whole - log_scale)
    by_shape = r / shape**2 + r * (second / whole - 2 * log_scale * first / whole + log_scale**2)
    return math.sqrt(by_shape / (by_scale * by_shape - both**2))
