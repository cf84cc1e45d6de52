"""Hydraulic quantities: power, flow, force, sides compared, one pressure on two scales. Pure."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

POWER_SOURCE = (
    "P = p Q, or bar times l/min over 600: read on public pages, one of which misprints it"
)

# What makers' pages say about testing a steering pump (read, several makers).
LONGEST_CLOSED = 5.0
"""Seconds for which the gauge's valve may be closed, by the most careful of three makers."""
LONGEST_CLOSED_BY_ANY = 15.0
"""Seconds by two other makers."""
WARM_FLUID = (50.0, 60.0)
"""°C between which the pump is tested."""
TEST_SPEED = (1000.0, 1500.0)
"""Engine speed, rev/min, on makers' pages; many sheets ask for idle instead."""
USUAL_RELIEF = (55e5, 130e5)
"""Pa, cars. Common practice, no source."""
USUAL_FLOW = (5.0, 10.0)
"""l/min, cars. Common practice, no source."""
HOTTEST_FLUID = 120.0
"""°C in service. Common practice, no source."""


def hydraulic_power(pascals: float, flow: float) -> float:
    """Power in W of `flow` in m³/s under `pascals` of pressure, both from 0 up.

    P = p Q; in the shop's units kW = bar l/min / 600 and hp = psi gpm / 1714 (read). Raises
    ValueError with a sentence.
    """
    _from_nought(pascals, "pressure")
    _from_nought(flow, "flow")
    return pascals * flow


def shaft_power(hydraulic: float, efficiency: float) -> float:
    """Power in W that the belt must bring for `hydraulic` W at an overall `efficiency` (0 to 1).

    P / efficiency. Raises ValueError with a sentence.
    """
    _from_nought(hydraulic, "power")
    return hydraulic / _efficiency(efficiency)


def pump_flow(displacement: float, turning: float, efficiency: float = 1.0) -> float:
    """Flow in m³/s of a pump of `displacement` m³ a revolution at `turning` rad/s.

    Q = V n times the volumetric `efficiency` (above 0, up to 1). Raises ValueError with a sentence.
    """
    _from_nought(displacement, "displacement")
    _from_nought(turning, "pump speed")
    return displacement * turning / math.tau * _efficiency(efficiency)


def volumetric_efficiency(flow: float, displacement: float, turning: float) -> float:
    """How much of what the pump displaces comes out, as a ratio.

    `flow` m³/s, `displacement` m³ a revolution, `turning` rad/s, the last two above 0. A result
    above 1 is no pump: one of the three is wrong, or the pump is geared up. Raises ValueError.
    """
    _from_nought(flow, "flow")
    ideal = pump_flow(displacement, turning)
    if ideal <= 0:
        raise ValueError("Displacement and pump speed must be above zero.")
    return flow / ideal


def piston_force(pascals: float, square_metres: float) -> float:
    """Force in N of a pressure on a piston: F = p A. Raises ValueError below zero."""
    _from_nought(pascals, "pressure")
    _from_nought(square_metres, "piston area")
    return pascals * square_metres


@dataclass(frozen=True, slots=True)
class Compared:
    """Values of one thing at several places.

    share: (highest - lowest) / highest, 0 to 1; 0 when all are nought. lowest, highest: their
    places. of_mean: the same gap in parts of the mean, which others mean by it.
    """

    share: float
    lowest: str
    highest: str
    of_mean: float


def compared(values: Mapping[str, float]) -> Compared:
    """How far values at two or more places lie apart, in parts of the highest.

    (max - min) / max, as in-service brake rules do it (read in section 1 of the GB inspection
    manual). Values from 0 up. Raises ValueError with a sentence for fewer than two.
    """
    if len(values) < 2:
        raise ValueError("It takes two places to compare.")
    for value in values.values():
        _from_nought(value, "value")
    lowest = min(values, key=lambda place: values[place])
    highest = max(values, key=lambda place: values[place])
    gap, mean = values[highest] - values[lowest], math.fsum(values.values()) / len(values)
    if mean == 0:  # also of values so small that their half is nought
        return Compared(0.0, lowest, highest, 0.0)
    return Compared(gap / values[highest], lowest, highest, gap / mean)


@dataclass(frozen=True, slots=True)
class TwoScales:
    """One pressure read on two scales. apart: how many times the greater is the smaller.

    agrees: within the tolerance. tenfold: they differ by ten, a hundred or a thousand times: a
    slipped digit.
    """

    apart: float
    agrees: bool
    tenfold: float | None


SAME_WITHIN = 0.05
"""Two scales of one gauge agree within this. Common practice, no source."""


def two_scales(one: float, other: float) -> TwoScales:
    """Whether two readings of one pressure, in Pa and above 0, are the same.

    A published page prints "960 kPa (1400 psi)": 1400 psi is 9653 kPa, so a digit was lost.
    Raises ValueError for a pressure not above zero.
    """
    for pascals in (one, other):
        if not math.isfinite(pascals) or pascals <= 0:
            raise ValueError("Only a pressure above zero can be compared on two scales.")
    apart = max(one / other, other / one)
    powers = (10.0, 100.0, 1000.0)
    tenfold = next((p for p in powers if abs(apart / p - 1) <= SAME_WITHIN), None)
    return TwoScales(apart, apart <= 1 + SAME_WITHIN, tenfold)


def _from_nought(value: float, what: str) -> None:
    if not math.isfinite(value) or value < 0:
        raise ValueError(f"The {what} is a number that is not below zero.")


def _efficiency(share: float) -> float:
    if not 0 < share <= 1:
        raise ValueError("An efficiency lies above 0 and at most at 100 %.")
    return share
