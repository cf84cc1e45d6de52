"""Speed-sensitive assist: duty, flow and pressure at several speeds against their curves. Pure.

Common practice, no source, throughout: the actuator's valve is open without power, so that no duty
gives full flow and full assist; duty rises with road speed and flow and pressure fall.

Speeds in m/s, duty as a ratio, flow in m³/s, pressure in Pa.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from diagnostics.compute.verdict import Limit, Verdict, VerdictKind, judge
from shop.units import from_si, to_si

PARKING_SPEED = 15 / 3.6
"""Up to here one parks: common practice, no source."""
FAST_SPEED = 60 / 3.6
"""From here on assist must have fallen, even where no curve is known: common practice."""
NO_DUTY = 0.05
SOME_DUTY = 0.10
"""Below 5 % a command does nothing, above 10 % it is there: common practice, no source."""
_SAME_SHARE = 0.05
_SHOWN_DECIMALS = 9

State = Literal["low", "right", "high", "unknown"]
ShapeKind = Literal["right", "flat", "wrong way", "too few"]


@dataclass(frozen=True, slots=True)
class Curve:
    """Straight lines between `points` (x, y) with x rising; `tolerance` to either side of y.

    Raises ValueError for fewer than two points, an x that does not rise, a negative tolerance or
    a number that is not finite.
    """

    points: tuple[tuple[float, float], ...]
    tolerance: float

    def __post_init__(self) -> None:
        numbers = [number for point in self.points for number in point]
        if not all(math.isfinite(number) for number in (*numbers, self.tolerance)):
            raise ValueError("A curve is made of finite numbers.")
        if len(self.points) < 2:
            raise ValueError("A curve needs at least two points.")
        if any(one[0] >= other[0] for one, other in pairwise(self.points)):
            raise ValueError("The points of a curve must rise from left to right.")
        if self.tolerance < 0:
            raise ValueError("The tolerance of a curve cannot be below nought.")

    @property
    def first(self) -> float:
        return self.points[0][0]

    @property
    def last(self) -> float:
        return self.points[-1][0]

    def at(self, x: float) -> float | None:
        """The curve at `x`; None outside its points, where it says nothing."""
        if not self.first <= x <= self.last:
            return None
        right = min(bisect_right([point[0] for point in self.points], x), len(self.points) - 1)
        (x0, y0), (x1, y1) = self.points[right - 1], self.points[right]
        # Both ends are met exactly, and a level piece stays level.
        share = (x - x0) / (x1 - x0)
        return y0 * (1 - share) + y1 * share if y0 != y1 else y0


@dataclass(frozen=True, slots=True)
class Compared:
    """A measured value beside its curve; `expected` and `off` None where the curve says nothing."""

    speed: float
    measured: float
    expected: float | None
    off: float | None
    verdict: Verdict

    @property
    def state(self) -> State:
        if self.off is None:
            return "unknown"
        if self.verdict.kind is not VerdictKind.OUTSIDE:
            return "right"
        return "high" if self.off > 0 else "low"


def compare(curve: Curve, speed: float, measured: float, *, unit: str, most: float) -> Compared:
    """Judge a value measured at `speed` by the curve and its tolerance.

    unit: in which the reason is written and a value is taken to lie exactly on an edge.
    most: the largest value that there is (1 for a duty, infinity for a flow): nothing limits a
    value beyond it, nor below nought.
    """
    expected = curve.at(speed)
    if expected is None:
        return Compared(speed, measured, None, None, judge(measured, None))
    low, high = band_at(expected, curve.tolerance, unit=unit, most=most)
    verdict = judge(measured, Limit(low, high, unit))
    if low is None and high is None:
        verdict = Verdict(VerdictKind.WITHIN, "Within: the curve allows anything here.")
    return Compared(speed, measured, expected, measured - expected, verdict)


def band_at(
    expected: float, tolerance: float, *, unit: str, most: float
) -> tuple[float | None, float | None]:
    """What is allowed about `expected`: None on a side where there is nothing beyond."""
    low, high = (_as_typed(expected + side * tolerance, unit) for side in (-1, 1))
    return (low if low > 0 else None), (high if high < most else None)


def _as_typed(value: float, unit: str) -> float:
    """The number that a person typing this value in `unit` would have stored."""
    return to_si(round(from_si(value, unit), _SHOWN_DECIMALS), unit)


def response_to(duty: Curve, response: Curve, commanded: float) -> float | None:
    """What flow or pressure should be for the duty that was commanded, whatever the speed.

    The two curves with the speed taken out of them. None where they do not say: beyond the duties
    of the curve, or where one duty goes with quite different responses.
    """
    speeds = sorted({x for x, _ in (*duty.points, *response.points)})
    both = [(duty.at(x), response.at(x)) for x in speeds]
    pairs = [(d, r) for d, r in both if d is not None and r is not None]
    found: list[float] = []
    for (d0, r0), (d1, r1) in pairwise(pairs):
        low, high = min(d0, d1), max(d0, d1)
        if not low - 1e-9 <= commanded <= high + 1e-9:
            continue
        if math.isclose(d0, d1, abs_tol=1e-9):
            found += [r0, r1]
        else:
            found.append(r0 + (r1 - r0) * (commanded - d0) / (d1 - d0))
    if not found or max(found) - min(found) > response.tolerance:
        return None
    return (min(found) + max(found)) / 2


@dataclass(frozen=True, slots=True)
class Shape:
    """Whether values go the way they must as the car goes faster."""

    kind: ShapeKind
    reason: str


def shape_of(values: Sequence[tuple[float, float]], *, rises: bool) -> Shape:
    """Look at (speed, value) alone, where no curve is known.

    Between the slowest and the fastest point the value must change in its direction by more than a
    twentieth of the largest; on the way it may go back by no more. Common practice, no source.
    """
    ordered = sorted(values)
    if len(ordered) < 2 or ordered[-1][0] - ordered[0][0] < FAST_SPEED - PARKING_SPEED:
        return Shape("too few", "Too few speeds, or too close together, to see how it changes.")
    sign = 1 if rises else -1
    noise = _SAME_SHARE * max(abs(value) for _, value in ordered)
    steps = [sign * (after[1] - before[1]) for before, after in pairwise(ordered)]
    way = "rise" if rises else "fall"
    whole = sign * (ordered[-1][1] - ordered[0][1])
    if whole < -noise or min(steps) < -noise:
        return Shape("wrong way", f"It does not {way} steadily with speed, as it must.")
    if whole <= noise:
        return Shape("flat", f"It hardly changes with speed; it must {way}.")
    return Shape("right", f"It {way}s with speed, as it must.")


def state_of(states: Sequence[State]) -> State:
    """One word for several points: off as most of those that are off, right where none is."""
    low, high = states.count("low"), states.count("high")
    if low or high:
        return "low" if low >= high else "high"
    return "right" if "right" in states else "unknown"
