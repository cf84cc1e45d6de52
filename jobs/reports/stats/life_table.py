"""Survival without a law: Kaplan-Meier and Nelson-Aalen with left truncation.

S(t) is the product of (1 - d/n) over the failure times up to t, n those with entry < t <= exit.
Limits: log-log transformed Greenwood. Under truncation few are at risk early, and one failure among
two would halve S for good: the table starts where enough are at risk, and S is conditional on
surviving to there. Sources: E. L. Kaplan, P. Meier, JASA 53 (1958); J. P. Klein,
M. L. Moeschberger, Survival Analysis, sections 4.2 to 4.6 (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from jobs.reports.stats.counts import Counts, Numbers, at_risk

ENOUGH = 10
"""At risk, from which a table starts: our own advice."""


@dataclass(frozen=True, slots=True)
class NoTable:
    """Why there is none, in a sentence."""

    reason: str


@dataclass(frozen=True, slots=True)
class SurvivalAt:
    """The share that survives to `t`, of those that survived to the start of the table."""

    t: float
    survival: float
    low: float
    high: float
    at_risk: int


@dataclass(frozen=True, slots=True)
class LifeTable:
    """Steps at the failure times. `starts_at`: S is conditional on surviving to it; `ends_at`: the
    last time up to which somebody was at risk without a break. `hazard` is Nelson-Aalen's,
    `greenwood` the standard error of S. Where nothing failed up to a time, `low` there is one-sided
    and exact."""

    starts_at: float
    ends_at: float
    steps: Numbers
    at_risk: Numbers
    failed: Numbers
    survival: Numbers
    greenwood: Numbers
    low: Numbers
    high: Numbers
    hazard: Numbers
    confidence: float
    times: Numbers
    risk_at_times: Numbers

    def at(self, t: float) -> SurvivalAt | None:
        """S at a time; None before the start and beyond the data."""
        if not self.starts_at <= t <= self.ends_at:
            return None
        risk = self.risk(t)
        step = int(np.searchsorted(self.steps, t, side="right")) - 1
        if step < 0:
            return SurvivalAt(t, 1.0, _least(risk, self.confidence), 1.0, risk)
        low, high = float(self.low[step]), float(self.high[step])
        return SurvivalAt(t, float(self.survival[step]), low, high, risk)

    def risk(self, t: float) -> int:
        """How many are still at risk at a time."""
        later = int(np.searchsorted(self.times, t, side="left"))
        return int(self.risk_at_times[later]) if later < len(self.times) else 0

    def reached(self, share: float) -> float | None:
        """The time by which this share has failed; None when the data do not reach it."""
        there = np.nonzero(self.survival <= 1 - share + 1e-12)[0]
        return float(self.steps[there[0]]) if len(there) else None


def life_table(
    counts: Counts, *, at_least: int = ENOUGH, confidence: float = 0.95
) -> LifeTable | NoTable:
    """The table from the first time at which `at_least` are at risk; or why there is none.

    Raises ValueError for a confidence that is none, or at_least below one.
    """
    if not 0 < confidence < 1 or at_least < 1:
        raise ValueError("A confidence lies between 0 and 1, and at least one is at risk.")
    if not counts.lives:
        return NoTable("No unit of this kind was watched yet.")
    risk = at_risk(counts)
    enough = np.nonzero(risk >= at_least)[0]
    if not len(enough):
        return NoTable(f"Never were {at_least} at risk at one time: too few for a curve.")
    first = int(enough[0])
    starts_at = float(counts.t[first - 1]) if first else 0.0
    # Where nobody is at risk the curve ends: of what happens there it would know nothing.
    nobody = np.nonzero(risk[first:] == 0)[0]
    end = first + int(nobody[0]) if len(nobody) else len(risk)
    inside = np.zeros(len(counts.t), dtype=bool)
    inside[first:end] = True
    steps = np.nonzero(inside & (counts.failed > 0))[0]
    n, d = risk[steps], counts.failed[steps]
    survival, greenwood = _survival(n, d)
    low, high = _limits(survival, greenwood, n, confidence)
    return LifeTable(
        starts_at=starts_at,
        ends_at=float(counts.t[end - 1]),
        steps=counts.t[steps],
        at_risk=n,
        failed=d,
        survival=survival,
        greenwood=greenwood,
        low=low,
        high=high,
        hazard=np.cumsum(d / n),
        confidence=confidence,
        times=counts.t[inside],
        risk_at_times=risk[inside],
    )


def _survival(n: Numbers, d: Numbers) -> tuple[Numbers, Numbers]:
    survival: Numbers = np.cumprod(1 - d / n).astype(np.float64)
    with np.errstate(divide="ignore", invalid="ignore"):
        terms = np.where(n > d, d / (n * (n - d)), np.inf)
        error = survival * np.sqrt(np.cumsum(terms))
        greenwood: Numbers = np.where(survival > 0, error, 0.0).astype(np.float64)
    return survival, greenwood


def _limits(
    survival: Numbers, greenwood: Numbers, n: Numbers, confidence: float
) -> tuple[Numbers, Numbers]:
    """Log-log limits; after the last of all at risk failed, 0 and what one failure of n allows."""
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    low, high = np.zeros(len(survival)), np.zeros(len(survival))
    inner = (survival > 0) & (survival < 1)
    s = survival[inner]
    spread = z * greenwood[inner] / (s * np.abs(np.log(s)))
    low[inner] = s ** np.exp(spread)
    high[inner] = s ** np.exp(-spread)
    gone = survival <= 0
    # All n at risk failed: a share of none out of n, its exact upper limit, two-sided; never more
    # than the upper limit before.
    tail = (1 - confidence) / 2
    high[gone] = 1 - tail ** (1 / n[gone])
    falling: Numbers = np.minimum.accumulate(high)
    return low, falling


def _least(at_risk_now: int, confidence: float) -> float:
    """With no failure among n: the share whose n-fold survival has the probability of the tail."""
    if at_risk_now < 1:
        return 0.0
    low: float = math.exp(math.log(1 - confidence) / at_risk_now)
    return low
