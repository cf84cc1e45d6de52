"""The units themselves: what they measure, how they are written, their factor to SI. Pure.

Factors: NIST SP 811, appendix B; the derived ones (psi, lbf ft, US gal/min) are built from the
exact ones instead of being copied in rounded form. `shop/units.py` does the converting.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from types import MappingProxyType


class Kind(StrEnum):
    """What a unit measures. Only units of one kind convert into each other."""

    LENGTH = "length"
    RESISTANCE = "resistance"
    VOLTAGE = "voltage"
    CURRENT = "current"
    PRESSURE = "pressure"
    FREQUENCY = "frequency"
    TEMPERATURE = "temperature"
    RATIO = "ratio"
    TIME = "time"
    FORCE = "force"
    TORQUE = "torque"
    ANGLE = "angle"
    TURNING_RATE = "turning rate"
    SPEED = "speed"
    ACCELERATION = "acceleration"
    FLOW = "flow"
    VOLUME = "volume"
    MASS = "mass"
    SIDE_SLIP = "side slip"
    COUNT = "count"
    POWER = "power"
    AREA = "area"


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: value in SI = (value + `offset`) x `factor`.

    `key` is plain ASCII and what is stored; `symbol` is what is shown; `others` are further
    ways of writing it that are understood.
    """

    key: str
    kind: Kind
    symbol: str
    factor: Fraction
    offset: Fraction = Fraction(0)
    others: tuple[str, ...] = ()


def _exactly(text: str) -> Fraction:
    return Fraction(text)


_INCH = _exactly("0.0254")
_FOOT = 12 * _INCH
_MILE = 5280 * _FOOT
_POUND = _exactly("0.45359237")
_STANDARD_GRAVITY = _exactly("9.80665")
_POUND_FORCE = _POUND * _STANDARD_GRAVITY
_US_GALLON = 231 * _INCH**3
_LITRE = _exactly("0.001")
_PI = Fraction(math.pi)
_DEGREE = _PI / 180

_Row = tuple[str, str, Fraction, tuple[str, ...]]

# Per kind, commonest in the shop first: key, symbol, factor to SI, other spellings.
_ROWS: Mapping[Kind, tuple[_Row, ...]] = MappingProxyType(
    {
        Kind.LENGTH: (
            ("mm", "mm", _exactly("0.001"), ()),
            ("in", "in", _INCH, ("inch", "\u2033")),
            ("um", "µm", _exactly("0.000001"), ("μm", "micron")),
            ("cm", "cm", _exactly("0.01"), ()),
            ("m", "m", Fraction(1), ()),
            ("km", "km", Fraction(1000), ()),
            ("mi", "mi", _MILE, ("mile", "miles")),
            ("ft", "ft", _FOOT, ()),
        ),
        Kind.RESISTANCE: (
            ("ohm", "Ω", Fraction(1), ("Ohm",)),
            ("kohm", "kΩ", Fraction(1000), ("kOhm",)),
            ("Mohm", "MΩ", Fraction(1_000_000), ("MOhm",)),
            ("mohm", "mΩ", _exactly("0.001"), ("mOhm",)),
        ),
        Kind.VOLTAGE: (
            ("V", "V", Fraction(1), ()),
            ("mV", "mV", _exactly("0.001"), ()),
        ),
        Kind.CURRENT: (
            ("A", "A", Fraction(1), ()),
            ("mA", "mA", _exactly("0.001"), ()),
            ("uA", "µA", _exactly("0.000001"), ("μA",)),
        ),
        Kind.PRESSURE: (
            ("bar", "bar", Fraction(100_000), ()),
            ("kPa", "kPa", Fraction(1000), ()),
            ("MPa", "MPa", Fraction(1_000_000), ()),
            ("psi", "psi", _POUND_FORCE / _INCH**2, ("lbf/in2",)),
            ("Pa", "Pa", Fraction(1), ()),
        ),
        Kind.FREQUENCY: (
            ("Hz", "Hz", Fraction(1), ()),
            ("kHz", "kHz", Fraction(1000), ()),
        ),
        Kind.RATIO: (
            ("%", "%", _exactly("0.01"), ("percent", "per cent")),
            ("ratio", "", Fraction(1), ()),
            ("ppm", "ppm", _exactly("0.000001"), ()),
        ),
        Kind.TIME: (
            ("s", "s", Fraction(1), ()),
            ("ms", "ms", _exactly("0.001"), ()),
            ("us", "µs", _exactly("0.000001"), ("μs",)),
            ("min", "min", Fraction(60), ()),
            ("h", "h", Fraction(3600), ()),
        ),
        Kind.FORCE: (
            ("N", "N", Fraction(1), ()),
            ("kN", "kN", Fraction(1000), ()),
            ("daN", "daN", Fraction(10), ()),
            ("lbf", "lbf", _POUND_FORCE, ()),
            ("kgf", "kgf", _STANDARD_GRAVITY, ()),
        ),
        Kind.TORQUE: (
            ("N.m", "N·m", Fraction(1), ("N m", "Nm")),
            ("lbf.ft", "lbf·ft", _POUND_FORCE * _FOOT, ("lbf ft", "lb ft", "ft lb")),
            ("lbf.in", "lbf·in", _POUND_FORCE * _INCH, ("lbf in", "lb in", "in lb")),
        ),
        Kind.ANGLE: (
            ("deg", "°", _DEGREE, ("degree",)),
            ("arcmin", "\u2032", _DEGREE / 60, ()),
            ("rad", "rad", Fraction(1), ()),
        ),
        Kind.TURNING_RATE: (
            ("deg/s", "°/s", _DEGREE, ()),
            ("rpm", "rev/min", 2 * _PI / 60, ()),
            ("rev/s", "rev/s", 2 * _PI, ()),
            ("rad/s", "rad/s", Fraction(1), ()),
        ),
        Kind.SPEED: (
            ("km/h", "km/h", Fraction(1000, 3600), ("kph",)),
            ("mph", "mph", _MILE / 3600, ("mi/h",)),
            ("m/s", "m/s", Fraction(1), ()),
        ),
        Kind.ACCELERATION: (
            ("m/s2", "m/s²", Fraction(1), ()),
            ("gn", "gₙ", _STANDARD_GRAVITY, ()),
        ),
        Kind.FLOW: (
            ("l/min", "l/min", _LITRE / 60, ("L/min",)),
            ("gpm", "US gal/min", _US_GALLON / 60, ()),
            ("ml/min", "ml/min", _LITRE / 60_000, ("mL/min",)),
            ("m3/s", "m³/s", Fraction(1), ()),
        ),
        Kind.VOLUME: (
            ("l", "l", _LITRE, ("L",)),
            ("ml", "ml", _LITRE / 1000, ("mL",)),
            ("US.gal", "US gal", _US_GALLON, ()),
            ("m3", "m³", Fraction(1), ()),
        ),
        Kind.MASS: (
            ("kg", "kg", Fraction(1), ()),
            ("g", "g", _exactly("0.001"), ()),
            ("lb", "lb", _POUND, ()),
        ),
        # Way to the side on the way ahead, as a plate under the tyre shows it.
        Kind.SIDE_SLIP: (
            ("m/km", "m/km", _exactly("0.001"), ()),
            ("mm/m", "mm/m", _exactly("0.001"), ()),
            ("ft/mi", "ft/mi", _FOOT / _MILE, ()),
            ("m/m", "m/m", Fraction(1), ()),
        ),
        Kind.COUNT: (("count", "", Fraction(1), ()),),
        Kind.POWER: (
            ("W", "W", Fraction(1), ()),
            ("kW", "kW", Fraction(1000), ()),
            ("mW", "mW", _exactly("0.001"), ()),
            ("hp", "hp", 550 * _FOOT * _POUND_FORCE, ()),
        ),
        Kind.AREA: (
            ("mm2", "mm²", _exactly("0.000001"), ()),
            ("cm2", "cm²", _exactly("0.0001"), ()),
            ("in2", "in²", _INCH**2, ()),
            ("m2", "m²", Fraction(1), ()),
        ),
    }
)

_TEMPERATURES: tuple[Unit, ...] = (
    Unit("degC", Kind.TEMPERATURE, "°C", Fraction(1), _exactly("273.15"), ("C", "℃")),
    Unit("degF", Kind.TEMPERATURE, "°F", Fraction(5, 9), _exactly("459.67"), ("F", "℉")),
    Unit("K", Kind.TEMPERATURE, "K", Fraction(1)),
)


def _all_units() -> tuple[Unit, ...]:
    scaled = (
        Unit(key, kind, symbol, factor, Fraction(0), others)
        for kind, rows in _ROWS.items()
        for key, symbol, factor, others in rows
    )
    return (*scaled, *_TEMPERATURES)


# Every unit, by kind and then the commonest in the shop first.
UNITS: tuple[Unit, ...] = _all_units()
