"""The coil of a relay or a solenoid valve: current, power, pull-in, what sits beside it. Pure."""

from __future__ import annotations

import math
from dataclasses import dataclass

from diagnostics.compute.electrics import resistance_at

RELEASE_SHARE = 0.1
"""A relay must let go above a tenth of its rated voltage. From memory, relay makers' sheets."""


def without_parallel(measured: float, beside: float) -> float:
    """Resistance of a coil, in ohm, that measures `measured` with a resistor of `beside` across it.

    Rc = R Rp / (Rp - R), from 1/R = 1/Rc + 1/Rp. Both above 0. Raises ValueError with a sentence
    when `measured` is not below `beside`: then no coil conducts beside the resistor.
    """
    for ohms in (measured, beside):
        if not math.isfinite(ohms) or ohms <= 0:
            raise ValueError("Both resistances must be above zero.")
    if measured >= beside:
        raise ValueError(
            "Only the resistor conducts: with a coil beside it the meter shows less than the "
            "resistor alone. The coil is open, or the resistor is not the one named."
        )
    return measured * beside / (beside - measured)


@dataclass(frozen=True, slots=True)
class CoilAtWork:
    """A coil on its supply: ohms at that temperature, amps, watts."""

    ohms: float
    amps: float
    watts: float


def coil_at_work(ohms_at_20: float, supply: float, celsius: float) -> CoilAtWork:
    """Current and power of a copper coil at `celsius` on `supply` volts, without switching.

    I = V / R(T), P = V² / R(T), copper by IEC 60028. `ohms_at_20` above 0, `supply` from 0 up,
    `celsius` -60 to 200. Raises ValueError with a sentence.
    """
    if not math.isfinite(ohms_at_20) or ohms_at_20 <= 0:
        raise ValueError("The coil's resistance must be above zero.")
    if not math.isfinite(supply) or supply < 0:
        raise ValueError("The supply is a number of volts that is not below zero.")
    ohms = resistance_at(ohms_at_20, celsius)
    return CoilAtWork(ohms, supply / ohms, supply * supply / ohms)


def pull_in_when_warm(volts: float, measured_celsius: float, celsius: float) -> float:
    """The voltage at which a coil pulls in at `celsius` when it did at `volts`, in V.

    It takes the same current (the same ampere-turns), so the voltage grows with the copper:
    common practice, no source. `volts` from 0 up; temperatures -60 to 200 °C. Raises ValueError
    with a sentence.
    """
    if not math.isfinite(volts) or volts < 0:
        raise ValueError("The pull-in voltage is not below zero.")
    return volts * resistance_at(1.0, celsius) / resistance_at(1.0, measured_celsius)
