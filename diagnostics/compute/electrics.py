"""Electrical quantities: copper and its temperature, a wire, a joint under current. Pure."""

from __future__ import annotations

import math
from dataclasses import dataclass

# Annealed copper, per kelvin at 20 °C: IEC 60028.
COPPER_PER_KELVIN = 0.00393
REFERENCE_CELSIUS = 20.0

# Where the straight-line law is good for a winding on a vehicle.
COLDEST_CELSIUS = -60.0
HOTTEST_CELSIUS = 200.0

# Annealed copper of 100 % IACS at 20 °C, 1/58 ohm mm²/m, here in ohm metres. From memory.
COPPER_RESISTIVITY = 1e-6 / 58


def resistance_at_20c(ohms: float, celsius: float) -> float:
    """What a copper winding that measures `ohms` at `celsius` would measure at 20 °C.

    R20 = R / (1 + 0.00393 (T - 20)), IEC 60028. `ohms` in ohm, not negative; `celsius` in
    degrees Celsius from -60 to 200. Raises ValueError with a sentence outside these, and for
    nan or infinities. Only for copper: an electronic (two-wire current) sensor has no winding
    to correct.
    """
    return _ohms(ohms) / _factor(celsius)


def resistance_at(ohms_at_20: float, celsius: float) -> float:
    """What a copper winding of `ohms_at_20` shows at `celsius`: the other way round.

    R = R20 (1 + 0.00393 (T - 20)), IEC 60028 (read in a page that names it). Units and errors as
    `resistance_at_20c`.
    """
    return _ohms(ohms_at_20) * _factor(celsius)


def celsius_of_winding(ohms: float, ohms_at_20: float) -> float:
    """How warm a copper winding is that is `ohms_at_20` at 20 °C and shows `ohms` now, in °C.

    The same law solved for T. Raises ValueError where the answer lies outside -60 to 200 °C: such a
    winding is not warm but at fault, or `ohms_at_20` is not its own.
    """
    if _ohms(ohms_at_20) == 0:
        raise ValueError("A winding of no resistance has no temperature to show.")
    celsius = REFERENCE_CELSIUS + (_ohms(ohms) / ohms_at_20 - 1) / COPPER_PER_KELVIN
    if not COLDEST_CELSIUS <= celsius <= HOTTEST_CELSIUS:
        raise ValueError("No temperature of a copper winding explains this resistance.")
    return celsius


def wire_resistance(metres: float, square_metres: float, celsius: float = 20.0) -> float:
    """Resistance of a copper wire in ohm.

    R = rho L / A with rho = 1/58 ohm mm²/m at 20 °C (100 % IACS, from memory) and the copper
    correction. `metres` from 0 up, `square_metres` of conductor above 0, `celsius` -60 to 200.
    Raises ValueError with a sentence.
    """
    if not math.isfinite(metres) or metres < 0:
        raise ValueError("The wire's length is a number of metres that is not below zero.")
    if not math.isfinite(square_metres) or square_metres <= 0:
        raise ValueError("The wire's cross-section must be above zero.")
    return COPPER_RESISTIVITY * metres / square_metres * _factor(celsius)


@dataclass(frozen=True, slots=True)
class Joint:
    """A place that loses voltage. drop in V, amps in A, ohms in ohm, watts in W."""

    drop: float
    amps: float
    ohms: float
    watts: float


def joint(drop: float, amps: float) -> Joint:
    """Resistance and lost power of a place that loses `drop` volts while `amps` flow.

    R = U / I and P = U I (Ohm, Joule). `drop` from 0 up, `amps` above 0. Raises ValueError with a
    sentence: without current a bad joint loses nothing and shows nothing.
    """
    if not math.isfinite(drop) or drop < 0:
        raise ValueError("A voltage drop is not below zero: swap the meter's leads.")
    if not math.isfinite(amps) or amps <= 0:
        raise ValueError("Without current no joint loses voltage: switch the load on.")
    return Joint(drop, amps, drop / amps, drop * amps)


def _ohms(ohms: float) -> float:
    if not math.isfinite(ohms) or ohms < 0:
        raise ValueError("A resistance is a number of ohms that is not below zero.")
    return ohms


def _factor(celsius: float) -> float:
    """How many times its resistance at 20 °C a copper conductor has at `celsius`."""
    # nan fails this comparison too.
    if not COLDEST_CELSIUS <= celsius <= HOTTEST_CELSIUS:
        raise ValueError(
            f"A winding's temperature must lie between {COLDEST_CELSIUS:g} and "
            f"{HOTTEST_CELSIUS:g} °C for the correction to hold."
        )
    return 1 + COPPER_PER_KELVIN * (celsius - REFERENCE_CELSIUS)
