"""A number that would be right in another unit: asked about, never assumed. Pure.

The rule is this product's own; the factors are common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from diagnostics.compute.verdict import Limit, limit_in_words
from shop.units import Kind, format_value, from_si, kind_of, symbol_of, to_si, units_of

FAR = 30.0
"""So far outside, a wrong unit is likelier than the value."""
NEAR = 2.0
"""A faulty part may lie this far outside and still be what was meant."""
NARROW = 3.0
"""Only a range no wider than this tells a slip of one digit, or psi from bar, from a fault."""
LEAST_APART = 5.0
"""Units closer to each other than this (miles and kilometres) are not told apart."""
TENFOLD = 10.0

_TIMES = {1e1: "ten", 1e2: "a hundred", 1e3: "a thousand", 1e6: "a million"}
_PART = {1e1: "a tenth", 1e2: "a hundredth", 1e3: "a thousandth", 1e6: "a millionth"}
_SHOWN_BY = {
    Kind.RESISTANCE: "meter",
    Kind.VOLTAGE: "meter",
    Kind.CURRENT: "meter",
    Kind.FREQUENCY: "meter",
    Kind.PRESSURE: "gauge",
    Kind.FLOW: "gauge",
    Kind.LENGTH: "gauge",
}


@dataclass(frozen=True, slots=True)
class UnitDoubt:
    """A question about what was typed.

    sentence: asks it. likely_unit: key of the unit in which the same number would be usual; the
    typed unit itself when a digit slipped. likely_value: SI, what it would then be.
    """

    sentence: str
    likely_unit: str
    likely_value: float


@dataclass(frozen=True, slots=True)
class _Range:
    """What is usual, by size: 0 and infinity for an end that is not. sign: 0 when to both sides."""

    low: float | None
    high: float | None
    sign: float
    least: float
    most: float

    @property
    def narrow(self) -> bool:
        return self.least > 0 and self.most <= NARROW * self.least

    def holds(self, value: float, slack: float = 1.0) -> bool:
        """Whether the value lies inside, or within `slack` times of it."""
        size = value * self.sign if self.sign else abs(value)
        # A hair wider, so that a product of floats on the edge counts as inside.
        return self.least / slack * (1 - 1e-9) <= size <= self.most * slack * (1 + 1e-9)

    def times_outside(self, value: float) -> float:
        """How many times below or above the range the size is; 1 inside."""
        size = abs(value)
        return max(self.least / size, size / self.most, 1.0)


def unit_doubt(value: float, unit: str, low: float | None, high: float | None) -> UnitDoubt | None:
    """Whether the number typed was meant in another unit, or lost a digit.

    value: SI, as converted from `unit`, the key of the unit typed. low, high: SI range of what is
    usual or allowed, None for an end that is not.

    Asked when the value lies more than 30 times outside and the same number lies inside, or within
    twice, in another unit of its kind; for a range no wider than threefold also when it lies more
    than twice outside and right inside in a unit at least fivefold apart (bar for psi), or when ten
    times or a tenth of it is right inside (960 kPa for 9.6 MPa). Nought, nothing finite (an open
    circuit) and temperatures, whose units have no common nought, raise no doubt.

    Raises UnitError for an unknown unit, ValueError for a range upside down.
    """
    usual = _range(low, high)
    if usual is None or not math.isfinite(value) or value == 0:
        return None
    if kind_of(unit) is Kind.TEMPERATURE:
        return None
    outside = usual.times_outside(value)
    if outside <= NEAR:
        return None
    return _other_unit(value, unit, usual, outside) or _slipped_digit(value, unit, usual)


def _range(low: float | None, high: float | None) -> _Range | None:
    """None where nothing can be said: no limit, or one that spans nought widely on both sides."""
    for bound in (low, high):
        if bound is not None and not math.isfinite(bound):
            raise ValueError("What is usual must be given as finite numbers or left out.")
    if low is not None and high is not None and low > high:
        raise ValueError("The low end of what is usual is above its high end.")
    if low is not None and low > 0:
        return _Range(low, high, 1.0, low, math.inf if high is None else high)
    if high is not None and high < 0:
        return _Range(low, high, -1.0, -high, math.inf if low is None else -low)
    if low is not None and high is not None and low < 0:
        # Toe and camber: usual to both sides of nought, so only the size speaks.
        return _Range(low, high, 0.0, 0.0, max(-low, high))
    if high is not None and high > 0:
        return _Range(low, high, 1.0, 0.0, high)
    return None


def _other_unit(value: float, unit: str, usual: _Range, outside: float) -> UnitDoubt | None:
    typed = from_si(value, unit)
    slack = NEAR if outside > FAR else 1.0
    if outside <= FAR and not usual.narrow:
        return None
    could_be = [
        (key, meant)
        for key in units_of(kind_of(unit))
        if (meant := to_si(typed, key)) != value
        and _apart(meant, value) >= LEAST_APART
        and usual.holds(meant, slack)
    ]
    if not could_be:
        return None
    # Right inside before merely near, then the commoner unit.
    likely, meant = min(could_be, key=lambda one: not usual.holds(one[1]))
    # A plain number says nothing by itself: 0.7 beside 1 % is said as 70 %.
    said_in = likely if symbol_of(likely) else unit
    return UnitDoubt(
        f"{_compared(value, unit, usual, said_in, _apart(meant, value))} "
        f"Did the {_shown_by(unit)} show {format_value(meant, said_in)}? "
        f"Choose the unit it showed; if it really was {format_value(value, unit)}, say so.",
        likely,
        meant,
    )


def _slipped_digit(value: float, unit: str, usual: _Range) -> UnitDoubt | None:
    if not usual.narrow:
        return None
    for meant in (value * TENFOLD, value / TENFOLD):
        if usual.holds(meant):
            return UnitDoubt(
                f"{_compared(value, unit, usual, unit, TENFOLD)} "
                f"Did the {_shown_by(unit)} show {format_value(meant, unit)}? "
                f"Type what it showed; if it really was {format_value(value, unit)}, say so.",
                unit,
                meant,
            )
    return None


def _apart(one: float, other: float) -> float:
    """How many times the greater of two sizes is the smaller."""
    ratio = abs(one / other)
    return max(ratio, 1 / ratio)


def _compared(value: float, unit: str, usual: _Range, shown_in: str, apart: float) -> str:
    below = abs(value) < usual.least
    exact = next((power for power in _PART if math.isclose(apart, power, rel_tol=1e-6)), None)
    if exact is None:
        how = "far below" if below else "far above"
    else:
        how = f"{_PART[exact]} of" if below else f"{_TIMES[exact]} times"
    allowed = limit_in_words(Limit(usual.low, usual.high, shown_in))
    return f"{format_value(value, unit)} is {how} what is usual here ({allowed})."


def _shown_by(unit: str) -> str:
    return _SHOWN_BY.get(kind_of(unit), "instrument")
