"""A pressure shut in and watched: does it hold, settle or leak? Pure.

Straight lines and exponentials are fitted by least squares; how sure a slope is follows from
Student's t and from what the gauge can tell apart. That a leak slows only as its pressure falls,
and settling much sooner, is physics of a fixed opening, worked here: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]
Shape = Literal["holds", "settles", "leaks", "slows", "rises", "unclear"]

# Student's t, 95 % two-sided, for 1 to 30 degrees of freedom.
_STUDENT = (
    12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228,
    2.201, 2.179, 2.160, 2.145, 2.131, 2.120, 2.110, 2.101, 2.093, 2.086,
    2.080, 2.074, 2.069, 2.064, 2.060, 2.056, 2.052, 2.048, 2.045, 2.042,
)  # fmt: skip
_NORMAL = 1.95996

SLOWER_THAN_A_LEAK = 0.7
"""A late rate below this part of what the pressure alone explains has settled besides."""
_FEWEST_TO_SETTLE = 5
_NOTHING = 1e-3
"""A pressure below this part of the highest is nought, and has no logarithm worth fitting."""
_TRIALS = 160


def student95(freedom: int) -> float:
    """Student's t for 95 % two-sided with `freedom` >= 1 degrees of freedom, to 0.001."""
    if freedom < 1:
        raise ValueError("Without a spare reading nothing can be said about the spread.")
    if freedom <= len(_STUDENT):
        return _STUDENT[freedom - 1]
    z, v = _NORMAL, float(freedom)
    return z + (z**3 + z) / (4 * v) + (5 * z**5 + 16 * z**3 + 3 * z) / (96 * v * v)


@dataclass(frozen=True, slots=True)
class LineFit:
    """p = start + slope t. Pa and Pa/s; slope_u: half width of the 95 % interval, with what the
    gauge can tell apart. rms: of the residuals, Pa."""

    start: float
    slope: float
    slope_u: float
    rms: float


@dataclass(frozen=True, slots=True)
class DecayFit:
    """p = start e^(-t/tau). tau in s; tau_low, tau_high: 95 % interval, high None for no end."""

    start: float
    tau: float
    tau_low: float
    tau_high: float | None
    rms: float


@dataclass(frozen=True, slots=True)
class SettlingFit:
    """p = rest + fall e^(-t/tau). rest_u: half width of the 95 % interval of the rest, Pa."""

    rest: float
    fall: float
    tau: float
    rest_u: float
    rms: float


@dataclass(frozen=True, slots=True)
class Hold:
    """What a pressure did. Pa, s.

    line: through all readings. early, late: through the first and the second half of the time.
    decay: None when the pressure does not fall or reaches nought. settling: None with fewer than
    five readings or where none can be made out. lost: first less last.
    """

    shape: Shape
    line: LineFit
    early: LineFit
    late: LineFit
    decay: DecayFit | None
    settling: SettlingFit | None
    lost: float
    reason: str

    @property
    def fall_per_minute(self) -> float:
        """Pa lost a minute in the second half of the time; below zero when it rises."""
        return 0.0 - 60.0 * self.late.slope


def watch(seconds: Sequence[float], pascals: Sequence[float], gauge: float) -> Hold:
    """Judge a series of pressures, in Pa from 0 up, read at strictly rising `seconds`.

    In every fit time counts from the first reading.
    `gauge`: what the gauge can tell apart (its expanded uncertainty), Pa, above 0. Raises
    ValueError with a sentence for fewer than two readings and for what cannot be.
    """
    t, p = _checked(seconds, pascals)
    if not math.isfinite(gauge) or gauge <= 0:
        raise ValueError("What the gauge can tell apart must be above zero.")
    first, second = _first_half(t), _second_half(t)
    line = fit_line(t, p, gauge)
    early, late = fit_line(t[first], p[first], gauge), fit_line(t[second], p[second], gauge)
    lost = float(p[0] - p[-1])
    shape = _without_slope(line, lost, gauge) or _falling(t, p, line, late, gauge)
    if len(t) == 2 and shape == "leaks":
        shape = "unclear"
    settling = fit_settling(t, p) if len(t) >= _FEWEST_TO_SETTLE else None
    return Hold(shape, line, early, late, fit_decay(t, p), settling, lost, _REASONS[shape])


_REASONS: dict[Shape, str] = {
    "holds": "It holds: what was lost is less than the gauge can tell apart.",
    "settles": "It falls at first and then stops: settling, not a leak.",
    "leaks": "It goes on falling as a leak does.",
    "slows": "It falls fast at first and more slowly later than a leak alone would, but it still "
    "falls at the end.",
    "rises": "It rises: something goes on pressing, or the fluid warms.",
    "unclear": "It falls, but these readings cannot tell a leak from settling: take more of them.",
}


def _without_slope(line: LineFit, lost: float, gauge: float) -> Shape | None:
    """What the loss alone says; None when the pressure falls."""
    if lost < -gauge:
        return "rises"
    return "holds" if lost <= gauge and -line.slope <= line.slope_u else None


def _falling(t: Numbers, p: Numbers, line: LineFit, late: LineFit, gauge: float) -> Shape:
    """How it falls, by what each half of the time has lost."""
    middle = float(np.interp(t[-1] / 2, t, p))
    first, second = float(p[0]) - middle, middle - float(p[-1])
    if -late.slope <= late.slope_u:
        if first - second > gauge:
            return "settles"
        # A slow steady fall shows over the whole time before it shows in half of it.
        return "leaks" if -line.slope > line.slope_u else "unclear"
    kept = (middle + float(p[-1])) / (float(p[0]) + middle)
    explained = first / (t[-1] / 2) * kept
    return "slows" if -late.slope + late.slope_u < SLOWER_THAN_A_LEAK * explained else "leaks"


def _checked(seconds: Sequence[float], pascals: Sequence[float]) -> tuple[Numbers, Numbers]:
    t, p = np.asarray(seconds, dtype=np.float64), np.asarray(pascals, dtype=np.float64)
    if t.shape != p.shape or t.ndim != 1 or t.size < 2:
        raise ValueError("It takes at least two readings, each with its time.")
    if not (np.isfinite(t).all() and np.isfinite(p).all()):
        raise ValueError("Times and pressures must be numbers.")
    if (np.diff(t) <= 0).any():
        raise ValueError("Each reading must be later than the one before it.")
    if (p < 0).any():
        raise ValueError("A gauge pressure in a held circuit is not below zero.")
    # Time counts from the first reading in every fit.
    return t - t[0], p


def _first_half(t: Numbers) -> slice:
    """The readings up to the middle of the time, two at least."""
    return slice(0, max(2, int((t <= (t[0] + t[-1]) / 2).sum())))


def _second_half(t: Numbers) -> slice:
    return slice(min(t.size - 2, int((t < (t[0] + t[-1]) / 2).sum())), None)


def fit_line(t: Numbers, p: Numbers, gauge: float = 0.0) -> LineFit:
    """Least squares through readings, at least two at different times.

    gauge: expanded uncertainty (k = 2) of each reading by itself. The slope's is gauge / sqrt(sum
    (t - mean)^2) from it; where the residuals are greater than the gauge explains, Student's t
    times the standard error when that is more.
    """
    away = t - t.mean()
    spread = float(away @ away)
    slope = float(away @ p) / spread
    start = float(p.mean()) - slope * float(t.mean())
    left = p - start - slope * t
    squares = float(left @ left)
    rms = math.sqrt(squares / t.size)
    freedom = t.size - 2
    # Readings that scatter less than the gauge explains tell nothing more about its error.
    scatters = freedom > 0 and rms > gauge / 2
    scatter = student95(freedom) * math.sqrt(squares / freedom / spread) if scatters else 0.0
    return LineFit(start, slope, max(scatter, gauge / math.sqrt(spread)), rms)


def fit_decay(t: Numbers, p: Numbers) -> DecayFit | None:
    """An exponential towards nought: a straight line through ln p, each weighed by p.

    None when the pressure does not fall or is nought anywhere. The interval of tau follows from
    that of the rate; with two readings there is none, and tau_low is tau.
    """
    highest = float(p.max())
    if float(p.min()) <= _NOTHING * highest:
        return None
    parts = p / highest
    logs, weight = np.log(p), parts**2 / float((parts**2).sum())
    middle, level = float(weight @ t), float(weight @ logs)
    spread = float(weight @ (t - middle) ** 2)
    rate = -float(weight @ ((t - middle) * (logs - level))) / spread
    if not rate > 0:
        return None
    start = math.exp(level + rate * middle)
    left = p - start * np.exp(-rate * t)
    freedom = t.size - 2
    rate_u = 0.0
    if freedom:
        in_logs = logs - level + rate * (t - middle)
        variance = float(weight @ in_logs**2) / freedom / spread
        rate_u = student95(freedom) * math.sqrt(variance)
    slowest = rate - rate_u
    rms = math.sqrt(float(left @ left) / t.size)
    return DecayFit(start, 1 / rate, 1 / (rate + rate_u), 1 / slowest if slowest > 0 else None, rms)


def fit_settling(t: Numbers, p: Numbers) -> SettlingFit | None:
    """An exponential towards a rest pressure.

    For each trial of tau the other two follow from linear least squares; tau is searched between
    half the shortest step and three times the whole time, then refined. None when the best lies at
    either end (a straight line, or a single step), when the pressure does not fall towards its
    rest, or when the rest would be below nought.
    """
    whole, shortest = float(t[-1] - t[0]), float(np.diff(t).min())
    taus = np.geomspace(shortest / 2, 3 * whole, _TRIALS)
    best = _best(t, p, taus)
    if best in (0, _TRIALS - 1):
        return None
    for _round in range(3):
        inside = min(max(best, 1), _TRIALS - 2)
        taus = np.linspace(taus[inside - 1], taus[inside + 1], _TRIALS)
        best = _best(t, p, taus)
    tau = float(taus[best])
    rest, fall, squares = _projected(t, p, tau)
    if fall <= 0 or rest < 0:
        return None
    fading = np.exp(-t / tau)
    slopes = np.column_stack((np.ones_like(t), fading, fall * t / tau**2 * fading))
    inverse = np.linalg.pinv(slopes.T @ slopes)
    freedom = t.size - 3
    rest_u = student95(freedom) * math.sqrt(max(0.0, float(inverse[0, 0])) * squares / freedom)
    return SettlingFit(rest, fall, tau, rest_u, math.sqrt(squares / t.size))


def _best(t: Numbers, p: Numbers, taus: Numbers) -> int:
    """Which tau leaves the smallest squares: `_projected` for all of them at once."""
    fading = np.exp(-t / taus[:, None])
    away, up = fading - fading.mean(axis=1, keepdims=True), p - p.mean()
    spread = (away**2).sum(axis=1)
    fall = np.divide(away @ up, spread, out=np.zeros_like(taus), where=spread > 0)
    return int(((up - fall[:, None] * away) ** 2).sum(axis=1).argmin())


def _projected(t: Numbers, p: Numbers, tau: float) -> tuple[float, float, float]:
    """The best rest and fall for one tau, and the sum of the squares that are left."""
    fading = np.exp(-t / tau)
    away, up = fading - fading.mean(), p - p.mean()
    spread = float(away @ away)
    fall = float(away @ up) / spread if spread > 0 else 0.0
    left = up - fall * away
    return float(p.mean() - fall * fading.mean()), fall, float(left @ left)


@dataclass(frozen=True, slots=True)
class Left:
    """Pressure at a time after the first reading, Pa. how: "read" at that very time, "between"
    two readings, or "foretold" from the last of them by the late line."""

    pascals: float
    how: Literal["read", "between", "foretold"]


def left_after(seconds: Sequence[float], pascals: Sequence[float], hold: float) -> Left:
    """What remains `hold` seconds after the first reading, above 0.

    Straight lines between readings; beyond the last, the late line goes on from it, never below
    nought. Raises ValueError as `watch`, and for a hold that is not above zero.
    """
    t, p = _checked(seconds, pascals)
    if not math.isfinite(hold) or hold <= 0:
        raise ValueError("The hold must last longer than zero seconds.")
    if hold <= t[-1] + 1e-9:
        exact = bool(np.isclose(t, hold, rtol=0, atol=1e-9).any())
        return Left(float(np.interp(hold, t, p)), "read" if exact else "between")
    late = _second_half(t)
    slope = min(0.0, fit_line(t[late], p[late]).slope)
    return Left(max(0.0, float(p[-1]) + slope * (hold - float(t[-1]))), "foretold")
