"""The current of a coil that is switched on and off fast. Pure."""

from __future__ import annotations

import math
from dataclasses import dataclass

DIODE_DROP = 0.7
"""Volts across a conducting silicon freewheel diode. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class MeanCurrent:
    """Mean current in A. amps: with an ideal freewheel path, or a resistive load. least: with a
    diode of 0.7 V as the freewheel path. volts: mean voltage, duty times supply."""

    amps: float
    least: float
    volts: float


def mean_current(supply: float, duty: float, ohms: float) -> MeanCurrent:
    """Mean current of a coil switched with `duty` (0 to 1) onto `supply` volts through `ohms`.

    I = D V / R. True of a resistive load at any frequency; of an inductive one wherever the current
    can go on flowing (freewheel) while it is switched off, since over a period the inductance takes
    as much voltage as it gives. A diode in that path takes (1 - D) 0.7 V of it at most, hence
    `least`. Where the current is cut off hard, by a Zener clamp, the mean is lower than both.
    Source: Ohm and Faraday, worked here; the 0.7 V is common practice. Raises ValueError with a
    sentence for a duty outside 0 to 1, ohms not above 0, a supply below 0.
    """
    if not 0 <= duty <= 1:
        raise ValueError("The duty lies between 0 and 100 %.")
    if not math.isfinite(supply) or supply < 0:
        raise ValueError("The supply is a number of volts that is not below zero.")
    if not math.isfinite(ohms) or ohms <= 0:
        raise ValueError("The coil's resistance must be above zero.")
    volts = duty * supply
    least = max(0.0, volts - (1 - duty) * DIODE_DROP)
    return MeanCurrent(volts / ohms, least / ohms, volts)


def implied_ohms(supply: float, duty: float, amps: float) -> tuple[float, float]:
    """The resistance, in ohm, that the whole circuit has when `amps` flow on average: (lowest,
    highest), with the diode's loss and without.

    R = D V / I, see `mean_current`. Raises ValueError for a mean current not above zero.
    """
    if not math.isfinite(amps) or amps <= 0:
        raise ValueError("With no current no resistance can be worked out.")
    with_one_ohm = mean_current(supply, duty, 1.0)
    return with_one_ohm.least / amps, with_one_ohm.amps / amps


def ripple(supply: float, duty: float, ohms: float, period: float, time_constant: float) -> float:
    """How far the current swings in each period, peak to peak in A, with an ideal freewheel path.

    dI = V/R (1 - e^(-D T/t)) (1 - e^(-(1-D) T/t)) / (1 - e^(-T/t)), the steady state of a first-
    order circuit, worked here. `period` T and `time_constant` t = L/R in s, above 0. Raises
    ValueError with a sentence.
    """
    mean = mean_current(supply, 1.0, ohms).amps
    if not 0 <= duty <= 1:
        raise ValueError("The duty lies between 0 and 100 %.")
    for seconds in (period, time_constant):
        if not math.isfinite(seconds) or seconds <= 0:
            raise ValueError("Period and time constant must be above zero.")
    turns = period / time_constant
    on, off, whole = (-math.expm1(-share * turns) for share in (duty, 1 - duty, 1.0))
    # A period of a tiny part of the time constant: nothing swings.
    return mean * on * off / whole if whole > 0 else 0.0
