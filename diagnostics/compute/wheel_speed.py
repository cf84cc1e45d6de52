"""Teeth, turns and road speed of a wheel, and what a sensor gives by hand. Pure.

f = N v / C: frequency in Hz, N teeth for each turn, speed v in m/s, C the distance rolled in one
turn in m. A conversion of definitions, no source needed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from shop.tyres import TyreSize
from shop.units import format_number

# A passive sensor turned by hand, as printed on makers' service pages (read in public archives).
HAND_SPIN_VOLTS = (0.25, 1.2)
"""AC volts at one turn a second."""
HAND_SPIN_PEAK_TO_PEAK = 0.130
"""Volts peak to peak, at the least, turned by hand; the page names no rate."""
COMFORTABLE_RATES = (0.5, 2.0)
"""Turns a second between which bringing the voltage to one turn a second is trusted."""

# Widths and aspects in which car tyres are usually made (common practice).
_WIDTH_STEPS = (-20, -10, 0, 10, 20)
_ASPECTS = range(30, 86, 5)
_WIDTHS = (125, 325)
_SIMILAR = 0.007

Side = Literal["low", "within", "high"]


def frequency(*, teeth: float, speed: float, circumference: float) -> float:
    """Hz from a ring of `teeth` on a wheel that rolls `circumference` m a turn at `speed` m/s.

    Raises ValueError for anything not finite or below nought, and for no teeth or circumference.
    """
    _positive(teeth, "number of teeth")
    _positive(circumference, "circumference")
    return teeth * _not_below(speed, "speed") / circumference


def road_speed(*, teeth: float, hertz: float, circumference: float) -> float:
    """The road speed, m/s, at which the ring gives `hertz`. Raises ValueError as `frequency`."""
    _positive(teeth, "number of teeth")
    _positive(circumference, "circumference")
    return _not_below(hertz, "frequency") * circumference / teeth


def teeth_implied(*, hertz: float, speed: float, circumference: float) -> float:
    """How many teeth a ring would have that gives `hertz` at `speed` m/s; not rounded."""
    _positive(circumference, "circumference")
    return _not_below(hertz, "frequency") * circumference / _positive(speed, "speed")


@dataclass(frozen=True, slots=True)
class Spin:
    """A wheel turned by hand.

    turns_per_second: 1/s. expected: Hz from its ring. road_speed: m/s at which it turns as fast,
    None without a circumference.
    """

    turns_per_second: float
    expected: float
    road_speed: float | None
    reason: str


def spin(*, teeth: float, turns: float, seconds: float, circumference: float | None = None) -> Spin:
    """What `turns` counted in `seconds` come to. Raises ValueError for nought and below."""
    rate = _positive(turns, "number of turns") / _positive(seconds, "time")
    hertz = _positive(teeth, "number of teeth") * rate
    speed = None if circumference is None else rate * _positive(circumference, "circumference")
    times = f"{format_number(rate, digits=3)} times a second"
    return Spin(rate, hertz, speed, f"{teeth:g} teeth passing {times}.")


def volts_at_one_turn(volts: float, turns_per_second: float) -> float:
    """A passive sensor's AC volts brought to one turn a second.

    Its voltage is the rate of change of the flux, so it rises with the speed as long as the gap
    and the load stay the same (law of induction; from memory that makers rely on it).
    """
    return _not_below(volts, "voltage") / _positive(turns_per_second, "rate of turning")


def side_of_hand_spin(volts: float) -> Side:
    """Where AC volts at one turn a second lie against `HAND_SPIN_VOLTS`."""
    low, high = HAND_SPIN_VOLTS
    if volts < low:
        return "low"
    return "high" if volts > high else "within"


def similar_sizes(size: TyreSize, diameter_mm: float) -> tuple[str, ...]:
    """Up to two usual sizes on the same rim whose outer diameter is within 0.7 % of `diameter_mm`,
    the nearest in width first. Which sizes a maker sells or allows is not known here."""
    found = []
    for wider in _WIDTH_STEPS:
        for aspect in _ASPECTS:
            other = TyreSize(size.width_mm + wider, aspect, size.rim_in, size.construction)
            misfit = abs(other.outer_diameter_mm / diameter_mm - 1)
            same = wider == 0 and aspect == size.aspect
            if misfit <= _SIMILAR and not same and _WIDTHS[0] <= other.width_mm <= _WIDTHS[1]:
                found.append((abs(wider), misfit, other.normal_form()))
    return tuple(words for _, _, words in sorted(found)[:2])


def _positive(value: float, what: str) -> float:
    if not math.isfinite(value) or value <= 0:
        raise ValueError(f"The {what} must be above nought.")
    return value


def _not_below(value: float, what: str) -> float:
    if not math.isfinite(value) or value < 0:
        raise ValueError(f"The {what} cannot be below nought.")
    return value
