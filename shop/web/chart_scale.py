"""From numbers to pixels: how far an axis reaches, and where its few round ticks lie. Pure."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from shop import units
from shop.charting import Axis

_STEPS = (Fraction(1), Fraction(2), Fraction(5))
_TURNS = (15, 30, 45, 90, 180, 360, 720)
_AIR = 0.06
_MOST_DECIMALS = 12


@dataclass(frozen=True, slots=True)
class Scale:
    """An axis from `low` to `high` with its ticks, all in the axis' own unit."""

    low: float
    high: float
    ticks: tuple[float, ...]
    decimals: int
    log: bool = False

    def share(self, value: float) -> float:
        """Where a value lies, 0 at `low` and 1 at `high`; beyond them outside of 0 to 1.

        Raises ValueError for a value that a logarithmic axis cannot show.
        """
        if not self.log:
            return (value - self.low) / (self.high - self.low)
        if value <= 0:
            raise ValueError("A logarithmic axis shows no nought and nothing below it.")
        whole = math.log(self.high) - math.log(self.low)
        return (math.log(value) - math.log(self.low)) / whole

    def shows(self, value: float) -> bool:
        """Whether a value lies on the axis, its ends included."""
        if not math.isfinite(value) or (self.log and value <= 0):
            return False
        return -1e-9 <= self.share(value) <= 1 + 1e-9

    def words(self, tick: float) -> str:
        """A tick as it is written beside the axis."""
        if self.log:
            return units.format_number(tick)
        return units.format_number(tick, decimals=self.decimals)


def scale_of(axis: Axis, values: Iterable[float], *, most: int) -> Scale:
    """The scale that shows all `values` of an axis with at most `most` ticks.

    values: what is drawn against the axis; what is not finite is passed over. An axis that cannot
    be logarithmic, because something on it is not above nought, is drawn straight.
    """
    shown = [value for value in values if math.isfinite(value)]
    given = [end for end in (axis.low, axis.high) if end is not None]
    if axis.log and all(value > 0 for value in [*shown, *given]) and (shown or given):
        return _logarithmic(axis, shown or given, most)
    low, high = _ends(axis, shown)
    step = step_of(low, high, most, turning=axis.unit == "°")
    return Scale(low, high, _ticks(low, high, step), _decimals(step))


def step_of(low: float, high: float, most: int, *, turning: bool = False) -> Fraction:
    """The smallest round step with at most `most` (two at least) ticks from `low` to `high`.

    1, 2 or 5 times a power of ten, and half of that where it would leave a single tick, by which
    nobody can read a value; `turning`: twelfths, eighths and quarters of turns, where the axis is
    long enough for them.
    """
    span = high - low
    if turning and span >= 60:
        for degrees in _TURNS:
            if len(_ticks(low, high, Fraction(degrees))) <= most:
                return Fraction(degrees)
    power = math.floor(math.log10(span)) - 1
    while True:
        for step in _STEPS:
            wanted = step * Fraction(10) ** power
            ticks = len(_ticks(low, high, wanted))
            if ticks <= max(2, most):
                return wanted if ticks > 1 else wanted / 2
        power += 1


def _ends(axis: Axis, shown: Sequence[float]) -> tuple[float, float]:
    known = list(shown) or [end for end in (axis.low, axis.high) if end is not None] or [0.0, 1.0]
    low, high = min(known), max(known)
    if axis.zero:
        low, high = min(low, 0.0), max(high, 0.0)
    low = low if axis.low is None else axis.low
    high = high if axis.high is None else axis.high
    # Ends that meet, or ends so near that the numbers can hardly be told apart.
    if high - low <= 1e-12 * max(abs(low), abs(high)):
        reach = abs(high) * 0.1 or 1.0
        low, high = (low - reach if axis.low is None else low), high + reach
    return low, high


def _ticks(low: float, high: float, step: Fraction) -> tuple[float, ...]:
    first, last = Fraction(repr(low)) / step, Fraction(repr(high)) / step
    return tuple(float(number * step) for number in range(math.ceil(first), math.floor(last) + 1))


def _decimals(step: Fraction) -> int:
    places = 0
    while places < _MOST_DECIMALS and (step * 10**places).denominator != 1:
        places += 1
    return places


def _logarithmic(axis: Axis, shown: Sequence[float], most: int) -> Scale:
    low = axis.low if axis.low is not None else min(shown)
    high = axis.high if axis.high is not None else max(shown)
    if high <= low:
        low, high = low / 2, high * 2
    decades = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    for factors in ((1, 2, 5), (1, 3), (1,)):
        every = [factor * 10.0**power for power in decades for factor in factors]
        ticks = [tick for tick in every if low * (1 - 1e-9) <= tick <= high * (1 + 1e-9)]
        if len(ticks) <= most:
            break
    else:
        ticks = ticks[:: math.ceil(len(ticks) / most)]
    return Scale(low, high, tuple(ticks) or (low, high), 0, log=True)


def with_air(axis: Axis, values: Iterable[float]) -> list[float]:
    """`values` with a little room beyond them, so that no mark lies on the frame.

    No room is added at an end that the axis sets itself, nor beyond the nought it begins at.
    """
    shown = [value for value in values if math.isfinite(value)]
    if not shown or axis.log:
        return shown
    low, high = min(shown), max(shown)
    air = (high - low) * _AIR
    if axis.low is None and not (axis.zero and low >= 0):
        shown.append(low - air)
    if axis.high is None and not (axis.zero and high <= 0):
        shown.append(high + air)
    return shown
